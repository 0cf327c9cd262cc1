package curve

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// FitFamily fits one family to plain observations by (weighted) least squares,
// choosing its own start. The parameters, in the order of Solution.Coef:
//
//	Constant   level
//	Line       level, slope
//	Quadratic  level, slope, curvature
//	Logistic2  level, slope            η = level + slope·x, ends of the scale
//	Logistic3  high, mid, scale        low end of the scale known
//	Logistic4  low, high, mid, scale
//
// mid is where the curve is half-way, scale the length over which the logit
// rises by one; scale > 0, so a falling curve has high below low.
//
// Errors: as Solve; ErrDomain without the scale that a family needs; ErrTooFew
// with fewer distinct x than parameters.
func FitFamily(f Family, x, y, weights []float64, scale *Scale) (*Solution, error) {
	if f < Constant || f > Logistic4 {
		return nil, fmt.Errorf("%w: %v", stats.ErrDomain, f)
	}
	if err := stats.CheckSample("y", y); err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("x", len(x), "y", len(y)); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("x", x); err != nil {
		return nil, err
	}
	if weights != nil {
		if err := stats.CheckLengths("weights", len(weights), "y", len(y)); err != nil {
			return nil, err
		}
		if err := stats.CheckFinite("weights", weights); err != nil {
			return nil, err
		}
	}
	sh := shape{family: f, t: 1}
	if f == Logistic2 || f == Logistic3 {
		if scale == nil || !(scale.High > scale.Low) {
			return nil, fmt.Errorf("%w: %v needs a bounded scale", stats.ErrDomain, f)
		}
		sh.scale = *scale
	}
	xs := slices.Compact(slices.Sorted(slices.Values(x)))
	if len(xs) < f.Params() {
		return nil, fmt.Errorf("%w: %d distinct x for %d parameters", stats.ErrTooFew, len(xs), f.Params())
	}
	lo, hi := xs[0], xs[len(xs)-1]
	un := units{lo + (hi-lo)/2, (hi - lo) / 2}
	if hi == lo {
		un.half = 1
	}
	x, y = slices.Clone(x), slices.Clone(y)
	p := Problem{Y: y, Weights: slices.Clone(weights)}
	switch f {
	case Constant, Line, Quadratic:
		p.Mean = func(b, out []float64) {
			for i, v := range x {
				out[i] = 0
				for j := len(b) - 1; j >= 0; j-- {
					out[i] = out[i]*v + b[j]
				}
			}
		}
		p.Jacobian = func(b, jac []float64) {
			for i, v := range x {
				m := 1.0
				for j := range b {
					jac[i*len(b)+j] = m
					m *= v
				}
			}
		}
		return Solve(p, make([]float64, f.Params()), SolveOptions{OneStart: true, Tolerance: 1e-13})
	case Logistic2:
		p.Mean = func(b, out []float64) {
			for i, v := range x {
				out[i] = sh.mean(b, v, 0)
			}
		}
		p.Jacobian = func(b, jac []float64) {
			for i, v := range x {
				sh.gradient(b, v, 0, jac[i*2:i*2+2])
			}
		}
	default:
		e := sh.ends()
		inner := func(b []float64) []float64 {
			c := slices.Clone(b)
			c[e+1] = math.Log(b[e+1]) // NaN for a scale ≤ 0: outside the domain
			return c
		}
		p.Mean = func(b, out []float64) {
			c := inner(b)
			for i, v := range x {
				out[i] = sh.mean(c, v, 0)
			}
		}
		p.Jacobian = func(b, jac []float64) {
			c := inner(b)
			for i, v := range x {
				row := jac[i*len(b) : (i+1)*len(b)]
				sh.gradient(c, v, 0, row)
				row[e+1] /= b[e+1] // d log scale / d scale
			}
		}
	}

	// The start: the bounded fit on the inner coordinate.
	k := &kernel{shape: sh, k: len(y)}
	k.p = k.params()
	target := slices.Clone(y)
	gap := 2.0
	for i := 1; i < len(xs); i++ {
		gap = math.Min(gap, un.in(xs[i])-un.in(xs[i-1]))
	}
	for i, v := range x {
		w := 1.0
		if weights != nil {
			w = math.Sqrt(math.Max(0, weights[i]))
		}
		k.u, k.tr = append(k.u, un.in(v)), append(k.tr, 0)
		k.c = append(k.c, sparseRow{i, []float64{w}})
		target[i] *= w
	}
	k.prepare(gap)
	w := newScratch(k.p, k.k, len(k.u))
	b := make([]float64, k.p)
	k.search(b, target, 0, math.Max(1, float64(len(y)-k.p)), 1e-6, 200, w)
	switch f {
	case Logistic2:
		b[0], b[1] = b[0]-b[1]*un.centre/un.half, b[1]/un.half
	default:
		e := sh.ends()
		b[e], b[e+1] = un.centre+un.half*b[e], un.half*math.Exp(b[e+1])
	}
	return Solve(p, b, SolveOptions{OneStart: true})
}
