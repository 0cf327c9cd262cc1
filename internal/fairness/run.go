package fairness

import (
	"slices"

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
	// known.
	design := base.ask(func(k *Check) bool { return k.Family != Claims })
	merged := slices.Clone(design)
	merge(&base, merged)
	base.Claim, base.Findings = claimOf(base.of(base.facts.factors[0]), merged), merged
	wording := base.ask(func(k *Check) bool { return k.Family == Claims })
	r.Claim = base.Claim

	r.Findings = append(design, wording...)
	merge(&base, r.Findings)
	r.Notices = accept(in.Trial, r.Findings)
	r.Findings = rank(in.Trial, r.Findings)
	besideTrial(in.Trial, r)
	return r, nil
}

// of is the case for one compared factor.
func (c *Case) of(f *Factor) *Case {
	out := *c
	out.Factor = f
	return &out
}

// ask runs the checks that are wanted, for every factor that they compare.
func (c *Case) ask(want func(*Check) bool) []Finding {
	out := make([]Finding, 0, len(catalogue)+len(c.facts.factors))
	for _, check := range catalogue {
		if check.Stage > c.Stage || !want(check) {
			continue
		}
		factors := c.facts.factors
		if !check.EachFactor {
			factors = factors[:1]
		}
		for i, f := range factors {
			one := c.of(f)
			finding := findingOf(check, one, check.Judge(one))
			if i > 0 && finding.Outcome != Fires {
				continue // what another factor cannot be accused of is not news
			}
			out = append(out, finding)
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
