package ranks

import (
	"fmt"
	"slices"

	"tamis/internal/stats"
)

// Midranks gives the ranks 1…n of xs in the order of xs; equal values share the
// mean of the ranks they cover. -0 and +0 are equal. Errors: ErrEmpty,
// ErrNonFinite.
func Midranks(xs []float64) ([]float64, error) {
	if err := stats.CheckSample("values", xs); err != nil {
		return nil, err
	}
	twice, _ := twiceMidranks(xs)
	out := make([]float64, len(xs))
	for i, r := range twice {
		out[i] = float64(r) / 2
	}
	return out, nil
}

// twiceMidranks gives 2 × mid-rank, which is always a whole number and so can
// index an array, and Σ(t³ − t) over the groups of t equal values, the quantity
// that every tie correction uses. xs must be finite.
func twiceMidranks(xs []float64) (twice []int, tieSum float64) {
	order := make([]int, len(xs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case xs[a] < xs[b]:
			return -1
		case xs[a] > xs[b]:
			return 1
		}
		return 0
	})
	twice = make([]int, len(xs))
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && xs[order[hi]] == xs[order[lo]] {
			hi++
		}
		// Ranks lo+1 … hi: twice their mean is (lo+1) + hi.
		for _, i := range order[lo:hi] {
			twice[i] = lo + 1 + hi
		}
		t := float64(hi - lo)
		tieSum += t*t*t - t
		lo = hi
	}
	return twice, tieSum
}

// rankedTable holds the within-block mid-ranks of a complete table.
type rankedTable struct {
	n, k  int     // blocks, treatments
	twice [][]int // twice the mid-rank, [block][treatment]
	sums  []int   // twice the rank sums by treatment
	ties  float64 // Σ(t³ − t) over all blocks
}

// rankTable checks a blocks × treatments table and ranks inside each block.
func rankTable(table [][]float64, minTreatments int) (*rankedTable, error) {
	if len(table) == 0 || len(table[0]) == 0 {
		return nil, fmt.Errorf("%w: the table is empty", stats.ErrEmpty)
	}
	k := len(table[0])
	for i, row := range table {
		if err := stats.CheckLengths("row 0", k, fmt.Sprintf("row %d", i), len(row)); err != nil {
			return nil, err
		}
		if err := stats.CheckFinite(fmt.Sprintf("row %d", i), row); err != nil {
			return nil, err
		}
	}
	if k < minTreatments {
		return nil, fmt.Errorf("%w: %d columns, %d needed", stats.ErrTooFew, k, minTreatments)
	}
	if len(table) < 2 {
		return nil, fmt.Errorf("%w: 1 row, 2 needed", stats.ErrTooFew)
	}
	rt := &rankedTable{n: len(table), k: k, sums: make([]int, k)}
	for _, row := range table {
		twice, tie := twiceMidranks(row)
		rt.twice = append(rt.twice, twice)
		rt.ties += tie
		for j, r := range twice {
			rt.sums[j] += r
		}
	}
	return rt, nil
}

// halves turns doubled integers into plain numbers.
func halves(twice []int) []float64 {
	out := make([]float64, len(twice))
	for i, v := range twice {
		out[i] = float64(v) / 2
	}
	return out
}
