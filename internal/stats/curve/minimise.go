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
	jac        [][]float64 // p × cells
}

func newScratch(p, k, cells int) *scratch {
	w := &scratch{
		g: make([]float64, p), zero: make([]float64, k), r: make([]float64, k), trial: make([]float64, k),
		nrm: make([]float64, p*p), ch: make([]float64, p*p), grad: make([]float64, p), step: make([]float64, p),
		next: make([]float64, p), free: make([]int, 0, p), mean: make([]float64, cells),
		p: make([]float64, cells), pTrial: make([]float64, cells),
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
	e := k.ends()
	low, high := k.scale.Low, k.scale.High
	switch k.family {
	case Logistic3:
		high = beta[0]
	case Logistic4:
		low, high = beta[0], beta[1]
	}
	last, inv := -1, 1.0
	for j, u := range k.u {
		tr := k.tr[j]
		switch {
		case k.linear():
			w.mean[j] = k.mean(beta, u, tr)
			continue
		case k.family == Logistic2:
			w.pTrial[j] = logistic(beta[tr] + beta[k.slopeAt(tr)]*u)
		default:
			if at := k.slopeAt(tr); at != last {
				last, inv = at, math.Exp(-beta[at])
			}
			w.pTrial[j] = logistic((u - beta[e+tr]) * inv)
		}
		w.mean[j] = low + (high-low)*w.pTrial[j]
	}
	k.times(w.mean, out)
	s := 0.0
	for i := range out {
		out[i] = t[i] - out[i]
		s += out[i] * out[i]
	}
	return s
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
		k.times(w.jac[a], w.cj[a])
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
}

// levenberg minimises from beta in place. pure and df complete the residual
// sum of squares; tol is the relative offset at which to stop.
//
// Marquardt's scaled damping on the normal equations: p ≤ 8 well-scaled
// parameters of order one, and the fixed point (gradient 0) does not depend on
// how the step was solved. A parameter on its bound whose gradient points
// outwards is left out of the step.
func (k *kernel) levenberg(beta, t []float64, pure, df, tol float64, maxIter int, w *scratch) outcome {
	p := k.p
	var out outcome
	rss := k.residual(beta, t, w, w.r)
	w.p, w.pTrial = w.pTrial, w.p
	lambda := 1e-3
	for out.iterations = 1; out.iterations <= maxIter; out.iterations++ {
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
		// Offset from the undamped step: g'N⁻¹g = |Q'r|² of the tangent plane.
		off := math.Inf(1)
		if k.solve(w, m, 0) {
			s := 0.0
			for i, a := range w.free {
				s += w.step[i] * w.grad[a]
			}
			off = math.Sqrt(math.Max(0, s) / float64(max(m, 1)) / math.Max((rss+pure)/df, 1e-300))
		}
		out.rss, out.offset = rss, off
		if off <= tol || m == 0 {
			out.converged = true
			return out
		}
		moved := false
		for range 30 {
			if !k.solve(w, m, lambda) {
				lambda = math.Max(lambda*10, 1e-8)
				continue
			}
			copy(w.next[:p], beta)
			for i, a := range w.free {
				w.next[a] = math.Min(math.Max(beta[a]+w.step[i], k.lo[a]), k.hi[a])
			}
			if s := k.residual(w.next[:p], t, w, w.trial); s < rss {
				copy(beta, w.next[:p])
				w.r, w.trial = w.trial, w.r
				w.p, w.pTrial = w.pTrial, w.p
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

// solve writes the step of (N + λ·diag N)·step = grad into w.step for the m
// free parameters; false when the matrix is not positive definite.
func (k *kernel) solve(w *scratch, m int, lambda float64) bool {
	p := k.p
	for i := range m {
		for j := 0; j <= i; j++ {
			s := w.nrm[i*p+j]
			if i == j {
				s *= 1 + lambda
			}
			for q := range j {
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

// prepare builds the linear projection or the grid of starts. It reports false
// when the blocks leave a linear family without a unique solution.
func (k *kernel) prepare(gap float64) bool {
	k.lo, k.hi = k.bounds(gap)
	if k.linear() {
		w := newScratch(k.p, k.k, len(k.u))
		k.jacobian(make([]float64, k.p), w)
		k.basis = orthonormal(nil, w.cj)
		if len(k.basis) < k.p {
			return false
		}
		// Back-substitution in C·J = basis·R gives hat = R⁻¹·basis'.
		k.hat = make([][]float64, k.p)
		for a := k.p - 1; a >= 0; a-- {
			row := append([]float64(nil), k.basis[a]...)
			for b := a + 1; b < k.p; b++ {
				r := dot(k.basis[a], w.cj[b])
				for i := range row {
					row[i] -= r * k.hat[b][i]
				}
			}
			d := dot(k.basis[a], w.cj[a])
			for i := range row {
				row[i] /= d
			}
			k.hat[a] = row
		}
		return true
	}
	w := newScratch(k.p, k.k, len(k.u))
	for _, mid := range []float64{-1.5, -1, -0.75, -0.5, -0.25, 0, 0.25, 0.5, 0.75, 1, 1.5} {
		for _, sc := range []float64{0.08, 0.2, 0.5, 1.2} {
			for _, sign := range []float64{1, -1} {
				if sign < 0 && k.family == Logistic4 {
					continue // the ends may swap instead
				}
				b := make([]float64, k.p)
				for t := range k.t {
					if k.family == Logistic2 {
						b[t], b[k.slopeAt(t)] = -sign*mid/sc, sign/sc
					} else {
						b[k.ends()+t], b[k.slopeAt(t)] = mid, math.Log(sc)
					}
				}
				if k.family == Logistic3 && sign < 0 {
					continue
				}
				for a := range b {
					b[a] = math.Min(math.Max(b[a], k.lo[a]), k.hi[a])
				}
				k.starts = append(k.starts, k.newStart(b, w))
			}
		}
	}
	return true
}

func (k *kernel) newStart(b []float64, w *scratch) start {
	s := start{beta: b}
	if k.family == Logistic2 {
		s.f = make([]float64, k.k)
		zero := make([]float64, k.k)
		k.residual(b, zero, w, s.f)
		for i := range s.f {
			s.f[i] = -s.f[i]
		}
		return s
	}
	// g is the logistic with ends 0 and 1; the curve is A·(1−g) + B·g.
	probe := append([]float64(nil), b...)
	g, rest := make([]float64, len(k.u)), make([]float64, len(k.u))
	unit := k.shape
	unit.scale = Scale{0, 1}
	if unit.ends() == 2 {
		probe[0], probe[1] = 0, 1
	} else {
		probe[0] = 1
	}
	for j, u := range k.u {
		g[j] = unit.mean(probe, u, k.tr[j])
		rest[j] = 1 - g[j]
	}
	cg, cr := make([]float64, k.k), make([]float64, k.k)
	k.times(g, cg)
	k.times(rest, cr)
	if k.ends() == 2 {
		s.q = orthonormal(nil, [][]float64{cg, cr})
	} else {
		s.q = orthonormal(nil, [][]float64{cg})
		s.off = make([]float64, k.k)
		for i := range cr {
			s.off[i] = k.scale.Low * cr[i]
		}
	}
	return s
}

// begin copies the best start of the grid into beta, its free ends solved, and
// returns the sum of squares there.
func (k *kernel) begin(t, beta []float64, w *scratch) float64 {
	best, at := math.Inf(1), 0
	for i := range k.starts {
		s := &k.starts[i]
		rss := 0.0
		if s.f != nil {
			for j, v := range s.f {
				d := t[j] - v
				rss += d * d
			}
		} else {
			r := t
			if s.off != nil {
				r = w.trial[:k.k]
				for j := range r {
					r[j] = t[j] - s.off[j]
				}
			}
			rss = dot(r, r)
			for _, q := range s.q {
				h := dot(q, r)
				rss -= h * h
			}
		}
		if rss < best {
			best, at = rss, i
		}
	}
	copy(beta, k.starts[at].beta)
	if k.ends() > 0 {
		k.solveEnds(t, beta, w)
		best = k.residual(beta, t, w, w.r)
	}
	return best
}

// solveEnds puts the least squares ends for the given mid-points and scales
// into beta.
func (k *kernel) solveEnds(t, beta []float64, w *scratch) {
	k.jacobian(beta, w)
	e := k.ends()
	a := w.cj[0]
	if e == 1 {
		// f = low·(1−g) + B·g, column g = a.
		b0 := beta[0]
		k.residual(beta, t, w, w.r)
		if d := dot(a, a); d > 0 {
			beta[0] = b0 + dot(a, w.r)/d
		}
		return
	}
	b := w.cj[1]
	aa, ab, bb := dot(a, a), dot(a, b), dot(b, b)
	at, bt := dot(a, t), dot(b, t)
	det := aa*bb - ab*ab
	if det <= 1e-12*aa*bb {
		// The curve is flat over the data: both ends at the level.
		m := 0.0
		if aa+bb+2*ab > 0 {
			m = (at + bt) / (aa + bb + 2*ab)
		}
		beta[0], beta[1] = m, m+1e-3*(1+math.Abs(m))
		return
	}
	beta[0] = (at*bb - bt*ab) / det
	beta[1] = (bt*aa - at*ab) / det
}
