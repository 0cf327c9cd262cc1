package texture

import (
	"math"

	"tamis/internal/trial"
)

// description is the mean of a trial in which nothing was varied, as one arm:
// its term is the set point where every cook has the same one, else "all". The
// spread is that between cooks where there are two or more (sessions and blocks
// are not removed: the interval is about another such cook), else that of the
// pieces of the one cook, else that of the tasters, and covers says which.
func (tb *table) description(level float64) Arm {
	arm := Arm{Arm: "all", Term: "all", SetPoint: absent("not every cook has this set point"), Obs: len(tb.rows)}
	cooks := tb.groups[string(trial.ByCook)]
	arm.N = len(cooks.Levels)
	if at := tb.t.ArmsOf(tb.rows); len(at) == 1 {
		arm.Arm, arm.Term, arm.SetPoint = at[0].Label(), trial.SetPointFactor, num(at[0].SetPoint.Celsius())
	}
	for _, v := range tb.y {
		arm.RawMean += v / float64(len(tb.y))
	}
	unit, what := cooks, string(trial.ByCook)
	if len(cooks.Levels) < 2 {
		unit, what = tb.groups[string(trial.ByPiece)], string(trial.ByPiece)
		if !usable(unit) {
			unit, what = tb.groups[byAssessor], "taster"
		}
		if !usable(unit) {
			unit, what = cooks, string(trial.ByCook)
		}
	}
	y := cellMeans(tb.y, unit.Code, len(unit.Levels))
	if what != "taster" {
		y, _, _ = tb.unitMeans(unit, nil)
	}
	m := mean(y)
	arm.Mean, arm.Covers = num(m), plural(what)
	if what != string(trial.ByCook) {
		arm.Covers = plural(what) + " only"
	}
	n := float64(len(y))
	if n < 2 {
		arm.DF = absent("nothing was repeated")
		arm.noSpread("nothing was repeated, so there is no spread to see")
		return arm
	}
	var ss float64
	for _, v := range y {
		ss += (v - m) * (v - m)
	}
	arm.DF = num(n - 1)
	if onlyRounding(ss, y) {
		arm.noSpread("every " + what + " has the same value")
		return arm
	}
	// The standard error of a mean, from its own sample.
	se := math.Sqrt(ss / (n - 1) / n)
	arm.SE = num(se)
	q, err := tQuantile(level, n-1)
	if err != nil {
		arm.Low, arm.High = absent(plain(err)), absent(plain(err))
		return arm
	}
	arm.Low, arm.High = num(m-q*se), num(m+q*se)
	return arm
}
