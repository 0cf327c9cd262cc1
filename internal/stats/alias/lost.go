package alias

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Nuisance is a thing that may have moved along with the compared levels: a
// category (a code for each row, below 0 = not known) or a number (NaN = not
// known). Exactly one of the two is set.
type Nuisance struct {
	Code   []int
	Number []float64
}

// Category is a nuisance with a code for each row.
func Category(code []int) Nuisance { return Nuisance{Code: code} }

// Number is a nuisance with a number for each row. It takes one degree of
// freedom, so it can cost at most one.
func Number(x []float64) Nuisance { return Nuisance{Number: x} }

// Tie is what a nuisance takes away from the comparison of levels.
type Tie struct {
	Rows   int `json:"rows"`   // rows in which everything is known
	Levels int `json:"levels"` // levels that have such a row
	// Lost is how many of the Levels-1 degrees of freedom between the levels are
	// lost to the nuisance: 0 separable, Levels-1 fully tied.
	Lost int `json:"lost"`
	// Pairs are the pairs of levels, lower first, whose difference cannot be
	// estimated beside the nuisance. A level without a row is in none.
	Pairs [][2]int `json:"pairs,omitempty"`
	// Absent are the levels without a row.
	Absent []int `json:"absent,omitempty"`
}

// Full reports whether no difference between levels survives.
func (t *Tie) Full() bool { return t.Levels > 1 && t.Lost == t.Levels-1 }

// Lost finds how much of the comparison of k levels is lost to nuisances, all of
// them together. With 1 the intercept, S the indicators of the levels and N the
// columns of the nuisances,
//
//	lost = (k-1) - (rank[1 N S] - rank[1 N]),
//
// and the difference of two levels is separable when it lies in the row space
// of [1 N S] (Searle 1971, Linear Models, section 5.4, from memory). A rank is
// the number of singular values above 1e-9 of the largest, of columns that were
// centred where they are numbers and scaled to length 1.
//
// One category or one number has a closed form, which is used: for a category
// the components of the graph that links each level to the codes it met
// (connectedness: Weeks & Williams 1964, Technometrics 6:319, from memory).
//
// A row with an unknown level or nuisance is passed over. With fewer than two
// levels left Lost is 0. No nuisance loses nothing.
//
// Errors: ErrEmpty without rows, ErrDomain for k < 1, a level of k or more, or a
// nuisance that is both or neither, ErrLengths, ErrNonFinite for an infinity,
// ErrTooLarge above maxColumns columns or maxEntries entries of the matrix.
func Lost(level []int, k int, nuisance ...Nuisance) (*Tie, error) {
	if len(level) == 0 {
		return nil, fmt.Errorf("%w: levels", stats.ErrEmpty)
	}
	if k < 1 {
		return nil, fmt.Errorf("%w: %d levels", stats.ErrDomain, k)
	}
	for i, l := range level {
		if l >= k {
			return nil, fmt.Errorf("%w: level[%d] = %d of %d levels", stats.ErrDomain, i, l, k)
		}
	}
	for i, n := range nuisance {
		if err := n.check(i, len(level)); err != nil {
			return nil, err
		}
	}
	d := prepare(level, k, nuisance)
	t := &Tie{Rows: len(d.rows), Levels: len(d.kept), Absent: d.absent}
	if t.Levels < 2 || len(nuisance) == 0 {
		return t, nil
	}
	var pairs [][2]int
	var err error
	switch {
	case len(nuisance) > 1:
		t.Lost, pairs, err = d.byRank()
	case nuisance[0].Number != nil:
		t.Lost, pairs = d.byNumber(nuisance[0].Number)
	default:
		t.Lost, pairs = d.byGraph(nuisance[0].Code)
	}
	if err != nil {
		return nil, err
	}
	for _, p := range pairs {
		t.Pairs = append(t.Pairs, [2]int{d.kept[p[0]], d.kept[p[1]]})
	}
	return t, nil
}

func (n Nuisance) check(i, rows int) error {
	if (n.Code == nil) == (n.Number == nil) {
		return fmt.Errorf("%w: nuisance %d is a category or a number, one of the two", stats.ErrDomain, i)
	}
	if n := len(n.Code) + len(n.Number); n != rows {
		return stats.CheckLengths("levels", rows, fmt.Sprintf("nuisance %d", i), n)
	}
	for r, x := range n.Number {
		if math.IsInf(x, 0) {
			return fmt.Errorf("%w: nuisance %d, row %d", stats.ErrNonFinite, i, r)
		}
	}
	return nil
}

func (n Nuisance) known(row int) bool {
	if n.Number != nil {
		return !math.IsNaN(n.Number[row])
	}
	return n.Code[row] >= 0
}

// data is the rows in which everything is known, with the levels renumbered so
// that none is empty.
type data struct {
	rows     []int // row numbers of the input
	level    []int // of each of those rows, an index into kept
	kept     []int
	absent   []int
	nuisance []Nuisance
}

func prepare(level []int, k int, nuisance []Nuisance) *data {
	d := &data{nuisance: nuisance, rows: make([]int, 0, len(level))}
	number := make([]int, k)
	for r, l := range level {
		ok := l >= 0
		for i := 0; ok && i < len(nuisance); i++ {
			ok = nuisance[i].known(r)
		}
		if ok {
			d.rows = append(d.rows, r)
			number[l] = 1
		}
	}
	for l, seen := range number {
		if seen == 0 {
			d.absent = append(d.absent, l)
			continue
		}
		number[l] = len(d.kept)
		d.kept = append(d.kept, l)
	}
	d.level = make([]int, len(d.rows))
	for i, r := range d.rows {
		d.level[i] = number[level[r]]
	}
	return d
}

// compacted numbers codes in the order in which they occur; those below 0 stay.
func compacted(code []int) (small []int, n int) {
	small = make([]int, len(code))
	index := map[int]int{}
	for i, c := range code {
		if small[i] = c; c < 0 {
			continue
		}
		k, seen := index[c]
		if !seen {
			k = len(index)
			index[c] = k
		}
		small[i] = k
	}
	return small, len(index)
}

// byGraph joins all levels that share a code. Two indicator sets have together
// rank (levels + codes - components), the codes alone have rank codes, so what
// survives is levels - components, and a difference survives within a component.
func (d *data) byGraph(code []int) (lost int, pairs [][2]int) {
	k := len(d.kept)
	parent := make([]int, k)
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			i = parent[i]
		}
		return i
	}
	codes := 0
	for _, r := range d.rows {
		codes = max(codes, code[r]+1)
	}
	if codes > 4*len(code)+64 { // codes of any size are allowed
		code, codes = compacted(code)
	}
	met := make([]int, codes) // of each code, a level that met it, from 1; 0 while none did
	for i, r := range d.rows {
		first := met[code[r]] - 1
		if first < 0 {
			met[code[r]] = d.level[i] + 1
			continue
		}
		// The smaller number is the root, so that the result has no order of its own.
		a, b := find(first), find(d.level[i])
		parent[max(a, b)] = min(a, b)
	}
	components := 0
	for i := range k {
		if find(i) == i {
			components++
		}
	}
	return components - 1, pairsWhere(k, func(a, b int) bool { return find(a) != find(b) })
}

// rankTolerance is the share of the largest singular value below which one is 0.
const rankTolerance = 1e-9

// byNumber: a number that varies within any level keeps a direction of its own
// and costs nothing. One that is constant within every level and differs between
// them is a combination of the indicators: it costs one degree of freedom, and
// the difference of two levels survives only where the number is the same.
func (d *data) byNumber(x []float64) (lost int, pairs [][2]int) {
	top := 0.0
	for _, r := range d.rows {
		top = math.Max(top, math.Abs(x[r]))
	}
	if top == 0 {
		return 0, nil
	}
	k := len(d.kept)
	mean, n := make([]float64, k), make([]float64, k)
	grand := 0.0
	for i, r := range d.rows {
		l, v := d.level[i], x[r]/top // of size 1, so that nothing overflows
		n[l]++
		mean[l] += (v - mean[l]) / n[l]
		grand += (v - grand) / float64(i+1)
	}
	size, within := 0.0, 0.0
	for i, r := range d.rows {
		size = math.Max(size, math.Abs(x[r]/top-grand))
		within = math.Max(within, math.Abs(x[r]/top-mean[d.level[i]]))
	}
	// A deviation within the rounding of the numbers themselves is none.
	if size <= 1e-14 || within > rankTolerance*size {
		return 0, nil
	}
	return 1, pairsWhere(k, func(a, b int) bool { return math.Abs(mean[a]-mean[b]) > rankTolerance*size })
}

func pairsWhere(k int, tied func(a, b int) bool) (pairs [][2]int) {
	for a := range k {
		for b := a + 1; b < k; b++ {
			if tied(a, b) {
				pairs = append(pairs, [2]int{a, b})
			}
		}
	}
	return pairs
}
