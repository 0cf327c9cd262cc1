package power

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// F is the chance that the F test of the arms at level alpha rejects when the
// means of the arms are effects and the standard deviation of a unit is sd:
// P(F(d1, d2; λ) > F_{1−α}(d1, d2)) with λ of Noncentrality. Errors: those of
// Noncentrality, stats.ErrTooFew without a residual degree of freedom,
// stats.ErrDomain for alpha outside (0, 1), stats.ErrTooLarge for λ above 1e6.
func (l *Layout) F(effects []float64, sd, alpha float64) (float64, error) {
	ncp, err := l.Noncentrality(effects, sd)
	if err != nil {
		return 0, err
	}
	d1, d2, err := l.needDF()
	if err != nil {
		return 0, err
	}
	return dist.FPower(ncp, d1, d2, alpha)
}

// VisibleF is the factor by which effects must be multiplied for the F test to
// have the given power: √(λ*/λ), with λ* the noncentrality that has it. Errors:
// as F; stats.ErrNoVariation for effects that are all equal; stats.ErrDomain for
// a power not above alpha.
func (l *Layout) VisibleF(effects []float64, sd, alpha, power float64) (float64, error) {
	ncp, err := l.Noncentrality(effects, sd)
	if err != nil {
		return 0, err
	}
	if ncp == 0 {
		return 0, fmt.Errorf("%w: the arms do not differ", stats.ErrNoVariation)
	}
	d1, d2, err := l.needDF()
	if err != nil {
		return 0, err
	}
	want, err := dist.FDetectable(power, d1, d2, alpha)
	if err != nil {
		return 0, err
	}
	return math.Sqrt(want / ncp), nil
}

// Pair is the chance that the t test of arm j against arm i, with the pooled
// error of the layout, finds a true difference: noncentrality difference /
// (sd·√PairVariance) on the layout's residual degrees of freedom. Two-sided, both
// rejection sides count; one-sided, the side is that of a positive difference.
// Errors: as F, and those of PairVariance.
func (l *Layout) Pair(i, j int, difference, sd, alpha float64, twoSided bool) (float64, error) {
	ncp, df, err := l.pair(i, j, difference, sd)
	if err != nil {
		return 0, err
	}
	return tPower(ncp, df, alpha, twoSided)
}

// VisiblePair is the true difference that Pair finds with the given power.
// Errors: as Pair; stats.ErrDomain for a power not above alpha.
func (l *Layout) VisiblePair(i, j int, sd, alpha, power float64, twoSided bool) (float64, error) {
	unit, df, err := l.pair(i, j, 1, sd)
	if err != nil {
		return 0, err
	}
	if twoSided {
		// T² is F on 1 and df degrees of freedom, with the noncentrality squared.
		ncp, err := dist.FDetectable(power, 1, df, alpha)
		if err != nil {
			return 0, err
		}
		return math.Sqrt(ncp) / unit, nil
	}
	if !(power > alpha && power < 1) {
		return 0, fmt.Errorf("%w: power %v at level %v, must lie between the level and 1", stats.ErrDomain, power, alpha)
	}
	at := func(ncp float64) (float64, error) { return tPower(ncp, df, alpha, false) }
	for high := 1.0; high < 1e4; high *= 2 { // doubling: far ends are slow to evaluate
		p, err := at(high)
		if err != nil {
			return 0, err
		}
		if p >= power {
			ncp, err := dist.SolveSize(at, power, 0, high)
			return ncp / unit, err
		}
	}
	return 0, fmt.Errorf("%w: a power of %v is not reached", stats.ErrDomain, power)
}

// HalfWidth is half the width of the interval of the difference of two arms at
// the given level: t·sd·√PairVariance. It is what the difference will be known
// to, given that sd. Errors: as Pair.
func (l *Layout) HalfWidth(i, j int, sd, level float64) (float64, error) {
	unit, df, err := l.pair(i, j, 1, sd)
	if err != nil {
		return 0, err
	}
	t, err := dist.TQuantile((1-level)/2, df) // below 0
	return -t / unit, err
}

// pair is the noncentrality of a difference and the degrees of freedom.
func (l *Layout) pair(i, j int, difference, sd float64) (ncp, df float64, err error) {
	if err := stats.CheckFinite("difference", []float64{difference}); err != nil {
		return 0, 0, err
	}
	if err := checkSD(sd); err != nil {
		return 0, 0, err
	}
	v, err := l.PairVariance(i, j)
	if err != nil {
		return 0, 0, err
	}
	_, df, err = l.needDF()
	return difference / (sd * math.Sqrt(v)), df, err
}

func (l *Layout) needDF() (above, below float64, err error) {
	a, b := l.DF()
	if b < 1 {
		return 0, 0, fmt.Errorf("%w: %d units for %d arms in %d blocks leave no degree of freedom", stats.ErrTooFew, l.units, l.arms, l.blocks)
	}
	return float64(a), float64(b), nil
}

func tPower(ncp, df, alpha float64, twoSided bool) (float64, error) {
	if twoSided {
		alpha /= 2
	}
	c, err := dist.TQuantile(alpha, df) // below 0
	if err != nil {
		return 0, err
	}
	upper, err := dist.NoncentralTUpper(-c, df, ncp)
	if err != nil || !twoSided {
		return upper, err
	}
	lower, err := dist.NoncentralTCDF(c, df, ncp)
	return min(1, upper+lower), err
}

// TwoShares is the power of the comparison of two independent shares p1 and p2,
// n answers in each group, by the normal approximation without continuity
// correction and counting the side of the true difference only:
//
//	Φ((√n·|p1 − p2| − z·√((p1 + p2)(1 − (p1 + p2)/2))) / √(p1(1 − p1) + p2(1 − p2)))
//
// with z the upper alpha/2 point (two-sided) or alpha point of the normal
// distribution (Fleiss, Levin & Paik 2003, Statistical Methods for Rates and
// Proportions, ch. 4, from memory). It is an approximation: below about 20 answers
// a group, or near shares of 0 and 1, it flatters. Errors: stats.ErrDomain for
// n below 1, shares outside (0, 1) and alpha outside (0, 1), stats.ErrNonFinite.
func TwoShares(n, p1, p2, alpha float64, twoSided bool) (float64, error) {
	if err := stats.CheckFinite("arguments", []float64{n, p1, p2, alpha}); err != nil {
		return 0, err
	}
	if !(n >= 1) || !(p1 > 0 && p1 < 1) || !(p2 > 0 && p2 < 1) {
		return 0, fmt.Errorf("%w: n = %v, shares %v and %v", stats.ErrDomain, n, p1, p2)
	}
	if twoSided {
		alpha /= 2
	}
	z, err := dist.NormalQuantile(alpha) // below 0
	if err != nil {
		return 0, err
	}
	sum := p1 + p2
	x := math.Sqrt(n)*math.Abs(p1-p2) + z*math.Sqrt(sum*(1-sum/2))
	return dist.NormalCDF(x / math.Sqrt(p1*(1-p1)+p2*(1-p2))), nil
}
