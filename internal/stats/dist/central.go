package dist

import "math"

// FCDF is P(F ≤ f) for an F variable with d1 and d2 degrees of freedom (either
// may be +Inf). Errors: stats.ErrNonFinite, stats.ErrDomain, and stats.ErrTooLarge
// when both are finite and above 1e10.
func FCDF(f, d1, d2 float64) (float64, error) {
	lower, _, err := fTails(f, d1, d2)
	return lower, err
}

// FUpper is P(F > f), the p-value of an F test, relatively accurate down to the
// smallest numbers.
func FUpper(f, d1, d2 float64) (float64, error) {
	_, upper, err := fTails(f, d1, d2)
	return upper, err
}

func fTails(f, d1, d2 float64) (lower, upper float64, err error) {
	if err := firstError(checkNumber("f", f), checkDF("d1", d1), checkDF("d2", d2), checkBothDF(d1, d2)); err != nil {
		return 0, 0, err
	}
	lower, upper = fTailsOK(f, d1, d2)
	return lower, upper, nil
}

// fTailsOK is fTails for arguments already checked.
func fTailsOK(f, d1, d2 float64) (lower, upper float64) {
	switch {
	case f <= 0:
		return 0, 1
	case math.IsInf(f, 1):
		return 1, 0
	case d1 > hugeDF && d2 > hugeDF: // both variances known: F is 1
		if f < 1 {
			return 0, 1
		}
		return 1, 0
	case d2 > hugeDF: // d1·F is χ² on d1
		return gammaTails(d1/2, d1*f/2)
	case d1 > hugeDF: // d2/F is χ² on d2
		upper, lower = gammaTails(d2/2, d2/(2*f))
		return lower, upper
	}
	x, y := betaOdds(f, d1, d2)
	return betaTails(d1/2, d2/2, x, y)
}

// hugeDF is where the limiting distribution takes over: the two differ by
// about 1e-15 relative there unless the tail is beyond 1e-20.
const hugeDF = 1e16

// betaOdds returns x = d1 f/(d1 f + d2) and 1 − x, formed from the ratio so
// that neither overflows and neither is a difference.
func betaOdds(f, d1, d2 float64) (x, y float64) {
	r := f * (d1 / d2)
	if r > 1 {
		i := 1 / r
		return 1 / (1 + i), i / (1 + i)
	}
	return r / (1 + r), 1 / (1 + r)
}

// FQuantile is the f with P(F ≤ f) = p. FUpperQuantile takes the upper tail,
// which is what a critical value at a small level needs.
func FQuantile(p, d1, d2 float64) (float64, error) { return fQuantile(p, d1, d2, true) }

// FUpperQuantile is the f with P(F > f) = upper.
func FUpperQuantile(upper, d1, d2 float64) (float64, error) { return fQuantile(upper, d1, d2, false) }

func fQuantile(p, d1, d2 float64, lowerTail bool) (float64, error) {
	if err := firstError(checkProbability("p", p), checkDF("d1", d1), checkDF("d2", d2), checkBothDF(d1, d2)); err != nil {
		return 0, err
	}
	if d1 > hugeDF && d2 > hugeDF {
		return 1, nil
	}
	if p > 0.5 { // always solve for the smaller tail
		p, lowerTail = 1-p, !lowerTail
	}
	return tailQuantile(func(f float64) float64 {
		lower, upper := fTailsOK(f, d1, d2)
		if lowerTail {
			return lower
		}
		return upper
	}, p, lowerTail, 1)
}

// TCDF is P(T ≤ t) for Student's t on df degrees of freedom (real, above 0;
// +Inf is the normal). Errors: stats.ErrNonFinite, stats.ErrDomain.
func TCDF(t, df float64) (float64, error) { return TUpper(-t, df) }

// TUpper is P(T > t).
func TUpper(t, df float64) (float64, error) {
	if err := firstError(checkNumber("t", t), checkDF("df", df)); err != nil {
		return 0, err
	}
	two := tTwoSidedOK(t, df)
	if t < 0 {
		return 1 - two/2, nil
	}
	return two / 2, nil
}

// TTwoSided is P(|T| > |t|), the usual two-sided p-value.
func TTwoSided(t, df float64) (float64, error) {
	if err := firstError(checkNumber("t", t), checkDF("df", df)); err != nil {
		return 0, err
	}
	return tTwoSidedOK(t, df), nil
}

func tTwoSidedOK(t, df float64) float64 {
	t = math.Abs(t)
	switch {
	case math.IsInf(t, 1):
		return 0
	case df > hugeDF:
		return math.Erfc(t / math.Sqrt2)
	}
	// T² is F on (1, df): with x = t²/(t²+df) the tail is the upper side of
	// I_x(½, df/2). Forming the ratio as a square of t/√df avoids overflow.
	r := t / math.Sqrt(df)
	var x, y float64
	if r > 1 {
		i := 1 / r
		y = i * i / (1 + i*i)
		x = 1 / (1 + i*i)
	} else {
		x = r * r / (1 + r*r)
		y = 1 / (1 + r*r)
	}
	if y < 1e-280 && r > 1 {
		// t² has left the range of float64 while the tail, about r^−df, has
		// not: the first term of the fraction in logarithms is exact here.
		a := df / 2
		pre := stirlingError(a+0.5) - stirlingError(a) - stirlingError(0.5)
		pre += 0.5*math.Log(a*0.5/(a+0.5)) - halfLogTwoPi
		pre += (a+0.5)*math.Log(a+0.5) - a*math.Log(a) - 0.5*math.Log(0.5)
		return math.Exp(pre - df*math.Log(r) - math.Log(a))
	}
	_, upper := betaTails(0.5, df/2, x, y)
	return upper
}

// TQuantile is the t with P(T ≤ t) = p. For the critical value of a two-sided
// test at level α use -TQuantile(α/2, df).
func TQuantile(p, df float64) (float64, error) {
	if err := firstError(checkProbability("p", p), checkDF("df", df)); err != nil {
		return 0, err
	}
	if df > hugeDF {
		return NormalQuantile(p)
	}
	if p == 0.5 {
		return 0, nil
	}
	tail, sign := p, -1.0
	if p > 0.5 {
		tail, sign = 1-p, 1
	}
	if tail > 0.25 { // near the middle solve for the central area instead
		central := 1 - 2*tail
		t, err := tailQuantile(func(t float64) float64 {
			r := t / math.Sqrt(df)
			lower, _ := betaTails(0.5, df/2, r*r/(1+r*r), 1/(1+r*r))
			return lower
		}, central, true, 0.5)
		return sign * t, err
	}
	t, err := tailQuantile(func(t float64) float64 { return tTwoSidedOK(t, df) }, 2*tail, false, 1)
	return sign * t, err
}

// ChiSquareCDF is P(X ≤ x) for χ² on df degrees of freedom (real, above 0,
// at most 1e10). Errors: stats.ErrNonFinite, stats.ErrDomain, stats.ErrTooLarge.
func ChiSquareCDF(x, df float64) (float64, error) {
	lower, _, err := chiTails(x, df)
	return lower, err
}

// ChiSquareUpper is P(X > x).
func ChiSquareUpper(x, df float64) (float64, error) {
	_, upper, err := chiTails(x, df)
	return upper, err
}

func chiTails(x, df float64) (lower, upper float64, err error) {
	if err := firstError(checkNumber("x", x), checkFiniteDF(df)); err != nil {
		return 0, 0, err
	}
	lower, upper = gammaTails(df/2, x/2)
	return lower, upper, nil
}

// ChiSquareQuantile is the x with P(X ≤ x) = p.
func ChiSquareQuantile(p, df float64) (float64, error) { return chiQuantile(p, df, true) }

// ChiSquareUpperQuantile is the x with P(X > x) = upper.
func ChiSquareUpperQuantile(upper, df float64) (float64, error) {
	return chiQuantile(upper, df, false)
}

func chiQuantile(p, df float64, lowerTail bool) (float64, error) {
	if err := firstError(checkProbability("p", p), checkFiniteDF(df)); err != nil {
		return 0, err
	}
	if p > 0.5 {
		p, lowerTail = 1-p, !lowerTail
	}
	return tailQuantile(func(x float64) float64 {
		lower, upper := gammaTails(df/2, x/2)
		if lowerTail {
			return lower
		}
		return upper
	}, p, lowerTail, df)
}
