package ordinal

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// Data are the rows of an ordinal analysis.
type Data struct {
	// Y is the category code of each row. Only the order of the codes counts.
	Y []int
	// Scale lists all codes that could have been given, in any order; nil means
	// those that occur in Y. A code of Scale without rows is dropped and named.
	Scale []int
	// X has one row for each of Y and one column for each location effect,
	// without an intercept (the thresholds are the intercepts). nil: none.
	X *mat.Dense
	// Names are the names of X's columns; nil means x1, x2, …
	Names []string
	// Nominal columns have an effect of their own at each threshold; flexible
	// thresholds only. Spread columns act on the logarithm of the spread.
	Nominal, Spread           *mat.Dense
	NominalNames, SpreadNames []string
	// Weights count each row; nil means 1 each. Rows with weight 0 are ignored.
	Weights []float64
}

// Thresholds names the structure of θ.
type Thresholds int

const (
	// Flexible leaves each threshold free.
	Flexible Thresholds = iota
	// Equidistant has a first threshold and one spacing.
	Equidistant
	// Symmetric mirrors the spacings about the middle of the scale.
	Symmetric
)

// String is the name of the structure in lower case.
func (t Thresholds) String() string {
	switch t {
	case Flexible:
		return "flexible"
	case Equidistant:
		return "equidistant"
	case Symmetric:
		return "symmetric"
	}
	return fmt.Sprintf("thresholds(%d)", int(t))
}

// basis returns T with θ = Tα for k thresholds, the names of α, and c with
// Tc = 1, the direction in α that moves all thresholds alike.
func (t Thresholds) basis(codes []int) (T [][]float64, names []string, c []float64) {
	k := len(codes) - 1
	T = make([][]float64, k)
	switch t {
	case Equidistant:
		names, c = []string{"threshold.1", "spacing"}, []float64{1, 0}
		if k == 1 { // two categories: there is no spacing
			names, c = names[:1], c[:1]
		}
		for j := range T {
			T[j] = []float64{1, float64(j)}[:len(c)]
		}
	case Symmetric:
		// Odd k: the middle threshold and distances from it. Even k: the two
		// middle thresholds and distances outward from them.
		middle := 2 - k%2
		q := middle + (k-middle)/2
		names, c = make([]string, q), make([]float64, q)
		if middle == 1 {
			names[0], c[0] = "central", 1
		} else {
			names[0], names[1], c[0], c[1] = "central.1", "central.2", 1, 1
		}
		for s := middle; s < q; s++ {
			names[s] = "spacing." + strconv.Itoa(s-middle+1)
		}
		left, right := (k-1)/2, k/2 // the middle thresholds, equal for odd k
		for j := range T {
			T[j] = make([]float64, q)
			switch {
			case j <= left:
				T[j][0] = 1
				if d := left - j; d > 0 {
					T[j][middle+d-1] = -1
				}
			default:
				T[j][middle-1] = 1
				if d := j - right; d > 0 {
					T[j][middle+d-1] = 1
				}
			}
		}
	default:
		names, c = make([]string, k), make([]float64, k)
		for j := range T {
			T[j] = make([]float64, k)
			T[j][j], c[j] = 1, 1
			names[j] = fmt.Sprintf("%d|%d", codes[j], codes[j+1])
		}
	}
	return T, names, c
}

// columns is a block of the model matrix, its names and how it was scaled.
type columns struct {
	rows        [][]float64
	names       []string
	mean, scale []float64
	given       int   // columns before aliased ones were left out
	from        []int // place of each column among the given ones
}

func (c columns) width() int { return len(c.names) }

// readColumns checks a matrix of n rows and copies the rows kept. nil or empty
// gives no columns.
func readColumns(what string, m *mat.Dense, names []string, n int, kept []int, prefix string) (columns, error) {
	if m == nil || m.IsEmpty() {
		if len(names) > 0 {
			return columns{}, fmt.Errorf("%w: %s has no columns and %d names", stats.ErrLengths, what, len(names))
		}
		return columns{rows: make([][]float64, len(kept))}, nil
	}
	r, p := m.Dims()
	if err := stats.CheckLengths(what, r, "Y", n); err != nil {
		return columns{}, err
	}
	if names == nil {
		for j := range p {
			names = append(names, prefix+strconv.Itoa(j+1))
		}
	}
	if err := stats.CheckLengths("columns of "+what, p, "names", len(names)); err != nil {
		return columns{}, err
	}
	for i := range n {
		if err := stats.CheckFinite(fmt.Sprintf("%s row %d", what, i), m.RawRowView(i)); err != nil {
			return columns{}, err
		}
	}
	c := columns{rows: make([][]float64, len(kept)), names: slices.Clone(names), given: p}
	for j := range p {
		c.from = append(c.from, j)
	}
	for i, k := range kept {
		c.rows[i] = slices.Clone(m.RawRowView(k))
	}
	return c, nil
}

// standardise shifts (if asked) and scales each column in place, so that the
// answer does not depend on the unit or the zero of a column.
func (c *columns) standardise(shift bool) {
	p, n := c.width(), float64(len(c.rows))
	c.mean, c.scale = make([]float64, p), make([]float64, p)
	for j := range p {
		if shift {
			for _, r := range c.rows {
				c.mean[j] += r[j] / n
			}
		}
		top := 0.0
		for _, r := range c.rows {
			top = math.Max(top, math.Abs(r[j]-c.mean[j]))
		}
		// The largest deviation first, then the root mean square of what is
		// left between −1 and 1: squares of 1e200 would overflow.
		if top > 0 && !math.IsInf(top, 0) {
			ss := 0.0
			for _, r := range c.rows {
				d := (r[j] - c.mean[j]) / top
				ss += d * d / n
			}
			c.scale[j] = top * math.Sqrt(ss)
		} else {
			c.scale[j] = 1
		}
		for _, r := range c.rows {
			r[j] = (r[j] - c.mean[j]) / c.scale[j]
		}
	}
}

// dropAliased removes columns that are a combination of earlier ones, of the
// columns of before and of a constant, and returns their names. Gram–Schmidt,
// each column twice; a remainder below 1e-7 of the column counts as none.
func (c *columns) dropAliased(before ...columns) []string {
	n := len(c.rows)
	var basis [][]float64
	// independent reports whether v has something new, and then keeps it.
	independent := func(v []float64) bool {
		norm0 := sumSquares(v)
		for range 2 {
			for _, b := range basis {
				dot := 0.0
				for i := range v {
					dot += v[i] * b[i]
				}
				for i := range v {
					v[i] -= dot * b[i]
				}
			}
		}
		norm := sumSquares(v)
		if norm <= 1e-14*norm0 {
			return false
		}
		norm = math.Sqrt(norm)
		for i := range v {
			v[i] /= norm
		}
		basis = append(basis, v)
		return true
	}
	one := make([]float64, n)
	for i := range one {
		one[i] = 1
	}
	independent(one)
	for _, b := range before {
		for j := range b.names {
			independent(b.column(j))
		}
	}
	var keep []int
	var gone []string
	for j := range c.names {
		// After centring, a constant column holds only rounding, so its spread
		// is compared with its mean as well.
		if c.scale[j] <= 1e-13*math.Abs(c.mean[j]) || !independent(c.column(j)) {
			gone = append(gone, c.names[j])
			continue
		}
		keep = append(keep, j)
	}
	if len(gone) == 0 {
		return nil
	}
	for i, r := range c.rows {
		c.rows[i] = pick(r, keep)
	}
	c.names, c.mean, c.scale, c.from = pick(c.names, keep), pick(c.mean, keep), pick(c.scale, keep), pick(c.from, keep)
	return gone
}

func (c columns) column(j int) []float64 {
	v := make([]float64, len(c.rows))
	for i, r := range c.rows {
		v[i] = r[j]
	}
	return v
}

func pick[T any](xs []T, keep []int) []T {
	out := make([]T, len(keep))
	for k, j := range keep {
		out[k] = xs[j]
	}
	return out
}

func sumSquares(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x * x
	}
	return s
}

// categories finds the codes in use (ascending), the place of each row among
// them and the codes of the scale that nobody used.
func categories(ys, scale []int) (codes, place, empty []int, err error) {
	seen := map[int]bool{}
	for _, y := range ys {
		seen[y] = true
	}
	for y := range seen {
		codes = append(codes, y)
	}
	sort.Ints(codes)
	if scale != nil {
		for _, y := range codes {
			if !slices.Contains(scale, y) {
				return nil, nil, nil, fmt.Errorf("%w: code %d is not on the scale", stats.ErrDomain, y)
			}
		}
		for _, y := range scale {
			if !seen[y] && !slices.Contains(empty, y) {
				empty = append(empty, y)
			}
		}
		sort.Ints(empty)
	}
	if len(codes) < 2 {
		return nil, nil, nil, fmt.Errorf("%w: all rows are in one category, 2 needed", stats.ErrNoVariation)
	}
	place = make([]int, len(ys))
	for i, y := range ys {
		place[i] = sort.SearchInts(codes, y)
	}
	return codes, place, empty, nil
}

// readWeights returns the rows with a weight above 0, and their weights.
func readWeights(d Data) (kept []int, w []float64, err error) {
	n := len(d.Y)
	if n == 0 {
		return nil, nil, fmt.Errorf("%w: Y", stats.ErrEmpty)
	}
	if d.Weights != nil {
		if err := stats.CheckLengths("Weights", len(d.Weights), "Y", n); err != nil {
			return nil, nil, err
		}
		if err := stats.CheckFinite("Weights", d.Weights); err != nil {
			return nil, nil, err
		}
	}
	for i := range n {
		x := 1.0
		if d.Weights != nil {
			x = d.Weights[i]
		}
		if x < 0 {
			return nil, nil, fmt.Errorf("%w: Weights[%d] = %v is below 0", stats.ErrDomain, i, x)
		}
		if x > 0 {
			kept, w = append(kept, i), append(w, x)
		}
	}
	if len(kept) == 0 {
		return nil, nil, fmt.Errorf("%w: all weights are 0", stats.ErrEmpty)
	}
	return kept, w, nil
}
