package dist

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// TDesign is the layout of a comparison of means by a t test.
type TDesign int

const (
	// TwoSample: two groups of n each, equal variance, 2(n−1) df.
	TwoSample TDesign = iota
	// Paired: n differences, n−1 df; the sd is that of the differences. The
	// one-sample test is the same computation.
	Paired
)

// TPower is the chance that a t test at level alpha finds a difference of
// effect standard deviations with n units (real, so that n can be solved for)
// per group. One-sided tests look towards positive effects; two-sided ones
// count rejections on both sides. Errors: stats.ErrTooFew for no residual
// degrees of freedom, stats.ErrDomain, stats.ErrNonFinite, stats.ErrTooLarge.
func TPower(design TDesign, effect, n, alpha float64, twoSided bool) (float64, error) {
	if err := firstError(checkFinite("effect", effect), checkFinite("n", n), checkProbability("alpha", alpha)); err != nil {
		return 0, err
	}
	var df, ncp float64
	switch design {
	case TwoSample:
		df, ncp = 2*(n-1), effect*math.Sqrt(n/2)
	case Paired:
		df, ncp = n-1, effect*math.Sqrt(n)
	default:
		return 0, fmt.Errorf("%w: design %d", stats.ErrDomain, design)
	}
	if !(df > 0) {
		return 0, fmt.Errorf("%w: %v per group, more than 1 needed", stats.ErrTooFew, n)
	}
	if !twoSided {
		c, err := TQuantile(alpha, df)
		if err != nil {
			return 0, err
		}
		return NoncentralTUpper(-c, df, ncp)
	}
	c, err := TQuantile(alpha/2, df) // below 0
	if err != nil {
		return 0, err
	}
	upper, err := NoncentralTUpper(-c, df, ncp)
	if err != nil {
		return 0, err
	}
	lower, err := NoncentralTCDF(c, df, ncp)
	return upper + lower, err
}

// FPower is the chance that an F test with d1 and d2 degrees of freedom at level
// alpha rejects when the noncentrality is ncp.
func FPower(ncp, d1, d2, alpha float64) (float64, error) {
	c, err := FUpperQuantile(alpha, d1, d2)
	if err != nil {
		return 0, err
	}
	return NoncentralFUpper(c, d1, d2, ncp)
}

// AnovaPower is FPower for a one-way layout of groups × n units, given the
// variance of the group means (divisor groups − 1) and the variance within.
func AnovaPower(groups int, n, betweenVar, withinVar, alpha float64) (float64, error) {
	if err := firstError(checkFinite("n", n), checkFinite("between", betweenVar), checkFinite("within", withinVar)); err != nil {
		return 0, err
	}
	if groups < 2 || betweenVar < 0 || withinVar <= 0 {
		return 0, fmt.Errorf("%w: %d groups, variances %v and %v", stats.ErrDomain, groups, betweenVar, withinVar)
	}
	if !(n > 1) {
		return 0, fmt.Errorf("%w: %v per group, more than 1 needed", stats.ErrTooFew, n)
	}
	g := float64(groups)
	return FPower((g-1)*n*betweenVar/withinVar, g-1, g*(n-1), alpha)
}

// BlockPower is FPower for a complete block layout: blocks × one unit per
// treatment, treatment means effects, residual standard deviation sd.
func BlockPower(blocks float64, effects []float64, sd, alpha float64) (float64, error) {
	if err := firstError(stats.CheckSample("effects", effects), checkFinite("blocks", blocks), checkFinite("sd", sd)); err != nil {
		return 0, err
	}
	k := float64(len(effects))
	if k < 2 || !(blocks > 1) {
		return 0, fmt.Errorf("%w: %d treatments in %v blocks, at least 2 of each needed", stats.ErrTooFew, len(effects), blocks)
	}
	if sd <= 0 {
		return 0, fmt.Errorf("%w: sd = %v", stats.ErrDomain, sd)
	}
	mean := 0.0
	for _, e := range effects {
		mean += e / k
	}
	ss := 0.0
	for _, e := range effects {
		ss += (e - mean) * (e - mean)
	}
	return FPower(blocks*ss/(sd*sd), k-1, (blocks-1)*(k-1), alpha)
}

// SolveSize is the smallest real n in [low, high] at which an increasing power
// function reaches target. Errors: stats.ErrDomain when target is not reached
// within the bounds or is reached everywhere; whatever power returns.
func SolveSize(power func(n float64) (float64, error), target, low, high float64) (float64, error) {
	if err := firstError(checkProbability("target", target), checkFinite("low", low), checkFinite("high", high)); err != nil {
		return 0, err
	}
	if !(low < high) {
		return 0, fmt.Errorf("%w: bounds %v and %v", stats.ErrDomain, low, high)
	}
	var failed error
	g := func(n float64) float64 {
		p, err := power(n)
		if err != nil && failed == nil {
			failed = err
		}
		return p - target
	}
	gl, gh := g(low), g(high)
	switch {
	case failed != nil:
		return 0, failed
	case gl > 0:
		return 0, fmt.Errorf("%w: %v already reaches a power of %v", stats.ErrDomain, low, target)
	case gh < 0:
		return 0, fmt.Errorf("%w: %v does not reach a power of %v", stats.ErrDomain, high, target)
	}
	n := closeIn(g, low, high, gl, gh)
	return n, failed
}

func checkFinite(name string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return fmt.Errorf("%w: %s = %v", stats.ErrNonFinite, name, x)
	}
	return nil
}
