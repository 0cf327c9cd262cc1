package curve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/stat/distuv"

	"tamis/internal/stats"
)

// Draw is one redrawn world. Its slices are reused: a consumer copies what it
// keeps.
type Draw struct {
	Index int
	// Curves[m][t][g] is the averaged curve of measure m and treatment t at
	// grid point g.
	Curves [][][]float64
	// Next[m][t] is the error of one more cook, the same along the grid.
	Next [][]float64
}

// Consumer takes draws. Begin is called once, before the first draw. Take is
// called from several goroutines, once for each index from 0 to n−1 in any
// order, so it must write only to a place of that index.
type Consumer interface {
	Begin(n int, grid []float64) error
	Take(d *Draw)
}

// Centred is a Consumer that also wants the curves about which the draws are
// made: the averaged fit, with Index −1 and no error of a next cook. Centre is
// called once, after Begin.
type Centred interface {
	Consumer
	Centre(d *Draw)
}

// Sampler redraws several measures of the same cooks together.
type Sampler struct {
	fits   []*Fit
	slots  [][]int     // row of measure m → slot of (cook, treatment)
	n      int         // slots
	corr   [][]float64 // between measures
	root   [][]float64 // its lower Cholesky factor
	mean   [][]float64 // centre of t for each measure
	df     []float64
	sameDF bool
	warn   []stats.Warning
}

// NewSampler prepares the draws of science of the second stage:
//
//   - the centre is the averaged curve of each measure;
//   - the error of a cook is normal with the fitted covariance, times √(ν/χ²_ν)
//     with one χ² for all measures of a draw: Student's width at few degrees of
//     freedom;
//   - errors of the measures of one cook are correlated by the pooled
//     correlation of the residuals within arms, or independent when there are
//     fewer degrees of freedom than twice the measures;
//   - every draw refits all candidates that took part, chooses the variant of
//     each family and weighs them anew.
//
// Measures share cook labels; a measure may lack some cooks.
// Errors: ErrEmpty, ErrDomain when measures differ in their treatments.
func NewSampler(fits ...*Fit) (*Sampler, error) {
	if len(fits) == 0 {
		return nil, fmt.Errorf("%w: no measures", stats.ErrEmpty)
	}
	s := &Sampler{fits: fits, sameDF: true}
	type key struct{ cook, t int }
	slot := map[key]int{}
	for m, f := range fits {
		if f == nil {
			return nil, fmt.Errorf("%w: measure %d has no fit", stats.ErrEmpty, m)
		}
		l := f.stage.l
		if l.treatments != fits[0].stage.l.treatments {
			return nil, fmt.Errorf("%w: measures have %d and %d treatments", stats.ErrDomain, fits[0].stage.l.treatments, l.treatments)
		}
		rows := make([]int, l.n)
		for i := range l.n {
			k := key{l.label[l.cook[i]], l.treatment[i]}
			j, ok := slot[k]
			if !ok {
				j = len(slot)
				slot[k] = j
			}
			rows[i] = j
		}
		s.slots = append(s.slots, rows)
		s.df = append(s.df, float64(f.DF))
		s.sameDF = s.sameDF && f.DF == fits[0].DF

		// Centre: C times the averaged curve at the cells.
		cells := make([]float64, len(l.cells))
		for j, c := range l.cells {
			for i := range f.Candidates {
				if cand := &f.Candidates[i]; cand.Weight > 0 {
					cells[j] += cand.Weight * cand.kern.mean(cand.beta, f.stage.units.in(c.x), c.t)
				}
			}
		}
		t := make([]float64, f.stage.k)
		(&kernel{c: f.stage.c}).times(cells, t)
		s.mean = append(s.mean, t)
	}
	s.n = len(slot)
	s.correlate()
	return s, nil
}

// Correlation is the matrix between the measures that the draws use.
func (s *Sampler) Correlation() [][]float64 {
	out := make([][]float64, len(s.corr))
	for i := range out {
		out[i] = append([]float64(nil), s.corr[i]...)
	}
	return out
}

// Warnings are reservations about the draws.
func (s *Sampler) Warnings() []stats.Warning { return append([]stats.Warning(nil), s.warn...) }

// correlate estimates the correlation of whitened residuals within arms.
func (s *Sampler) correlate() {
	m := len(s.fits)
	res := make([][]float64, m)
	has := make([][]bool, m)
	df := math.Inf(1)
	for i, f := range s.fits {
		res[i], has[i] = make([]float64, s.n), make([]bool, s.n)
		for r, v := range f.stage.within() {
			res[i][s.slots[i][r]], has[i][s.slots[i][r]] = v, true
		}
		df = math.Min(df, s.df[i])
		if f.ErrorFrom != FromRepeats {
			df = 0 // no arms to be within
		}
	}
	s.corr = make([][]float64, m)
	for i := range s.corr {
		s.corr[i] = make([]float64, m)
		s.corr[i][i] = 1
	}
	if m > 1 && df >= 2*float64(m) {
		for i := range m {
			for j := range i {
				xy, xx, yy := 0.0, 0.0, 0.0
				for c := range s.n {
					if has[i][c] && has[j][c] {
						xy += res[i][c] * res[j][c]
						xx += res[i][c] * res[i][c]
						yy += res[j][c] * res[j][c]
					}
				}
				if xx > 0 && yy > 0 {
					s.corr[i][j] = xy / math.Sqrt(xx*yy)
					s.corr[j][i] = s.corr[i][j]
				}
			}
		}
	} else if m > 1 {
		s.warn = append(s.warn, stats.Warning{ID: "measures-independent", Need: 2 * float64(m),
			Text: "Too few repeated cooks to see how the measures move together: their errors are drawn independently. The need is in degrees of freedom of repeated cooks."})
	}
	// Pairwise sums over different cooks may leave the matrix slightly
	// indefinite, and two measures may be copies: shrink until it factors.
	for {
		if s.root = lowerRoot(s.corr); s.root != nil {
			return
		}
		for i := range m {
			for j := range m {
				if i != j {
					s.corr[i][j] *= 0.99
				}
			}
		}
	}
}

// lowerRoot is the Cholesky factor, or nil when a pivot is not clearly positive.
func lowerRoot(a [][]float64) [][]float64 {
	l := make([][]float64, len(a))
	for i := range a {
		l[i] = make([]float64, len(a))
		for j := 0; j <= i; j++ {
			v := a[i][j]
			for k := range j {
				v -= l[i][k] * l[j][k]
			}
			if i == j {
				if v < 1e-6 {
					return nil
				}
				l[i][i] = math.Sqrt(v)
			} else {
				l[i][j] = v / l[j][j]
			}
		}
	}
	return l
}

// within are the whitened residuals from free cell means and blocks.
func (s *Stage) within() []float64 {
	l := s.l
	r := make([]float64, l.n)
	for i := range l.n {
		v := l.d.Y[i]
		for j := range i {
			v -= s.chol.At(i, j) * r[j]
		}
		r[i] = v / s.chol.At(i, i)
	}
	for _, set := range [][][]float64{s.qb, s.q} {
		for _, q := range set {
			h := dot(q, r)
			for i := range r {
				r[i] -= h * q[i]
			}
		}
	}
	return r
}

// DefaultDraws is enough for chances to about 0.01.
const DefaultDraws = 2000

// maxDraws bounds memory.
const maxDraws = 1_000_000

// Run makes n draws and hands each to every consumer. grid holds the points at
// which curves are evaluated, within a tenth of the range of the cooked set
// points of every measure. The result depends on n, seed and grid only.
//
// Errors: ErrEmpty, ErrDomain, ErrNonFinite for the grid; ErrTooLarge; those of
// Begin.
func (s *Sampler) Run(n int, seed uint64, grid []float64, consumers ...Consumer) error {
	if n < 1 || len(grid) == 0 {
		return fmt.Errorf("%w: %d draws on %d grid points", stats.ErrEmpty, n, len(grid))
	}
	if n > maxDraws || len(grid) > 100_000 {
		return fmt.Errorf("%w: %d draws on %d grid points", stats.ErrTooLarge, n, len(grid))
	}
	for _, f := range s.fits {
		for _, x := range grid {
			if _, err := f.stage.inside(x, 0); err != nil {
				return err
			}
		}
	}
	grid = slices.Clone(grid)
	for _, c := range consumers {
		if v, ok := c.(interface {
			fits(measures, treatments int) error
		}); ok {
			if err := v.fits(len(s.fits), s.fits[0].stage.l.treatments); err != nil {
				return err
			}
		}
		if err := c.Begin(n, grid); err != nil {
			return err
		}
	}
	centre := s.newWorker(grid).centre()
	for _, c := range consumers {
		if k, ok := c.(Centred); ok {
			k.Centre(centre)
		}
	}
	const chunk = 16
	workers := min(runtime.GOMAXPROCS(0), (n+chunk-1)/chunk)
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			w := s.newWorker(grid)
			for {
				lo := int(next.Add(chunk)) - chunk
				if lo >= n {
					return
				}
				for i := lo; i < min(lo+chunk, n); i++ {
					w.draw(seed, i)
					for _, c := range consumers {
						c.Take(&w.out)
					}
				}
			}
		})
	}
	wg.Wait()
	return nil
}

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
			b := k.beta[j]
			grid := c.kern.begin(t, b, k.w)
			if warm := c.kern.residual(c.beta, t, k.w, k.w.r[:c.kern.k]); warm <= grid {
				copy(b, c.beta)
			}
			// A relative offset of 1e-3 places the estimate within a
			// thousandth of its own confidence radius.
			df := math.Max(1, n-float64(f.stage.BlockCols+c.kern.p))
			rss = c.kern.levenberg(b, t, pure, df, 1e-3, 40, k.w).rss
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
		clear(out)
		for j := range f.Candidates {
			if k.wt[j] == 0 {
				continue
			}
			f.Candidates[j].kern.add(k.beta[j], w.grid[i], w.even, t, k.wt[j], out)
		}
	}
}
