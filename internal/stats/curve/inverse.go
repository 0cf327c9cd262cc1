package curve

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/linear"
)

// Inverse is a point where a fitted curve reaches a value, and how sure that is.
// An interval end is open when the data do not bound it within the cooked set
// points and a tenth of their range beyond.
type Inverse struct {
	Value   float64        `json:"value"`
	X       float64        `json:"x"`
	Outside bool           `json:"outside,omitempty"` // beyond the cooked set points
	SE      float64        `json:"se"`                // delta method: SE of the curve over its slope
	Delta   stats.Interval `json:"delta"`             // X ± t·SE, for comparison
	// Interval is Fieller's for Line and the profile interval for the others.
	Interval stats.Interval `json:"interval"`
	Method   string         `json:"method"` // "fieller" or "profile"
}

// Inverse finds every x within the cooked set points (and a tenth of their range
// beyond, flagged) at which candidate i reaches value for treatment t.
// No crossing gives an empty slice and no error.
//
// Fieller: the x for which |f̂(x) − value| is within t·SE(x), exact for a line
// (Fieller 1954). Profile: the x for which the least rise of the sum of squares
// that lets the curve pass through (x, value) is within t²σ².
//
// Errors: ErrDomain; ErrSingular when the candidate has no covariance.
func (f *Fit) Inverse(i, t int, value, level float64) ([]Inverse, error) {
	if i < 0 || i >= len(f.Candidates) || f.Candidates[i].Excluded != "" {
		return nil, fmt.Errorf("%w: no candidate %d", stats.ErrDomain, i)
	}
	if err := stats.CheckFinite("value", []float64{value}); err != nil {
		return nil, err
	}
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("%w: level %v", stats.ErrDomain, level)
	}
	s, c := f.stage, &f.Candidates[i]
	lo, hi := s.l.xs[0], s.l.xs[len(s.l.xs)-1]
	if _, err := s.inside(lo, t); err != nil {
		return nil, err
	}
	if c.Family == Constant || lo == hi {
		return nil, nil
	}
	if c.cov == nil {
		return nil, fmt.Errorf("%w: parameters of %v", stats.ErrSingular, c.Family)
	}
	a, b := lo-margin*(hi-lo), hi+margin*(hi-lo)
	diff := func(x float64) float64 { return c.kern.mean(c.beta, s.units.in(x), t) - value }
	q := studentT(level, float64(f.DF))
	var out []Inverse
	const steps = 1200 // a thousandth of the cooked range
	step := (b - a) / steps
	for k := range steps {
		x0, x1 := a+float64(k)*step, a+float64(k+1)*step
		d0, d1 := diff(x0), diff(x1)
		if d0 < 0 == (d1 < 0) {
			continue
		}
		for range 80 {
			m := x0 + (x1-x0)/2
			if diff(m) < 0 == (d0 < 0) {
				x0 = m
			} else {
				x1 = m
			}
		}
		r := Inverse{Value: value, X: x0 + (x1-x0)/2}
		r.Outside = r.X < lo || r.X > hi
		_, se, err := f.Curve(i, math.Min(math.Max(r.X, a), b), t)
		if err != nil {
			return nil, err
		}
		h := 1e-4 * (hi - lo)
		slope := (diff(r.X+h) - diff(r.X-h)) / (2 * h)
		if slope == 0 {
			continue
		}
		r.SE = se / math.Abs(slope)
		r.Delta = within(stats.Interval{Low: r.X - q*r.SE, High: r.X + q*r.SE, Level: level}, a, b)
		if c.Family == Line {
			r.Method = "fieller"
			iv, err := f.fieller(c, t, value, level)
			if err != nil {
				return nil, err
			}
			r.Interval = within(iv, a, b)
		} else {
			r.Method = "profile"
			r.Interval = stats.Interval{Level: level}
			if r.Interval.Low, r.Interval.LowOpen = f.walk(c, t, value, r.X, a, q); r.Interval.LowOpen {
				r.Interval.Low = 0
			}
			if r.Interval.High, r.Interval.HighOpen = f.walk(c, t, value, r.X, b, q); r.Interval.HighOpen {
				r.Interval.High = 0
			}
		}
		out = append(out, r)
	}
	return out, nil
}

// within opens the ends that lie outside a to b.
func within(iv stats.Interval, a, b float64) stats.Interval {
	if iv.LowOpen || iv.Low < a {
		iv.Low, iv.LowOpen = 0, true
	}
	if iv.HighOpen || iv.High > b {
		iv.High, iv.HighOpen = 0, true
	}
	return iv
}

// fieller is the set of x at which level + slope·u reaches value, on the inner
// coordinate and brought back. A set that is no interval is open on both sides.
func (f *Fit) fieller(c *Candidate, t int, value, level float64) (stats.Interval, error) {
	k := c.kern.slopeAt(t)
	r, err := linear.Ratio(value-c.beta[t], c.beta[k],
		c.cov.At(t, t), -c.cov.At(t, k), c.cov.At(k, k), float64(f.DF), level)
	if err != nil {
		return stats.Interval{}, err
	}
	iv, un := r.Interval, f.stage.units
	if !iv.LowOpen {
		iv.Low = un.centre + un.half*iv.Low
	}
	if !iv.HighOpen {
		iv.High = un.centre + un.half*iv.High
	}
	return iv, nil
}

// walk finds where, from x towards end, the curve can no longer be bent through
// value; open when that does not happen before end.
func (f *Fit) walk(c *Candidate, t int, value, x, end, q float64) (at float64, open bool) {
	beta := append([]float64(nil), c.beta...)
	limit := q * q * f.scale
	rise := func(v float64) float64 { return f.bend(c, t, v, value, beta) }
	// The rise grows from 0 at x; 200 steps find the first that passes the limit.
	const steps = 200
	lo := x
	for k := 1; k <= steps; k++ {
		hi := x + (end-x)*float64(k)/steps
		if rise(hi) <= limit {
			lo = hi
			continue
		}
		for range 40 {
			m := lo + (hi-lo)/2
			if rise(m) > limit {
				hi = m
			} else {
				lo = m
			}
		}
		return lo + (hi-lo)/2, false
	}
	return 0, true
}

// bend is the rise of the sum of squares when the curve must pass through
// (x, value): an observation there with an overwhelming weight. beta is the
// start and receives the bent curve.
func (f *Fit) bend(c *Candidate, t int, x, value float64, beta []float64) float64 {
	k := *c.kern
	k.held, k.span = true, nil // the weight of the point would swamp a projection
	s := f.stage
	n := len(k.u)
	k.u = append(append([]float64(nil), k.u...), s.units.in(x))
	k.tr = append(append([]int(nil), k.tr...), t)
	// 1e4 standard errors of a cook: the curve misses the point by about 1e-8
	// of its own residual.
	weight := 1e4 / s.cellSD[t]
	k.c = append(append([]sparseRow(nil), k.c...), sparseRow{n, []float64{weight}})
	k.k++
	target := append(append([]float64(nil), s.t...), weight*value)
	w := newScratch(k.p, k.k, len(k.u))
	if k.linear() {
		// One full step from anywhere is the answer.
		k.levenberg(beta, target, s.pure, 1, stop{tol: 1e-12, maxIter: 60}, w)
	} else {
		k.levenberg(beta, target, s.pure, float64(s.l.n), stop{tol: 1e-8, maxIter: 200}, w)
	}
	rss := k.residual(beta, target, w, w.r)
	return math.Max(0, rss-(c.RSS-s.pure))
}
