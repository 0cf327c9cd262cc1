package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// checkShare returns ErrDomain unless p lies strictly between 0 and 1.
func checkShare(name string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%w: %s = %v, needed strictly between 0 and 1", stats.ErrDomain, name, p)
	}
	return nil
}

// largest is the size of value up to which squares and their sums stay finite.
const largest = 1e140

// checkValues returns ErrNonFinite as stats.CheckFinite, and ErrDomain for a value
// so large that its square would overflow.
func checkValues(name string, xs []float64) error {
	if err := stats.CheckFinite(name, xs); err != nil {
		return err
	}
	for i, x := range xs {
		if math.Abs(x) > largest {
			return fmt.Errorf("%w: %s[%d] = %v, at most %v in size", stats.ErrDomain, name, i, x, largest)
		}
	}
	return nil
}

// checkSample is checkValues with ErrEmpty for no values.
func checkSample(name string, xs []float64) error {
	if len(xs) == 0 {
		return fmt.Errorf("%w: %s", stats.ErrEmpty, name)
	}
	return checkValues(name, xs)
}

// ratio is the F test of two mean squares, absent without freedom or error.
func ratio(ms, df, errMS, errDF float64) Ratio {
	if df < 1 || errDF < 1 {
		return Ratio{Absent: NoFreedom}
	}
	if errMS == 0 {
		return Ratio{Absent: NoError}
	}
	f := ms / errMS
	p, err := dist.FUpper(f, df, errDF)
	if err != nil || math.IsInf(f, 0) || math.IsNaN(f) {
		return Ratio{Absent: NoError}
	}
	return Ratio{F: f, DF1: df, DF2: errDF, P: p}
}

// mean of a slice that is not empty, by a pilot value so that an offset costs no
// digits.
func mean(xs []float64) float64 {
	pilot, s := xs[0], 0.0
	for _, x := range xs {
		s += x - pilot
	}
	return pilot + s/float64(len(xs))
}

// sumSquares about the mean.
func sumSquares(xs []float64) float64 {
	m := mean(xs)
	s, c := 0.0, 0.0
	for _, x := range xs {
		d := x - m
		s += d * d
		c += d // what rounding left in the mean
	}
	return max(0, s-c*c/float64(len(xs)))
}

// covariance of the columns of a table with at least two rows.
func covariance(table [][]float64) [][]float64 {
	n, k := len(table), len(table[0])
	centred := make([][]float64, k)
	for j := range centred {
		col := make([]float64, n)
		for i := range table {
			col[i] = table[i][j]
		}
		m := mean(col)
		constant := true
		for i := range col {
			constant = constant && table[i][j] == table[0][j]
			col[i] -= m
		}
		if constant { // exactly 0, not a rounding
			clear(col)
		}
		centred[j] = col
	}
	cov := make([][]float64, k)
	for a := range cov {
		cov[a] = make([]float64, k)
		for b := range cov {
			s := 0.0
			for i := range n {
				s += centred[a][i] * centred[b][i]
			}
			cov[a][b] = s / float64(n-1)
		}
	}
	return cov
}

// line is the least-squares line of y on x and their correlation; a Number is
// absent when the spread that it divides by is 0.
func line(x, y []float64) (slope, r Number) {
	mx, my := mean(x), mean(y)
	var sxx, syy, sxy float64
	for i := range x {
		dx, dy := x[i]-mx, y[i]-my
		sxx += dx * dx
		syy += dy * dy
		sxy += dx * dy
	}
	// A spread below rounding of the values is no spread.
	scale := func(m float64) float64 { return 1e-26 * m * m * float64(len(x)) }
	if sxx <= scale(mx) {
		return none(NoSpread), none(NoSpread)
	}
	slope = some(sxy / sxx)
	if syy <= scale(my) {
		return slope, none(NoSpread)
	}
	return slope, some(max(-1, min(1, sxy/math.Sqrt(sxx)/math.Sqrt(syy))))
}
