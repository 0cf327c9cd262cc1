package fairness

import (
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var holdSpread = Check{
	Slug:   "hold-spread",
	Family: HeatFamily,
	Stage:  Plan,
	Short:  "the time after the core was there",
	Asks:   "Once the core was there, did all pieces stay there equally long?",
	Needs:  []string{"cooks.hold", "cooks.time", "cooks.started", "cooks.out", "cooks.log", "pieces.thickness", "food.thickness"},
	Finds: "The hold of a run is as stated, or the time in the bath less the arrival of the core: by the log, else as predicted for the slowest piece, " +
		"and never below 0. A range above {hold-tol}, or a tenth of the median, is a note: it blurs. It weakens where the mean holds of set points lie as " +
		"far apart and chance would hardly do it, or twice as far, for then it leans to one side.",
	Clears:   "The holds are alike, to that tolerance.",
	Unjudged: "The arrival of a core is not known: no log, and no thickness to predict it from.",
	Why:      "Texture goes on changing while a piece waits in the water, and faster where the water is hotter.",
	Wording:  "Once the core was there, pieces stayed on for anything from {min} to {max}. Some of the difference in {measure} may be that wait, not the {factor}.",
	Hedge:    "the pieces were not all at temperature equally long",
	Next:     "Time each start from when its core will be there, so that all come out after the same hold, and write down when each came out.",
	Fix:      "same-time",
	Source: "House rule. Scatter that does not lean to a set point makes the result less sharp and not wrong; many fair trials have some, because " +
		"pieces differ in thickness.",
	Options:    []string{"hold-tol"},
	FiresOn:    "cooks: [{id: A, set_point: 60 °C, hold: 20 min}, {id: B, set_point: 60 °C, hold: 34 min}, {id: C, set_point: 66 °C, hold: 20 min}, {id: D, set_point: 66 °C, hold: 33 min}]",
	ClearOn:    "cooks: [{id: A, set_point: 60 °C, hold: 20 min}, {id: B, set_point: 66 °C, hold: 23 min}]",
	EachFactor: true,
	Judge:      judgeHoldSpread,
	Example:    exampleHoldSpread,
}

// surelyLeans is how many tolerances the mean holds must lie apart to weaken
// whatever chance could do, and in any case where an arrival is predicted and not
// logged. Pieces cut to a gauge differ by two parts in a hundred, and the cores of
// thick ones then arrive ten minutes apart: of fair trials with one time for all,
// one in ten lay more than one tolerance apart by the prediction alone, and none
// more than two; of those with logs one in eighty did, and hardly any beyond what
// the scatter of the runs allows.
const surelyLeans = 2

func judgeHoldSpread(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	if c.timesOnPurpose() {
		return notApplicable("every " + c.factorWords() + " was cooked for the same several times, on purpose")
	}
	runs := c.runs()
	hold := make([]float64, len(runs))
	var lacks []Missing
	predicted := false
	for i, r := range runs {
		k, h := &c.Trial.Cooks[r.Cooks[0]], &c.heat().Cooks[r.Cooks[0]]
		switch {
		case k.Hold.Known:
			hold[i] = k.Hold.V.Minutes()
		case h.Hold().Known:
			hold[i] = math.Max(0, h.Hold().Mid)
			predicted = predicted || len(k.Log) == 0
		default:
			lacks = addMissing(lacks, fieldOf(h.Hold().Why, "food.thickness"), k.ID)
		}
	}
	if len(lacks) > 0 {
		return Judgement{Outcome: CannotJudge, Missing: lacks}
	}
	if len(runs) < 2 {
		return tooFew("runs", len(runs), 2)
	}
	tol := c.set.span("hold-tol", tolerated, median(hold))
	size := spanOf(hold)
	if size <= tol {
		return clear()
	}
	groups := byLevel(c.Levels(), runs, hold)
	low, high, between := ends(groups)
	p, leans := hardlyByChance(groups)
	measure := "what was measured"
	if m, ok := c.primaryMeasure(); ok {
		measure = m.Name
	}
	shortest, longest := minutesBetween(slices.Min(hold), slices.Max(hold), -1)
	j := Judgement{
		Outcome: Fires, Severity: Note, Statistic: "range of the holds, min", Value: quantity.Num(size), Threshold: quantity.Num(tol), Option: "hold-tol",
		Where:   c.whereLevels(allLevels(c)...),
		Fill:    Fill{"min": shortest, "max": longest, "measure": measureWords(measure), "factor": c.factorWords()},
		Details: []Detail{{Name: "range of the mean holds", Value: quantity.Num(between), Unit: "min"}, {Name: "p of the range of the means", Value: quantity.Num(p)}},
	}
	if between > surelyLeans*tol || !predicted && between > tol && leans {
		j.Severity = Weakens
		var marks []mark
		for i, r := range runs {
			marks = append(marks, mark{r.Cooks[0], -1, r.Level, hold[i]})
		}
		j.Cost = c.costOf(marks, gap{size: between, low: low, high: high}, prose.Say("the time at temperature"))
	}
	return j
}

// timesOnPurpose reports whether every level was cooked for the same two or more
// times or holds: the time is then a factor of its own. Times that differ by less
// than counts as a difference are one time, read off a clock.
func (c *Case) timesOnPurpose() bool {
	if d := c.Trial.Design; d.Known && (len(d.V.Times) > 1 || len(d.V.Holds) > 1) {
		return true
	}
	sets := make([][]float64, c.Levels())
	for _, r := range c.runs() {
		k := &c.Trial.Cooks[r.Cooks[0]]
		v := k.Hold.V.Minutes()
		if !k.Hold.Known {
			d, ok := k.BathTime()
			if !ok || !k.Time.Known { // times from the clock are not on purpose
				return false
			}
			v = d.Minutes()
		}
		if !slices.Contains(sets[r.Level], v) {
			sets[r.Level] = append(sets[r.Level], v)
		}
	}
	for _, s := range sets {
		slices.Sort(s)
		if len(s) < 2 || !slices.Equal(s, sets[0]) {
			return false
		}
	}
	if len(sets) == 0 {
		return false
	}
	tol := c.set.span("time-tol", tolerated, median(sets[0]))
	for i, v := range sets[0][1:] {
		if v-sets[0][i] <= tol {
			return false
		}
	}
	return true
}
