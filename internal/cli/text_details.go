package cli

import (
	"fmt"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/texture"
)

// details prints what only --all shows of a measure: differences, treatments,
// the serving order, the panel, penalties and how far the answer depends on
// choices. Parts that the trial does not have are passed over.
func (f *fitText) details(m *texture.Measure) {
	f.differences(m)
	f.model(m.Model)
	f.treatments(m)
	f.serving(m)
	f.panel(m.Panel)
	f.penalty(m)
	f.sensitivity(m.Sensitivity)
}

func (f *fitText) part(title string) {
	f.blank()
	f.line("  " + title)
}

func (f *fitText) grid(g *grid) { f.out = append(f.out, g.lines("  ")...) }

func (f *fitText) differences(m *texture.Measure) {
	if len(m.Differences) == 0 {
		return
	}
	f.part("Differences")
	g := &grid{right: []bool{false, true, true, true, false}}
	g.add("first minus second", "estimate", "interval", "p", "adjusted by")
	for _, d := range m.Differences {
		g.add(f.levelName(m, d.Term, d.A)+" − "+f.levelName(m, d.Term, d.B), amount(d.Estimate, digitsFor(d.SE)),
			between(d.Low, d.High, digitsFor(d.SE)), pValue(d.P), upperWords(d.Adjust))
	}
	f.grid(g)
}

// levelName prints a level: a set point in the unit of the reader.
func (f *fitText) levelName(m *texture.Measure, term, level string) string {
	for _, a := range m.Arms {
		if a.Term == term && a.Arm == level {
			return f.armLabel(a)
		}
	}
	return words(level)
}

func (f *fitText) model(md *texture.Model) {
	if md == nil || len(md.Random) == 0 {
		return
	}
	f.part("Variance in the mixed model")
	g := &grid{right: []bool{false, true, true}}
	g.add("level", "groups", "variance")
	for _, r := range md.Random {
		g.add(unitWords(r.Term), fmt.Sprint(r.Levels), trimmed(r.Variance, 4))
	}
	g.add("residual", "", amount(md.Residual, 4))
	f.grid(g)
}

func (f *fitText) treatments(m *texture.Measure) {
	for _, t := range m.Treatments {
		how := ""
		if t.Paired {
			how = ", paired by source"
		}
		f.part(fmt.Sprintf("%s: %s minus %s%s", upperWords(t.Factor), words(t.A), words(t.B), how))
		g := &grid{right: []bool{false, true, true, true}}
		if len(t.At) > 0 {
			g.add("set point", "difference", "interval", "p")
		} else {
			g.add("", "difference", "interval", "p")
		}
		for i, d := range t.At {
			label := words(d.A)
			if i < len(t.SetPoints) {
				if v, ok := t.SetPoints[i].Get(); ok {
					label = f.temperature(v)
				}
			}
			g.add(label, amount(d.Estimate, digitsFor(d.SE)), between(d.Low, d.High, digitsFor(d.SE)), pValue(d.P))
		}
		d := t.Average
		g.add("average", amount(d.Estimate, digitsFor(d.SE)), between(d.Low, d.High, digitsFor(d.SE)), pValue(d.P))
		f.grid(g)
		if d.Low.Known() {
			f.item("Intervals and p of this table are not adjusted for the number of comparisons.")
		}
		if r := t.Ratio; r != nil && r.Estimate.Known() {
			f.item("As a ratio: " + amount(r.Estimate, 2) + " (" + between(r.Low, r.High, 2) + ").")
		}
		if t.Interaction.Value.Known() {
			f.item("Whether the difference changes with the set point: " + testWords(t.Interaction) + ".")
		}
	}
}

// testWords is "F 2.61 on 5 and 30, p = 0.045".
func testWords(t texture.Test) string {
	s := statistic(t) + " on " + degrees(t.DF1)
	if t.DF2.Known() {
		s += " and " + degrees(t.DF2)
	}
	return s + ", " + pWords(t.P)
}

func (f *fitText) serving(m *texture.Measure) {
	if len(m.Place) == 0 {
		return
	}
	f.part("Serving order")
	for _, p := range m.Place {
		if p.Absent != "" || !p.Test.Value.Known() {
			why := p.Absent
			if why == "" {
				why = p.Test.Value.Reason()
			}
			f.item(upperWords(p.Kind) + ": not known, " + why + ".")
			continue
		}
		f.item(upperWords(p.Kind) + ": " + testWords(p.Test) + ".")
	}
}

func (f *fitText) panel(p *texture.Panel) {
	if p == nil || len(p.Assessors) == 0 {
		return
	}
	f.part("Panel")
	g := &grid{right: []bool{false, true, true, true, true, true, false}}
	g.add("taster", "scores", "tells apart, p", "own spread", "r with rest", "slope", "verdict")
	for _, a := range p.Assessors {
		g.add(words(a.Assessor), fmt.Sprint(a.N), pValue(a.Discriminates.P), amount(a.Repeatability, 2), amount(a.Agreement, 2), amount(a.Slope, 2), a.Verdict)
	}
	f.grid(g)
	if p.Crossover.Value.Known() {
		f.item("Whether tasters order the food differently: " + testWords(p.Crossover) + ".")
	}
	if p.Concord.Known() {
		f.item("Agreement of the ranks (Kendall's W): " + amount(p.Concord, 2) + ".")
	}
	var icc []string
	for _, c := range p.ICC {
		if c.R.Known() {
			icc = append(icc, c.Form+" "+amount(c.R, 2)+" ("+between(c.Low, c.High, 2)+")")
		}
	}
	if len(icc) > 0 {
		f.item("Intraclass correlations: " + strings.Join(icc, ", ") + ".")
	}
	for _, k := range p.Kappa {
		if k.K.Known() {
			f.item(fmt.Sprintf("%s and %s, %s kappa: %s (%s).", k.A, k.B, k.Weighted, amount(k.K, 2), between(k.Low, k.High, 2)))
		}
	}
	if s := p.Segments; s != nil {
		var shares []string
		for _, a := range s.Shares {
			shares = append(shares, fmt.Sprintf("%s by %.0f %%", words(a.Arm), 100*a.Share))
		}
		if len(shares) > 0 {
			f.item("Liked best: " + strings.Join(shares, ", ") + ".")
		}
		for i, who := range s.Groups {
			f.item(fmt.Sprintf("Group %d: %s.", i+1, strings.Join(who, ", ")))
		}
		if s.Note != "" {
			f.item(strings.TrimSuffix(s.Note, ".") + ".")
		}
	}
	f.warnings(p.Warnings)
}

func (f *fitText) penalty(m *texture.Measure) {
	if len(m.Penalty) == 0 {
		return
	}
	f.part("What being off costs in " + words(m.Penalty[0].Liking))
	g := &grid{right: []bool{false, true, true, true, true}}
	g.add("arm", "answers", "too low", "right", "too high")
	side := func(s texture.PenaltySide) string {
		v, ok := s.Share.Get()
		if !ok {
			return "–"
		}
		out := fmt.Sprintf("%.0f %%", 100*v)
		if s.Drop.Known() {
			out += ", costs " + amount(s.Drop, 1)
		}
		return out
	}
	for _, p := range m.Penalty {
		arm := words(p.Arm)
		if p.Arm == "" {
			arm = "all"
		}
		right := p.Right
		right.Drop = texture.Number{}
		g.add(arm, fmt.Sprint(p.N), side(p.TooLow), side(right), side(p.TooHigh))
	}
	f.grid(g)
}

func (f *fitText) sensitivity(s *texture.Sensitivity) {
	if s == nil || len(s.Analyses) == 0 && len(s.LeaveOut) == 0 {
		return
	}
	f.part("Other ways to analyse it")
	if s.Estimand != "" {
		f.item("Compared: " + strings.TrimSuffix(answer.Estimand(s).Text(f.sys), ".") + ".")
	}
	if len(s.Analyses) > 0 {
		g := &grid{right: []bool{false, true, true, true}}
		g.add("analysis", "estimate", "interval", "p")
		for _, a := range s.Analyses {
			name := diag.Clean(a.Name)
			if a.Headline {
				name = strings.TrimPrefix(name, "headline: ") + " (used here)"
			}
			g.add(name, amount(a.Estimate, 2), between(a.Low, a.High, 2), pValue(a.P))
		}
		f.grid(g)
	}
	if r := s.Robustness; r != nil && r.Value.Known() {
		f.item(fmt.Sprintf("Something unrecorded would have to explain %.0f %% of what is left in both set point and score to take the estimate to zero.", 100*r.Value.Or(0)))
	}
	changes := 0
	for _, l := range s.LeaveOut {
		if l.Changes {
			changes++
			f.item(fmt.Sprintf("Without %s %s the conclusion changes: %s.", unitWords(l.Kind), words(l.ID), amount(l.Estimate, 2)))
		}
	}
	if n := len(s.LeaveOut); n > 0 && changes == 0 {
		f.item(fmt.Sprintf("Left out one at a time (%d cooks, sources and tasters), none changes the conclusion.", n))
	}
}

// differenceTests prints the difference tests of the file, a line each.
func (f *fitText) differenceTests() {
	if len(f.r.Tests) == 0 {
		return
	}
	f.heading("Difference tests")
	for _, t := range f.r.Tests {
		s := fmt.Sprintf("%s, %s: %d of %d right, %s", upperWords(t.Kind), words(strings.Join(t.Between, " and ")), t.Correct, t.Answers, pWords(t.P))
		if t.Least > 0 {
			s += fmt.Sprintf("; %d would be enough", t.Least)
		}
		if t.DPrime.Known() {
			s += "; d′ " + amount(t.DPrime, 2)
			if t.Low.Known() && t.High.Known() {
				s += " (" + between(t.Low, t.High, 2) + ")"
			}
		}
		if t.PD.Known() {
			s += "; share that can tell them apart " + amount(t.PD, 2)
			if t.PDLow.Known() && t.PDHigh.Known() {
				s += " (" + between(t.PDLow, t.PDHigh, 2) + ")"
			}
		}
		f.item(s + ".")
		f.warnings(t.Warnings)
	}
}
