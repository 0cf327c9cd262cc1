package fairness

import (
	"tamis/internal/diag"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// Inputs is what a trial has been asked so far. Only Trial must be there.
type Inputs struct {
	Trial  *trial.Trial
	Heat   *heat.Trial
	Safety *safety.Result
	Fit    *texture.Result // nil: the checks of the scores do not run
	// Thresholds go over those of the trial file.
	Thresholds []trial.Threshold
}

// Result is what the checks say of one trial.
type Result struct {
	Stage    Stage     `json:"stage"`
	Findings []Finding `json:"findings"`
	Claim    *Claim    `json:"claim"`
	Changed  []Changed `json:"thresholds_changed,omitempty"`
	// Notices are about the entries of accept.
	Notices diag.List `json:"notices,omitempty"`
	Show    Show      `json:"show"`
}

// Show is how many findings a reader sees first; what blocks is never left out.
type Show struct {
	Kitchen  int `json:"kitchen"`
	Terminal int `json:"terminal"`
}

// Run asks every check of the catalogue that the stage of the trial allows, then
// merges the findings under their root causes and ranks them. An unknown
// threshold in Inputs is an error; nothing else is.
func Run(in Inputs) (*Result, error) {
	set, changed, err := newSettings(in.Trial, in.Thresholds)
	if err != nil {
		return nil, err
	}
	r := &Result{Stage: stageOf(in), Changed: changed, Show: Show{set.count("show-kitchen"), set.count("show-terminal")}}
	base := Case{Trial: in.Trial, Heat: in.Heat, Safety: in.Safety, Fit: in.Fit, Stage: r.Stage, set: set, facts: factsOf(in.Trial, set)}
	// The wording is held against the claim, so its checks run when the claim is
	// known. What the wording is part of is found with the rest, so the merging
	// before it is undone.
	cases := make([]Case, len(base.facts.factors))
	for i, f := range base.facts.factors {
		cases[i] = *base.of(f)
	}
	most := len(cases) // what another factor is accused of is rare
	for _, check := range catalogue {
		if check.Stage <= r.Stage {
			most++
		}
	}
	found := make([]Finding, 0, most)
	found = asked(found, cases, func(k *Check) bool { return k.Family != Claims })
	apart := standingsOf(found)
	merge(&base, found)
	base.Claim, base.Findings = claimOf(&cases[0], found), found
	for i := range cases {
		cases[i].Claim, cases[i].Findings = base.Claim, base.Findings
	}
	found = asked(found, cases, func(k *Check) bool { return k.Family == Claims })
	apart.restore(found)
	r.Claim, r.Findings = base.Claim, found
	merge(&base, r.Findings)
	r.Notices = accept(in.Trial, r.Findings)
	r.Findings = rank(in.Trial, r.Findings)
	besideTrial(in.Trial, r)
	return r, nil
}

// of is the case for one compared factor.
func (c *Case) of(f *Factor) *Case {
	out := *c
	out.Factor, out.compared = f, nil
	return &out
}

// asked runs the checks that are wanted, for every factor that they compare, and adds
// what they find.
func asked(out []Finding, cases []Case, want func(*Check) bool) []Finding {
	for _, check := range catalogue {
		if check.Stage > cases[0].Stage || !want(check) {
			continue
		}
		for i := range cases {
			if i > 0 && !check.EachFactor {
				break
			}
			j := check.Judge(&cases[i])
			if i > 0 && j.Outcome != Fires {
				continue // what another factor cannot be accused of is not news
			}
			out = append(out, findingOf(check, &cases[i], j))
		}
	}
	return out
}

// stageOf is how far the trial has come.
func stageOf(in Inputs) Stage {
	if in.Fit != nil {
		return Scored
	}
	t := in.Trial
	if s := t.Status; s.Known && (s.V == trial.Planned || s.V == trial.Idea) {
		return Plan
	}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		if c.Out.Known || c.Served.Known || c.ServedAt.Known || len(c.Log) > 0 || len(c.Values) > 0 {
			return Cooked
		}
		for j := range c.Pieces {
			if p := &c.Pieces[j]; p.After.Known || p.Out.Known || p.Served.Known || len(p.Values) > 0 {
				return Cooked
			}
		}
	}
	if t.Panel.Known && len(t.Panel.V.Scores) > 0 {
		return Cooked
	}
	return Plan
}

// findingOf puts a judgement and the check's literal together.
func findingOf(check *Check, c *Case, j Judgement) Finding {
	f := Finding{
		Slug: check.Slug, Family: check.Family, About: check.about(), Outcome: j.Outcome, Stage: c.Stage,
		Statistic: j.Statistic, Value: j.Value, Threshold: j.Threshold, Option: j.Option, Where: j.Where,
		Missing: j.Missing, TooFew: j.TooFew, Cost: j.Cost, Details: j.Details, Describes: check.Describes,
		Text: j.Remark,
	}
	if (j.Outcome == Fires || j.Outcome == CannotJudge) && f.Where.At.IsZero() {
		f.Where.At = c.placeOf(f.Where, f.Missing)
	}
	f.Where.Assessors = c.persons(f.Where.Assessors)
	for i := range f.Missing {
		if f.Missing[i].OfPeople() {
			f.Missing[i].Where = c.persons(f.Missing[i].Where)
		}
	}
	if j.About != "" {
		f.About = j.About
	}
	if !c.Factor.IsSetPoint() {
		f.Factor = c.Factor.Name
	}
	if j.Outcome != Fires {
		return f
	}
	f.Severity = j.Severity
	if f.Severity == Blocks {
		f.Kind = check.kind()
		if j.Kind != "" {
			f.Kind = j.Kind
		}
	}
	if f.Option != "" && !f.Threshold.Known() {
		f.Threshold = quantity.Absent("see " + f.Option)
	}
	wording := check.Wording
	if j.Variant != "" {
		wording = check.Others[j.Variant]
	}
	f.Text = mustFill(check, wording, j.Fill)
	f.Hedge = mustFill(check, check.Hedge, j.Fill)
	f.Next = mustFill(check, check.Next, j.Fill)
	f.Fix = check.Fix
	if check.Eats {
		c.keepFromEating(&f)
	}
	return f
}
