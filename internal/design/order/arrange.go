package order

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"tamis/internal/design/search"
)

// Arrange puts the samples of each sitting in an order, so that every label
// stands at every place, and right after every other label, as often as the
// samples of the sittings allow. It starts from the orders given, which are not
// altered. samples and labels are as in Choose; each kind of label counts
// only where those before it leave a choice.
func Arrange(sittings [][]int, samples int, labels [][]int, rng *rand.Rand) ([][]int, error) {
	return ArrangeWithin(sittings, nil, samples, labels, rng)
}

// ArrangeWithin is Arrange where a sitting is served in parts, one after the
// other: part gives each place of each sitting its part, and a sample stays in the
// part that it is in. What the parts leave open is evened out over all sittings
// together. Without part every sitting is one.
func ArrangeWithin(sittings, part [][]int, samples int, labels [][]int, rng *rand.Rand) ([][]int, error) {
	if part != nil && !slices.EqualFunc(sittings, part, func(a, b []int) bool { return len(a) == len(b) }) {
		return nil, fmt.Errorf("%w: parts of other sittings", ErrArgument)
	}
	if rng == nil || samples < 0 || samples > MostItems {
		return nil, fmt.Errorf("%w: %d samples", ErrArgument, samples)
	}
	longest := 0
	for i, s := range sittings {
		longest = max(longest, len(s))
		for _, x := range s {
			if x < 0 || x >= samples {
				return nil, fmt.Errorf("%w: sample %d in sitting %d", ErrArgument, x, i)
			}
		}
	}
	for _, l := range labels {
		if len(l) != samples {
			return nil, fmt.Errorf("%w: %d labels of %d samples", ErrArgument, len(l), samples)
		}
		for _, v := range l {
			if v < 0 || v >= MostItems {
				return nil, fmt.Errorf("%w: label %d", ErrArgument, v)
			}
		}
	}
	var best [][]int
	var least float64
	for range tries {
		a, tastes := newArrangement(sittings, part, labels, longest)
		if len(a.open) == 0 || len(a.levels) == 0 {
			return a.rows, nil
		}
		if grew := search.Anneal(a, min(20_000+500*tastes, 100_000), 2, 0.01, rng); best == nil || grew < least {
			best, least = a.rows, grew
		}
	}
	return best, nil
}

// tries is how many searches start from the same place; the best one counts.
const tries = 3

func newArrangement(sittings, part [][]int, labels [][]int, longest int) (a *arrangement, tastes int) {
	a = &arrangement{rows: deep(nil, sittings)}
	for i, l := range labels {
		if slices.ContainsFunc(labels[:i], func(o []int) bool { return slices.Equal(o, l) }) {
			continue
		}
		n := 0
		for _, v := range l {
			n = max(n, v+1)
		}
		p := newPlaced(a.rows, l, n, longest)
		p.weight = math.Pow(0.05, math.Min(2, float64(len(a.levels))))
		a.levels = append(a.levels, p)
	}
	for i, row := range a.rows {
		all := make([][]int, len(row))
		free := 0
		for k := range row {
			for m := range row {
				if m != k && (part == nil || part[i][m] == part[i][k]) {
					all[k] = append(all[k], m)
				}
			}
			free += min(1, len(all[k]))
		}
		if a.mates = append(a.mates, all); free > 0 {
			a.open = append(a.open, i)
			tastes += free
		}
	}
	return a, tastes
}

// The weights: an uneven place is a worse fault than an uneven predecessor.
const (
	weighPlace = 3
	weighAfter = 2
)

// placed counts one kind of label against what a blind deal would give.
type placed struct {
	weight       float64
	label        []int
	place, after [][]float64 // count less expected
}

func newPlaced(rows [][]int, label []int, n, longest int) placed {
	p := placed{label: label, place: make([][]float64, n), after: make([][]float64, n)}
	for i := range n {
		p.place[i], p.after[i] = make([]float64, longest), make([]float64, n)
	}
	for _, row := range rows {
		for _, x := range row {
			for i := range row { // each of m samples stands at a place with the chance 1/m
				p.place[label[x]][i] -= 1 / float64(len(row))
			}
			for _, y := range row { // and right before each other one with the same chance
				if x != y {
					p.after[label[x]][label[y]] -= 1 / float64(len(row))
				}
			}
		}
	}
	for _, row := range rows {
		p.count(row, 0, len(row)-1, 1)
	}
	return p
}

// count adds (by 1) or takes out (by -1) the places and successions of a row
// that a change between two places touches, and returns the growth of the cost.
func (p *placed) count(row []int, i, j int, by float64) float64 {
	grow := func(v *float64) float64 {
		*v += by
		return by * (2**v - by)
	}
	var d float64
	for k := i; k <= j; k++ {
		d += weighPlace * grow(&p.place[p.label[row[k]]][k])
	}
	for k := max(1, i); k <= min(j+1, len(row)-1); k++ {
		d += weighAfter * grow(&p.after[p.label[row[k-1]]][p.label[row[k]]])
	}
	return d
}

// arrangement is the state of the search.
type arrangement struct {
	rows, saved [][]int
	open        []int     // sittings in which something may change
	mates       [][][]int // by sitting and place: the places that its sample may change with
	levels      []placed
	last        struct{ row, i, j int }
}

// Change swaps two samples of a part of a sitting.
func (a *arrangement) Change(rng *rand.Rand) (float64, bool) {
	r := a.open[rng.IntN(len(a.open))]
	i := rng.IntN(len(a.rows[r]))
	mates := a.mates[r][i]
	if len(mates) == 0 {
		return 0, false
	}
	j := mates[rng.IntN(len(mates))]
	a.last.row, a.last.i, a.last.j = r, min(i, j), max(i, j)
	return a.swap(), true
}

func (a *arrangement) swap() float64 {
	row, i, j := a.rows[a.last.row], a.last.i, a.last.j
	var d float64
	for l := range a.levels {
		d += a.levels[l].weight * a.levels[l].count(row, i, j, -1)
	}
	row[i], row[j] = row[j], row[i]
	for l := range a.levels {
		d += a.levels[l].weight * a.levels[l].count(row, i, j, 1)
	}
	return d
}

// Undo swaps back.
func (a *arrangement) Undo() { a.swap() }

// Save keeps the orders.
func (a *arrangement) Save() { a.saved = deep(a.saved, a.rows) }

// Load restores them; the counts are not needed any more.
func (a *arrangement) Load() { a.rows = deep(nil, a.saved) }
