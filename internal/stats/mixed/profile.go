package mixed

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// A ProfileInterval is an interval from the profile of the likelihood: the
// values whose deviance, minimised over everything else, exceeds the smallest
// by no more than the quantile of χ² on one degree of freedom.
type ProfileInterval struct {
	Name     string
	Estimate float64 // by ML, where the profile has its minimum
	Interval stats.Interval
}

// ProfileSD gives profile intervals of the standard deviations, each grouping's
// and the residual's (named "residual") last. The profile is that of the
// deviance, whether or not the model was fitted by REML. A lower end at 0 is
// within the interval. Errors: stats.ErrDomain for a level outside (0, 1),
// stats.ErrNotConverged when an end is not found, and those of Fit.
func (m *Model) ProfileSD(level float64) ([]ProfileInterval, error) {
	cut, ml, err := m.profileStart(level)
	if err != nil {
		return nil, err
	}
	sys := ml.sys.workspace()
	n := float64(ml.N)
	sigma := ml.Sigma / ml.scale // in units of the scaled residual
	// deviance at a fixed σ, minimised over the θ that are not held.
	atSigma := func(s float64, theta []float64, held int) float64 {
		sr, ok := search{}, false
		if s*s > 0 { // without residual variance the deviance is infinite
			sr, ok = sys.minimise(theta, goal{ml: true, sigma2: s * s, held: held})
		}
		if !ok {
			return math.Inf(1)
		}
		return sr.f + 2*n*math.Log(s)
	}
	residual := func(s float64) float64 { return atSigma(s, ml.theta, 0) }
	base := residual(sigma)
	out := make([]ProfileInterval, 0, sys.k+1)
	for g := range ml.theta {
		// With σ_g = s held, θ_g = s/σ moves with σ, over which a line search runs.
		profile := func(s float64) float64 {
			f := func(logSigma float64) float64 {
				sig := math.Exp(logSigma)
				theta := append([]float64(nil), ml.theta...)
				theta[g] = s / sig
				return atSigma(sig, theta, g+1)
			}
			_, v := minimiseLine(f, math.Log(sigma)-0.2, math.Log(sigma)+0.2)
			return v
		}
		est := ml.theta[g] * sigma
		iv, err := profileEnds(profile, est, math.Max(est, 0.1*sigma), base, cut)
		if err != nil {
			return nil, fmt.Errorf("standard deviation of %s: %w", ml.data.Groups[g].Name, err)
		}
		out = append(out, scaled(ml.data.Groups[g].Name, est, iv, ml.scale, level))
	}
	iv, err := profileEnds(residual, sigma, sigma, base, cut)
	if err != nil {
		return nil, fmt.Errorf("residual standard deviation: %w", err)
	}
	return append(out, scaled("residual", sigma, iv, ml.scale, level)), nil
}

// ProfileContrast gives the profile interval of Σ l_j β_j by ML. Errors as
// Contrast and ProfileSD.
func (m *Model) ProfileContrast(l []float64, level float64) (ProfileInterval, error) {
	cut, ml, err := m.profileStart(level)
	if err != nil {
		return ProfileInterval{}, err
	}
	e, err := ml.Contrast(l, Satterthwaite)
	if err != nil {
		return ProfileInterval{}, err
	}
	// In the basis the function is a multiple of one coordinate along a unit
	// vector. It is held by taking that part off the response and fitting the
	// columns at right angles to it.
	c := ml.reduce(l)
	length := norm(c)
	unit := make([]float64, len(c))
	for i := range c {
		unit[i] = c[i] / length
	}
	sys := ml.sys.workspace()
	// Offsets are in units of the scaled residual along the unit vector.
	profile := func(off float64) float64 {
		held := sys.shifted(unit, off, ml)
		sr, ok := held.minimise(ml.theta, goal{ml: true})
		if !ok {
			return math.Inf(1)
		}
		return sr.f
	}
	best := profile(0)
	var ends [2]float64
	step := e.SE / (length * ml.scale)
	for side, sign := range []float64{-1, 1} {
		iv, err := profileEnds(func(x float64) float64 { return profile(sign * x) }, 0, step, best, cut)
		if err != nil {
			return ProfileInterval{}, err
		}
		ends[side] = e.Estimate + sign*iv[1]*length*ml.scale
	}
	return ProfileInterval{Name: "contrast", Estimate: e.Estimate,
		Interval: stats.Interval{Low: ends[0], High: ends[1], Level: level}}, nil
}

func (m *Model) profileStart(level float64) (cut float64, ml *Model, err error) {
	if !(level > 0 && level < 1) {
		return 0, nil, fmt.Errorf("%w: level %v, a number between 0 and 1 needed", stats.ErrDomain, level)
	}
	if cut, err = dist.ChiSquareUpperQuantile(1-level, 1); err != nil {
		return 0, nil, err
	}
	if m.ML {
		return cut, m, nil
	}
	ml, err = Fit(m.data, Options{ML: true})
	return cut, ml, err
}

func scaled(name string, est float64, iv [2]float64, scale, level float64) ProfileInterval {
	return ProfileInterval{Name: name, Estimate: est * scale,
		Interval: stats.Interval{Low: iv[0] * scale, High: iv[1] * scale, Level: level}}
}

// profileEnds finds where f exceeds base by cut, below (not below 0) and above
// est. A lower end of 0 means that f does not exceed it before.
func profileEnds(f func(float64) float64, est, step, base, cut float64) (ends [2]float64, err error) {
	excess := func(x float64) float64 { return math.Sqrt(math.Max(0, f(x)-base)) - math.Sqrt(cut) }
	if est > 0 && excess(0) > 0 {
		ends[0] = root(excess, 0, est)
	}
	high := est + step
	for i := 0; excess(high) < 0; i++ {
		if i == 60 {
			return ends, fmt.Errorf("%w: the profile has no upper end", stats.ErrNotConverged)
		}
		high = est + (high-est)*2
	}
	ends[1] = root(excess, est, high)
	return ends, nil
}

// root finds a sign change of f in [a, b] by regula falsi with the weights of
// Dowell & Jarratt 1971 (the Illinois rule), to 1e-10 of the interval.
func root(f func(float64) float64, a, b float64) float64 {
	fa, fb := f(a), f(b)
	width := math.Abs(b - a)
	for i := 0; i < 100 && math.Abs(b-a) > 1e-10*width; i++ {
		x := b - fb*(b-a)/(fb-fa)
		if math.IsInf(fa, 0) || math.IsInf(fb, 0) || math.IsNaN(x) {
			x = (a + b) / 2
		}
		fx := f(x)
		if fx == 0 {
			return x
		}
		if (fx > 0) != (fb > 0) {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		if math.Abs(x-b) <= 1e-11*width {
			return x
		}
		b, fb = x, fx
	}
	return b
}

// minimiseLine finds a minimum of f near [a, b]: the bracket is moved until its
// middle is lowest and shrunk by golden sections, with a parabola at the end,
// which gives the value to second order.
func minimiseLine(f func(float64) float64, a, b float64) (x, v float64) {
	const golden = 0.381966011250105
	c := (a + b) / 2
	fa, fb, fc := f(a), f(b), f(c)
	for i := 0; i < 60 && (fa < fc || fb < fc); i++ {
		if fa < fb {
			a, c, b = c-2*(c-a), a, c
			fc, fb, fa = fa, fc, f(a)
		} else {
			a, c, b = c, b, c+2*(b-c)
			fa, fc, fb = fc, fb, f(b)
		}
	}
	for i := 0; i < 60 && b-a > 1e-4; i++ {
		// Into the longer part.
		y := c + golden*(b-c)
		if c-a > b-c {
			y = c - golden*(c-a)
		}
		fy := f(y)
		switch {
		case fy < fc && y > c:
			a, fa, c, fc = c, fc, y, fy
		case fy < fc:
			b, fb, c, fc = c, fc, y, fy
		case y > c:
			b, fb = y, fy
		default:
			a, fa = y, fy
		}
	}
	// Vertex of the parabola through the three points.
	p := (c-a)*(c-a)*(fc-fb) - (c-b)*(c-b)*(fc-fa)
	q := (c-a)*(fc-fb) - (c-b)*(fc-fa)
	if q != 0 {
		if y := c - p/(2*q); y > a && y < b {
			if fy := f(y); fy < fc {
				return y, fy
			}
		}
	}
	return c, fc
}
