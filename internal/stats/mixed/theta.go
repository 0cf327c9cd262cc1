package mixed

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const (
	maxIterations = 200
	// thetaMax is where a relative standard deviation counts as infinite: the
	// residual variance is then below rounding.
	thetaMax = 1e7
	// largeTheta is where it is asked whether any residual is left at all.
	largeTheta = 1e3
	// snap is the θ below which the bound itself is tried.
	snap = 1e-3
)

// A point is the objective at one θ with all first and second derivatives and
// the pieces along each axis.
type point struct {
	theta []float64
	f     float64
	g     []float64
	h     *mat.SymDense
	axis  []pieces
}

// at evaluates a point. Mixed second derivatives come from the curvature along
// the sum of two axes, less that of each. With no grouping a single evaluation
// gives the value.
//
// A grouping that the goal holds fixed has gradient 0 and no mixed derivatives.
func (s *system) at(theta []float64, goal goal) (*point, bool) {
	k := s.k
	pt := &point{theta: append([]float64(nil), theta...), g: make([]float64, k), axis: make([]pieces, k)}
	u := make([]float64, k)
	if k == 0 {
		pc, ok := s.eval(theta, u)
		pt.axis = []pieces{pc}
		pt.f = s.objective(pc, goal).v
		return pt, ok
	}
	pt.h = mat.NewSymDense(k, nil)
	for a := 0; a < k; a++ {
		u[a] = 1
		pc, ok := s.eval(theta, u)
		if !ok {
			return pt, false
		}
		u[a] = 0
		o := s.objective(pc, goal)
		pt.axis[a] = pc
		pt.f, pt.g[a] = o.v, o.d
		pt.h.SetSym(a, a, 2*o.e)
		if goal.holds(a) {
			pt.g[a] = 0
			pt.h.SetSym(a, a, 1)
		}
	}
	for a := 0; a < k; a++ {
		for b := a + 1; b < k; b++ {
			if theta[a] == 0 || theta[b] == 0 || goal.holds(a) || goal.holds(b) {
				continue // even in both: the mixed derivative is 0 on the bound
			}
			u[a], u[b] = 1, 1
			pc, ok := s.eval(theta, u)
			if !ok {
				return pt, false
			}
			u[a], u[b] = 0, 0
			pt.h.SetSym(a, b, s.objective(pc, goal).e-(pt.h.At(a, a)+pt.h.At(b, b))/2)
		}
	}
	return pt, true
}

// newtonStep is the step that minimises the local quadratic with every
// curvature made positive (a direction of negative curvature is followed
// downhill), shortened so that no θ grows by more than max(1, θ) or loses
// more than nine tenths: a long step to the bound, where the slope is 0 even at a
// maximum, would be a trap. It also returns the decrease that the quadratic
// promises.
func (pt *point) newtonStep() (step []float64, promise float64) {
	k := len(pt.g)
	var eig mat.EigenSym
	if !eig.Factorize(pt.h, true) {
		step = make([]float64, k)
		for i, g := range pt.g {
			step[i] = -g
		}
		return step, 0
	}
	val := eig.Values(nil)
	var vec mat.Dense
	eig.VectorsTo(&vec)
	top := 0.0
	for _, v := range val {
		top = math.Max(top, math.Abs(v))
	}
	step = make([]float64, k)
	for j, v := range val {
		c := 0.0
		for i, g := range pt.g {
			c += vec.At(i, j) * g
		}
		curv := math.Max(math.Abs(v), 1e-12*top)
		if curv == 0 {
			continue
		}
		promise += c * c / curv / 2
		for i := range step {
			step[i] -= c / curv * vec.At(i, j)
		}
	}
	shrink := 1.0
	for i, st := range step {
		lim := math.Max(1, pt.theta[i])
		if st < 0 && pt.theta[i] > snap {
			lim = 0.9 * pt.theta[i]
		}
		if math.Abs(st) > lim {
			shrink = math.Min(shrink, lim/math.Abs(st))
		}
	}
	for i := range step {
		step[i] *= shrink
	}
	return step, promise
}

// A search is the outcome of the minimisation over θ.
type search struct {
	*point
	iterations int
	converged  bool
	runaway    int // grouping whose θ passed thetaMax, or -1
	message    string
}

// minimise finds the θ ≥ 0 with the smallest objective. The objective is even
// in each θ, so a step across 0 is reflected, a point with θ_k = 0 is stationary
// in θ_k, and it is a minimum there when the curvature is not negative: that is
// the condition of a bounded minimum in θ_k².
func (s *system) minimise(start []float64, goal goal) (search, bool) {
	cur, ok := s.at(start, goal)
	if !ok {
		return search{runaway: -1}, false
	}
	sr := search{point: cur, runaway: -1}
	if s.k == 0 {
		sr.converged = true
		return sr, true
	}
	for sr.iterations = 0; sr.iterations < maxIterations; sr.iterations++ {
		if pt, moved := s.tryBound(sr.point, goal); moved {
			sr.point = pt
			continue
		}
		step, promise := sr.newtonStep()
		leaving := false
		for a := range step {
			if sr.theta[a] <= snap && sr.h.At(a, a) < -1e-9*math.Abs(sr.f) {
				step[a] = 0.5 // on or near the bound, and downhill from it
				leaving = true
			}
		}
		// How far the step goes, relative to θ. Newton's error is squared by each
		// step: after one below 1e-6 nothing but rounding is left to gain.
		far := 0.0
		for a, st := range step {
			far = math.Max(far, math.Abs(st)/(1e-3+sr.theta[a]))
		}
		if far <= 1e-15 {
			sr.converged = true
			break
		}
		// Where the quadratic promises no more than rounding, one look is enough.
		shortest := 1e-9
		if !leaving && promise <= 1e-13*(1+math.Abs(sr.f)) {
			shortest = 1
		}
		next, improved := s.lineSearch(sr.point, step, shortest, goal)
		if !improved {
			// No smaller value is representable. That is convergence when little
			// was promised.
			sr.converged = !leaving && promise <= 1e-10*(1+math.Abs(sr.f))
			break
		}
		sr.point = next
		if far <= 1e-6 {
			sr.iterations++
			sr.converged = true
			break
		}
		for a, t := range sr.theta {
			if t > thetaMax {
				sr.runaway = a
				return sr, true
			}
		}
	}
	if !sr.converged {
		sr.message = "the search over the variance ratios stopped before its gradient vanished"
	}
	return sr, true
}

// lineSearch halves the step, down to the given share, until the objective does
// not rise. A step whose
// change is below rounding is taken when it makes the gradient smaller, so that
// the last digits of θ come from the gradient and not from the objective.
func (s *system) lineSearch(from *point, step []float64, shortest float64, goal goal) (*point, bool) {
	trial := make([]float64, s.k)
	for cut := 1.0; cut >= shortest; cut /= 2 {
		for a := range trial {
			trial[a] = math.Abs(from.theta[a] + cut*step[a])
		}
		pt, ok := s.at(trial, goal)
		if !ok || math.IsNaN(pt.f) {
			continue
		}
		noise := 1e-13 * (1 + math.Abs(from.f))
		if pt.f < from.f-noise {
			return pt, true
		}
		if pt.f <= from.f+noise && maxAbs(pt.g) < 0.5*maxAbs(from.g) {
			return pt, true
		}
	}
	return nil, false
}

// tryBound sets small θ to exactly 0 where that is no worse.
func (s *system) tryBound(from *point, goal goal) (*point, bool) {
	for a, t := range from.theta {
		if t == 0 || t > snap || goal.holds(a) {
			continue
		}
		trial := append([]float64(nil), from.theta...)
		trial[a] = 0
		pt, ok := s.at(trial, goal)
		if ok && pt.f <= from.f+1e-13*(1+math.Abs(from.f)) && pt.h.At(a, a) >= 0 {
			return pt, true
		}
	}
	return nil, false
}

// optimise runs the search from a rough start and asks afterwards, for each
// grouping, whether leaving it out would be better still: the criterion can have
// a second valley at the bound.
func (s *system) optimise(start []float64, goal goal) (search, bool) {
	best, ok := s.minimise(start, goal)
	if !ok || best.runaway >= 0 {
		return best, ok
	}
	for a := 0; a < s.k; a++ {
		if best.theta[a] == 0 {
			continue
		}
		trial := append([]float64(nil), best.theta...)
		trial[a] = 0
		if pt, ok := s.at(trial, goal); ok && pt.f < best.f {
			if alt, ok := s.minimise(trial, goal); ok && alt.f < best.f {
				alt.iterations += best.iterations
				best = alt
			}
		}
	}
	return best, true
}

// roughTheta is where the search begins: the estimates of a one-way analysis of
// each grouping on its own, from the residuals r of the fixed columns. For
// balanced nested data it is close to the answer, otherwise it has the right
// size. Nothing depends on it but the number of steps.
func roughTheta(r []float64, stride int, codes [][]int, levels []int, w, sw []float64) []float64 {
	k, n := len(codes), len(r)/max(1, stride)
	between, within := make([]float64, k), make([]float64, k)
	residual := math.Inf(1)
	total := 0.0
	for i := 0; i < n; i++ {
		v := r[i*stride+stride-1]
		total += v * v
	}
	for g, c := range codes {
		sum, size := make([]float64, levels[g]), make([]float64, levels[g])
		for i, l := range c {
			v, wt := r[i*stride+stride-1], 1.0
			if w != nil {
				v *= sw[i]
				wt = w[i]
			}
			sum[l] += v
			size[l] += wt
		}
		ss, all := 0.0, 0.0
		for l, x := range sum {
			ss += x * x / size[l]
			all += size[l]
		}
		q := float64(levels[g])
		within[g] = (total - ss) / (float64(n) - q)
		between[g] = (ss/q - within[g]) / (all / q)
		residual = math.Min(residual, within[g])
	}
	theta := make([]float64, k)
	for g := range theta {
		t := math.Sqrt(math.Max(0, between[g]/residual))
		theta[g] = 1
		if t > 0.05 && t < 100 {
			theta[g] = t
		} else if t <= 0.05 {
			theta[g] = 0.2
		}
	}
	return theta
}

// saturated reports whether the groupings and the fixed columns together
// reproduce the response: the penalised residual then falls as 1/θ² without end,
// where otherwise it levels off at the residual of fixed levels. It is asked at
// two scales, of which the second follows the largest θ found, because either
// alone can be misled: the first by a true θ above it, the second by rounding.
func (s *system) saturated(top float64) bool {
	u := make([]float64, s.k)
	falls := func(low, high, to float64) bool {
		var r [2]float64
		for i, t := range []float64{low, high} {
			theta := make([]float64, s.k)
			for a := range theta {
				theta[a] = t
			}
			pc, ok := s.eval(theta, u)
			if !ok {
				return true // nothing but rounding is left
			}
			r[i] = pc.r2.v
		}
		return r[1] < to*r[0]
	}
	// Without a residual the falls would be to 0.01 and to 0.09.
	return falls(1e4, 1e5, 0.03) && falls(3*top, 10*top, 0.12)
}

func maxAbs(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, math.Abs(x)) // a NaN stays
	}
	return m
}
