package dist

import (
	"fmt"
	"math"
	"sync"

	"tamis/internal/stats"
)

// RangeUpper is P(Q > q) for the studentized range Q = (max − min)/S of k
// independent normal means and an independent standard deviation on df degrees
// of freedom: the p-value of Tukey's test for q = √2·|t|. k from 2 to 1000,
// df real and above 0 or +Inf. The relative error is about 1e-12 down to tails
// of 1e-290. Errors: stats.ErrDomain, stats.ErrNonFinite, stats.ErrTooLarge.
func RangeUpper(q float64, k int, df float64) (float64, error) {
	if err := checkRange(q, k, df); err != nil {
		return 0, err
	}
	return rangeUpper(q, k, df), nil
}

// RangeCDF is P(Q ≤ q). It is 1 − RangeUpper except in the lower tail, which is
// integrated for itself.
func RangeCDF(q float64, k int, df float64) (float64, error) {
	if err := checkRange(q, k, df); err != nil {
		return 0, err
	}
	upper := rangeUpper(q, k, df)
	if upper < 0.9 || q <= 0 {
		return 1 - upper, nil
	}
	return scaleMixture(func(s float64) float64 { return rangeLowerNormal(q*s, k) }, df, 1, tailStep(k)), nil
}

// RangeQuantile is the q with P(Q ≤ q) = p.
func RangeQuantile(p float64, k int, df float64) (float64, error) {
	if err := checkProbability("p", p); err != nil {
		return 0, err
	}
	return RangeUpperQuantile(1-p, k, df)
}

// RangeUpperQuantile is the q with P(Q > q) = upper: Tukey's critical value at
// the level upper (divide by √2 to compare with |t|).
func RangeUpperQuantile(upper float64, k int, df float64) (float64, error) {
	if err := firstError(checkProbability("upper", upper), checkRange(0, k, df)); err != nil {
		return 0, err
	}
	if k == 2 { // |T|√2, exactly
		t, err := absTUpperQuantile(upper, df)
		return t * math.Sqrt2, err
	}
	// Bonferroni over the k(k−1)/2 pairs starts the search from above.
	pairs := float64(k*(k-1)) / 2
	t, err := absTUpperQuantile(math.Min(upper/pairs, 0.5), df)
	if err != nil {
		return 0, err
	}
	return tailQuantile(func(q float64) float64 { return rangeUpper(q, k, df) }, upper, false, t*math.Sqrt2)
}

// absTUpperQuantile is the t with P(|T| > t) = upper.
func absTUpperQuantile(upper, df float64) (float64, error) {
	if math.IsInf(df, 1) {
		if upper > 0.5 {
			z, err := NormalQuantile(0.5 + (1-upper)/2)
			return z, err
		}
		return normalUpperQuantile(upper / 2), nil
	}
	f, err := FUpperQuantile(upper, 1, df)
	return math.Sqrt(f), err
}

func checkRange(q float64, k int, df float64) error {
	if err := firstError(checkNumber("q", q), checkDF("df", df)); err != nil {
		return err
	}
	if k < 2 {
		return fmt.Errorf("%w: k = %d, a range needs at least 2 means", stats.ErrDomain, k)
	}
	if k > maxRangeMeans {
		return fmt.Errorf("%w: k = %d means, at most %d", stats.ErrTooLarge, k, maxRangeMeans)
	}
	return nil
}

const maxRangeMeans = 1000

// rangeUpper is RangeUpper for checked arguments.
func rangeUpper(q float64, k int, df float64) float64 {
	switch {
	case q <= 0:
		return 1
	case math.IsInf(q, 1):
		return 0
	case k == 2: // the range of two is √2·|T|
		return tTwoSidedOK(q/math.Sqrt2, df)
	}
	return rangeUpperGeneral(q, k, df, rangeTable(k))
}

func rangeUpperGeneral(q float64, k int, df float64, table *tailTable) float64 {
	p := scaleMixture(func(s float64) float64 { return table.at(q * s) }, df, tailPeak(q*q/2, 9.0/2, df), tailStep(k))
	return math.Min(p, 1)
}

// tailPeak guesses where S^ν e^{−νS²/2} times a tail falling as e^{−κS²/2} is
// largest: S² = ν/(ν + κ). Where the tail is still near 1 (κ below free) there
// is no pull.
func tailPeak(kappa, free, df float64) float64 {
	if kappa <= free || math.IsInf(df, 1) {
		return 1
	}
	return math.Sqrt(df / (df + kappa - free))
}

// tailStep is the step in log S that resolves the tail of the range of k values.
// Their range has a coefficient of variation between 0.76 (k = 2) and 0.08
// (k = 1000), for which 0.9/(1 + 1.55 log k) is a lower fit; that is the width,
// in log S, over which the tail goes from 1 to 0.
func tailStep(k int) float64 { return 0.4 / (1 + 1.55*math.Log(float64(k))) }

var rangeTables sync.Map // k → *tailTable

// rangeTable is the table of P(range of k standard normals > x), made once.
func rangeTable(k int) *tailTable {
	if t, ok := rangeTables.Load(k); ok {
		return t.(*tailTable)
	}
	t, _ := rangeTables.LoadOrStore(k, newTailTable(newMaxGrid(k).upper))
	return t.(*tailTable)
}

// maxGridNodes holds what does not depend on q in
//
//	P(range > x) = k ∫ φ(z) [Φ(z)^m − (Φ(z) − Φ(z−x))^m] dz,  m = k − 1,
//
// z being the largest of the k values. In terms of r = Φ(z−x)/Φ(z) the bracket
// is Φ(z)^m [1 − (1−r)^m], which is positive and free of cancellation.
type maxGridNodes struct {
	m      int
	h, z0  float64
	weight []float64 // k φ(z) Φ(z)^m h
	inv    []float64 // 1/(2Φ(z)): turns erfc into r
}

// newMaxGrid lays equally spaced nodes. The largest of k normal values is
// narrower than one (its standard deviation falls roughly as 1/√(2 log k)), so
// the step shrinks with k.
func newMaxGrid(k int) *maxGridNodes {
	return newMaxGridStep(k, 0.4/(1+0.34*math.Log(float64(k))))
}

func newMaxGridStep(k int, h float64) *maxGridNodes {
	m := k - 1
	const low, high = -8.7, 36 // φ(36) still holds the tail of x = 53, near 1e-300
	g := &maxGridNodes{m: m, h: h, z0: low}
	for i := 0; low+float64(i)*h <= high; i++ {
		z := low + float64(i)*h
		cdf := NormalCDF(z)
		g.weight = append(g.weight, float64(k)*NormalPDF(z)*math.Exp(float64(m)*math.Log(cdf))*h)
		g.inv = append(g.inv, 0.5/cdf)
	}
	return g
}

// upper is P(range of k standard normals > x).
func (g *maxGridNodes) upper(x float64) float64 {
	if x <= 0 {
		return 1
	}
	// Start where the integrand is near its peak: at x/2 for far tails (the
	// product φ(z)φ(z−x)), at the mode of the maximum for near ones.
	start := int((math.Max(x/2, 1) - g.z0) / g.h)
	if start >= len(g.weight) {
		return 0
	}
	sum := 0.0
	for i := start; i < len(g.weight); i++ {
		term := g.term(i, x)
		sum += term
		// Weights fall from here on once z has passed x/2 and the mode; one
		// node beyond the point where a weight alone is negligible is enough.
		if g.weight[i]*float64(g.m) < 1e-17*sum && i > start+2 || term == 0 && g.weight[i] == 0 {
			break
		}
		if term < 1e-18*sum && float64(i-start)*g.h > 4 {
			break
		}
	}
	for i := start - 1; i >= 0; i-- {
		term := g.term(i, x)
		sum += term
		if term < 1e-18*sum {
			break
		}
	}
	return math.Min(sum, 1)
}

func (g *maxGridNodes) term(i int, x float64) float64 {
	z := g.z0 + float64(i)*g.h
	r := math.Erfc((x-z)/math.Sqrt2) * g.inv[i]
	return g.weight[i] * anyOf(r, g.m)
}

// anyOf is 1 − (1−r)^m, the chance that at least one of m independent events of
// probability r happens, by repeated doubling e(a+b) = e(a) + e(b)(1 − e(a)):
// all terms are positive, so tiny r keep their digits.
func anyOf(r float64, m int) float64 {
	e := 0.0
	for {
		if m&1 == 1 {
			e += r * (1 - e)
		}
		if m >>= 1; m == 0 {
			return e
		}
		r += r * (1 - r)
	}
}

// rangeLowerNormal is P(range of k standard normals ≤ x) =
// k ∫ φ(z) [Φ(z) − Φ(z−x)]^{k−1} dz, for small x.
func rangeLowerNormal(x float64, k int) float64 {
	const h = 0.2
	sum := 0.0
	for z := -9.0; z <= 9+x && z < 45; z += h {
		var d float64 // Φ(z) − Φ(z−x), from the side where both are small
		if z > x/2 {
			d = NormalUpper(z-x) - NormalUpper(z)
		} else {
			d = NormalCDF(z) - NormalCDF(z-x)
		}
		sum += NormalPDF(z) * math.Exp(float64(k-1)*math.Log(d))
	}
	return math.Min(sum*float64(k)*h, 1)
}
