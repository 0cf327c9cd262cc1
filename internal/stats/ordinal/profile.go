package ordinal

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Profile is the profile-likelihood interval of one location, nominal or spread
// effect, or of one threshold parameter, of a fit without random intercept: all
// values that a likelihood-ratio test at 1 − level does not reject. An end that
// the likelihood never rejects is open. For an effect that is infinite the
// finite end is still found.
//
// Errors: stats.ErrDomain for an unknown name, a level outside (0, 1), a fit
// with a random intercept or without a maximum; ErrNotConverged when a fit along
// the profile fails.
func (r *Result) Profile(name string, level float64) (stats.Interval, error) {
	if r == nil || r.problem == nil || r.Random != nil || r.Outcome == Unfinished {
		return stats.Interval{}, fmt.Errorf("%w: profiles need a finished fit without random intercept", stats.ErrDomain)
	}
	if !(level > 0 && level < 1) {
		return stats.Interval{}, fmt.Errorf("%w: level %v is not between 0 and 1", stats.ErrDomain, level)
	}
	pr := r.problem
	at := -1
	for j, n := range pr.names {
		if n == name {
			at = j
		}
	}
	if at < 0 {
		return stats.Interval{}, fmt.Errorf("%w: no coefficient %q", stats.ErrDomain, name)
	}
	// The entry of the caller's ψ is direction·ψ_internal. The plane on which it
	// has a given value is origin + B y.
	k := pr.size()
	direction := mat.Row(nil, at, pr.back)
	centre := dot(direction, r.psi)
	norm2 := sumSquares(direction)
	z := math.Sqrt2 * math.Erfinv(level)
	drop := 0.5 * z * z // half the χ²_1 quantile
	o := pr.objective()
	o.recession = nil

	start := append([]float64(nil), r.psi...)
	// below is the profile log likelihood at value v, less the critical one.
	below := func(v float64) (float64, bool) {
		origin := append([]float64(nil), start...)
		move := (v - dot(direction, origin)) / norm2
		for j := range origin {
			origin[j] += move * direction[j]
		}
		if k == 1 {
			f, ok := o.value(origin)
			return f - (r.LogLik - drop), ok
		}
		B := complement(direction)
		best, ok := climb(restrict(o, origin, B), make([]float64, k-1))
		if !ok {
			return 0, false
		}
		start = onPlane(origin, B, best.x)
		return best.f - (r.LogLik - drop), true
	}
	se := math.Sqrt(math.Max(r.Covariance[at][at], 0))
	if !(se > 0) {
		se = 1 / math.Sqrt(norm2) // an effect of 1 standard deviation of the column, per unit
		if math.IsInf(se, 0) || math.IsNaN(se) {
			se = 1
		}
	}
	iv := stats.Interval{Level: level}
	var err error
	infinite := r.Coefficients[at].Infinite
	if infinite < 0 {
		iv.LowOpen = true
	} else if iv.Low, iv.LowOpen, err = crossing(below, centre, -se, z); err != nil {
		return stats.Interval{}, err
	}
	start = append(start[:0], r.psi...)
	if infinite > 0 {
		iv.HighOpen = true
	} else if iv.High, iv.HighOpen, err = crossing(below, centre, se, z); err != nil {
		return stats.Interval{}, err
	}
	return iv, nil
}

// crossing walks from centre in steps of se until below is negative and then
// closes in by bisection and secants (the Illinois rule). open is true when no
// crossing is found within 60 doublings of a quarter step.
func crossing(below func(float64) (float64, bool), centre, se, z float64) (at float64, open bool, err error) {
	fail := fmt.Errorf("%w: a fit along the profile failed", stats.ErrNotConverged)
	lo, flo := centre, 0.5*z*z
	hi, fhi := 0.0, 0.0
	step := 0.25 * z * se
	found := false
	for range 40 {
		v := lo + step
		f, ok := below(v)
		if !ok {
			// Too long a stride for the warm start: shorten it once or give up.
			if step /= 4; math.Abs(step) < 1e-6*math.Abs(se) {
				return 0, false, fail
			}
			continue
		}
		if f < 0 {
			hi, fhi, found = v, f, true
			break
		}
		lo, flo = v, f
		step *= 1.5
	}
	if !found {
		return 0, true, nil
	}
	side := 0
	for range 100 {
		v := (lo*fhi - hi*flo) / (fhi - flo)
		if math.Abs(hi-lo) < 1e-10*(math.Abs(se)+math.Abs(v)) {
			return v, false, nil
		}
		f, ok := below(v)
		if !ok {
			return 0, false, fail
		}
		switch {
		case math.Abs(f) < 1e-11:
			return v, false, nil
		case f < 0:
			hi, fhi = v, f
			if side == -1 {
				flo /= 2
			}
			side = -1
		default:
			lo, flo = v, f
			if side == 1 {
				fhi /= 2
			}
			side = 1
		}
	}
	return 0.5 * (lo + hi), false, nil
}
