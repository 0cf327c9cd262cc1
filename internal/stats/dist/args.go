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

// maxBothDF bounds the smaller of two large parameters of a beta distribution
// (and the one of a gamma distribution): the number of terms near the mean grows
// with its square root. One large and one small parameter cost nothing.
const maxBothDF = 1e10

func checkBothDF(a, b float64) error {
	if math.Min(a, b) > maxBothDF && math.Max(a, b) <= hugeDF {
		return fmt.Errorf("%w: %v and %v degrees of freedom, one must be at most %v", stats.ErrTooLarge, a, b, float64(maxBothDF))
	}
	return nil
}

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
// maxBothDF its series are too long.
func checkFiniteDF(df float64) error {
	if err := checkDF("df", df); err != nil {
		return err
	}
	if math.IsInf(df, 1) {
		return fmt.Errorf("%w: df = %v", stats.ErrNonFinite, df)
	}
	if df > maxBothDF {
		return fmt.Errorf("%w: df = %v, at most %v", stats.ErrTooLarge, df, float64(maxBothDF))
	}
	return nil
}
