package curve

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// generator is the stream of draw i. The seed and the index go through a
// finaliser first (the mixing constants of SplitMix64, Steele et al. 2014), so
// that neighbouring draws start far apart.
func generator(seed uint64, i int) *rand.PCG { return rand.NewPCG(seed, mix(uint64(i)+1)) }

func mix(z uint64) uint64 {
	z *= 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// worker owns the memory of one goroutine.
type worker struct {
	s    *Sampler
	out  Draw
	z    []float64   // slots × measures, correlated standard normals
	raw  []float64   // measures
	nz   []float64   // next cook, by measure
	u    [][]float64 // whitened error by measure
	t    [][]float64
	fits []worked
	grid [][]float64 // grid in the inner coordinate of each measure
	even bool        // the grid is equally spaced
}

type worked struct {
	w    *scratch
	beta [][]float64 // by candidate
	aicc []float64
	wt   []float64
}

func (s *Sampler) newWorker(grid []float64) *worker {
	m := len(s.fits)
	w := &worker{s: s, z: make([]float64, s.n*m), raw: make([]float64, m), nz: make([]float64, m)}
	w.even = true
	for i, x := range grid {
		at := grid[0] + (grid[len(grid)-1]-grid[0])*float64(i)/math.Max(1, float64(len(grid)-1))
		w.even = w.even && math.Abs(x-at) <= 1e-12*(math.Abs(grid[0])+math.Abs(grid[len(grid)-1]))
	}
	tr := s.fits[0].stage.l.treatments
	for _, f := range s.fits {
		st := f.stage
		w.u = append(w.u, make([]float64, st.l.n))
		w.t = append(w.t, make([]float64, st.k))
		p := 1
		wk := worked{aicc: make([]float64, len(f.Candidates)), wt: make([]float64, len(f.Candidates))}
		for i := range f.Candidates {
			wk.beta = append(wk.beta, make([]float64, len(f.Candidates[i].beta)))
			p = max(p, len(f.Candidates[i].beta))
		}
		wk.w = newScratch(p, st.k, len(st.l.cells))
		w.fits = append(w.fits, wk)
		g := make([]float64, len(grid))
		for i, x := range grid {
			g[i] = st.units.in(x)
		}
		w.grid = append(w.grid, g)
		curves := make([][]float64, tr)
		for t := range curves {
			curves[t] = make([]float64, len(grid))
		}
		w.out.Curves = append(w.out.Curves, curves)
		w.out.Next = append(w.out.Next, make([]float64, tr))
	}
	return w
}

// centre is the averaged fit in the form of a draw.
func (w *worker) centre() *Draw {
	w.out.Index = -1
	for i, f := range w.s.fits {
		for j := range f.Candidates {
			w.fits[i].wt[j] = f.Candidates[j].Weight
			copy(w.fits[i].beta[j], f.Candidates[j].beta)
		}
		w.average(i)
	}
	return &w.out
}

// draw makes draw number index.
func (w *worker) draw(seed uint64, index int) {
	s := w.s
	m := len(s.fits)
	src := generator(seed, index)
	rng := rand.New(src)
	w.out.Index = index

	// √(ν/χ²_ν), one χ² for all measures. Measures with different ν share the
	// quantile instead of the value.
	width := make([]float64, m)
	if s.sameDF {
		chi := distuv.ChiSquared{K: s.df[0], Src: src}.Rand()
		for i := range width {
			width[i] = math.Sqrt(s.df[0] / chi)
		}
	} else {
		q := rng.Float64()
		for i := range width {
			width[i] = math.Sqrt(s.df[i] / distuv.ChiSquared{K: s.df[i]}.Quantile(math.Max(q, 1e-12)))
		}
	}
	normals := func(out []float64) {
		for i := range w.raw {
			w.raw[i] = rng.NormFloat64()
		}
		for i := range out {
			v := 0.0
			for j := 0; j <= i; j++ {
				v += s.root[i][j] * w.raw[j]
			}
			out[i] = v
		}
	}
	for c := range s.n {
		normals(w.z[c*m : (c+1)*m])
	}
	normals(w.nz)

	for i, f := range s.fits {
		st := f.stage
		a := width[i] * math.Sqrt(f.scale)
		for r, c := range s.slots[i] {
			w.u[i][r] = a * w.z[c*m+i]
		}
		pure := dot(w.u[i], w.u[i])
		for _, q := range st.qb {
			h := dot(q, w.u[i])
			pure -= h * h
		}
		for j, q := range st.q {
			h := dot(q, w.u[i])
			pure -= h * h
			w.t[i][j] = s.mean[i][j] + h
		}
		w.refit(i, math.Max(pure, 0))
		w.average(i)
		for t := range w.out.Next[i] {
			w.out.Next[i][t] = width[i] * f.CookSD[t] * w.nz[i]
		}
	}
}

// refit fits every candidate of measure i to its redrawn t and weighs it.
func (w *worker) refit(i int, pure float64) {
	f, k := w.s.fits[i], &w.fits[i]
	t := w.t[i]
	n := float64(f.stage.l.n)
	low := math.Inf(1)
	tt := dot(t, t)
	for j := range f.Candidates {
		c := &f.Candidates[j]
		k.wt[j] = 0
		if c.Excluded != "" {
			k.aicc[j] = math.Inf(1)
			continue
		}
		// No curve has less than the pure error. Where even that could not earn
		// a weight of 1e-5 beside what is already fitted, the fit is left out.
		if k.aicc[j] = n*math.Log(math.Max(pure, 1e-300)) + penalty2(c.K, f.stage.l.cooks); k.aicc[j]-low > negligible {
			k.aicc[j] = math.Inf(1)
			continue
		}
		rss := 0.0
		if c.kern.linear() {
			rss = tt
			for _, q := range c.kern.basis {
				h := dot(q, t)
				rss -= h * h
			}
			rss = math.Max(rss, 0)
		} else {
			limit := low + negligible
			sibling := j > 0 && f.Candidates[j-1].Family == c.Family && !math.IsInf(k.aicc[j-1], 1)
			if sibling { // of the two variants only the better one is weighed
				limit = math.Min(limit, k.aicc[j-1])
			}
			end := w.s.stop
			end.need = math.Max(math.Exp((limit-penalty2(c.K, f.stage.l.cooks))/n)-pure, 1e-300)
			if math.IsInf(limit, 1) {
				end.need = 0
			}
			w.begin(i, j, sibling)
			df := math.Max(1, n-float64(f.stage.BlockCols+c.kern.p))
			o := c.kern.levenberg(k.beta[j], t, pure, df, end, k.w)
			if o.abandoned {
				k.aicc[j] = math.Inf(1)
				continue
			}
			rss = o.rss
		}
		k.aicc[j] = n*math.Log(math.Max(rss+pure, 1e-300)) + penalty2(c.K, f.stage.l.cooks)
		low = math.Min(low, k.aicc[j])
	}
	sum := 0.0
	for j := range f.Candidates {
		if math.IsInf(k.aicc[j], 1) {
			continue
		}
		// Candidates of one family are neighbours: common slope, own slope.
		preferred := true
		for _, o := range []int{j - 1, j + 1} {
			if o >= 0 && o < len(f.Candidates) && f.Candidates[o].Family == f.Candidates[j].Family &&
				(k.aicc[o] < k.aicc[j] || k.aicc[o] == k.aicc[j] && o < j) {
				preferred = false
			}
		}
		if preferred {
			if d := k.aicc[j] - low; d <= negligible {
				k.wt[j] = math.Exp(-d / 2)
			}
			sum += k.wt[j]
		}
	}
	for j := range k.wt {
		k.wt[j] /= sum
		if c := &f.Candidates[j]; k.wt[j] > 0 && c.kern.linear() {
			for a := range k.beta[j] {
				k.beta[j][a] = dot(c.kern.hat[a], t)
			}
		}
	}
}

// drawStop ends the descent in a draw. A relative offset of 3e-3 places the
// estimate within a third of a hundredth of its own confidence radius, far below what
// the quantiles of 2 000 draws are uncertain by. From 0.03 on one Gauss–Newton step
// gets there, because what it leaves is of the order of its square.
var drawStop = stop{tol: 3e-3, last: 0.03, maxIter: 40}

// begin puts the start of candidate j of measure i into its beta: the lowest of
// the fit of the data, the grid of starts and, with slopes of their own, the
// curve with a common slope of this draw, which the same grid has led to.
func (w *worker) begin(i, j int, sibling bool) {
	c, k, t := &w.s.fits[i].Candidates[j], &w.fits[i], w.t[i]
	b := k.beta[j]
	var low float64
	if sibling {
		c.kern.spread(k.beta[j-1], b)
		low = c.kern.place(b, t, k.w, k.w.r[:c.kern.k])
	} else {
		low = c.kern.begin(t, b, k.w)
	}
	copy(k.w.next, c.beta)
	if warm := c.kern.place(k.w.next[:c.kern.p], t, k.w, k.w.r[:c.kern.k]); warm <= low {
		copy(b, c.beta)
	}
}

// spread copies the parameters of the variant with a common slope into those
// with slopes of their own.
func (k *kernel) spread(common, own []float64) {
	at := k.ends() + k.t
	copy(own[:at], common)
	for t := range k.t {
		own[at+t] = common[at]
	}
}

// negligible is the difference in AICc that corresponds to a weight of 1e-5.
const negligible = 23.02585092994046

// penalty2 is penalty where K may exceed what AICc allows: with a single
// candidate the value does not matter.
func penalty2(k, n int) float64 {
	if n-k-1 < 1 {
		return 0
	}
	return penalty(k, n)
}

// average writes the weighted curves of measure i.
func (w *worker) average(i int) {
	f, k := w.s.fits[i], &w.fits[i]
	for t, out := range w.out.Curves[i] {
		// The linear families add up to one polynomial.
		var level, slope, bend float64
		for j := range f.Candidates {
			if k.wt[j] > 0 && f.Candidates[j].kern.linear() {
				a, b, c := f.Candidates[j].kern.polynomial(k.beta[j], t)
				level, slope, bend = level+k.wt[j]*a, slope+k.wt[j]*b, bend+k.wt[j]*c
			}
		}
		for g, u := range w.grid[i] {
			out[g] = level + u*(slope+u*bend)
		}
		for j := range f.Candidates {
			if k.wt[j] > 0 && !f.Candidates[j].kern.linear() {
				f.Candidates[j].kern.add(k.beta[j], w.grid[i], w.even, t, k.wt[j], out)
			}
		}
	}
}
