package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

var tooFewToSee = Check{
	Slug:   "too-few-to-see",
	Family: Analysis,
	Stage:  Plan,
	Short:  "too few runs to see it",
	Asks:   "Could this trial have seen the difference that you care about?",
	Needs:  []string{"measures.NAME.matters", "measures.NAME.spread", "cooks"},
	Finds: "The smallest difference that is seen with a power of {power} at 5 %, two-sided, from the noncentral t on the degrees of freedom of the cooks. " +
		"Above measures.NAME.matters it weakens where the interval of the primary difference holds 0, else it is a note.",
	Clears:    "The smallest difference that is seen is at most what matters.",
	Unjudged:  "What matters is not stated, or there is neither a second run at any set point nor a spread to plan with.",
	Why:       "Small trials see big effects only. Eight paired tasters see 1.15 standard deviations of their differences and no less.",
	Wording:   "With {runs} runs a set point this trial sees differences from {mdd} up; you asked for {matters}. Seeing nothing here means little.",
	Hedge:     "smaller differences could not be seen",
	Next:      "{needed} runs a set point would do.",
	Avoid:     "Ask size how many runs a set point needs, before you cook.",
	Fix:       "repeat-runs",
	Source:    "Power of the t test from the noncentral distribution; the sum of two quantiles gives nearly the same by hand.",
	Options:   []string{"power"},
	Describes: true,
	FiresOn:   "measures: {firmness: {scale: 0 to 10, matters: 1, spread: 0.8}}",
	ClearOn:   "measures: {firmness: {scale: 0 to 10, matters: 3, spread: 0.4}}",
	Judge:     judgeTooFew,
	Example: func() prose.Sentence {
		mdd, _ := smallestSeen(0.8*math.Sqrt(2.0/3), 4, 0.8)
		return prose.Say("Two set points, three runs each, runs that differ by 0.8 points (SD): differences from ", amount(mdd, "points", 1), " up are seen.")
	},
}

// smallestSeen is the difference that a two-sided t test at 5 % sees with a
// power, given the standard error of the difference and its degrees of freedom:
// se × √λ, where λ is the noncentrality of F(1, df).
func smallestSeen(se, df, power float64) (float64, bool) {
	if !(se > 0) || df < 1 {
		return 0, false
	}
	ncp, err := dist.FDetectable(power, 1, df, 0.05)
	return se * math.Sqrt(ncp), err == nil
}

// tooFewRuns says that chance cannot be judged: too few runs, or enough of them
// that do not differ at all once their sessions are taken out.
func (c *Case) tooFewRuns(runs int) Judgement {
	if runs >= 2 {
		return tooFew("runs at one set point that differ by chance", 0, 1)
	}
	return tooFew("runs at each set point", runs, 2)
}

func judgeTooFew(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	m, ok := primaryMeasure(c.Trial)
	if !ok {
		return notApplicable("nothing is measured")
	}
	power := c.set.number("power")
	se, df, runs, zero := c.errorOfDifference(m)
	mdd, seen := smallestSeen(se, df, power)
	if !seen {
		if !m.Spread.Known {
			j := c.tooFewRuns(runs)
			j.Missing = []Missing{{Field: "measures." + m.Name + ".spread"}}
			return j
		}
		return c.tooFewRuns(runs)
	}
	if !m.Matters.Known {
		j := cannot("measures." + m.Name + ".matters")
		j.Remark = prose.Say("Differences from ", amount(mdd, m.Unit.V, prose.DigitsFor(mdd/10)), " up can be seen.")
		return j
	}
	if mdd <= m.Matters.V {
		return clear()
	}
	digits := prose.DigitsFor(mdd / 10)
	unit := m.Unit.V
	if m.Kind == trial.ScaleScore {
		unit = "points"
	}
	j := Judgement{
		Outcome: Fires, Severity: Note, Statistic: "smallest difference that is seen", Value: quantity.Num(mdd), Threshold: quantity.Num(m.Matters.V),
		Where: Where{Measures: []string{m.Name}, Arms: c.Factor.Levels, At: m.At},
		Fill: Fill{"runs": count(runs), "mdd": amount(mdd, unit, max(1, digits-1)), "matters": amount(m.Matters.V, unit, decimals(m.Matters.V)),
			"needed": count(c.runsNeeded(se/math.Sqrt(2/float64(runs)), m.Matters.V, power))},
	}
	if zero {
		j.Severity = Weakens
	}
	return j
}

// primaryMeasure is the measure of the first aim, or the first.
func primaryMeasure(t *trial.Trial) (trial.Measure, bool) {
	if len(t.Aims) > 0 {
		if m, ok := t.MeasureNamed(t.Aims[0].Measure); ok {
			return m, true
		}
	}
	if len(t.Measures) > 0 {
		return t.Measures[0], true
	}
	return trial.Measure{}, false
}

// errorOfDifference is the standard error of the difference of two levels with
// the fewest runs, its degrees of freedom, those runs, and whether the interval
// of the leading difference holds 0. Without a fit the planned spread counts.
func (c *Case) errorOfDifference(m trial.Measure) (se, df float64, runs int, zero bool) {
	n := c.runsPerLevel()
	runs = n[0]
	total := 0
	for _, k := range n {
		runs, total = min(runs, k), total+k
	}
	if c.Fit != nil {
		if fit := c.Fit.Measures.Named(m.Name); fit != nil {
			if d := leadingOf(fit, c.Factor.Name); d != nil {
				s, ok := d.SE.Get()
				f, ok2 := d.DF.Get()
				if ok && ok2 && f >= 1 {
					return s, f, runs, !excludesZero(d)
				}
			}
		}
	}
	if !m.Spread.Known || runs == 0 {
		return 0, 0, runs, false
	}
	sessions := map[string]bool{}
	for i := range c.Trial.Cooks {
		sessions[c.Trial.Cooks[i].Session.V] = true
	}
	df = float64(total - c.Levels() - (len(sessions) - 1))
	return m.Spread.V * math.Sqrt(2/float64(runs)), df, runs, false
}

// leadingOf is the largest difference between two levels of a factor.
func leadingOf(m *texture.Measure, factor string) *texture.Difference {
	var best *texture.Difference
	size := -1.0
	for i := range m.Differences {
		d := &m.Differences[i]
		if e, ok := d.Estimate.Get(); ok && d.Term == factor && abs(e) > size {
			best, size = d, abs(e)
		}
	}
	return best
}

// runsNeeded is the fewest runs a level, up to 100, with which a difference is
// seen when runs differ by sd and nothing else takes degrees of freedom.
func (c *Case) runsNeeded(sd, matters, power float64) int {
	for r := 2; r < 100; r++ {
		if mdd, ok := smallestSeen(sd*math.Sqrt(2/float64(r)), float64(c.Levels()*(r-1)), power); ok && mdd <= matters {
			return r
		}
	}
	return 100
}
