package fairness

import (
	"fmt"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// mustBeJudged are the checks that a claim about a cause needs an answer from.
var mustBeJudged = []string{"one-run-per-set-point", "session-tied-to-set-point", "bath-tied-to-set-point",
	"run-order-follows-set-point", "source-tied-to-set-point", "core-short"}

// claimOf climbs the ladder for the primary measure. Without a fit nothing was
// measured that could be claimed, and the claim says what the design could
// carry at most: Level is then L0.
func claimOf(c *Case, found []Finding) *Claim {
	l := &ladder{c: c, found: found}
	out := &Claim{Subject: l.subject(), Cause: true}
	m := l.primary()
	if m != nil {
		window := len(c.Trial.Aims) > 0 && !c.oneArm()
		switch {
		case window:
			out.Level = l.climb(m, nil)
		default:
			out.Level = l.climb(m, leading(m))
		}
		for _, m := range c.Fit.Measures {
			for i := range m.Differences {
				d := &m.Differences[i]
				if d.Term == trial.SetPointFactor {
					each := &ladder{c: c, found: found}
					out.Contrasts = append(out.Contrasts, Contrast{m.Name, d.A, d.B, each.climb(m, d)})
				}
			}
		}
	} else {
		l.lack(L1, "a measure", "0", "1", "")
	}
	out.Hedges = l.hedges()
	if drop := c.set.count("hedges-to-drop"); len(out.Hedges) >= drop && out.Level >= L2 {
		l.lack(out.Level, "faults that weaken it", fmt.Sprint(len(out.Hedges)), fmt.Sprintf("at most %d", drop-1), "")
		out.Level--
		out.Remarks = append(out.Remarks, prose.Say("Several faults weaken it at once, so it is claimed for less."))
	}
	declared, _ := l.stands("declared-after-tasting", Note)
	if declared {
		l.lack(L3, "declared before tasting", "no", "yes", "declared-after-tasting")
		out.Level = min(out.Level, L2)
	}
	out.Confirmed = !declared && out.Level >= L2
	out.Cause = out.Level >= L2
	out.HoldsFor = out.Level.HoldsFor()
	if out.Level == L0 && len(c.Trial.Cooks) > max(1, len(c.Trial.Arms())) {
		out.HoldsFor = "these cooks"
	}
	out.Allowed = append([]string{}, ladderWords[out.Level].allowed...)
	out.NotAllowed = append([]string{}, ladderWords[out.Level].not...)
	if out.Subject != SubjectSetPoint {
		out.NotAllowed = append(out.NotAllowed, "the temperature alone", "the set point alone")
	}
	if !out.Confirmed {
		out.NotAllowed = append(out.NotAllowed, "confirmed")
	}
	out.Remarks = append(out.Remarks, l.remarks(out.Level)...)
	out.Lacks = nextLacks(l.lacks, out.Level)
	if out.Hedges == nil {
		out.Hedges = []prose.Sentence{}
	}
	return out
}

// nextLacks keeps what the next level needs, each once.
func nextLacks(all []Lack, level Level) []Lack {
	out := []Lack{}
	for _, k := range all {
		if k.Level == level+1 && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

func (c *Case) oneArm() bool { return !c.Compares() }

// primary is the measure of the first aim, or the first measure that was analysed.
func (l *ladder) primary() *texture.Measure {
	if l.c.Fit == nil {
		return nil
	}
	if len(l.c.Trial.Aims) > 0 {
		if m := l.c.Fit.Measures.Named(l.c.Trial.Aims[0].Measure); m != nil {
			return m
		}
	}
	if len(l.c.Fit.Measures) > 0 {
		return l.c.Fit.Measures[0]
	}
	return nil
}

// leading is the largest difference between two set points.
func leading(m *texture.Measure) *texture.Difference {
	var best *texture.Difference
	var size float64
	for i := range m.Differences {
		d := &m.Differences[i]
		if e, ok := d.Estimate.Get(); ok && d.Term == trial.SetPointFactor && (best == nil || abs(e) > size) {
			best, size = d, abs(e)
		}
	}
	return best
}

// subject is what may be named as the cause.
func (l *ladder) subject() string {
	for i := range l.found {
		if f := &l.found[i]; f.Outcome == Fires && f.Severity == Blocks && f.Kind == Bundle && f.About == AboutSetPoint &&
			f.Slug != "time-moves-with-set-point" {
			return SubjectMethod
		}
	}
	if stands, _ := l.stands("time-moves-with-set-point", Note); stands {
		return SubjectTime
	}
	return SubjectSetPoint
}

// climb gives the highest level that a contrast reaches: of two arms, or with
// nil of the window of the aims.
func (l *ladder) climb(m *texture.Measure, d *texture.Difference) Level {
	if m.Observations == 0 {
		l.lack(L0, "a measure", "0", "1", "")
		return L0
	}
	rules := l.tasting(m)
	if l.effect(m, d) && rules {
		if !l.food(m, d) {
			return L2
		}
		if !l.consumers(m, d) {
			return L3
		}
		return L4
	}
	if rules && l.tellApart(m, d) {
		return L1
	}
	return L0
}

// tasting holds the rules on blindness, order and blanks.
func (l *ladder) tasting(m *texture.Measure) bool {
	ok := true
	if m.Assessors > 0 {
		if have, need := l.assessors(m), l.c.set.count("ladder-assessors"); have < need {
			ok = l.lack(L1, "assessors who scored two set points or more", fmt.Sprint(have), fmt.Sprint(need), "")
		}
		for _, slug := range []string{"tasters-knew", "tasting-order-uneven", "not-all-tasted-all"} {
			ok = l.fair(L1, m, slug, Blocks) && ok
		}
	}
	return l.fair(L1, m, "missing-by-set-point", Blocks) && ok
}

// tellApart is the test of L1: whether these pieces were told apart.
func (l *ladder) tellApart(m *texture.Measure, d *texture.Difference) bool {
	if m.Assessors > 0 {
		for _, t := range m.Tests {
			if p, ok := t.P.Get(); ok && d == nil && t.Role == texture.RoleL1 && t.Term == trial.SetPointFactor && p < 0.05 {
				return true
			}
		}
		for i := range m.PanelDifferences {
			p := &m.PanelDifferences[i]
			if p.Term == trial.SetPointFactor && excludesZero(p) && (d == nil || samePair(p, d)) {
				return true
			}
		}
		for _, t := range l.c.Fit.Tests {
			if p, ok := t.P.Get(); ok && p < 0.05 && (d == nil || l.between(t, d)) {
				return true
			}
		}
		return l.lack(L1, "a difference that the panel could tell", "none", "one", "")
	}
	if pair, ok := l.piecesDiffer(m, d); ok && pair {
		return true
	} else if !ok {
		return l.lack(L1, "pieces at each set point", "fewer", "3", "")
	}
	return l.lack(L1, "a difference between the pieces", "none", "one", "")
}

// effect holds the rules of L2.
func (l *ladder) effect(m *texture.Measure, d *texture.Difference) bool {
	ok := true
	if have, need := l.runs(d), l.c.set.count("min-runs"); have < need {
		ok = l.lack(L2, "runs at each set point", fmt.Sprint(have), fmt.Sprint(need), "one-run-per-set-point")
	}
	named := mustBeJudged
	if l.severalParts() {
		named = append(slices.Clone(named), "part-tied-to-set-point")
	}
	for _, slug := range named {
		if f := l.state(slug); f == nil || f.Outcome == CannotJudge {
			ok = l.lack(L2, l.unjudged(slug), "", "", slug)
		}
	}
	for i := range l.found {
		f := &l.found[i]
		if f.Outcome == Fires && f.Severity == Blocks && f.About == AboutSetPoint && f.Factor == "" && f.Kind == Mixed && l.concerns(f, d) &&
			f.Slug != "one-run-per-set-point" {
			ok = l.lack(L2, f.Slug, "blocks", "", f.Slug)
		}
	}
	if d == nil {
		if !l.holdsWindow() {
			ok = l.lack(L2, "a set point that meets the aims more likely than not", "none", "one", "")
		}
		return ok
	}
	if !excludesZero(d) && !l.same(m, d) {
		ok = l.lack(L2, "an interval of the difference without 0", "0 inside", "", "")
	}
	return ok
}

func (l *ladder) unjudged(slug string) string {
	f := l.state(slug)
	if f == nil {
		return slug + " was not asked"
	}
	if f.TooFew != nil {
		return f.TooFew.What
	}
	return fieldList(f) + " not stated"
}

// concerns reports whether a finding is about one of the two arms.
func (l *ladder) concerns(f *Finding, d *texture.Difference) bool {
	if d == nil || len(f.Where.Arms) == 0 {
		return true
	}
	return slices.Contains(f.Where.Arms, d.A) || slices.Contains(f.Where.Arms, d.B)
}

// hedges are what the roots that weaken the subject, or the scores of the primary
// measure, add to a sentence.
func (l *ladder) hedges() []prose.Sentence {
	var out []prose.Sentence
	m := l.primary()
	for i := range l.found {
		f := &l.found[i]
		if f.Outcome != Fires || f.Under != "" || f.Factor != "" || len(f.Hedge) == 0 {
			continue
		}
		if f.About == AboutSetPoint && f.Severity == Weakens || l.weakensScores(f, m) {
			out = append(out, f.Hedge)
		}
	}
	return out
}

// weakensScores reports whether a finding about tasting weakens what was scored:
// one that blocks liking alone weakens the other scores.
func (l *ladder) weakensScores(f *Finding, m *texture.Measure) bool {
	if m == nil || m.Assessors == 0 {
		return false
	}
	switch f.About {
	case AboutTasted:
		return f.Severity == Weakens && (len(f.Where.Measures) == 0 || slices.Contains(f.Where.Measures, m.Name))
	case AboutLiking:
		return f.Severity == Weakens || f.Severity == Blocks && !l.blocksMeasure(f, m)
	}
	return false
}

func (l *ladder) remarks(level Level) []prose.Sentence {
	var out []prose.Sentence
	c := l.c
	if c.Fit == nil || !c.Compares() {
		return nil
	}
	if runs := l.runs(nil); runs == 2 && level == L1 {
		out = append(out, prose.Say("Each set point was seen again in a second run; two runs give no interval for the set point."))
	}
	if m := l.primary(); m != nil && l.consumerCount() >= c.set.count("consumers") && level < L4 {
		out = append(out, prose.Say("Many people tasted few cooks: it says what these people thought of these pieces."))
	}
	return out
}
