package curve

import (
	"math"
)

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
	k.spans()
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

// begin copies the best start of the grid into beta and returns the sum of
// squares there with the best ends. The ends in beta are not those: place finds
// them.
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
	return best
}
