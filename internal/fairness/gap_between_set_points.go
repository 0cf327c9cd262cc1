package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

var gapBetweenSetPoints = Check{
	Slug:   "gap-between-set-points",
	Family: HeatFamily,
	Stage:  Plan,
	Short:  "a gap between set points",
	Asks:   "Was anything cooked where the answer seems to lie?",
	Needs:  []string{"cooks.set_point", "aim", "measures"},
	Finds: "Two neighbouring set points lie more than {gap-step} apart, and the mean of the deciding measure meets its aim at one of them and not at the other, or " +
		"passes over the whole target between them.",
	Clears:    "No step is larger than {gap-step}, or the aim is not crossed inside such a step.",
	Unjudged:  "A step is larger than {gap-step}, and the deciding measure has no value yet.",
	Why:       "Proteins set in steps. Between two set points that lie far apart the answer is drawn by a ruler, and the next degree may be the one at which it turns.",
	Wording:   "Between {low} and {high} nothing was cooked, and there the aim for {measure} is crossed. Where exactly is a guess.",
	Hedge:     "nothing was cooked between {low} and {high}",
	Next:      "{next}",
	Avoid:     "Cook a set point in the middle of the gap, if the verdict for it allows that.",
	Fix:       "fill-gap",
	Source:    "House rule.",
	Options:   []string{"gap-step"},
	FiresOn:   "aim: {measure: firmness, target: 4 to 6}\ncooks: [{id: A, set_point: 46 °C, session: s1}, {id: B, set_point: 58 °C, session: s1}]",
	ClearOn:   "aim: {measure: firmness, target: 4 to 6}\ncooks: [{id: A, set_point: 48 °C, session: s1}, {id: B, set_point: 54 °C, session: s1}]",
	Describes: true,
	Judge:     judgeGap,
	Example:   exampleGap,
}

func judgeGap(c *Case) Judgement {
	limit := c.set.kelvin("gap-step")
	wide := false
	for l := 1; l < c.Levels(); l++ {
		wide = wide || c.Factor.Values[l]-c.Factor.Values[l-1] > limit+1e-9
	}
	switch {
	case !c.Compares():
		return notApplicable("one set point is cooked")
	case !wide:
		return clear()
	case len(c.Trial.Aims) == 0 || c.Trial.Aims[0].Best.Known:
		return notApplicable("no aim names a range or a limit")
	}
	m, ok := c.primaryMeasure()
	if !ok {
		return notApplicable("nothing is measured")
	}
	y := c.measured(m)
	groups := make([][]float64, c.Levels())
	for i, l := range c.Factor.Cook {
		if v, known := y.of(i, -1); known && l >= 0 {
			groups[l] = append(groups[l], v)
		}
	}
	at, size, lacks := -1, 0.0, false
	for l := 1; l < c.Levels(); l++ {
		step := c.Factor.Values[l] - c.Factor.Values[l-1]
		switch {
		case step <= limit+1e-9:
		case len(groups[l]) == 0 || len(groups[l-1]) == 0:
			lacks = true
		case step > size && side(c.Trial.Aims[0], meanValue(groups[l-1])) != side(c.Trial.Aims[0], meanValue(groups[l])):
			at, size = l, step
		}
	}
	if at < 0 {
		if lacks {
			return cannot("panel.scores")
		}
		return clear()
	}
	low, high := c.Factor.Values[at-1], c.Factor.Values[at]
	j := Judgement{
		Outcome: Fires, Severity: Note, Statistic: "step between neighbouring set points, K", Value: quantity.Num(size), Threshold: quantity.Num(limit), Option: "gap-step",
		Where: c.whereLevels(at-1, at), Fill: Fill{"low": c.levelWords(at - 1), "high": c.levelWords(at), "measure": measureWords(m.Name), "next": c.between(low, high, at)},
	}
	j.Where.Measures = []string{m.Name}
	return j
}

// side is on which side of an aim a value lies: -1 below, 0 it is met, 1 above.
func side(a trial.Aim, v float64) int {
	switch {
	case a.Target.Known && v < a.Target.V.Low, a.AtLeast.Known && v < a.AtLeast.V:
		return -1
	case a.Target.Known && v > a.Target.V.High, a.AtMost.Known && v > a.AtMost.V:
		return 1
	}
	return 0
}

// between proposes the middle of a gap, if what the trial says of its times and
// its food allows that it is eaten. What cannot be judged is not proposed.
func (c *Case) between(low, high float64, level int) prose.Sentence {
	middle := math.Round(low+high) / 2 // to half a degree
	var cooks []int
	for i, l := range c.Factor.Cook {
		if l == level || l == level-1 {
			cooks = append(cooks, i)
		}
	}
	if v := safety.For(c.Trial, asRead(middle), cooks).Verdict; v == safety.DoNotEat || v == safety.NoVerdict {
		return prose.Say("No set point between them is proposed: with these times nobody can say that ", celsius(middle), " may be eaten.")
	}
	return prose.Say("Cook ", celsius(middle), " too.")
}
