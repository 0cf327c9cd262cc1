package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// Intraclass is one intraclass correlation with its interval and the F test of 0.
type Intraclass struct {
	Value    float64
	Interval stats.Interval
	F        Ratio
}

// ICCResult holds the six forms of Shrout & Fleiss 1979, Psychol. Bull. 86:420.
type ICCResult struct {
	Targets, Raters int
	// Mean squares: between targets, between raters, error (targets × raters),
	// within targets.
	TargetMS, RaterMS, ErrorMS, WithinMS float64
	// Single ratings: each target by other raters (ICC11), raters random (ICC21,
	// absolute agreement), raters fixed (ICC31, consistency); and means of all
	// raters of a target (ICC1k, ICC2k, ICC3k).
	ICC11, ICC21, ICC31, ICC1k, ICC2k, ICC3k Intraclass
	Warnings                                 []stats.Warning
}

// meanSquares of a complete targets × raters table.
type meanSquares struct {
	n, k                         float64
	targets, raters, err, within float64
}

// checkTable wants a rectangle of finite numbers with at least minRows × 2.
func checkTable(table [][]float64, minRows int) error {
	if len(table) == 0 || len(table[0]) == 0 {
		return fmt.Errorf("%w: the table is empty", stats.ErrEmpty)
	}
	for i, row := range table {
		if err := stats.CheckLengths("row 0", len(table[0]), fmt.Sprintf("row %d", i), len(row)); err != nil {
			return err
		}
		if err := checkValues(fmt.Sprintf("row %d", i), row); err != nil {
			return err
		}
	}
	if len(table) < minRows || len(table[0]) < 2 {
		return fmt.Errorf("%w: %d rows and %d columns, %d and 2 needed", stats.ErrTooFew, len(table), len(table[0]), minRows)
	}
	return nil
}

// twoWay computes the mean squares from residuals about means, not from sums of
// squares, so that a large offset costs no digits.
func twoWay(table [][]float64) meanSquares {
	n, k := len(table), len(table[0])
	row, col := make([]float64, n), make([]float64, k)
	// A pilot value first: means of values near 1e12 lose digits otherwise.
	pilot := table[0][0]
	grand := 0.0
	for i, r := range table {
		for j, x := range r {
			d := x - pilot
			row[i] += d / float64(k)
			col[j] += d / float64(n)
			grand += d / float64(n*k)
		}
	}
	var ssr, ssc, sse, ssw float64
	for i, r := range table {
		ssr += (row[i] - grand) * (row[i] - grand)
		for j, x := range r {
			d := x - pilot
			e := d - row[i] - (col[j] - grand)
			sse += e * e
			ssw += (d - row[i]) * (d - row[i])
		}
	}
	for _, c := range col {
		ssc += (c - grand) * (c - grand)
	}
	fn, fk := float64(n), float64(k)
	ms := meanSquares{n: fn, k: fk}
	ms.targets = fk * ssr / (fn - 1)
	ms.raters = fn * ssc / (fk - 1)
	ms.err = sse / ((fn - 1) * (fk - 1))
	ms.within = ssw / (fn * (fk - 1))
	// What is left of rounding counts as 0: relative to the total variation.
	floor := 1e-24 * (fk*ssr + ssw)
	if sse <= floor {
		ms.err = 0
	}
	if ssw <= floor {
		ms.within = 0
	}
	if fk*ssr <= floor {
		ms.targets = 0
	}
	return ms
}

// ICC computes the six intraclass correlations of a complete table of n targets
// (rows, at least 2) by k raters (columns, at least 2), with intervals at level
// and the F tests of their source. Estimates and interval ends may be negative:
// that says that raters agree less than by chance. Errors: ErrEmpty, ErrLengths,
// ErrNonFinite, ErrTooFew, ErrDomain (level), ErrNoVariation when all values are
// equal or the targets do not differ at all in a table without error.
func ICC(table [][]float64, level float64) (ICCResult, error) {
	if err := checkTable(table, 2); err != nil {
		return ICCResult{}, err
	}
	if err := checkShare("level", level); err != nil {
		return ICCResult{}, err
	}
	ms := twoWay(table)
	if ms.targets == 0 && ms.err == 0 {
		return ICCResult{}, fmt.Errorf("%w: the targets do not differ at all", stats.ErrNoVariation)
	}
	n, k := ms.n, ms.k
	res := ICCResult{
		Targets: len(table), Raters: len(table[0]),
		TargetMS: ms.targets, RaterMS: ms.raters, ErrorMS: ms.err, WithinMS: ms.within,
	}
	b, j, e, w := ms.targets, ms.raters, ms.err, ms.within
	half := (1 - level) / 2

	// One way: F = BMS/WMS on n−1 and n(k−1).
	res.ICC11.Value = (b - w) / (b + (k-1)*w)
	f1 := ratio(b, n-1, w, n*(k-1))
	// Two way: F = BMS/EMS on n−1 and (n−1)(k−1).
	res.ICC31.Value = (b - e) / (b + (k-1)*e)
	f3 := ratio(b, n-1, e, (n-1)*(k-1))
	if den := b + (k-1)*e + k*(j-e)/n; den > 0 {
		res.ICC21.Value = (b - e) / den
	} else {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "form-21-undefined",
			Text: "Neither targets nor raters differ in their means, so form 2,1 has no value; 0 stands in its place.",
		})
	}

	res.ICC11.F, res.ICC1k.F = f1, f1
	res.ICC21.F, res.ICC2k.F, res.ICC31.F, res.ICC3k.F = f3, f3, f3, f3
	// The mean of k ratings. A target mean square of 0 makes the one- and three-
	// forms unbounded below; they are then reported absent through a warning.
	if b == 0 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "targets-equal",
			Text: "The targets have equal means, so the correlations of mean ratings (forms 1,k and 3,k) have no value; 0 stands in their place.",
		})
	} else {
		res.ICC1k.Value = (b - w) / b
		res.ICC3k.Value = (b - e) / b
	}
	if den := b + (j-e)/n; den > 0 {
		res.ICC2k.Value = (b - e) / den
	} else {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "form-2k-undefined",
			Text: "The raters differ less than their error explains and the targets hardly at all: form 2,k has no value; 0 stands in its place.",
		})
	}
	var err error
	if res.ICC11.Interval, res.ICC1k.Interval, err = fIntervals(f1, b, k, half, level); err != nil {
		return ICCResult{}, err
	}
	if res.ICC31.Interval, res.ICC3k.Interval, err = fIntervals(f3, b, k, half, level); err != nil {
		return ICCResult{}, err
	}
	res.ICC21.Interval = satterthwaiteInterval(ms, res.ICC21.Value, half, level)
	res.ICC2k.Interval = stepUp(res.ICC21.Interval, k)
	return res, nil
}

// fIntervals: with F the observed ratio, the ends of (FL − 1)/(FL + k − 1) and
// 1 − 1/FL, where FL = F/F(1−half; df1, df2) and FU = F·F(1−half; df2, df1).
func fIntervals(f Ratio, b, k, half, level float64) (single, mean stats.Interval, err error) {
	single, mean = stats.Interval{Level: level}, stats.Interval{Level: level}
	switch {
	case !f.OK(): // no error at all: perfect, and nothing to put in doubt
		single.Low, single.High, mean.Low, mean.High = 1, 1, 1, 1
		return single, mean, nil
	case b == 0:
		single.Low, single.High = -1/(k-1), -1/(k-1)
		mean.LowOpen, mean.HighOpen = true, true
		return single, mean, nil
	}
	lowQ, err := dist.FUpperQuantile(half, f.DF1, f.DF2)
	if err != nil {
		return single, mean, err
	}
	highQ, err := dist.FUpperQuantile(half, f.DF2, f.DF1)
	if err != nil {
		return single, mean, err
	}
	fl, fu := f.F/lowQ, f.F*highQ
	single.Low, single.High = (fl-1)/(fl+k-1), (fu-1)/(fu+k-1)
	mean.Low, mean.High = 1-1/fl, 1-1/fu
	return single, mean, nil
}

// satterthwaiteInterval of ICC(2,1): the rater and error mean squares are pooled
// with Satterthwaite's degrees of freedom v (Shrout & Fleiss 1979, appendix).
func satterthwaiteInterval(ms meanSquares, icc, half, level float64) stats.Interval {
	n, k, j, e := ms.n, ms.k, ms.raters, ms.err
	iv := stats.Interval{Level: level}
	if e == 0 && j == 0 {
		iv.Low, iv.High = 1, 1
		return iv
	}
	if e == 0 {
		// Only raters differ: F of raters against error is infinite, v = k − 1.
		return satterthwaiteEnds(ms, k-1, half, level)
	}
	f := j / e
	a := k * icc * f
	c := n*(1+(k-1)*icc) - k*icc
	v := (k - 1) * (n - 1) * (a + c) * (a + c) / ((n-1)*a*a + c*c)
	return satterthwaiteEnds(ms, v, half, level)
}

func satterthwaiteEnds(ms meanSquares, v, half, level float64) stats.Interval {
	n, k, b, j, e := ms.n, ms.k, ms.targets, ms.raters, ms.err
	iv := stats.Interval{Level: level}
	if !(v >= 1e-2) { // a combination without any freedom left says nothing
		iv.LowOpen, iv.HighOpen = true, true
		return iv
	}
	up, errUp := dist.FUpperQuantile(half, n-1, v)
	down, errDown := dist.FUpperQuantile(half, v, n-1)
	pooled := k*j + (k*n-k-n)*e
	low := n * (b - up*e) / (up*pooled + n*b)
	high := n * (down*b - e) / (pooled + n*down*b)
	// Almost no freedom gives quantiles beyond all numbers: the end is open.
	if errUp != nil || math.IsNaN(low) || math.IsInf(low, 0) {
		iv.LowOpen = true
	} else {
		iv.Low = low
	}
	if errDown != nil || math.IsNaN(high) || math.IsInf(high, 0) {
		iv.HighOpen = true
	} else {
		iv.High = high
	}
	return iv
}

// stepUp is Spearman–Brown: the interval for the mean of k ratings.
func stepUp(iv stats.Interval, k float64) stats.Interval {
	up := func(r float64) (float64, bool) {
		den := 1 + (k-1)*r
		if den <= 0 {
			return 0, false
		}
		return k * r / den, true
	}
	out := iv
	if v, ok := up(iv.Low); ok && !iv.LowOpen {
		out.Low = v
	} else {
		out.Low, out.LowOpen = 0, true
	}
	if v, ok := up(iv.High); ok && !iv.HighOpen {
		out.High = v
	} else {
		out.High, out.HighOpen = 0, true
	}
	return out
}
