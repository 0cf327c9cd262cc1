package dist

import (
	"fmt"

	"tamis/internal/stats"
)

// FDetectable is the noncentrality at which an F test with d1 and d2 degrees of
// freedom at level alpha has the given power: the smallest true departure that
// will be seen that often. Errors: stats.ErrDomain when power is not above
// alpha, or not reached below a noncentrality of 1e6; stats.ErrNonFinite.
func FDetectable(power, d1, d2, alpha float64) (float64, error) {
	if err := firstError(checkProbability("power", power), checkProbability("alpha", alpha)); err != nil {
		return 0, err
	}
	c, err := FUpperQuantile(alpha, d1, d2)
	if err != nil {
		return 0, err
	}
	return detectable(func(ncp float64) (float64, error) { return NoncentralFUpper(c, d1, d2, ncp) },
		power, alpha, maxNoncentral)
}

// TDetectable is the effect, in standard deviations, that the t test of TPower
// with n units per group sees with the given power. Errors as for TPower, and
// stats.ErrDomain as for FDetectable.
func TDetectable(design TDesign, power, n, alpha float64, twoSided bool) (float64, error) {
	if err := checkProbability("power", power); err != nil {
		return 0, err
	}
	if _, err := TPower(design, 0, n, alpha, twoSided); err != nil {
		return 0, err
	}
	// The noncentrality is the effect times at most √n.
	most := 0.9 * maxNoncentralT
	if n > 1 {
		most /= n
	}
	return detectable(func(effect float64) (float64, error) { return TPower(design, effect, n, alpha, twoSided) },
		power, alpha, most)
}

// detectable solves an increasing power function that starts at alpha. The upper
// end is found by doubling, because the far ends are slow to evaluate.
func detectable(power func(x float64) (float64, error), target, alpha, most float64) (float64, error) {
	if target <= alpha {
		return 0, fmt.Errorf("%w: a power of %v is had for nothing at level %v", stats.ErrDomain, target, alpha)
	}
	for high := 1.0; ; high *= 2 {
		high = min(high, most)
		p, err := power(high)
		if err != nil {
			return 0, err
		}
		if p >= target {
			return SolveSize(power, target, 0, high)
		}
		if high == most {
			return 0, fmt.Errorf("%w: a power of %v is not reached", stats.ErrDomain, target)
		}
	}
}
