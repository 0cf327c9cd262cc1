package linear

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Shape is the shape of a Fieller confidence set.
type Shape int

const (
	// Bounded: an ordinary interval.
	Bounded Shape = iota
	// Outside: everything except the open interval Gap. The denominator is too
	// uncertain to exclude either direction.
	Outside
	// HalfLine: one end open (the denominator lies exactly on its limit).
	HalfLine
	// Everything: the data exclude no value.
	Everything
)

// Fieller is the confidence set of a ratio. Interval has open ends where the set
// is unbounded; for Outside both are open and Gap holds the excluded values
// between its ends. G is (critical value × SE/denominator)²: above 1 the set is
// unbounded. HasEstimate is false when the denominator is 0.
type Fieller struct {
	Estimate    float64
	HasEstimate bool
	Shape       Shape
	Interval    stats.Interval
	Gap         stats.Interval
	G           float64
}

// Contains reports whether the set holds x.
func (r Fieller) Contains(x float64) bool {
	if r.Shape == Outside {
		return x <= r.Gap.Low || x >= r.Gap.High
	}
	return r.Interval.Contains(x)
}

// Ratio is the confidence set of a/b by Fieller's theorem (Fieller 1954, JRSS B
// 16:175) for normal estimates a and b with variances vaa and vbb, covariance
// vab, on df degrees of freedom. Errors: stats.ErrNonFinite, stats.ErrDomain for a
// level outside (0, 1), df not above 0 or variances that are no covariance
// matrix, stats.ErrNoVariation when b and its variance are both 0.
func Ratio(a, b, vaa, vab, vbb, df, level float64) (Fieller, error) {
	if err := stats.CheckFinite("ratio", []float64{a, b, vaa, vab, vbb, df}); err != nil {
		return Fieller{}, err
	}
	if vaa < 0 || vbb < 0 || vab*vab > vaa*vbb*(1+1e-9) {
		return Fieller{}, fmt.Errorf("%w: %v, %v, %v are no variances and covariance", stats.ErrDomain, vaa, vab, vbb)
	}
	if !(df > 0) {
		return Fieller{}, fmt.Errorf("%w: %v degrees of freedom", stats.ErrDomain, df)
	}
	t, err := criticalT(level, df)
	if err != nil {
		return Fieller{}, err
	}
	if b == 0 && vbb == 0 {
		return Fieller{}, fmt.Errorf("%w: the denominator is 0 without error", stats.ErrNoVariation)
	}
	out := Fieller{HasEstimate: b != 0}
	if b != 0 {
		out.Estimate = a / b
		out.G = t * t * vbb / b / b
	}
	// The set is {x: A·x² - 2B·x + C ≤ 0} with these coefficients.
	qa, qb, qc := b*b-t*t*vbb, a*b-t*t*vab, a*a-t*t*vaa
	// B² - AC, written so that the products a²b² cancel on paper and not in
	// floating point.
	disc := t * t * (a*a*vbb - 2*a*b*vab + b*b*vaa + t*t*(vab*vab-vaa*vbb))
	if err := finite(qa, qb, qc, disc, out.Estimate, out.G); err != nil {
		return Fieller{}, err
	}
	open := stats.Interval{LowOpen: true, HighOpen: true, Level: level}
	switch {
	case qa > 0:
		lo, hi := roots(qa, qb, qc, math.Max(disc, 0))
		out.Shape, out.Interval = Bounded, stats.Interval{Low: lo, High: hi, Level: level}
	case qa < 0 && disc > 0:
		lo, hi := roots(qa, qb, qc, disc)
		out.Shape, out.Interval = Outside, open
		out.Gap = stats.Interval{Low: lo, High: hi, Level: level}
	case qa == 0 && qb > 0:
		out.Shape, out.Interval = HalfLine, stats.Interval{Low: qc / (2 * qb), HighOpen: true, Level: level}
	case qa == 0 && qb < 0:
		out.Shape, out.Interval = HalfLine, stats.Interval{LowOpen: true, High: qc / (2 * qb), Level: level}
	default:
		out.Shape, out.Interval = Everything, open
	}
	return out, finite(out.Interval.Low, out.Interval.High, out.Gap.Low, out.Gap.High)
}

// roots of a·x² - 2b·x + c with discriminant b² - ac, in order. The root of
// larger size comes from the sum without cancellation, the other from c.
func roots(a, b, c, disc float64) (lo, hi float64) {
	q := b + math.Copysign(math.Sqrt(disc), b)
	if q == 0 {
		return 0, 0
	}
	x, y := q/a, c/q
	return math.Min(x, y), math.Max(x, y)
}

// Affine is the set of shift + factor·x for x in the set; factor must not be 0
// (the set is returned unchanged then).
func (r Fieller) Affine(shift, factor float64) Fieller {
	if factor == 0 {
		return r
	}
	move := func(iv stats.Interval) stats.Interval {
		iv.Low, iv.High = shift+factor*iv.Low, shift+factor*iv.High
		if factor < 0 {
			iv.Low, iv.High = iv.High, iv.Low
			iv.LowOpen, iv.HighOpen = iv.HighOpen, iv.LowOpen
		}
		if iv.LowOpen {
			iv.Low = 0
		}
		if iv.HighOpen {
			iv.High = 0
		}
		return iv
	}
	r.Estimate = shift + factor*r.Estimate
	r.Interval = move(r.Interval)
	if r.Shape == Outside {
		r.Gap = move(r.Gap)
	}
	return r
}

// moments are the values, variances and covariance of two combinations.
func (f *Fit) moments(l, m []float64) (a, b, vaa, vab, vbb float64, err error) {
	for _, r := range [][]float64{l, m} {
		if err = f.checkRow(r); err != nil {
			return
		}
		if err = f.needEstimable("the ratio", r); err != nil {
			return
		}
	}
	if err = f.needDF(); err != nil {
		return
	}
	sl, sm := f.spread(l), f.spread(m)
	v := f.Sigma * f.Sigma
	for k := range sl {
		vaa += v * sl[k] * sl[k]
		vab += v * sl[k] * sm[k]
		vbb += v * sm[k] * sm[k]
	}
	return f.value(l), f.value(m), vaa, vab, vbb, nil
}

// Ratio is the confidence set of the ratio of two combinations of coefficients.
// Errors as Estimate and the function Ratio.
func (f *Fit) Ratio(numerator, denominator []float64, level float64) (Fieller, error) {
	a, b, vaa, vab, vbb, err := f.moments(numerator, denominator)
	if err != nil {
		return Fieller{}, err
	}
	return Ratio(a, b, vaa, vab, vbb, float64(f.DF), level)
}

// Inverse is the confidence set of the x at which a line reaches y: the line is
// intercept·β + x·slope·β, both given as combinations of the coefficients. With
// observations = 0 it is where the mean reaches y; with m ≥ 1 y is itself the
// mean of m new observations, whose error is added. Errors as Ratio;
// stats.ErrDomain for negative observations.
func (f *Fit) Inverse(intercept, slope []float64, y float64, observations int, level float64) (Fieller, error) {
	if observations < 0 {
		return Fieller{}, fmt.Errorf("%w: %d observations", stats.ErrDomain, observations)
	}
	if err := stats.CheckFinite("y", []float64{y}); err != nil {
		return Fieller{}, err
	}
	_, b, _, vab, vbb, err := f.moments(intercept, slope)
	if err != nil {
		return Fieller{}, err
	}
	// Measured from the point where intercept and slope are uncorrelated (the
	// mean of the set points), so that a distant origin costs no digits.
	origin := 0.0
	if vbb > 0 {
		origin = -vab / vbb
	}
	at := make([]float64, len(intercept))
	for j := range at {
		at[j] = intercept[j] + origin*slope[j]
	}
	a, _, vaa, vab, _, err := f.moments(at, slope)
	if err != nil {
		return Fieller{}, err
	}
	if observations > 0 {
		vaa += f.Sigma * f.Sigma / float64(observations)
	}
	r, err := Ratio(y-a, b, vaa, -vab, vbb, float64(f.DF), level)
	if err != nil {
		return Fieller{}, err
	}
	return r.Affine(origin, 1), nil
}

// Vertex is the confidence set of the x at which the quadratic
// … + x·linear·β + x²·quadratic·β turns: -linear/(2·quadratic). For the scaled
// basis of frame apply Affine with its centre and half-width. Errors as Ratio.
func (f *Fit) Vertex(linear, quadratic []float64, level float64) (Fieller, error) {
	r, err := f.Ratio(linear, quadratic, level)
	if err != nil {
		return Fieller{}, err
	}
	return r.Affine(0, -0.5), nil
}
