package ordinal

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// maxSD bounds the standard deviation of the random intercept on the latent
// scale. A logit of 200 is a certainty of 87 digits: what wants more has no
// finite estimate.
const maxSD = 200

// MaxPoints is the largest number of quadrature points of FitMixed.
const MaxPoints = 100

// Random is the random intercept of a fit.
type Random struct {
	Points int     // quadrature points; 1 is Laplace
	SD, SE float64 // standard deviation on the latent scale, and its standard error (0 at the boundary)
	// Groups are the labels in order of first appearance; Mode is the
	// conditional mode of each group's effect σu, Variance its conditional
	// variance given the estimates.
	Groups         []int
	Mode, Variance []float64
}

// VarianceComponent is the variance of the random intercept, SD².
func (r Random) VarianceComponent() float64 { return r.SD * r.SD }

// FitMixed fits a cumulative link model with one random intercept, by maximum
// likelihood. group labels the group of each row (equal codes, equal group).
// points is the number of quadrature points per group, 1 (Laplace) to
// MaxPoints; 10 is plenty for most panels. Standard errors come from the
// observed information of the approximated likelihood: an analytic gradient,
// differenced.
//
// The information is in terms of the standard deviation. Where the estimate is
// 0, Status.Boundary is set, a warning "boundary" added, and everything else is
// the fit without the effect. "unbounded-variance" warns of a standard deviation
// above five times that of the latent error: quadrature is then poor, and there
// may be no finite estimate.
//
// Errors: those of Fit; stats.ErrLengths for group, ErrTooFew for fewer than 2
// groups, ErrDomain for points out of range or Data.Spread given.
func FitMixed(d Data, group []int, points int, opt Options) (*Result, error) {
	if points < 1 || points > MaxPoints {
		return nil, fmt.Errorf("%w: %d quadrature points, 1 to %d possible", stats.ErrDomain, points, MaxPoints)
	}
	pr, err := newProblem(d, opt)
	if err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("group", len(group), "Y", len(d.Y)); err != nil {
		return nil, err
	}
	if pr.q > 0 {
		return nil, fmt.Errorf("%w: spread effects together with a random intercept", stats.ErrDomain)
	}
	m := &marginal{model: &pr.model}
	var labels []int
	index := map[int]int{}
	for i, row := range pr.kept {
		g, seen := index[group[row]]
		if !seen {
			g = len(labels)
			index[group[row]] = g
			labels = append(labels, group[row])
			m.members = append(m.members, nil)
		}
		m.members[g] = append(m.members[g], i)
	}
	if len(labels) < 2 {
		return nil, fmt.Errorf("%w: 1 group, 2 needed for a random intercept", stats.ErrTooFew)
	}
	m.node, m.lnw = hermite(points)
	m.mode, m.spread = make([]float64, len(labels)), make([]float64, len(labels))

	fixed, ok := climb(pr.objective(), pr.start)
	if !ok {
		return nil, fmt.Errorf("%w: the starting values lie outside the parameter space", stats.ErrNotConverged)
	}
	best, ok := m.climb(fixed, pr.link)
	if !ok {
		return nil, fmt.Errorf("%w: the likelihood cannot be computed at the starting values", stats.ErrNotConverged)
	}
	return pr.mixedResult(m, fixed, best, labels, points), nil
}

// climb maximises over (ψ, σ) from the fixed fit. If that has an infinite
// direction d, so has the mixed model (the argument holds for every value of
// u), and the climb stays on a plane far out along d.
func (m *marginal) climb(fixed maximum, link Link) (maximum, bool) {
	sd := 0.5 * link.sd()
	origin := append(append([]float64(nil), fixed.x...), sd)
	o := objective{
		value: func(x []float64) (float64, bool) {
			f, _, ok := m.evaluate(x, false)
			return f, ok
		},
		derivatives: func(x []float64) (float64, []float64, *mat.SymDense, bool) {
			f, g, ok := m.evaluate(x, true)
			if !ok {
				return 0, nil, nil, false
			}
			h, ok := m.hessian(x, g, false)
			return f, g, h, ok
		},
	}
	if fixed.direction == nil {
		best, ok := climb(o, origin)
		if ok {
			if h, good := m.hessian(best.x, nil, true); good {
				best.hess = h
			}
			_, _, ok = m.evaluate(best.x, true) // leaves mode and spread at the answer
		}
		return best, ok
	}
	for j, d := range fixed.direction {
		origin[j] += 20 * d // beyond the reach of a random intercept of usual size
	}
	B := complement(append(append([]float64(nil), fixed.direction...), 0))
	onPlaneBest, ok := climb(restrict(o, origin, B), make([]float64, len(fixed.x)))
	if !ok {
		return maximum{}, false
	}
	best := onPlaneBest
	best.direction = fixed.direction
	best.status.Converged, best.status.Message = false, fixed.status.Message
	best.x = onPlane(origin, B, onPlaneBest.x)
	_, _, ok = m.evaluate(best.x, true)
	return best, ok
}

func (pr *problem) mixedResult(m *marginal, fixed, best maximum, labels []int, points int) *Result {
	p := pr.p
	random := &Random{Points: points, Groups: labels, Mode: make([]float64, len(labels)), Variance: make([]float64, len(labels))}
	sigma := best.x[p]
	if math.Abs(sigma) < 1e-3 && best.f-fixed.f < 1e-7 {
		// The likelihood is even in σ and falls on both sides of 0.
		r := pr.result(fixed)
		r.Groups, r.Random, r.Status.Boundary = len(labels), random, true
		r.Parameters++
		r.criteria()
		r.Warnings = append(r.Warnings, stats.Warning{ID: "boundary",
			Text: "The standard deviation of the random intercept is estimated as 0."})
		r.growCovariance()
		return r
	}
	// Back to the caller's coordinates; the sign of σ is a convention.
	flip := 1.0
	if sigma < 0 {
		flip = -1
	}
	back := mat.NewDense(p+1, p+1, nil)
	for i := range p {
		for j := range p {
			back.Set(i, j, pr.back.At(i, j))
		}
	}
	back.Set(p, p, flip)
	for g := range labels {
		random.Mode[g] = sigma * m.mode[g]
		random.Variance[g] = sigma * sigma * m.spread[g] * m.spread[g]
	}
	random.SD = math.Abs(sigma)

	linear := best
	linear.x = best.x[:p]
	r := pr.resultWith(linear, func(r *Result) *mat.Dense {
		if best.direction != nil {
			// Information on the plane: the covariance along the infinite
			// direction is not defined and its entries are blanked.
			B := complement(append(append([]float64(nil), best.direction...), 0))
			if c, ok := covariance(best.hess); ok {
				var half, full mat.Dense
				half.Mul(B, c)
				full.Mul(&half, B.T())
				r.cov = mat.NewSymDense(p+1, nil)
				for i := range p + 1 {
					for j := i; j < p+1; j++ {
						r.cov.SetSym(i, j, full.At(i, j))
					}
				}
			}
		} else {
			r.cov, _ = covariance(best.hess)
		}
		return back
	})
	r.Groups, r.Random, r.flip = len(labels), random, flip < 0
	r.Parameters++
	r.criteria()
	if v := r.Covariance[p][p]; v > 0 {
		random.SE = math.Sqrt(v)
	}
	if random.SD > 5*pr.link.sd() {
		r.Warnings = append(r.Warnings, stats.Warning{ID: "unbounded-variance",
			Text: "The groups hardly overlap, so the standard deviation of the random intercept may have no finite estimate."})
	}
	return r
}

// growCovariance adds the row and column of a standard deviation at its bound.
func (r *Result) growCovariance() {
	for i := range r.Covariance {
		r.Covariance[i] = append(r.Covariance[i], 0)
	}
	r.Covariance = append(r.Covariance, make([]float64, len(r.Covariance)+1))
}
