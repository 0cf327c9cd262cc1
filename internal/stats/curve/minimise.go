package curve

import "math"

// kernel is one candidate on the reduced data: minimise |t − C·f(β)|².
type kernel struct {
	shape
	c      []sparseRow
	u      []float64 // inner coordinate of each cell
	tr     []int     // treatment of each cell
	lo, hi []float64 // bounds of β
	p, k   int
	span   []stretchOf // by parameter, the cells that it moves
	one    []float64   // C·1
	oneSq  float64
	held   bool // the ends are ordinary parameters of the descent

	// Linear families: β = hat·t and RSS = |t|² − |basis'·t|².
	hat   [][]float64 // p × k
	basis [][]float64 // p orthonormal vectors of length k

	// Logistic families: a fixed grid of starts, so that no redraw depends on
	// the luck of a warm start. For each grid point the curves with unit ends.
	starts []start
}

type start struct {
	beta []float64
	f    []float64   // C·f(β) for Logistic2
	q    [][]float64 // orthonormal basis of the free ends, for Logistic3 and 4
	off  []float64   // C·(fixed part), for Logistic3
}

// scratch is the work space of one goroutine.
type scratch struct {
	g, zero    []float64
	r, trial   []float64
	cj         [][]float64 // p × k: columns of C·J
	nrm, ch    []float64   // p × p
	grad, step []float64
	next       []float64
	free       []int
	mean       []float64
	p, pTrial  []float64   // logistic of each cell, at the point and at a trial
	up, upTry  []float64   // C times them, where the ends are projected out
	jac        [][]float64 // p × cells
}

func newScratch(p, k, cells int) *scratch {
	w := &scratch{
		g: make([]float64, p), zero: make([]float64, k), r: make([]float64, k), trial: make([]float64, k),
		nrm: make([]float64, p*p), ch: make([]float64, p*p), grad: make([]float64, p), step: make([]float64, p),
		next: make([]float64, p), free: make([]int, 0, p), mean: make([]float64, cells),
		p: make([]float64, cells), pTrial: make([]float64, cells),
		up: make([]float64, k), upTry: make([]float64, k),
	}
	for range p {
		w.cj = append(w.cj, make([]float64, k))
		w.jac = append(w.jac, make([]float64, cells))
	}
	return w
}

// sparseRow is a row of C without its leading and trailing zeros. C is upper
// triangular, and block diagonal when blocks are balanced over cells.
type sparseRow struct {
	from int
	v    []float64
}

// trim drops what is zero to rounding.
func trim(row []float64) sparseRow {
	top := 0.0
	for _, v := range row {
		top = math.Max(top, math.Abs(v))
	}
	lo, hi := 0, len(row)
	for lo < hi && math.Abs(row[lo]) <= 1e-14*top {
		lo++
	}
	for hi > lo && math.Abs(row[hi-1]) <= 1e-14*top {
		hi--
	}
	return sparseRow{lo, row[lo:hi]}
}

// times writes C·v into out.
func (k *kernel) times(v, out []float64) {
	for i, row := range k.c {
		s := 0.0
		at := v[row.from : row.from+len(row.v)]
		for j, c := range row.v {
			s += c * at[j]
		}
		out[i] = s
	}
}

// residual writes t − C·f(β) into out and returns its sum of squares. The
// logistic of each cell stays in w.pTrial, so that a Jacobian at the same point
// costs no further exponentials.
func (k *kernel) residual(beta, t []float64, w *scratch, out []float64) float64 {
	low, high := k.scale.Low, k.scale.High
	switch k.family {
	case Logistic3:
		high = beta[0]
	case Logistic4:
		low, high = beta[0], beta[1]
	}
	if k.linear() {
		for j, u := range k.u {
			w.mean[j] = k.mean(beta, u, k.tr[j])
		}
	} else {
		k.shares(beta, w)
		for j := range k.u {
			w.mean[j] = low + (high-low)*w.pTrial[j]
		}
	}
	k.times(w.mean, out)
	s := 0.0
	for i := range out {
		out[i] = t[i] - out[i]
		s += out[i] * out[i]
	}
	return s
}

// shares puts the logistic of each cell into w.pTrial.
func (k *kernel) shares(beta []float64, w *scratch) {
	e, slope := k.ends(), k.slopeAt(0)
	step := 0 // from the slope of one treatment to the next
	if k.own {
		step = 1
	}
	if e == 0 {
		for j, u := range k.u {
			w.pTrial[j] = logistic(beta[k.tr[j]] + beta[slope+step*k.tr[j]]*u)
		}
		return
	}
	last, inv := -1, 1.0
	for j, u := range k.u {
		tr := k.tr[j]
		if at := slope + step*tr; at != last {
			last, inv = at, math.Exp(-beta[at])
		}
		w.pTrial[j] = logistic((u - beta[e+tr]) * inv)
	}
}

// jacobian fills w.cj with the columns of C·∂f/∂β, evaluating the curve anew.
func (k *kernel) jacobian(beta []float64, w *scratch) {
	if !k.linear() {
		k.residual(beta, w.zero[:k.k], w, w.trial[:k.k])
		w.p, w.pTrial = w.pTrial, w.p
	}
	k.tangent(beta, w)
}

// tangent is jacobian with the logistic of each cell taken from w.p.
func (k *kernel) tangent(beta []float64, w *scratch) {
	g := w.g[:k.p]
	last, inv := -1, 0.0
	for j, u := range k.u {
		if k.ends() > 0 {
			if at := k.slopeAt(k.tr[j]); at != last {
				last, inv = at, math.Exp(-beta[at])
			}
		}
		k.gradientAt(beta, u, k.tr[j], w.p[j], inv, g)
		for a, v := range g {
			w.jac[a][j] = v
		}
	}
	for a := range k.p {
		if k.span == nil {
			k.times(w.jac[a], w.cj[a])
			continue
		}
		k.timesIn(w.jac[a], k.span[a], w.cj[a])
	}
}

// outcome of a minimisation: rss is |t − C·f|² alone, offset the relative
// offset of Bates & Watts with the pure error and its degrees of freedom added
// to the residual space.
type outcome struct {
	rss, offset float64
	iterations  int
	converged   bool
	onBound     bool
	abandoned   bool
}

// stop says when a descent ends.
type stop struct {
	tol     float64 // relative offset that is small enough
	last    float64 // relative offset from which one undamped step is enough, 0: none
	maxIter int
	// need, when positive, is the sum of squares above which the curve is of no
	// use. The descent is abandoned where even four times the fall that the
	// linear model promises would not reach it.
	need float64
}

// levenberg minimises from beta in place. pure and df complete the residual
// sum of squares.
//
// Marquardt's scaled damping on the normal equations: p ≤ 8 well-scaled
// parameters of order one, and the fixed point (gradient 0) does not depend on
// how the step was solved. A parameter on its bound whose gradient points
// outwards is left out of the step. Free ends are projected out (place): they
// are undamped, and follow the other parameters at once.
func (k *kernel) levenberg(beta, t []float64, pure, df float64, end stop, w *scratch) outcome {
	p := k.p
	var out outcome
	rss := k.place(beta, t, w, w.r)
	w.accept()
	lambda := 1e-3
	for out.iterations = 1; out.iterations <= end.maxIter; out.iterations++ {
		k.tangent(beta, w)
		w.free = w.free[:0]
		out.onBound = false
		for a := range p {
			g := dot(w.cj[a], w.r) // downhill direction
			w.grad[a] = g
			if beta[a] <= k.lo[a] && g <= 0 || beta[a] >= k.hi[a] && g >= 0 {
				out.onBound = true
				continue
			}
			w.free = append(w.free, a)
		}
		m := len(w.free)
		for i, a := range w.free {
			for j := 0; j <= i; j++ {
				w.nrm[i*p+j] = dot(w.cj[a], w.cj[w.free[j]])
			}
		}
		// Offset from the undamped step: g'N⁻¹g = |Q'r|² of the tangent plane,
		// which is also the fall that the linear model promises.
		off, fall := math.Inf(1), math.Inf(1)
		if k.solve(w, m, 0) {
			fall = 0
			for i, a := range w.free {
				fall += w.step[i] * w.grad[a]
			}
			off = math.Sqrt(math.Max(0, fall) / float64(max(m, 1)) / math.Max((rss+pure)/df, 1e-300))
		}
		out.rss, out.offset = rss, off
		if off <= end.tol || m == 0 {
			out.converged = true
			return out
		}
		if end.need > 0 && rss-4*fall > end.need {
			out.abandoned = true
			return out
		}
		if off <= end.last {
			k.move(beta, w)
			if s := k.place(w.next[:p], t, w, w.trial); s < rss {
				copy(beta, w.next[:p])
				out.rss, out.converged = s, true
				return out
			}
		}
		moved := false
		for range 30 {
			if !k.solve(w, m, lambda) {
				lambda = math.Max(lambda*10, 1e-8)
				continue
			}
			k.move(beta, w)
			if s := k.place(w.next[:p], t, w, w.trial); s < rss {
				copy(beta, w.next[:p])
				w.r, w.trial = w.trial, w.r
				w.accept()
				rss, moved = s, true
				lambda = math.Max(lambda/10, 1e-12)
				break
			}
			lambda *= 10
		}
		if !moved {
			// No lower point can be found: rounding, or a corner of the bounds.
			out.converged = off <= 1e-4
			return out
		}
	}
	out.iterations--
	return out
}

// move writes beta plus the step, kept within the bounds, into w.next.
func (k *kernel) move(beta []float64, w *scratch) {
	copy(w.next[:k.p], beta)
	for i, a := range w.free {
		w.next[a] = math.Min(math.Max(beta[a]+w.step[i], k.lo[a]), k.hi[a])
	}
}

// solve writes the step of (N + λ·diag N)·step = grad into w.step for the m
// free parameters; false when the matrix is not positive definite.
func (k *kernel) solve(w *scratch, m int, lambda float64) bool {
	p := k.p
	// Projected ends come first and are undamped; the damping of the others is
	// scaled by what the ends leave of the diagonal.
	ends := 0
	for !k.held && ends < m && w.free[ends] < k.ends() {
		ends++
	}
	for i := range m {
		for j := 0; j <= i; j++ {
			s := w.nrm[i*p+j]
			for q := range min(j, ends) {
				s -= w.ch[i*p+q] * w.ch[j*p+q]
			}
			if i == j && i >= ends {
				s *= 1 + lambda
			}
			for q := min(j, ends); q < j; q++ {
				s -= w.ch[i*p+q] * w.ch[j*p+q]
			}
			if i == j {
				if !(s > 1e-14*w.nrm[i*p+i]) {
					return false
				}
				w.ch[i*p+i] = math.Sqrt(s)
			} else {
				w.ch[i*p+j] = s / w.ch[j*p+j]
			}
		}
	}
	for i := range m {
		s := w.grad[w.free[i]]
		for q := range i {
			s -= w.ch[i*p+q] * w.step[q]
		}
		w.step[i] = s / w.ch[i*p+i]
	}
	for i := m - 1; i >= 0; i-- {
		s := w.step[i]
		for q := i + 1; q < m; q++ {
			s -= w.ch[q*p+i] * w.step[q]
		}
		w.step[i] = s / w.ch[i*p+i]
	}
	return true
}
