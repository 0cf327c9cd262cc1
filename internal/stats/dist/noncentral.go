package dist

import "math"

// NoncentralFCDF is P(F ≤ f) for the noncentral F with d1, d2 degrees of freedom
// (d2 may be +Inf) and noncentrality ncp = Σ(effect²)/σ² from 0 to 1e6. Both
// tails are relatively accurate. Errors: stats.ErrNonFinite, stats.ErrDomain,
// stats.ErrTooLarge.
func NoncentralFCDF(f, d1, d2, ncp float64) (float64, error) {
	lower, _, err := noncentralFTails(f, d1, d2, ncp)
	return lower, err
}

// NoncentralFUpper is P(F > f): the power of an F test whose critical value is f.
func NoncentralFUpper(f, d1, d2, ncp float64) (float64, error) {
	_, upper, err := noncentralFTails(f, d1, d2, ncp)
	return upper, err
}

func noncentralFTails(f, d1, d2, ncp float64) (lower, upper float64, err error) {
	if err := firstError(checkNumber("f", f), checkFiniteDF(d1), checkDF("d2", d2), checkNonnegativeNCP(ncp)); err != nil {
		return 0, 0, err
	}
	switch {
	case f <= 0:
		return 0, 1, nil
	case math.IsInf(f, 1):
		return 1, 0, nil
	case d2 > hugeDF:
		lower, upper = noncentralChiTails(d1*f, d1, ncp)
		return lower, upper, nil
	}
	x, y := betaOdds(f, d1, d2)
	a, b := d1/2, d2/2
	lower, upper = poissonMixture(ncp/2,
		func(j float64) (float64, float64) { return betaTails(a+j, b, x, y) },
		// I_x(a, b) − I_x(a+1, b) = x^a y^b / (a B(a, b))
		func(j float64) float64 { return betaPrefix(a+j, b, x, y) / (a + j) })
	return lower, upper, nil
}

// NoncentralChiSquareCDF is P(X ≤ x) for the noncentral χ² with df degrees of
// freedom and noncentrality ncp ≥ 0 (the sum of the squared means).
func NoncentralChiSquareCDF(x, df, ncp float64) (float64, error) {
	if err := checkNoncentralChi(x, df, ncp); err != nil {
		return 0, err
	}
	lower, _ := noncentralChiTails(x, df, ncp)
	return lower, nil
}

// NoncentralChiSquareUpper is P(X > x).
func NoncentralChiSquareUpper(x, df, ncp float64) (float64, error) {
	if err := checkNoncentralChi(x, df, ncp); err != nil {
		return 0, err
	}
	_, upper := noncentralChiTails(x, df, ncp)
	return upper, nil
}

func checkNoncentralChi(x, df, ncp float64) error {
	return firstError(checkNumber("x", x), checkFiniteDF(df), checkNonnegativeNCP(ncp))
}

func noncentralChiTails(x, df, ncp float64) (lower, upper float64) {
	switch {
	case x <= 0:
		return 0, 1
	case math.IsInf(x, 1):
		return 1, 0
	}
	a := df / 2
	return poissonMixture(ncp/2,
		func(j float64) (float64, float64) { return gammaTails(a+j, x/2) },
		// P(a, x) − P(a+1, x) = x^a e^{−x} / Γ(a+1)
		func(j float64) float64 { return poissonTerm(a+j, x/2) })
}

// poissonMixture returns Σ_j pois(j; λ)·(lower(j), upper(j)), where lower falls
// with j by drop(j) = lower(j) − lower(j+1). The lower sum runs downwards and
// the upper sum upwards, each in the direction in which its tail grows by
// adding, so neither ever subtracts. Both tails are evaluated outright only
// once, at the far end of the Poisson weights. Beyond 12 standard deviations
// those weights are below 1e-20 of the rest, and so, the tails being monotone
// in j, are the neglected parts of the sums.
func poissonMixture(lambda float64, tails func(j float64) (lower, upper float64), drop func(j float64) float64) (lower, upper float64) {
	if lambda == 0 {
		return tails(0)
	}
	spread := 12*math.Sqrt(lambda) + 40
	top := math.Ceil(lambda + spread)
	bottom := math.Max(0, math.Floor(lambda-spread))

	l, _ := tails(top)
	for j := top; ; j-- {
		w := poissonTerm(j, lambda)
		lower += w * l
		if j == 0 || j < lambda && w < 1e-18*lower {
			break
		}
		l += drop(j - 1)
	}
	_, u := tails(bottom)
	for j := bottom; ; j++ {
		w := poissonTerm(j, lambda)
		upper += w * u
		// What remains is at most the Poisson tail, about w·λ/(j+1−λ).
		if j > lambda && w*(lambda+1) < 1e-17*upper*(j+1-lambda) || j > top+100000 {
			break
		}
		u += drop(j)
	}
	// Rounding makes the two sums miss 1 by 1e-14; the larger yields.
	if lower < upper {
		return lower, math.Min(upper, 1)
	}
	return math.Min(lower, 1), upper
}

// NoncentralTCDF is P(T ≤ t) for T = (Z + ncp)/√(χ²_df/df). df real, above 0 or
// +Inf; ncp of either sign, at most 1e4 in size. Both tails are relatively
// accurate. Errors: stats.ErrNonFinite, stats.ErrDomain, stats.ErrTooLarge.
func NoncentralTCDF(t, df, ncp float64) (float64, error) { return NoncentralTUpper(-t, df, -ncp) }

// NoncentralTUpper is P(T > t): the power of a one-sided t test with critical
// value t.
func NoncentralTUpper(t, df, ncp float64) (float64, error) {
	if err := firstError(checkNumber("t", t), checkDF("df", df), checkNoncentrality(ncp, maxNoncentralT)); err != nil {
		return 0, err
	}
	switch {
	case math.IsInf(t, 1):
		return 0, nil
	case math.IsInf(t, -1):
		return 1, nil
	case df > hugeDF:
		return NormalUpper(t - ncp), nil
	case t == 0:
		return NormalCDF(ncp), nil
	}
	upper := noncentralTTail(t, df, ncp)
	if upper > 0.5 { // take the small side, so that 1 − p does not drift
		return 1 - noncentralTTail(-t, df, -ncp), nil
	}
	return upper, nil
}

// noncentralTTail is E[Φ(δ − tS)] over S = √(χ²_ν/ν): every term positive, so
// the tail is accurate for every combination of signs, where the usual series
// subtract.
func noncentralTTail(t, nu, delta float64) float64 {
	// Peak of ν log s − νs²/2 − (ts−δ)²/2 when the normal tail matters (ts > δ).
	peak := 1.0
	if t > delta {
		b := t * delta
		disc := math.Sqrt(b*b + 4*nu*(nu+t*t))
		if b >= 0 {
			peak = (b + disc) / (2 * (nu + t*t))
		} else {
			peak = 2 * nu / (disc - b)
		}
	}
	// The normal tail turns from 0 to 1 around s = δ/t within 1/|δ| of log s.
	step := 0.3 / math.Max(2, math.Abs(delta))
	return math.Min(1, scaleMixture(func(s float64) float64 { return NormalCDF(delta - t*s) }, nu, peak, step))
}
