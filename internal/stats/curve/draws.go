package curve

import (
	"fmt"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

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
	stop   stop // of the descent in a draw
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
	s := &Sampler{fits: fits, sameDF: true, stop: drawStop}
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
