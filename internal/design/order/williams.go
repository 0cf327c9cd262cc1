package order

import (
	"fmt"
	"math/rand/v2"
)

// MostSamples is the largest square that is made. A sitting is far smaller.
const MostSamples = 64

// Williams is the square of p samples: p rows for even p, 2p for odd p, each a
// permutation of 0 … p-1. Every sample stands equally often at every place and
// equally often right after every other one.
//
// The first row is 0, 1, p-1, 2, p-2, …: its p-1 steps from one sample to the
// next, taken round the circle of p, are all different when p is even. Each
// further row adds 1 to every sample, so each step meets each pair once. When p
// is odd the steps come in equal pairs, and the rows backwards make up for the
// half that is missing (Williams 1949, Aust. J. Sci. Res. A 2, 149, from memory).
func Williams(p int) ([][]int, error) {
	if p < 1 || p > MostSamples {
		return nil, fmt.Errorf("%w: a square of %d samples", ErrArgument, p)
	}
	first := make([]int, p)
	low, high := 1, p-1
	for i := 1; i < p; i++ {
		if i%2 == 1 {
			first[i] = low
			low++
		} else {
			first[i] = high
			high--
		}
	}
	rows := make([][]int, 0, 2*p)
	for add := range p {
		row := make([]int, p)
		for i, x := range first {
			row[i] = (x + add) % p
		}
		rows = append(rows, row)
	}
	if p%2 == 0 || p == 1 {
		return rows, nil
	}
	for _, forward := range rows[:p] {
		row := make([]int, p)
		for i, x := range forward {
			row[p-1-i] = x
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// Deal gives each of so many people an order of all p samples: as many whole
// Williams squares as fit, then rows of one more that differ from one another,
// the samples named by lot and the orders dealt by lot. Every place then holds
// each sample equally often, give or take one.
func Deal(p, people int, rng *rand.Rand) ([][]int, error) {
	if people < 0 || rng == nil {
		return nil, fmt.Errorf("%w: %d people", ErrArgument, people)
	}
	square, err := Williams(p)
	if err != nil {
		return nil, err
	}
	out := make([][]int, 0, people)
	for len(out) < people {
		name := rng.Perm(p)
		// Rows are used in the order of the square, from a row drawn by lot and
		// round: of an odd p the first p rows are one Latin square and the last p
		// the other, and no half of either is wasted on a part of both.
		half := min(p, len(square))
		start, second := rng.IntN(half), rng.IntN(half)
		for i := 0; i < len(square) && len(out) < people; i++ {
			from := square[(start+i)%half]
			if i >= half {
				from = square[half+(second+i)%half]
			}
			row := make([]int, p)
			for k, x := range from {
				row[k] = name[x]
			}
			out = append(out, row)
		}
	}
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out, nil
}

// Counts says how even some orders are.
type Counts struct {
	Place [][]int // by sample and place: how often it stands there
	After [][]int // by sample and next sample: how often the second comes right after the first
	// PlaceSpread is the largest difference between two samples at one place,
	// AfterSpread between two pairs of different samples.
	PlaceSpread, AfterSpread int
}

// Count counts orders of samples 0 … n-1; an order need not hold all of them.
func Count(orders [][]int, n int) (Counts, error) {
	longest := 0
	for _, row := range orders {
		longest = max(longest, len(row))
		for _, x := range row {
			if x < 0 || x >= n {
				return Counts{}, fmt.Errorf("%w: sample %d of %d", ErrArgument, x, n)
			}
		}
	}
	c := Counts{Place: table(n, longest), After: table(n, n)}
	for _, row := range orders {
		for i, x := range row {
			c.Place[x][i]++
			if i > 0 {
				c.After[row[i-1]][x]++
			}
		}
	}
	for place := range longest {
		low, high := c.Place[0][place], c.Place[0][place]
		for x := range n {
			low, high = min(low, c.Place[x][place]), max(high, c.Place[x][place])
		}
		c.PlaceSpread = max(c.PlaceSpread, high-low)
	}
	first, low, high := true, 0, 0
	for x := range n {
		for y := range n {
			if x == y {
				continue
			}
			v := c.After[x][y]
			if first {
				first, low, high = false, v, v
			}
			low, high = min(low, v), max(high, v)
		}
	}
	c.AfterSpread = high - low
	return c, nil
}

func table(rows, columns int) [][]int {
	out := make([][]int, rows)
	for i := range out {
		out[i] = make([]int, columns)
	}
	return out
}
