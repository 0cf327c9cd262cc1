package alias

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Link is how closely two categories go together in a table of counts.
type Link struct {
	N          int     `json:"n"`
	Rows       int     `json:"rows"` // with a count above 0
	Columns    int     `json:"columns"`
	ChiSquared float64 `json:"chi_squared"`
	V          float64 `json:"v"`         // Cramér's V
	Corrected  float64 `json:"corrected"` // bias-corrected, 0 where that is not defined
}

// CramersV is Cramér's V of a table of counts, table[row][column], with
// φ² = χ²/n and V = √(φ²/(min(r,c)-1)). Rows and columns without a count are
// dropped first.
//
// V is biased upwards: with no link at all φ² is about (r-1)(c-1)/(n-1). The
// corrected form takes that off and shrinks r and c to match (Bergsma 2013,
// Journal of the Korean Statistical Society 42:323, from memory):
//
//	φ̃² = max(0, φ² - (r-1)(c-1)/(n-1)),  r̃ = r - (r-1)²/(n-1),  c̃ alike,
//	Ṽ = √(φ̃²/(min(r̃,c̃)-1)).
//
// A table with one row a cell has V = 1 and Ṽ = 0: ask Lost first. Either is a
// description of these rows and comes with no p-value.
//
// Errors: ErrEmpty without counts, ErrLengths for a ragged table, ErrDomain for
// a count below 0, ErrNoVariation when one row or one column is left.
func CramersV(table [][]int) (*Link, error) {
	rows, cols, n, err := margins(table)
	if err != nil {
		return nil, err
	}
	l := &Link{N: n}
	for _, x := range rows {
		if x > 0 {
			l.Rows++
		}
	}
	for _, x := range cols {
		if x > 0 {
			l.Columns++
		}
	}
	if l.Rows < 2 || l.Columns < 2 {
		return nil, fmt.Errorf("%w: %d rows and %d columns with counts", stats.ErrNoVariation, l.Rows, l.Columns)
	}
	total := float64(n)
	for i, row := range table {
		for j, o := range row {
			if rows[i] > 0 && cols[j] > 0 {
				e := float64(rows[i]) * float64(cols[j]) / total
				l.ChiSquared += (float64(o) - e) * (float64(o) - e) / e
			}
		}
	}
	r, c, phi := float64(l.Rows), float64(l.Columns), l.ChiSquared/total
	l.V = math.Min(1, math.Sqrt(phi/(math.Min(r, c)-1)))
	phi = math.Max(0, phi-(r-1)*(c-1)/(total-1))
	r, c = r-(r-1)*(r-1)/(total-1), c-(c-1)*(c-1)/(total-1)
	if d := math.Min(r, c) - 1; d > 0 {
		l.Corrected = math.Min(1, math.Sqrt(phi/d))
	}
	return l, nil
}

// margins are the sums of a table of counts.
func margins(table [][]int) (rows, cols []int, n int, err error) {
	if len(table) == 0 || len(table[0]) == 0 {
		return nil, nil, 0, fmt.Errorf("%w: table", stats.ErrEmpty)
	}
	rows, cols = make([]int, len(table)), make([]int, len(table[0]))
	for i, row := range table {
		if err := stats.CheckLengths("row 0", len(cols), fmt.Sprintf("row %d", i), len(row)); err != nil {
			return nil, nil, 0, err
		}
		for j, x := range row {
			if x < 0 {
				return nil, nil, 0, fmt.Errorf("%w: count %d in row %d", stats.ErrDomain, x, i)
			}
			if x > maxCount || n > maxCount {
				return nil, nil, 0, fmt.Errorf("%w: more than %d counts", stats.ErrTooLarge, maxCount)
			}
			rows[i], cols[j], n = rows[i]+x, cols[j]+x, n+x
		}
	}
	if n == 0 {
		return nil, nil, 0, fmt.Errorf("%w: every count is 0", stats.ErrEmpty)
	}
	return rows, cols, n, nil
}

// maxCount keeps sums and products of counts exact.
const maxCount = 1_000_000

// Count makes the table of two codes, a by rows and b by columns, from the rows
// in which both are known (0 or more). The slices must be equally long; what
// one has beyond the other is passed over.
func Count(a, b []int) [][]int {
	n := min(len(a), len(b))
	r, c := 0, 0
	for i := range n {
		if a[i] >= 0 && b[i] >= 0 {
			r, c = max(r, a[i]+1), max(c, b[i]+1)
		}
	}
	table := make([][]int, r)
	for i := range table {
		table[i] = make([]int, c)
	}
	for i := range n {
		if a[i] >= 0 && b[i] >= 0 {
			table[a[i]][b[i]]++
		}
	}
	return table
}
