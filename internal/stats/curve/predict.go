package curve

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// margin is how far outside the cooked set points a curve may be read, as a
// share of their range. House rule.
const margin = 0.1

// At is the weighted mean curve of treatment t at x. outside is true beyond the
// cooked set points.
//
// Errors: ErrDomain for an unknown treatment, or x more than a tenth of the
// range outside; ErrNonFinite.
func (f *Fit) At(x float64, t int) (y float64, outside bool, err error) {
	outside, err = f.stage.inside(x, t)
	if err != nil {
		return 0, outside, err
	}
	u := f.stage.units.in(x)
	for i := range f.Candidates {
		if c := &f.Candidates[i]; c.Weight > 0 {
			y += c.Weight * c.kern.mean(c.beta, u, t)
		}
	}
	return y, outside, nil
}

func (s *Stage) inside(x float64, t int) (outside bool, err error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return false, fmt.Errorf("%w: x = %v", stats.ErrNonFinite, x)
	}
	if t < 0 || t >= s.l.treatments {
		return false, fmt.Errorf("%w: treatment %d of %d", stats.ErrDomain, t, s.l.treatments)
	}
	lo, hi := s.l.xs[0], s.l.xs[len(s.l.xs)-1]
	tol := 1e-9 * (1 + math.Abs(lo) + math.Abs(hi))
	outside = x < lo-tol || x > hi+tol
	if x < lo-margin*(hi-lo)-tol || x > hi+margin*(hi-lo)+tol {
		return outside, fmt.Errorf("%w: x = %v lies too far outside %v to %v", stats.ErrDomain, x, lo, hi)
	}
	return outside, nil
}

// Curve is candidate i at x for treatment t, with its standard error.
//
// Errors: as At; ErrSingular when the candidate has no covariance.
func (f *Fit) Curve(i int, x float64, t int) (y, se float64, err error) {
	if i < 0 || i >= len(f.Candidates) || f.Candidates[i].Excluded != "" {
		return 0, 0, fmt.Errorf("%w: no candidate %d", stats.ErrDomain, i)
	}
	if _, err := f.stage.inside(x, t); err != nil {
		return 0, 0, err
	}
	c := &f.Candidates[i]
	g := make([]float64, c.kern.p)
	y = c.kern.gradient(c.beta, f.stage.units.in(x), t, g)
	if c.cov == nil {
		return y, 0, fmt.Errorf("%w: parameters of %v", stats.ErrSingular, c.Family)
	}
	v := 0.0
	for a := range g {
		for b := range g {
			v += g[a] * g[b] * c.cov.At(a, b)
		}
	}
	return y, math.Sqrt(math.Max(0, v)), nil
}
