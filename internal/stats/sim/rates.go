package sim

import (
	"fmt"
	"runtime"
	"sync"

	"tamis/internal/stats"
)

// Rates are counts over the draws of one design.
type Rates struct {
	Draws         int
	UnitRejects   int // p < 0.05 on cook means
	UnitCovers    int // interval holds the true difference
	MixedRejects  int
	MixedCovers   int
	MixedBoundary int // variance between cooks at 0
}

func (r *Rates) add(s Rates) {
	r.Draws += s.Draws
	r.UnitRejects += s.UnitRejects
	r.UnitCovers += s.UnitCovers
	r.MixedRejects += s.MixedRejects
	r.MixedCovers += s.MixedCovers
	r.MixedBoundary += s.MixedBoundary
}

// Run makes the given number of draws on all cores and counts. The counts do not
// depend on the cores. Errors: stats.ErrDomain for no draws, and the error of
// the first draw (in order) without an answer.
func (t *Trial) Run(seed uint64, draws int) (Rates, error) {
	if draws < 1 {
		return Rates{}, fmt.Errorf("%w: %d draws", stats.ErrDomain, draws)
	}
	workers := min(runtime.GOMAXPROCS(0), draws)
	parts := make([]Rates, workers)
	failed := make([]error, workers)
	at := make([]int, workers)
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := w; i < draws; i += workers {
				r, err := t.one(seed, i)
				if err != nil {
					failed[w], at[w] = err, i
					return
				}
				parts[w].add(r)
			}
		})
	}
	wg.Wait()
	var total Rates
	first := -1
	for w := range workers {
		total.add(parts[w])
		if failed[w] != nil && (first < 0 || at[w] < at[first]) {
			first = w
		}
	}
	if first >= 0 {
		return Rates{}, fmt.Errorf("draw %d: %w", at[first], failed[first])
	}
	return total, nil
}

func (t *Trial) one(seed uint64, draw int) (Rates, error) {
	y := t.Draw(seed, draw)
	u, err := t.Unit(y)
	if err != nil {
		return Rates{}, err
	}
	m, err := t.Mixed(y)
	if err != nil {
		return Rates{}, err
	}
	count := func(b bool) int {
		if b {
			return 1
		}
		return 0
	}
	return Rates{
		Draws:         1,
		UnitRejects:   count(u.P < 0.05),
		UnitCovers:    count(u.Interval.Contains(t.design.Effect)),
		MixedRejects:  count(m.P < 0.05),
		MixedCovers:   count(m.Interval.Contains(t.design.Effect)),
		MixedBoundary: count(m.Boundary),
	}, nil
}
