package fairness

import (
	"math"

	"tamis/internal/heat"
	"tamis/internal/quantity"
)

var bathOffSetPoint = Check{
	Slug:   "bath-off-set-point",
	Family: HeatFamily,
	Stage:  Plan,
	Short:  "the water's real temperature",
	Asks:   "Did the water really stand at the number on the label?",
	Needs:  []string{"cooks.log", "baths.reads", "cooks.set_point"},
	Finds: "From the first return of the bath after the drop until the food came out, corrected by the error of its thermometer: it weakens where the mean of " +
		"a log is more than {bath-off} from the set point, where the log swings by more than {bath-sd} (SD), or where a step between neighbouring set points " +
		"differs from the plan by more than {step-error}. It blocks where two set points changed places, or their step was less than half of the plan. " +
		"Without a log the error of the thermometer is held against {bath-off}.",
	Clears:   "Logs, or at least checked thermometers, are within these limits.",
	Unjudged: "A cook has neither a bath in its log nor a bath whose thermometer was checked.",
	Why:      "A step of 2 °C between two baths that are each half a degree off is anything from 1 to 3 °C.",
	Wording:  "The water in {cook} stood at {actual}, not at {set_point}.",
	Others: map[string]string{
		"swing": "The water in {cook} swung by {swing} (standard deviation). Its set point is a range and no number.",
		"step":  "Between {low} and {high} the water differed by {real_step}, not by {planned_step}. That is the step that was tasted.",
		"order": "The water for {low} was no colder than that for {high}. What was tasted is not what the labels say.",
	},
	Hedge:   "the baths did not all stand at their set points",
	Next:    "Read every bath against one reference thermometer before the trial, write its error down, and log the run.",
	Fix:     "check-baths",
	Source:  "House rules.",
	Options: []string{"bath-off", "bath-sd", "step-error"},
	FiresOn: "baths: {n: {reads: 0.6 °C low}, s: {reads: 0.0 °C high}}\ncooks: [{id: A, set_point: 50 °C, bath: n, log: none}, {id: B, set_point: 52 °C, bath: s, log: none}]",
	ClearOn: "baths: {n: {reads: 0.1 °C low}, s: {reads: 0.0 °C high}}\ncooks: [{id: A, set_point: 50 °C, bath: n, log: none}, {id: B, set_point: 52 °C, bath: s, log: none}]",
	Judge:   judgeBathOff,
	Example: exampleBathOff,
}

// lostStep is the share of the planned step below which a step counts as lost.
const lostStep = 0.5

func judgeBathOff(c *Case) Judgement {
	off, sd, stepError := c.set.kelvin("bath-off"), c.set.kelvin("bath-sd"), c.set.number("step-error")
	real := make([][]float64, c.Levels())
	complete := make([]bool, c.Levels())
	for l := range complete {
		complete[l] = true
	}
	var lacks []string
	n, unlogged := 0, 0
	worst := Judgement{}
	var cooks, baths []string
	h := c.heat()
	for i := range c.Trial.Cooks {
		k := &c.Trial.Cooks[i]
		level := c.Factor.Cook[i]
		if level < 0 || !k.SetPoint.Known {
			continue
		}
		n++
		at, logged, known := c.bathAt(i)
		if !known {
			lacks, complete[level] = append(lacks, k.ID), false
			continue
		}
		if !logged {
			unlogged++
		}
		real[level] = append(real[level], at)
		set := k.SetPoint.V.Celsius()
		fill := func() Fill {
			return Fill{"cook": k.ID, "actual": celsius(math.Round(10*at) / 10), "set_point": celsius(set)}
		}
		// What is typed to a tenth is equal to a limit in tenths but for rounding.
		gone := math.Abs(at-set) > off+1e-9
		swing, swings := 0.0, false
		if log := h.Cooks[i].Log; log != nil {
			v, ok := log.BathSD.Get()
			if !ok && !log.BathMean.Known() { // it never settled, and all of it counts
				v, ok = bathSpread(log.Bath)
			}
			if ok && v > sd+1e-9 {
				swing, swings = v, true
			}
		}
		if gone || swings {
			cooks = append(cooks, k.ID)
			if id, ok := c.Trial.BathOf(k); ok {
				baths = append(baths, id)
			}
		}
		switch {
		case gone && (worst.Variant != "" || math.Abs(at-set) > worst.Value.Or(0)):
			worst = Judgement{Severity: Weakens, Statistic: "distance of the bath from its set point, K", Value: quantity.Num(math.Abs(at - set)),
				Threshold: quantity.Num(off), Option: "bath-off", Fill: fill()}
		case swings && worst.Severity == None:
			said := fill()
			said["swing"] = kelvins(swing)
			worst = Judgement{Severity: Weakens, Variant: "swing", Statistic: "SD of the bath, K", Value: quantity.Num(swing), Threshold: quantity.Num(sd), Option: "bath-sd", Fill: said}
		}
	}
	if j, ok := c.stepsOff(real, complete, stepError); ok && j.Severity >= worst.Severity && (j.Severity == Blocks || worst.Severity == None) {
		worst = j
	}
	if worst.Severity == None {
		switch {
		case n == 0:
			return notApplicable("no cook has a set point")
		case len(lacks) > 0:
			return Judgement{Outcome: CannotJudge, Missing: []Missing{{"baths.reads", lacks}, {"cooks.log", lacks}}}
		case unlogged > 0:
			return clearBut("Thermometers were checked, but not every run was logged.")
		}
		return clear()
	}
	worst.Outcome = Fires
	arms := worst.Where.Arms
	if len(cooks) == 0 {
		cooks = worst.Where.Cooks
	}
	worst.Where = Where{Cooks: cooks, Arms: arms, Baths: compacted(baths), At: c.cookPlace(cooks)}
	return worst
}

// stepsOff judges the steps between neighbouring set points of which every cook's
// water is known.
func (c *Case) stepsOff(real [][]float64, complete []bool, limit float64) (Judgement, bool) {
	worst := Judgement{}
	for l := 1; l < c.Levels() && c.Factor.Values != nil; l++ {
		if !complete[l] || !complete[l-1] || len(real[l]) == 0 || len(real[l-1]) == 0 {
			continue
		}
		planned, step := c.Factor.Values[l]-c.Factor.Values[l-1], meanValue(real[l])-meanValue(real[l-1])
		wrong := math.Abs(step-planned) / planned
		if wrong <= limit+1e-9 || wrong <= worst.Value.Or(0) {
			continue
		}
		worst = Judgement{
			Severity: Weakens, Variant: "step", Statistic: "error of a step between set points, share of the plan", Value: quantity.Num(wrong),
			Threshold: quantity.Num(limit), Option: "step-error", Where: c.whereLevels(l-1, l),
			Fill: Fill{"low": c.levelWords(l - 1), "high": c.levelWords(l), "real_step": kelvins(step), "planned_step": kelvins(planned)},
		}
		switch {
		case step <= 0:
			worst.Severity, worst.Variant = Blocks, "order"
		case step < lostStep*planned:
			worst.Severity = Blocks
		}
	}
	return worst, worst.Severity > None
}

// compacted drops repeated names and keeps the order.
func compacted(names []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, n := range names {
		if !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	return out
}

// bathSpread is the standard deviation of the lines of a log, K.
func bathSpread(lines []heat.LogLine) (sd float64, ok bool) {
	if len(lines) < 2 {
		return 0, false
	}
	mean, ss := 0.0, 0.0
	for i, l := range lines {
		d := l.Celsius - mean
		mean += d / float64(i+1)
		ss += d * (l.Celsius - mean)
	}
	return math.Sqrt(ss / float64(len(lines)-1)), true
}
