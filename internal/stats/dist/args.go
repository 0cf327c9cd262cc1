package dist

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// checkNumber refuses NaN and lets infinities pass: a tail at ±∞ has an answer.
func checkNumber(name string, x float64) error {
	if math.IsNaN(x) {
		return fmt.Errorf("%w: %s = NaN", stats.ErrNonFinite, name)
	}
	return nil
}

// checkDF refuses NaN, zero and negative degrees of freedom; +Inf is fine.
func checkDF(name string, df float64) error {
	if math.IsNaN(df) {
		return fmt.Errorf("%w: %s = NaN", stats.ErrNonFinite, name)
	}
	if df < minDF {
		return fmt.Errorf("%w: %s = %v, must be above 0", stats.ErrDomain, name, df)
	}
	return nil
}

// minDF is the smallest number of degrees of freedom with an answer. Below it
// the quantiles leave the range of float64 and no design produces it.
const minDF = 1e-3

// checkProbability refuses everything outside the open interval (0, 1). The
// ends have no finite quantile, and callers that mean "never" should say so.
func checkProbability(name string, p float64) error {
	if math.IsNaN(p) {
		return fmt.Errorf("%w: %s = NaN", stats.ErrNonFinite, name)
	}
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%w: %s = %v, must lie between 0 and 1", stats.ErrDomain, name, p)
	}
	return nil
}

// checkNoncentrality refuses NaN and infinite noncentralities and sizes whose
// sums would take too long.
func checkNoncentrality(ncp, most float64) error {
	if math.IsNaN(ncp) || math.IsInf(ncp, 0) {
		return fmt.Errorf("%w: noncentrality = %v", stats.ErrNonFinite, ncp)
	}
	if math.Abs(ncp) > most {
		return fmt.Errorf("%w: noncentrality = %v, at most %v", stats.ErrTooLarge, ncp, most)
	}
	return nil
}

// checkNonnegativeNCP is the rule for F and χ².
func checkNonnegativeNCP(ncp float64) error {
	if ncp < 0 {
		return fmt.Errorf("%w: noncentrality = %v, must not be negative", stats.ErrDomain, ncp)
	}
	return checkNoncentrality(ncp, maxNoncentral)
}

const (
	maxNoncentral  = 1e6 // F and χ²
	maxNoncentralT = 1e4 // t, on the scale of a standardised difference
)

// firstError returns the first error that is not nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// checkFiniteDF is checkDF for χ², which has no limit at infinite df. Above
// 1e12 its series are too long.
func checkFiniteDF(df float64) error {
	if err := checkDF("df", df); err != nil {
		return err
	}
	if math.IsInf(df, 1) {
		return fmt.Errorf("%w: df = %v", stats.ErrNonFinite, df)
	}
	if df > 1e12 {
		return fmt.Errorf("%w: df = %v, at most 1e12", stats.ErrTooLarge, df)
	}
	return nil
}
