package curve

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"tamis/internal/stats"
)

// Profile is the profile interval of parameter i: the values v at which the
// least sum of squares with βᵢ = v rises to RSS·(1 + t²/df), t the Student
// quantile (Bates & Watts 1988, §6.1.2; equal to the F test of one
// restriction). The signed root of the rise is nearly linear in v, so the ends
// are found by a bracketed secant on it. An end that is not met within a
// thousand Wald half-widths is open.
//
// Errors: ErrDomain; ErrNotConverged when the fit itself did not converge.
func (s *Solution) Profile(i int, level float64) (stats.Interval, error) {
	if i < 0 || i >= len(s.Coef) || !(level > 0 && level < 1) {
		return stats.Interval{}, fmt.Errorf("%w: parameter %d, level %v", stats.ErrDomain, i, level)
	}
	if !s.Status.Converged {
		return stats.Interval{}, fmt.Errorf("%w: %s", stats.ErrNotConverged, s.Status.Message)
	}
	out := stats.Interval{Level: level}
	t := studentT(level, float64(s.DF))
	var ok bool
	if out.Low, ok = s.profileEnd(i, -1, t); !ok {
		out.Low, out.LowOpen = 0, true
	}
	if out.High, ok = s.profileEnd(i, 1, t); !ok {
		out.High, out.HighOpen = 0, true
	}
	return out, nil
}

// studentT is the two-sided quantile of Student's t.
func studentT(level, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile((1 + level) / 2)
}

// profileEnd finds the end on one side.
func (s *Solution) profileEnd(i int, side, want float64) (float64, bool) {
	sv := newSolver(s.problem, len(s.Coef), s.DF+len(s.Coef))
	sv.fixed[i] = true
	beta := append([]float64(nil), s.Coef...)
	// tau is the root of the rise at v, the other parameters refitted from
	// where the last point left them.
	tau := func(v float64) float64 {
		beta[i] = v
		opt := SolveOptions{Tolerance: 1e-7, MaxIter: 200}
		rss := 0.0
		if len(beta) == 1 {
			rss = sv.sum(beta)
		} else {
			r := sv.run(beta, opt)
			if math.IsInf(r.rss, 1) {
				return math.Inf(1)
			}
			beta, rss = r.beta, r.rss
		}
		return math.Sqrt(math.Max(0, rss-s.RSS)) / s.Sigma
	}
	// Walk out from the estimate until the rise is passed.
	lo, tlo := s.Coef[i], 0.0
	step := side * want * s.SE[i]
	hi, thi := 0.0, 0.0
	for k := 0; ; k++ {
		hi = lo + step
		thi = tau(hi)
		if thi >= want {
			break
		}
		if k > 60 || math.Abs(hi-s.Coef[i]) > 1000*want*s.SE[i] {
			return 0, false
		}
		if k > 2 {
			step *= 1.5
		}
		lo, tlo = hi, thi
	}
	for range 100 {
		if math.Abs(hi-lo) <= 1e-10*(math.Abs(hi)+s.SE[i]) {
			break
		}
		// Regula falsi kept inside the middle of the bracket, so that neither
		// end sticks.
		f := 0.5
		if !math.IsInf(thi, 1) && thi > tlo {
			f = math.Min(math.Max((want-tlo)/(thi-tlo), 0.05), 0.95)
		}
		v := lo + f*(hi-lo)
		tv := tau(v)
		if math.Abs(tv-want) < 1e-9*want {
			return v, true
		}
		if tv < want {
			lo, tlo = v, tv
		} else {
			hi, thi = v, tv
		}
	}
	return (lo + hi) / 2, true
}
