package curve

import (
	"cmp"
	"fmt"
	"slices"

	"tamis/internal/stats"
)

// Data are the cells of a trial for one measure, one row per cook × treatment:
// the estimates of a first stage (with complete equal data, plain means).
// N is the number of rows; every slice has length N or is nil where allowed.
type Data struct {
	X []float64 // set point of the row, constant within a cook
	Y []float64 // estimate of the cell
	// Treatment is a small integer from 0; nil means one treatment.
	Treatment []int
	// Cook says which cook a row belongs to, any labels ≥ 0; nil makes each row
	// a cook. Measures that are drawn together must share these labels.
	Cook []int
	// Cov is the N × N covariance of Y given the cooks (what lies below or
	// crosses cooks). nil means that the scatter between cooks carries it all,
	// which is exact for complete equal data.
	Cov [][]float64
	// Blocks are columns of fixed blocks (contrasts or indicators; a column
	// that is aliased with the others is dropped).
	Blocks [][]float64
	// Random are block factors taken as random: a level for each row.
	Random [][]int
}

// limits: above them the dense algebra would take longer than anyone waits.
const (
	maxRows       = 2000
	maxTreatments = 32
	maxLabel      = 1 << 20
)

// layout is Data checked and indexed.
type layout struct {
	d          Data
	n          int
	treatment  []int
	treatments int
	cook       []int // dense, 0..cooks-1
	label      []int // cook label of each dense index
	cooks      int
	xs         []float64 // distinct set points, ascending
	cell       []int     // row → index into cells
	cells      []cellKey // distinct (x, treatment)
}

type cellKey struct {
	x float64
	t int
}

// check validates d and indexes it.
//
// Errors: ErrEmpty; ErrLengths; ErrNonFinite; ErrDomain for a negative label, a
// cook with two set points, or two rows of one cook and treatment; ErrTooLarge.
func check(d Data) (*layout, error) {
	n := len(d.Y)
	if n == 0 {
		return nil, fmt.Errorf("%w: no cells", stats.ErrEmpty)
	}
	if n > maxRows {
		return nil, fmt.Errorf("%w: %d cells, at most %d", stats.ErrTooLarge, n, maxRows)
	}
	if err := stats.CheckLengths("x", len(d.X), "y", n); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("x", d.X); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("y", d.Y); err != nil {
		return nil, err
	}
	if d.Treatment != nil {
		if err := stats.CheckLengths("treatment", len(d.Treatment), "y", n); err != nil {
			return nil, err
		}
	}
	if d.Cook != nil {
		if err := stats.CheckLengths("cook", len(d.Cook), "y", n); err != nil {
			return nil, err
		}
	}
	for i, b := range d.Blocks {
		if err := stats.CheckLengths(fmt.Sprintf("blocks[%d]", i), len(b), "y", n); err != nil {
			return nil, err
		}
		if err := stats.CheckFinite(fmt.Sprintf("blocks[%d]", i), b); err != nil {
			return nil, err
		}
	}
	for i, b := range d.Random {
		if err := stats.CheckLengths(fmt.Sprintf("random[%d]", i), len(b), "y", n); err != nil {
			return nil, err
		}
	}
	if d.Cov != nil {
		if err := stats.CheckLengths("cov", len(d.Cov), "y", n); err != nil {
			return nil, err
		}
		for i, row := range d.Cov {
			if err := stats.CheckLengths(fmt.Sprintf("cov[%d]", i), len(row), "y", n); err != nil {
				return nil, err
			}
			if err := stats.CheckFinite(fmt.Sprintf("cov[%d]", i), row); err != nil {
				return nil, err
			}
		}
	}

	l := &layout{d: d, n: n, treatment: make([]int, n), cook: make([]int, n), cell: make([]int, n)}
	dense := map[int]int{}
	type pair struct{ cook, t int }
	seen := map[pair]bool{}
	at := map[int]float64{}
	used := map[int]bool{}
	for i := range n {
		t, c := 0, i
		if d.Treatment != nil {
			t = d.Treatment[i]
		}
		if d.Cook != nil {
			c = d.Cook[i]
		}
		if t < 0 || t >= maxTreatments || c < 0 || c > maxLabel {
			return nil, fmt.Errorf("%w: row %d has treatment %d and cook %d", stats.ErrDomain, i, t, c)
		}
		k, ok := dense[c]
		if !ok {
			k = len(l.label)
			dense[c] = k
			l.label = append(l.label, c)
			at[c] = d.X[i]
		}
		if at[c] != d.X[i] {
			return nil, fmt.Errorf("%w: cook %d has set points %v and %v", stats.ErrDomain, c, at[c], d.X[i])
		}
		if seen[pair{c, t}] {
			return nil, fmt.Errorf("%w: cook %d has two rows for treatment %d", stats.ErrDomain, c, t)
		}
		seen[pair{c, t}] = true
		used[t] = true
		l.treatment[i], l.cook[i] = t, k
		l.treatments = max(l.treatments, t+1)
	}
	// A treatment number without rows would leave its level undetermined.
	if len(used) != l.treatments {
		return nil, fmt.Errorf("%w: treatments must be numbered 0 to %d without gaps", stats.ErrDomain, len(used)-1)
	}
	l.cooks = len(l.label)
	l.xs = slices.Compact(slices.Sorted(slices.Values(d.X)))
	for i := range n {
		l.cells = append(l.cells, cellKey{d.X[i], l.treatment[i]})
	}
	// Cells that share error stand together, which keeps C sparse: those of a
	// cook, or, where a cook holds one treatment, those of a treatment.
	split := l.cooks == n
	slices.SortFunc(l.cells, func(a, b cellKey) int {
		if split && a.t != b.t {
			return a.t - b.t
		}
		return cmp.Or(cmp.Compare(a.x, b.x), a.t-b.t)
	})
	l.cells = slices.Compact(l.cells)
	index := map[cellKey]int{}
	for i, c := range l.cells {
		index[c] = i
	}
	for i := range n {
		l.cell[i] = index[cellKey{d.X[i], l.treatment[i]}]
	}
	return l, nil
}

// arms returns for each cook a dense index of its pattern: the set point and
// the treatments that the cook holds. Cooks of one arm are repeats.
func (l *layout) arms() (arm []int, count int) {
	pattern := make([]string, l.cooks)
	order := make([][]int, l.cooks)
	for i := range l.n {
		order[l.cook[i]] = append(order[l.cook[i]], l.cell[i])
	}
	for c := range order {
		slices.Sort(order[c])
		pattern[c] = fmt.Sprint(order[c])
	}
	arm = make([]int, l.cooks)
	index := map[string]int{}
	for c, p := range pattern {
		k, ok := index[p]
		if !ok {
			k = len(index)
			index[p] = k
		}
		arm[c] = k
	}
	return arm, len(index)
}
