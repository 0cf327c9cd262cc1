package curve

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// AimKind says what a measure should do.
type AimKind int

// The kinds of aims.
const (
	InRange AimKind = iota // between Low and High, an infinity leaves a side free
	Highest                // within Matters of the maximum over the points where the InRange aims hold
	Lowest                 // within Matters of the minimum over the same points
)

// Aim is a wish for one measure.
type Aim struct {
	Measure   int
	Kind      AimKind
	Low, High float64
	Matters   float64
}

func (a Aim) check(measures int) error {
	switch {
	case a.Measure < 0 || a.Measure >= measures:
		return fmt.Errorf("%w: aim on measure %d of %d", stats.ErrDomain, a.Measure, measures)
	case a.Kind < InRange || a.Kind > Lowest:
		return fmt.Errorf("%w: aim of kind %d", stats.ErrDomain, a.Kind)
	case a.Kind == InRange && !(a.Low <= a.High):
		return fmt.Errorf("%w: aim from %v to %v", stats.ErrDomain, a.Low, a.High)
	case a.Kind != InRange && (!(a.Matters >= 0) || math.IsInf(a.Matters, 0)):
		return fmt.Errorf("%w: matters = %v", stats.ErrDomain, a.Matters)
	}
	return nil
}

// aimWork is the memory for judging one world.
type aimWork struct {
	margin [][]float64 // by aim and grid point, ≥ 0 where the aim holds
	top    []float64   // by aim, the extreme that Highest and Lowest refer to
}

func newAimWork(aims, points int) *aimWork {
	w := &aimWork{top: make([]float64, aims)}
	for range aims {
		w.margin = append(w.margin, make([]float64, points))
	}
	return w
}

// judge fills the margins of the curves (one a measure, on the grid).
func (w *aimWork) judge(aims []Aim, curves [][]float64) {
	for i, a := range aims {
		if a.Kind == InRange {
			m := w.margin[i]
			for g, y := range curves[a.Measure] {
				m[g] = min(y-a.Low, a.High-y)
			}
		}
	}
	for i, a := range aims {
		if a.Kind == InRange {
			continue
		}
		// The extreme among points where all ranges hold; none: no such point.
		sign := 1.0
		if a.Kind == Lowest {
			sign = -1
		}
		y := curves[a.Measure]
		top := math.Inf(-1)
		for g := range y {
			if w.ranges(aims, g) {
				top = math.Max(top, sign*y[g])
			}
		}
		w.top[i] = top
		for g := range y {
			if math.IsInf(top, -1) {
				w.margin[i][g] = -1
			} else {
				w.margin[i][g] = sign*y[g] - top + a.Matters
			}
		}
	}
}

func (w *aimWork) ranges(aims []Aim, g int) bool {
	for i, a := range aims {
		if a.Kind == InRange && w.margin[i][g] < 0 {
			return false
		}
	}
	return true
}

func (w *aimWork) all(g int) bool {
	for _, m := range w.margin {
		if m[g] < 0 {
			return false
		}
	}
	return true
}

// stretch is a run of grid points where all aims hold, its ends interpolated.
type stretch struct{ low, high float64 }

// longest is the longest stretch where every aim holds. Between a grid point
// where an aim holds and a neighbour where it does not, the end is where the
// straight line through the two margins crosses zero; of several aims the one
// that ends first counts.
func (w *aimWork) longest(grid []float64) (best stretch, ok bool) {
	for i := 0; i < len(grid); i++ {
		if !w.all(i) {
			continue
		}
		j := i
		for j+1 < len(grid) && w.all(j+1) {
			j++
		}
		s := stretch{grid[i], grid[j]}
		if i > 0 {
			s.low = grid[i-1]
			for _, m := range w.margin {
				if m[i-1] < 0 {
					s.low = math.Max(s.low, grid[i]-(grid[i]-grid[i-1])*m[i]/(m[i]-m[i-1]))
				}
			}
		}
		if j+1 < len(grid) {
			s.high = grid[j+1]
			for _, m := range w.margin {
				if m[j+1] < 0 {
					s.high = math.Min(s.high, grid[j]+(grid[j+1]-grid[j])*m[j]/(m[j]-m[j+1]))
				}
			}
		}
		if !ok || s.high-s.low > best.high-best.low {
			best, ok = s, true
		}
		i = j
	}
	return best, ok
}

// Middle is the middle of the longest stretch of the grid on which curves (one
// a measure) keep all aims; ok is false when there is none.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrDomain.
func Middle(grid []float64, curves [][]float64, aims []Aim) (low, high float64, ok bool, err error) {
	if err := checkGrid(grid); err != nil {
		return 0, 0, false, err
	}
	for i, c := range curves {
		if err := stats.CheckLengths(fmt.Sprintf("curves[%d]", i), len(c), "grid", len(grid)); err != nil {
			return 0, 0, false, err
		}
		if err := stats.CheckFinite(fmt.Sprintf("curves[%d]", i), c); err != nil {
			return 0, 0, false, err
		}
	}
	if len(aims) == 0 {
		return 0, 0, false, fmt.Errorf("%w: no aims", stats.ErrEmpty)
	}
	for _, a := range aims {
		if err := a.check(len(curves)); err != nil {
			return 0, 0, false, err
		}
	}
	w := newAimWork(len(aims), len(grid))
	w.judge(aims, curves)
	s, ok := w.longest(grid)
	return s.low, s.high, ok, nil
}

func checkGrid(grid []float64) error {
	if err := stats.CheckSample("grid", grid); err != nil {
		return err
	}
	for i := 1; i < len(grid); i++ {
		if !(grid[i] > grid[i-1]) {
			return fmt.Errorf("%w: grid must ascend", stats.ErrDomain)
		}
	}
	return nil
}

// Grid returns the points from low to high in steps (by index, so that errors
// do not add up), high included when a step ends within 1e-9 of it.
//
// Errors: ErrNonFinite; ErrDomain; ErrTooLarge above 100 000 points.
func Grid(low, high, step float64) ([]float64, error) {
	if err := stats.CheckFinite("grid", []float64{low, high, step}); err != nil {
		return nil, err
	}
	if !(step > 0) || high < low {
		return nil, fmt.Errorf("%w: grid from %v to %v in steps of %v", stats.ErrDomain, low, high, step)
	}
	n := (high-low)/step + 1e-9
	if n > 99_999 {
		return nil, fmt.Errorf("%w: %.0f grid points", stats.ErrTooLarge, n)
	}
	out := make([]float64, int(n)+1)
	for i := range out {
		out[i] = math.Min(low+float64(i)*step, high)
	}
	return out, nil
}
