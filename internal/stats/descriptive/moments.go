package descriptive

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Moments are the size, mean and spread of one sample. Variance has the divisor
// N − 1; SS is the sum of squares about the mean. With one value Variance, SD
// and SE are 0 and HasSpread is false.
type Moments struct {
	N         int
	Mean      float64
	SS        float64
	Variance  float64
	SD        float64
	SE        float64 // SD/√N: the error of the mean if the values are independent
	HasSpread bool
}

// Describe computes the moments of at least one value by the corrected two-pass
// algorithm (Chan, Golub & LeVeque 1983, American Statistician 37:242) with
// compensated sums. Errors: stats.ErrEmpty, stats.ErrNonFinite, stats.ErrDomain
// when a square leaves the range of float64.
func Describe(x []float64) (Moments, error) {
	if err := stats.CheckSample("x", x); err != nil {
		return Moments{}, err
	}
	mean, ss := meanAndSS(x)
	m := Moments{N: len(x), Mean: mean, SS: ss}
	if math.IsInf(ss, 0) {
		return Moments{}, fmt.Errorf("%w: the squared deviations overflow", stats.ErrDomain)
	}
	if n := float64(len(x)); n > 1 {
		m.HasSpread = true
		m.Variance = ss / (n - 1)
		m.SD = math.Sqrt(m.Variance)
		m.SE = m.SD / math.Sqrt(n)
	}
	return m, nil
}

// Mean is the arithmetic mean. It does not overflow while the values themselves
// do not. Errors: stats.ErrEmpty, stats.ErrNonFinite.
func Mean(x []float64) (float64, error) {
	if err := stats.CheckSample("x", x); err != nil {
		return 0, err
	}
	mean, _ := meanAndSS(x)
	return mean, nil
}

// Variance has the divisor n − 1 and needs two values (stats.ErrTooFew).
func Variance(x []float64) (float64, error) {
	m, err := Describe(x)
	if err != nil {
		return 0, err
	}
	if !m.HasSpread {
		return 0, fmt.Errorf("%w: one value, a variance needs 2", stats.ErrTooFew)
	}
	return m.Variance, nil
}

// SD is the square root of Variance.
func SD(x []float64) (float64, error) {
	v, err := Variance(x)
	return math.Sqrt(v), err
}

// meanAndSS returns the mean and the sum of squared deviations.
func meanAndSS(x []float64) (mean, ss float64) {
	n := float64(len(x))
	// Huge values are halved often enough that their sum exists; powers of two
	// cost no digits.
	scale := 1.0
	for _, v := range x {
		for math.Abs(v)*scale > math.MaxFloat64/(4*n) {
			scale /= 2
		}
	}
	var s sum
	for _, v := range x {
		s.add(v * scale)
	}
	mean = s.value() / n / scale
	// d = x − mean is exact to half a unit of d when x is near the mean, which
	// is just when the subtraction cancels. The mean itself was rounded, by e,
	// say; Σd then is −n·e, and Σd² is too large by (Σd)²/n.
	var sd, sdd sum
	for _, v := range x {
		d := v - mean
		sd.add(d)
		sdd.add(d * d)
	}
	rest := sd.value()
	ss = sdd.value() - rest*rest/n
	if math.IsInf(sdd.value(), 0) || math.IsNaN(ss) {
		return mean, math.Inf(1)
	}
	return mean, math.Max(0, ss)
}

// sum adds with a running compensation (Neumaier 1974, ZAMM 54:39): the result
// is as if added in twice the precision and rounded once.
type sum struct{ s, c float64 }

func (a *sum) add(v float64) {
	t := a.s + v
	if math.Abs(a.s) >= math.Abs(v) {
		a.c += (a.s - t) + v
	} else {
		a.c += (v - t) + a.s
	}
	a.s = t
}

func (a *sum) value() float64 { return a.s + a.c }
