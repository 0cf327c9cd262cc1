package ordinal

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// objective is a function to be made largest, with derivatives. ok is false
// outside its domain.
type objective struct {
	value       func(x []float64) (f float64, ok bool)
	derivatives func(x []float64) (f float64, grad []float64, hess *mat.SymDense, ok bool)
	// recession, if set, is asked whether d is a direction in which f rises for
	// ever: then there is no finite maximum.
	recession func(d []float64) bool
}

const (
	maxIterations = 200
	stepTolerance = 1e-9 // of 1 + |x|; the last quadratic step leaves far less
)

// maximum is where and how a climb ended.
type maximum struct {
	x      []float64
	f      float64
	hess   *mat.SymDense
	status stats.Status
	// direction is the direction of an infinite maximum, largest entry 1, or nil.
	direction []float64
}

// climb is Newton's method with step halving. Where the Hessian is not negative
// definite, its eigenvalues are replaced by minus their size, so that every
// step goes uphill. ok is false when the start is outside the domain.
func climb(o objective, start []float64) (best maximum, ok bool) {
	x := append([]float64(nil), start...)
	f, g, h, ok := o.derivatives(x)
	if !ok {
		return best, false
	}
	best = maximum{x: x, f: f, hess: h}
	for it := 1; it <= maxIterations; it++ {
		best.status.Iterations = it
		best.status.GradientNorm = maxAbs(g)
		step, solved := ascent(h, g)
		if !solved {
			best.status.Message = "the Hessian holds a value that is not a number"
			return best, true
		}
		rise := dot(step, g) // twice the rise that the quadratic model promises
		size := 0.0
		for j, s := range step {
			size = math.Max(size, math.Abs(s)/(1+math.Abs(x[j])))
		}
		// Almost nothing left to gain, yet the step is still long: the mark of
		// a maximum at infinity. The direction itself decides.
		if o.recession != nil && rise < 1e-9 && maxAbs(step) > 1e-3 {
			d := append([]float64(nil), step...)
			top := maxAbs(d)
			for j := range d {
				d[j] /= top
			}
			if o.recession(d) {
				best.direction = d
				best.status.Message = "no finite maximum: at least one estimate is infinite"
				return best, true
			}
		}
		next, moved := halved(o, x, f, step, rise)
		if moved {
			x = next
			if f, g, h, ok = o.derivatives(x); !ok { // value and derivatives disagree on the domain
				best.status.Message = "left the region where the likelihood can be computed"
				return best, true
			}
			best.x, best.f, best.hess = x, f, h
			best.status.GradientNorm = maxAbs(g)
		}
		if size < stepTolerance {
			best.status.Converged = true
			return best, true
		}
		if !moved {
			// No step is uphill: rounding is all that is left if the promised
			// rise is below the precision of f.
			best.status.Converged = rise <= 1e-10*(1+math.Abs(f))
			if !best.status.Converged {
				best.status.Message = "no uphill step found"
			}
			return best, true
		}
	}
	best.status.Message = "iteration limit reached"
	return best, true
}

// halved tries the step and its halves until f does not fall. A fall within
// rounding of f is allowed when the step promises no more than that.
func halved(o objective, x []float64, f float64, step []float64, rise float64) ([]float64, bool) {
	slack := 0.0
	if rise < 1e-8*(1+math.Abs(f)) {
		slack = 1e-11 * (1 + math.Abs(f))
	}
	for scale := 1.0; scale > 1e-12; scale /= 2 {
		next := make([]float64, len(x))
		for j := range x {
			next[j] = x[j] + scale*step[j]
		}
		if fn, ok := o.value(next); ok && fn >= f-slack {
			return next, true
		}
	}
	return nil, false
}

// ascent solves −H step = g, with the eigenvalues of −H made positive.
func ascent(h *mat.SymDense, g []float64) ([]float64, bool) {
	k := len(g)
	if k == 0 {
		return nil, true
	}
	neg := mat.NewSymDense(k, nil)
	for r := range k {
		for s := r; s < k; s++ {
			v := -h.At(r, s)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, false
			}
			neg.SetSym(r, s, v)
		}
	}
	step := mat.NewVecDense(k, nil)
	var chol mat.Cholesky
	if chol.Factorize(neg) {
		if err := chol.SolveVecTo(step, mat.NewVecDense(k, append([]float64(nil), g...))); err == nil || !math.IsInf(chol.Cond(), 0) {
			return step.RawVector().Data, true
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(neg, true) {
		return nil, false
	}
	var q mat.Dense
	eig.VectorsTo(&q)
	values := eig.Values(nil)
	top := 0.0
	for _, v := range values {
		top = math.Max(top, math.Abs(v))
	}
	if top == 0 { // no curvature at all: follow the gradient
		return append([]float64(nil), g...), true
	}
	out := make([]float64, k)
	for c, v := range values {
		v = math.Max(math.Abs(v), 1e-10*top)
		along := 0.0
		for r := range k {
			along += q.At(r, c) * g[r]
		}
		for r := range k {
			out[r] += q.At(r, c) * along / v
		}
	}
	return out, true
}

// covariance is (−H)⁻¹, and ok is false when −H is not positive definite.
func covariance(h *mat.SymDense) (*mat.SymDense, bool) {
	k := h.SymmetricDim()
	neg := mat.NewSymDense(k, nil)
	// Scaled to a unit diagonal first, so that the condition seen by the
	// factorisation does not depend on units.
	d := make([]float64, k)
	for r := range k {
		if d[r] = math.Sqrt(-h.At(r, r)); !(d[r] > 0) {
			return nil, false
		}
	}
	for r := range k {
		for s := r; s < k; s++ {
			neg.SetSym(r, s, -h.At(r, s)/d[r]/d[s])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(neg) || math.IsInf(chol.Cond(), 0) || chol.Cond() > 1e15 {
		return nil, false
	}
	inv := mat.NewSymDense(k, nil)
	_ = chol.InverseTo(inv) // the error only repeats the condition checked above
	for r := range k {
		for s := r; s < k; s++ {
			inv.SetSym(r, s, inv.At(r, s)/d[r]/d[s])
		}
	}
	return inv, true
}

func maxAbs(xs []float64) float64 {
	m := 0.0
	for _, x := range xs {
		m = math.Max(m, math.Abs(x))
	}
	return m
}
