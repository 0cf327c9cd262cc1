package fairness

import (
	"math"
	"slices"
	"strconv"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

var looksCountedAsRuns = Check{
	Slug:   "looks-counted-as-runs",
	Family: Replication,
	Stage:  Scored,
	Short:  "looks counted as runs",
	Asks:   "Did several bites or tasters of the same cook get counted as if they were several cooks?",
	Needs:  []string{"panel.scores", "pieces", "analysis.unit", "conclusion"},
	Finds: "It blocks when the unit of an analysis done elsewhere is finer than what the set point was applied to, weakens when the conclusion " +
		"states an n above the number of runs, and is a note when the design effect 1 + (m−1)·ICC is above {deff}, with m looks a run. The ICC is " +
		"the variance between the runs of a set point over that and the variance within runs (by analysis of variance, 0 where that is negative); " +
		"with one run each, {icc} is assumed.",
	Clears:   "The unit is the cook, the conclusion states no larger n, and the design effect is at most {deff}.",
	Unjudged: "No set point has two runs, and no planning value for the ICC is given.",
	Why: "Repeated looks at one piece agree because it is one piece. They shrink the error of that piece and not of the set point. With 8 looks " +
		"that agree at 0.3, eight are worth 2.6.",
	Wording: "{m} looks at one run are worth about {effective} independent ones. The {factor}s have {runs} runs in all, and that is the number that counts.",
	Others: map[string]string{
		"unit":    "The analysis counted each {unit} for itself, but {factor}s were given to whole cooks. There are {runs} runs, and that is the number that counts.",
		"coarser": "The analysis counted each cook for itself, but the {factor} was given to a whole {unit}. There are {units}, and that is the number that counts: the error of the cooks is the wrong one here.",
		"n":       "“{quote}” counts looks. The {factor}s have {runs} runs in all, and that is the number that counts.",
	},
	Hedge:      "{runs} runs stand behind it, not every look",
	Next:       "Spend the effort on another bath run and not on more bites.",
	Fix:        "repeat-runs",
	Source:     "Design effect: Kish 1965, Survey Sampling (from memory). Pseudoreplication: Hurlbert 1984 (from memory). {deff} and {icc} are house rules.",
	Options:    []string{"deff", "icc"},
	FiresOn:    "analysis: {unit: piece}",
	ClearOn:    "analysis: {unit: cook}",
	EachFactor: true,
	Judge:      judgeLooks,
	Example:    exampleLooks,
}

// finerThanCook are the words for a unit below the cook.
var finerThanCook = []string{"piece", "score", "assessor"}

var (
	statedN = patternOf(`(?i)\bn\s*=\s*(\d{1,6})\b`)
	// countedLooks are counts of looks in words.
	countedLooks = patternOf(`(?i)\b(\d{1,6})\s+(samples|scores|bites|observations|readings|measurements|replicates)\b`)
)

func judgeLooks(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	runs := c.runs()
	base := Judgement{Outcome: Fires, Where: c.whereLevels(allLevels(c)...), Fill: Fill{
		"runs": count(len(runs)), "factor": c.factorWords(), "m": count(0), "effective": count(0), "unit": "", "units": "", "quote": "",
	}}
	if unit := c.Trial.Analysis.V; slices.Contains(finerThanCook, unit) {
		j := base
		j.Severity, j.Variant, j.Statistic, j.Value, j.Threshold = Blocks, "unit", "runs", quantity.Num(float64(len(runs))), quantity.Absent("the unit is "+unit)
		j.Fill["unit"] = unit
		j.Where.Fields, j.Where.At = []string{"analysis.unit"}, c.Trial.Analysis.At
		return j
	}
	if u := c.coarserUnit(); u != nil && c.Trial.Analysis.V == "cook" {
		j := base
		j.Severity, j.Variant, j.Statistic, j.Value, j.Threshold = Blocks, "coarser", u.Unit+"s", quantity.Num(float64(u.N)), quantity.Absent("the unit is the cook")
		j.Fill["unit"], j.Fill["units"] = u.Unit, prose.Plural(u.N, u.Unit)
		j.Where.Fields, j.Where.At = []string{"analysis.unit"}, c.Trial.Analysis.At
		return j
	}
	if quote, n := largestN(c.Trial.Conclusion.V); n > len(runs) {
		j := base
		j.Severity, j.Variant, j.Statistic, j.Value, j.Threshold = Weakens, "n", "n in the conclusion", quantity.Num(float64(n)), quantity.Num(float64(len(runs)))
		j.Fill["quote"] = quote
		j.Where.Quote, j.Where.At = quote, c.Trial.Conclusion.At
		return j
	}
	m, ok := c.primaryMeasure()
	if !ok {
		return notApplicable("nothing is measured")
	}
	looks := c.looksByRun(m.Name, runs)
	n, total := 0, 0
	for _, l := range looks {
		if len(l) > 0 {
			n, total = n+1, total+len(l)
		}
	}
	if n == 0 || total == n {
		return notApplicable("each run has one value")
	}
	size := float64(total) / float64(n)
	icc, estimated := agreement(runs, looks, c.Levels())
	if !estimated {
		if c.set.typed("icc") == "none" {
			return tooFew("runs at one "+c.factorWords(), 1, 2)
		}
		icc = c.set.number("icc")
	}
	effect, limit := 1+(size-1)*icc, c.set.number("deff")
	if effect <= limit {
		return clear()
	}
	j := base
	j.Severity, j.Statistic, j.Value, j.Threshold, j.Option = Note, "design effect 1 + (m−1)·ICC", quantity.Num(effect), quantity.Num(limit), "deff"
	j.Fill["m"], j.Fill["effective"] = amount(math.Round(size), "", 0), amount(size/effect, "", 1)
	j.Where.Measures = []string{m.Name}
	j.Details = []Detail{{Name: "ICC", Value: quantity.Num(icc), Words: map[bool]string{true: "estimated", false: "assumed"}[estimated]},
		{Name: "looks a run", Value: quantity.Num(size)}}
	return j
}

// coarserUnit is what the compared factor was applied to where that is more than a
// cook: a batch that is split over several cooks is one unit of its recipe.
func (c *Case) coarserUnit() *texture.Unit {
	if c.Fit == nil {
		return nil
	}
	for i := range c.Fit.Units {
		if u := &c.Fit.Units[i]; u.Factor == c.Factor.Name && (u.Unit == string(trial.ByBlock) || u.Unit == string(trial.BySession)) {
			return u
		}
	}
	return nil
}

// largestN is the largest number of units that a conclusion states.
func largestN(conclusion string) (quote string, n int) {
	for _, re := range []pattern{statedN, countedLooks} {
		for _, hit := range re().FindAllStringSubmatch(conclusion, -1) {
			if v, err := strconv.Atoi(hit[1]); err == nil && v > n {
				quote, n = hit[0], v
			}
		}
	}
	return quote, n
}

// looksByRun lists the values of a measure that each run has.
func (c *Case) looksByRun(measure string, runs []bathRun) [][]float64 {
	of := map[int]int{}
	for i, r := range runs {
		for _, k := range r.Cooks {
			of[k] = i
		}
	}
	out := make([][]float64, len(runs))
	m, _ := c.Trial.MeasureNamed(measure)
	for _, o := range c.Trial.Observe(m).Rows {
		if i, ok := of[o.Cook]; ok && !o.LeftOut {
			out[i] = append(out[i], o.Value)
		}
	}
	return out
}

// agreement is the intraclass correlation of looks at a run: the variance between
// the runs of a level over that plus the variance within runs, by the one-way
// analysis of variance nested in levels, which for equal numbers of looks is also
// the REML estimate. ok is false without two runs at some level and two looks at
// some run, or without any variation.
func agreement(runs []bathRun, looks [][]float64, levels int) (icc float64, ok bool) {
	mean := func(v []float64) (m float64) {
		for i, x := range v {
			m += (x - m) / float64(i+1)
		}
		return m
	}
	var within, between float64
	dfWithin, dfBetween := 0, 0
	k := 0.0 // Σ over levels of (N - Σn²/N): the weight of the variance between runs
	for l := range levels {
		var all []float64
		squares, n := 0.0, 0
		for i, r := range runs {
			if r.Level != l || len(looks[i]) == 0 {
				continue
			}
			all = append(all, looks[i]...)
			squares += float64(len(looks[i]) * len(looks[i]))
			n++
		}
		if n == 0 {
			continue
		}
		grand := mean(all)
		for i, r := range runs {
			if r.Level != l || len(looks[i]) == 0 {
				continue
			}
			own := mean(looks[i])
			between += float64(len(looks[i])) * (own - grand) * (own - grand)
			for _, x := range looks[i] {
				within += (x - own) * (x - own)
			}
			dfWithin += len(looks[i]) - 1
		}
		dfBetween += n - 1
		k += float64(len(all)) - squares/float64(len(all))
	}
	if dfWithin < 1 || dfBetween < 1 {
		return 0, false
	}
	w := within / float64(dfWithin)
	// E(SS between) = (runs - levels)·σ²within + k·σ²between.
	b := math.Max(0, (between-float64(dfBetween)*w)/k)
	if b+w == 0 {
		return 0, false
	}
	return b / (b + w), true
}
