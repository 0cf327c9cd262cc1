package fairness

import (
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
)

var timeMovesWithSetPoint = Check{
	Slug:   "time-moves-with-set-point",
	Family: HeatFamily,
	Stage:  Plan,
	Kind:   Bundle,
	Short:  "the time",
	Asks:   "Did the hotter pieces also cook for a different time?",
	Needs:  []string{"cooks.time", "cooks.hold", "cooks.started", "cooks.out", "cooks.set_point"},
	Finds: "The mean times in the bath at each set point, or the holds where every cook states one. A range within {time-tol}, or a tenth of the median, " +
		"counts as none. Beyond, times that are the same within every set point to that tolerance block where the range is more than {time-small} of " +
		"the longest, and weaken below; times that vary within set points weaken where |r| or |ρ| with the set point is above {time-r}.",
	Clears:   "The times are alike, or vary within set points without following them.",
	Unjudged: "A cook gives neither time nor hold; or some give times, others holds, and the time to the core cannot be predicted.",
	Why:      "Time changes texture too. A published paper on fish compared 57 °C for 20 min with 63 °C for 80 min, and then praised the 63 °C.",
	Wording:  "The time changed with the {factor}: {pairs}. These results are about {factor} and time together, never about the {factor} alone.",
	Hedge:    "the time changed along with the {factor}",
	Next:     "Give every {factor} the same hold once the core has arrived, or cook each {factor} for the same two times.",
	Fix:      "same-time",
	Source:   "House rules. Being bound counts even where r is 0, as with 45, 90 and 45 min.",
	Options:  []string{"time-tol", "time-small", "time-r"},
	FiresOn:  "cooks: [{id: A, set_point: 46 °C, time: 90 min}, {id: B, set_point: 52 °C, time: 60 min}, {id: C, set_point: 58 °C, time: 30 min}]",
	ClearOn:  "cooks: [{id: A, set_point: 46 °C, hold: 20 min}, {id: B, set_point: 52 °C, hold: 20 min}, {id: C, set_point: 58 °C, hold: 22 min}]",

	EachFactor: true,
	Judge:      judgeTimeMoves,
	Example:    exampleTimeMoves,
}

// tolerated is the share of the median time within which times count as equal.
const tolerated = 0.10

func judgeTimeMoves(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	runs := c.runs()
	time, j := c.times(runs)
	if j != nil {
		return *j
	}
	groups := byLevel(c.Levels(), runs, time)
	_, high, size := ends(groups)
	tol := c.set.span("time-tol", tolerated, median(time))
	if size <= tol {
		return clear()
	}
	bound := true
	for _, g := range groups {
		bound = bound && spanOf(g) <= tol
	}
	level, x := make([]int, len(runs)), make([]float64, len(runs))
	for i, r := range runs {
		level[i], x[i] = r.Level, float64(r.Level)
		if c.Factor.Values != nil {
			x[i] = c.Factor.Values[r.Level]
		}
	}
	follows := &alias.Order{}
	if c.Factor.Values != nil || c.Levels() == 2 { // a category has no direction
		if f, err := alias.OrderFollows(nil, time, x); err == nil {
			follows = f
		}
	}
	share, small := size/meanValue(groups[high]), c.set.number("time-small")
	out := Judgement{
		Outcome: Fires, Severity: Weakens, Statistic: "range of the mean times, min", Value: quantity.Num(size), Threshold: quantity.Num(tol), Option: "time-tol",
		Where: c.whereLevels(allLevels(c)...),
		Fill:  Fill{"factor": c.factorWords(), "pairs": c.timesWords(groups)},
		Details: []Detail{
			{Name: "r", Value: quantity.Num(follows.R)}, {Name: "ρ", Value: quantity.Num(follows.Rho)},
			{Name: "range over the longest", Value: quantity.Num(share)},
		},
	}
	switch {
	case bound && share > small:
		out.Severity = Blocks
		out.Statistic, out.Value, out.Threshold, out.Option = "range of the mean times over the longest", quantity.Num(share), quantity.Num(small), "time-small"
	case bound:
	case follows.Most() > c.set.number("time-r"):
		out.Statistic, out.Value, out.Threshold, out.Option = "larger of |r| and |ρ| of time and set point", quantity.Num(follows.Most()), quantity.Num(c.set.number("time-r")), "time-r"
	default:
		return clear()
	}
	return out
}

// times are the times of runs in minutes: holds where every run states one, else
// times in the bath, for which a hold is added to the predicted time to the core.
func (c *Case) times(runs []bathRun) ([]float64, *Judgement) {
	out := make([]float64, len(runs))
	if !slices.ContainsFunc(runs, func(r bathRun) bool { return !c.Trial.Cooks[r.Cooks[0]].Hold.Known }) {
		for i, r := range runs {
			out[i] = c.Trial.Cooks[r.Cooks[0]].Hold.V.Minutes()
		}
		return out, nil
	}
	var lacks []Missing
	for i, r := range runs {
		k := &c.Trial.Cooks[r.Cooks[0]]
		if d, ok := k.BathTime(); ok {
			out[i] = d.Minutes()
			continue
		}
		if !k.Hold.Known {
			lacks = addMissing(lacks, "cooks.time", k.ID)
			continue
		}
		up := c.heat().Cooks[r.Cooks[0]].ComeUp()
		if !up.Known {
			lacks = addMissing(lacks, fieldOf(up.Why, "food.thickness"), k.ID)
			continue
		}
		out[i] = up.Mid + k.Hold.V.Minutes()
	}
	if len(lacks) > 0 {
		return nil, &Judgement{Outcome: CannotJudge, Missing: lacks}
	}
	return out, nil
}

// timesWords is "46 °C for 90 min, 52 °C for 60 min".
func (c *Case) timesWords(groups [][]float64) prose.Sentence {
	var items []prose.Sentence
	for l, g := range groups {
		if len(g) == 0 {
			continue
		}
		item := prose.Say(c.levelWords(l), " for ", minutes(math.Round(meanValue(g))))
		items = append(items, item)
	}
	return prose.And(items...)
}
