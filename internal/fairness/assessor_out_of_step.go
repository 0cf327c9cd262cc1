package fairness

import (
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

var assessorOutOfStep = Check{
	Slug:   "assessor-out-of-step",
	Short:  "a taster out of step",
	Family: Assessors,
	Stage:  Scored,
	About:  AboutTasted,
	Asks:   "Does one taster score upside down, flat, or all over?",
	Needs:  []string{"scores.assessor", "scores.repeat"},
	Finds: "Each assessor's scores are set against the mean of the others over what was served, in the measures that an aim names. A slope below 0 " +
		"that chance would not give one assessor of the panel in twenty panels weakens. Notes are an assessor whose means run against those of the others and turn " +
		"round the two set points that nearly all others put furthest apart, one whose own F over the products has p > {flat-p}, " +
		"a slope outside {slope} that differs from 1 with p < 0.005, and spreads of two assessors that differ by more than {scale-use} times.",
	Clears:   "Nobody is out of step, with four assessors or more on three set points or more.",
	Unjudged: "There are fewer than four assessors or three set points.",
	Why:      "One sheet that is upside down cancels a good one, and the panel looks undecided.",
	Wording:  "{names} scored {measure} against the rest of the panel.",
	Others: map[string]string{
		"effect": "{names} scored {measure} against the rest of the panel. With {names} the change is {with}, without {without}.",
		"turned": "{names} scored {measure} the other way round from nearly all others, on too few samples to be sure.",
		"flat":   "{names} could tell nothing apart in {measure}.",
		"slope":  "{names} used the scale of {measure} {wider} than the others: {slope} points for each point of theirs.",
		"spread": "{names} spread the scores of {measure} {ratio} times as far as {other}.",
	},
	Hedge:   "one of the tasters was out of step",
	Next:    "Show both ends of the scale before the trial. Never drop a taster after seeing the result.",
	Eats:    true,
	Fix:     "calibrate-panel",
	Source:  "Terms as in ISO 11132, from memory; the limits are house rules.",
	Options: []string{"flat-p", "slope", "scale-use"},
	FiresOn: "# means at A, B, C: the others 3, 5, 7; dan 7, 5, 4",
	ClearOn: "# means at A, B, C: the others 3, 5, 7; dan 4, 5, 7",
	Judge:   judgeOutOfStep,
	Example: exampleOutOfStep,
}

const (
	leastPanel = 4 // assessors
	leastArms  = 3
)

func judgeOutOfStep(c *Case) Judgement {
	p, ok := c.panel()
	deciding := c.decidingMeasures()
	if !ok || len(deciding) == 0 || !c.Compares() {
		return notApplicable("nothing that is compared was tasted")
	}
	if p.Together.Known && p.Together.V {
		return notApplicable("tasters talked, so that nobody is out of step on his own")
	}
	if n := len(c.Trial.AssessorIDs()); n < leastPanel {
		return tooFew("assessors", n, leastPanel)
	}
	if c.Levels() < leastArms {
		return tooFew("set points", c.Levels(), leastArms)
	}
	var note *Judgement
	judged := false
	for _, m := range deciding {
		f := c.fitted(m.Name)
		if f == nil || f.Panel == nil || len(f.Panel.Assessors) == 0 {
			continue
		}
		judged = true
		if j, ok := c.reversed(f); ok {
			return j
		}
		if j, ok := c.oddly(m, f); ok && note == nil {
			note = &j
		}
	}
	switch {
	case note != nil:
		return *note
	case !judged:
		return cannot("scores.assessor")
	}
	return clear()
}

// reversed names the assessors whom the fit finds running against the panel.
func (c *Case) reversed(f *texture.Measure) (Judgement, bool) {
	if len(f.Panel.OutOfStep) == 0 {
		return Judgement{}, false
	}
	var who []string
	slope := math.Inf(1)
	for _, a := range f.Panel.Assessors {
		if slices.Contains(f.Panel.OutOfStep, a.Assessor) {
			who = append(who, c.realName(a.Assessor))
			slope = math.Min(slope, a.Slope.Or(0))
		}
	}
	j := Judgement{Outcome: Fires, Severity: Weakens, Statistic: "smallest slope on the mean of the others", Value: quantity.Num(slope),
		Threshold: quantity.Num(0), Where: Where{Assessors: who, Measures: []string{f.Name}},
		Fill: Fill{"names": listWords(c.persons(who)), "measure": measureWords(f.Name)}}
	if a := c.assessor(who[0]); a != nil {
		j.Where.At = a.At
	}
	if s, ok := c.without(who); ok && s.measure == f.Name {
		j.Variant = "effect"
		j.Fill["with"], j.Fill["without"] = amount(s.with, s.unit, s.digits), amount(s.left, s.unit, s.digits)
	}
	return j, true
}

// oddly finds the assessors who score the other way round, as far as one can see,
// tell nothing apart, or use the scale otherwise than the rest.
func (c *Case) oddly(m trial.Measure, f *texture.Measure) (Judgement, bool) {
	note := func(variant, statistic, option string, value, limit float64, who []string, fl Fill) (Judgement, bool) {
		fl["names"], fl["measure"] = listWords(c.persons(who)), f.Name
		j := Judgement{Outcome: Fires, Severity: Note, Variant: variant, Statistic: statistic, Value: quantity.Num(value),
			Threshold: quantity.Num(limit), Option: option, Where: Where{Assessors: who, Measures: []string{f.Name}}, Fill: fl}
		if a := c.assessor(who[0]); a != nil {
			j.Where.At = a.At
		}
		return j, true
	}
	means := c.armMeansByTaster(m)
	var against []string
	least := 0.0
	for _, id := range c.Trial.AssessorIDs() {
		if r, ok := means.turned(id); ok {
			against, least = append(against, id), math.Min(least, r)
		}
	}
	if len(against) > 0 {
		return note("turned", "smallest correlation with the means of the others", "", least, 0, against, Fill{})
	}
	flat := c.set.number("flat-p")
	var dull []string
	worst := 0.0
	for _, a := range f.Panel.Assessors {
		if p, ok := a.Discriminates.P.Get(); ok && p > flat {
			dull, worst = append(dull, c.realName(a.Assessor)), math.Max(worst, p)
		}
	}
	if len(dull) > 0 {
		return note("flat", "p of the products within an assessor", "flat-p", worst, flat, dull, Fill{})
	}
	low, high := c.set.bounds("slope")
	for _, id := range c.Trial.AssessorIDs() {
		b, p, ok := means.slope(id)
		if !ok || b >= low && b <= high || p >= weakensBelow {
			continue
		}
		limit, word := high, "further"
		if b < low {
			limit, word = low, "less far"
		}
		return note("slope", "slope on the mean of the others", "slope", b, limit, []string{id},
			Fill{"wider": word, "slope": amount(b, "", 1)})
	}
	if wide, narrow, ratio := means.spreads(); ratio > c.set.number("scale-use") {
		return note("spread", "largest over smallest SD of an assessor's means", "scale-use", ratio, c.set.number("scale-use"), []string{wide},
			Fill{"ratio": amount(ratio, "", 1), "other": prose.Say(c.person(narrow))})
	}
	return Judgement{}, false
}
