package texture

import (
	"errors"
	"fmt"

	"tamis/internal/stats/resample"
)

// permutationDraws is the number of arrangements drawn where there are too many
// to visit.
const permutationDraws = 1999

// permuted moves the levels among the units of a block that share the levels of
// the other factors, and compares the sum of squares between levels once the
// block means are off: a test that the levels differ at all.
func (e estimand) permuted(tb *table, s *stratum, opt Options) (Alternative, bool) {
	var labels []int
	strata := [][]int{make([]int, len(s.ut.y))}
	for _, g := range s.ut.factors {
		if g.Name == e.factor {
			labels = g.Code
		} else {
			strata = append(strata, g.Code)
		}
	}
	if labels == nil {
		return Alternative{}, false
	}
	for _, b := range s.ut.blocks {
		strata = append(strata, b.Code)
	}
	block, n := product(strata...)
	for i := range block {
		if block[i] < 0 || labels[i] < 0 {
			return Alternative{}, false
		}
	}
	y := append([]float64(nil), s.ut.y...)
	for i, m := range cellMeans(y, block, n) {
		for u := range y {
			if block[u] == i {
				y[u] -= m
			}
		}
	}
	count := make([]float64, len(e.weights))
	for _, c := range labels {
		count[c]++
	}
	levels := len(e.weights)
	r, err := resample.Permute(labels, block, func(l []int) float64 {
		sum := make([]float64, levels)
		for u, c := range l {
			sum[c] += y[u]
		}
		var between float64
		for c, v := range sum {
			if count[c] > 0 {
				between += v * v / count[c]
			}
		}
		return between
	}, resample.Options{Draws: permutationDraws, Seed: opt.Seed, Alpha: 1 - opt.Level})
	const name = "permutation"
	var few *resample.FewArrangements
	switch {
	case errors.As(err, &few):
		out := testOnly(name, fmt.Sprintf("there are only %.0f arrangements: no result could reach %.3g", few.Arrangements, few.Alpha), 1)
		out.P = absent("the design allows too few arrangements")
		return out, true
	case err != nil:
		return Alternative{}, false
	}
	note := fmt.Sprintf("do the levels differ at all: %s moved within blocks, all %.0f arrangements", plural(string(s.by)), r.Arrangements)
	if !r.Full {
		note = fmt.Sprintf("do the levels differ at all: %s moved within blocks, %d arrangements drawn", plural(string(s.by)), r.Draws)
	}
	return testOnly(name, note, r.P), true
}
