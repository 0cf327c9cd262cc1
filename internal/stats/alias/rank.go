package alias

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// maxColumns and maxEntries bound the matrix whose singular values are found: a
// decomposition of 500 columns takes well under a second.
const (
	maxColumns = 500
	maxEntries = 1_000_000
)

// contrastTolerance is how far, relative to its length, the difference of two
// levels may reach into the directions that the data do not fix. Rounding leaves
// some 1e-15; a design either fixes a difference or misses it by far more.
const contrastTolerance = 1e-7

// byRank is the general case: singular values of [1 N S] and of [1 N].
func (d *data) byRank() (lost int, pairs [][2]int, err error) {
	columns := [][]float64{d.column(func(int) float64 { return 1 })}
	for _, n := range d.nuisance {
		columns = append(columns, d.columnsOf(n)...)
	}
	first := len(columns) // of the indicators of the levels; level 0 is the reference
	k := len(d.kept)
	for l := 1; l < k; l++ {
		columns = append(columns, d.column(func(i int) float64 { return indicator(d.level[i] == l) }))
	}
	if len(columns) > maxColumns || len(columns)*len(d.rows) > maxEntries {
		return 0, nil, fmt.Errorf("%w: a matrix of %d rows and %d columns", stats.ErrTooLarge, len(d.rows), len(columns))
	}
	length := make([]float64, len(columns))
	for j := range columns {
		length[j] = scale(columns[j])
	}
	with, null, err := decompose(columns)
	if err != nil {
		return 0, nil, err
	}
	without, _, err := decompose(columns[:first])
	if err != nil {
		return 0, nil, err
	}
	lost = (k - 1) - (with - without)
	if lost == 0 {
		return 0, nil, nil
	}
	// With columns divided by their lengths the coefficients are multiplied by
	// them, so the weight of a level in a difference is 1/length. The difference
	// is fixed by the data when it is orthogonal to every free direction.
	return lost, pairsWhere(k, func(a, b int) bool {
		wa, wb := 0.0, 0.0
		if a > 0 {
			wa = 1 / length[first+a-1]
		}
		if b > 0 {
			wb = 1 / length[first+b-1]
		}
		for _, v := range null {
			x := 0.0
			if a > 0 {
				x += wa * v[first+a-1]
			}
			if b > 0 {
				x -= wb * v[first+b-1]
			}
			if math.Abs(x) > contrastTolerance*math.Hypot(wa, wb) {
				return true
			}
		}
		return false
	}), nil
}

func (d *data) column(of func(i int) float64) []float64 {
	c := make([]float64, len(d.rows))
	for i := range c {
		c[i] = of(i)
	}
	return c
}

// columnsOf are the columns of one nuisance: the centred number, or an indicator
// for each code but the first met.
func (d *data) columnsOf(n Nuisance) [][]float64 {
	if n.Number != nil {
		top := 0.0
		for _, r := range d.rows {
			top = math.Max(top, math.Abs(n.Number[r]))
		}
		if top == 0 {
			top = 1
		}
		mean := 0.0
		for i, r := range d.rows {
			mean += (n.Number[r]/top - mean) / float64(i+1)
		}
		return [][]float64{d.column(func(i int) float64 {
			// Rounding of a constant is not a direction.
			if v := n.Number[d.rows[i]]/top - mean; math.Abs(v) > 1e-14 {
				return v
			}
			return 0
		})}
	}
	var codes []int
	seen := map[int]bool{}
	for _, r := range d.rows {
		if !seen[n.Code[r]] {
			seen[n.Code[r]] = true
			codes = append(codes, n.Code[r])
		}
	}
	var out [][]float64
	for _, c := range codes[1:] {
		out = append(out, d.column(func(i int) float64 { return indicator(n.Code[d.rows[i]] == c) }))
	}
	return out
}

func indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// scale divides a column by its length, which it returns. A column of zeros
// stays, with length 1.
func scale(c []float64) float64 {
	size := 0.0
	for _, v := range c {
		size = math.Max(size, math.Abs(v))
	}
	if size == 0 {
		return 1
	}
	sum := 0.0
	for _, v := range c {
		sum += (v / size) * (v / size)
	}
	length := size * math.Sqrt(sum)
	for i := range c {
		c[i] /= length
	}
	return length
}

// decompose gives the rank of some columns and an orthonormal basis of the
// coefficients that the rows do not fix.
func decompose(columns [][]float64) (rank int, null [][]float64, err error) {
	rows, p := len(columns[0]), len(columns)
	m := mat.NewDense(rows, p, nil)
	for j, c := range columns {
		m.SetCol(j, c)
	}
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDFullV) {
		return 0, nil, fmt.Errorf("%w: singular values", stats.ErrNotConverged)
	}
	values := svd.Values(nil) // largest first
	for _, v := range values {
		if v > rankTolerance*values[0] {
			rank++
		}
	}
	var v mat.Dense
	svd.VTo(&v)
	for j := rank; j < p; j++ {
		null = append(null, mat.Col(nil, j, &v))
	}
	return rank, null, nil
}
