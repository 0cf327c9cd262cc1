package curve

import (
	"math"

	"tamis/internal/stats"
)

// solver holds the work space of Solve.
type solver struct {
	problem Problem
	n, p    int
	used    int       // rows with a positive weight
	root    []float64 // √weight, nil for 1
	f, r    []float64
	jac     []float64   // n × p, rows times √weight
	buf     [][]float64 // model values of the numeric differences
	fixed   []bool      // parameters held at their value (profiles)
	rough   bool        // a start is wanted, no answer: plain differences do
	noise   float64     // relative error of the last fine Jacobian
	linear  []bool      // parameters that enter linearly, nil: not looked for
}

func newSolver(p Problem, k, used int) *solver {
	s := &solver{problem: p, n: len(p.Y), p: k, used: used, fixed: make([]bool, k)}
	s.f, s.r, s.jac = make([]float64, s.n), make([]float64, s.n), make([]float64, s.n*k)
	for range 4 {
		s.buf = append(s.buf, make([]float64, s.n))
	}
	if p.Weights != nil {
		s.root = make([]float64, s.n)
		for i, w := range p.Weights {
			s.root[i] = math.Sqrt(w)
		}
	}
	return s
}

// sum fills s.r with weighted residuals and returns their sum of squares, +Inf
// outside the domain of the model.
func (s *solver) sum(beta []float64) float64 {
	s.problem.Mean(beta, s.f)
	t := 0.0
	for i := range s.r {
		d := s.problem.Y[i] - s.f[i]
		if s.root != nil {
			if s.root[i] == 0 {
				s.r[i] = 0
				continue
			}
			d *= s.root[i]
		}
		s.r[i] = d
		t += d * d
	}
	if math.IsNaN(t) {
		return math.Inf(1)
	}
	return t
}

func (s *solver) weigh() bool {
	for i := range s.n {
		for j := range s.p {
			if s.root != nil {
				s.jac[i*s.p+j] *= s.root[i]
				if s.root[i] == 0 {
					s.jac[i*s.p+j] = 0
				}
			}
			if s.fixed[j] {
				s.jac[i*s.p+j] = 0
			}
		}
	}
	return !anyBad(s.jac)
}

// jacobian is the analytic one, or central differences with the step that
// balances rounding and curvature (ε^⅓ of the parameter).
func (s *solver) jacobian(beta []float64) bool {
	if s.problem.Jacobian != nil {
		s.problem.Jacobian(beta, s.jac)
		return s.weigh()
	}
	b := append([]float64(nil), beta...)
	for j := range b {
		h := 6e-6 * math.Abs(b[j])
		if h == 0 {
			h = 6e-6
		}
		hi, lo := beta[j]+h, beta[j]-h
		b[j] = hi
		s.problem.Mean(b, s.buf[0])
		b[j] = lo
		s.problem.Mean(b, s.buf[1])
		b[j] = beta[j]
		for i := range s.n {
			s.jac[i*s.p+j] = (s.buf[0][i] - s.buf[1][i]) / (hi - lo)
		}
	}
	return s.weigh()
}

// fineJacobian sharpens numeric differences by Richardson extrapolation in the
// manner of Ridders (1982): for each entry, over steps shrinking by 4 from a
// hundredth of the parameter, the fourth-order value whose neighbour agrees
// best.
func (s *solver) fineJacobian(beta []float64) bool {
	if s.problem.Jacobian != nil {
		return s.jacobian(beta)
	}
	b := append([]float64(nil), beta...)
	prev, best := make([]float64, s.n), make([]float64, s.n)
	s.noise = 0
	for j := range b {
		h := 0.02 * math.Abs(beta[j])
		if h == 0 {
			h = 1e-3
		}
		for i := range best {
			best[i] = math.Inf(1)
		}
		for step := range 8 {
			at := func(m float64, out []float64) {
				b[j] = beta[j] + m*h
				s.problem.Mean(b, out)
			}
			at(1, s.buf[0])
			at(-1, s.buf[1])
			at(2, s.buf[2])
			at(-2, s.buf[3])
			for i := range s.n {
				v := (8*(s.buf[0][i]-s.buf[1][i]) - (s.buf[2][i] - s.buf[3][i])) / (12 * h)
				if step > 0 {
					// The error cannot be below what rounding of the model leaves.
					floor := 2e-16 * (math.Abs(s.buf[0][i]) + math.Abs(s.buf[1][i])) / h
					if d := math.Max(math.Abs(v-prev[i]), floor); d < best[i] {
						best[i] = d
						s.jac[i*s.p+j] = v
					}
				}
				prev[i] = v
			}
			h /= 4
		}
		b[j] = beta[j]
		size := 0.0
		for i, e := range best {
			if math.IsInf(e, 1) {
				s.jac[i*s.p+j] = math.NaN()
			}
			size += s.jac[i*s.p+j] * s.jac[i*s.p+j]
		}
		if size > 0 {
			s.noise = math.Max(s.noise, norm(best)/math.Sqrt(size))
		}
	}
	return s.weigh()
}

// run is the end of one descent.
type run struct {
	beta        []float64
	rss, offset float64
	status      stats.Status
}

// run descends from start.
func (s *solver) run(start []float64, opt SolveOptions) run {
	n, p := s.n, s.p
	free := 0
	for _, f := range s.fixed {
		if !f {
			free++
		}
	}
	out := run{beta: append([]float64(nil), start...), rss: math.Inf(1), offset: math.Inf(1)}
	rss := s.sum(out.beta)
	if math.IsInf(rss, 1) {
		out.status.Message = "the model has no value at the start"
		return out
	}
	out.rss = rss
	ysq := 0.0
	for i, y := range s.problem.Y {
		if s.root != nil {
			y *= s.root[i]
		}
		ysq += y * y
	}
	res := append([]float64(nil), s.r...)
	next := make([]float64, p)
	scale := make([]float64, p)
	lambda := 1e-3
	grow := 2.0
	fine := false
	small := 0
	for out.status.Iterations = 1; out.status.Iterations <= opt.MaxIter; out.status.Iterations++ {
		ok := false
		if fine {
			ok = s.fineJacobian(out.beta)
		} else {
			ok = s.jacobian(out.beta)
		}
		if !ok {
			out.status.Message = "the model has no slope here"
			return out
		}
		// Moré's scale: the largest column length so far, so that the trust
		// region does not depend on the units of the parameters.
		g := 0.0
		for j := range p {
			c, d := 0.0, 0.0
			for i := range n {
				v := s.jac[i*p+j]
				c += v * v
				d += v * res[i]
			}
			// The largest so far, but allowed to shrink slowly: a bad start may
			// lie on a cliff that says nothing about the valley.
			scale[j] = math.Max(math.Sqrt(c), 0.5*scale[j])
			g = math.Max(g, math.Abs(d))
		}
		out.status.GradientNorm = g
		q, full := newLeastSquares(s.jac, n, p, dependent)
		if full || len(q.free) == free {
			out.offset = q.offset(res, float64(s.used-free))
		} else {
			out.offset = math.Inf(1)
		}
		tiny := rss <= 1e-30*float64(n)*math.Max(ysq, 1e-300)
		if out.offset <= opt.Tolerance || tiny {
			if fine || s.rough || s.problem.Jacobian != nil || tiny {
				out.status.Converged = true
				return out
			}
			fine = true
			continue
		}
		if !fine && !s.rough && out.offset < 1e-4 {
			fine = true
			continue
		}
		moved := false
		for range 60 {
			step := q.damped(res, lambda, scale)
			change := 0.0
			for j := range p {
				next[j] = out.beta[j] + step[j]
				change = math.Max(change, math.Abs(step[j])/math.Max(math.Abs(out.beta[j]), 1e-300))
			}
			t := s.sum(next)
			if t < rss {
				// Gain against the linear prediction steers the damping
				// (Nielsen 1999): smooth, so it neither creeps nor oscillates.
				pred := q.predicted(res, step)
				rho := 1.0
				if pred > 0 {
					rho = (rss - t) / pred
				}
				lambda = math.Max(lambda*math.Max(1.0/10, 1-math.Pow(2*rho-1, 3)), 1e-16)
				grow = 2
				// Progress at the level of rounding, several times in a row.
				if rss-t <= 1e-14*rss && change < 1e-9 {
					small++
				} else {
					small = 0
				}
				copy(out.beta, next)
				copy(res, s.r)
				// Far from the answer the linear parameters follow the others
				// at once, which turns a curved valley into a straight one.
				if s.linear != nil && out.offset > 1e-2 {
					if b := s.project(next, s.linear); b != nil {
						if v := s.sum(b); v < t {
							t = v
							copy(out.beta, b)
							copy(res, s.r)
						}
					}
				}
				rss, moved = t, true
				out.rss = rss
				break
			}
			if change < 1e-13 {
				break
			}
			lambda *= grow
			grow = math.Min(grow*2, 1e6)
			if lambda > 1e20 {
				break
			}
		}
		if !moved || small >= 3 {
			if !fine && !s.rough && s.problem.Jacobian == nil {
				fine, small, lambda, grow = true, 0, 1e-6, 2
				continue
			}
			// Nothing lower can be found. It is the minimum if the residual is
			// all but orthogonal to the tangent plane, or if what is left is
			// the rounding of the data: then the undamped step is negligible.
			step := q.damped(res, 0, scale)
			rel := 0.0
			for j := range p {
				rel = math.Max(rel, math.Abs(step[j])/math.Max(math.Abs(out.beta[j]), 1e-12))
			}
			if out.offset <= 1e-5 || rel < 1e-9 && !math.IsInf(out.offset, 1) {
				s.polish(&out, opt)
				out.status.Converged = true
				return out
			}
			out.status.Message = "no lower sum of squares was found, but the gradient is not zero"
			if math.IsInf(out.offset, 1) {
				out.status.Message = "the parameters cannot be told apart where the descent ended"
			}
			return out
		}
	}
	out.status.Iterations = opt.MaxIter
	out.status.Message = "the limit of iterations was reached"
	return out
}

// polish takes undamped steps while they lower the relative offset. Close to
// the minimum the sum of squares is flat to rounding and cannot choose between
// two points any more, but the gradient still can.
func (s *solver) polish(out *run, opt SolveOptions) {
	zero := make([]float64, s.p)
	for range 20 {
		if math.IsInf(s.sum(out.beta), 1) || !s.fineJacobian(out.beta) {
			return
		}
		q, full := newLeastSquares(s.jac, s.n, s.p, dependent)
		if !full {
			return
		}
		step := q.damped(s.r, 0, zero)
		next := append([]float64(nil), out.beta...)
		for j := range next {
			next[j] += step[j]
		}
		t := s.sum(next)
		if !(t <= out.rss*(1+1e-10)) || !s.fineJacobian(next) {
			return
		}
		q, full = newLeastSquares(s.jac, s.n, s.p, dependent)
		if !full {
			return
		}
		off := q.offset(s.r, float64(s.used-s.p))
		if off >= out.offset {
			return
		}
		out.beta, out.rss, out.offset = next, t, off
		if off <= opt.Tolerance {
			return
		}
	}
}

// reduced descends over the nonlinear parameters alone, the linear ones solved
// at every point (variable projection), and returns the full vector where that
// descent ended; nil when no parameter is linear or none is left.
func (s *solver) reduced(start []float64, opt SolveOptions) []float64 {
	var js []int
	for j, l := range s.linear {
		if !l {
			js = append(js, j)
		}
	}
	if len(js) == 0 || len(js) == s.p {
		return nil
	}
	full := append([]float64(nil), start...)
	expand := func(theta []float64) []float64 {
		for c, j := range js {
			full[j] = theta[c]
		}
		return s.project(full, s.linear)
	}
	sub := s.problem
	sub.Jacobian = nil
	sub.Mean = func(theta, out []float64) {
		b := expand(theta)
		if b == nil {
			for i := range out {
				out[i] = math.NaN()
			}
			return
		}
		s.problem.Mean(b, out)
	}
	theta := make([]float64, len(js))
	for c, j := range js {
		theta[c] = start[j]
	}
	inner := newSolver(sub, len(js), s.used)
	inner.rough = true
	opt.Tolerance = 1e-3
	r := inner.run(theta, opt)
	return expand(r.beta)
}
