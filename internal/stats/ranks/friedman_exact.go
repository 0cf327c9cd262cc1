package ranks

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// maxExactTreatments bounds the key of a state; 8! arrangements a block are
// already at the edge of what the work limit allows.
const maxExactTreatments = 8

// sumState is a sorted vector of doubled rank sums, unused places 0.
type sumState [maxExactTreatments]uint16

// law is a discrete distribution on whole numbers: values ascending, with their
// probabilities.
type law struct {
	value []int64
	prob  []float64
}

// upper is P(S ≥ x), summed from the far end so that small tails keep their
// relative accuracy.
func (l law) upper(x int64) float64 {
	p := 0.0
	for i := len(l.value) - 1; i >= 0 && l.value[i] >= x; i-- {
		p += l.prob[i]
	}
	return min(p, 1)
}

// friedmanLaw is the null distribution of Σ(2R_j)² when the doubled mid-ranks of
// each block are dealt to the treatments at random. ok is false when there are
// too many treatments or the work limit is passed.
//
// Relabelling the treatments does not change the distribution, because every
// block is dealt exchangeably. So a state is kept sorted: the number of states
// falls by up to k!, and the first block needs one arrangement only.
func friedmanLaw(blocks [][]int, limit int) (law, bool) {
	k := len(blocks[0])
	if k > maxExactTreatments || len(blocks)*2*k > math.MaxUint16 {
		return law{}, false
	}
	// Arrangements of each block, and how many are still to come after it.
	patterns := make([][]int, len(blocks))
	after := make([]int, len(blocks))
	for b := len(blocks) - 1; b >= 0; b-- {
		patterns[b] = sortedCopy(blocks[b])
		if b > 0 {
			after[b-1] = after[b] + arrangements(patterns[b])
		}
	}
	listed := map[string][][]int{} // most blocks share one pattern
	states := []sumState{{}}
	prob := []float64{1}
	work := 0
	for b, pattern := range patterns {
		deals := [][]int{pattern}
		if b > 0 {
			key := fmt.Sprint(pattern)
			if listed[key] == nil {
				listed[key] = distinctPermutations(pattern)
			}
			deals = listed[key]
		}
		work += len(states) * len(deals)
		// Adding the sorted pattern to a sorted state can be undone, so the states
		// never get fewer. What is still to come is known from below, and a table
		// that is too large is given up early.
		if work+len(states)*after[b] > limit {
			return law{}, false
		}
		share := 1 / float64(len(deals))
		index := make(map[sumState]int, 2*len(states))
		var next []sumState
		var nextProb []float64
		// States live in slices in order of first appearance; the map only finds
		// them. So the sums are made in one order on every run.
		for s, st := range states {
			p := prob[s] * share
			for _, deal := range deals {
				t := st
				for j, r := range deal {
					t[j] += uint16(r)
				}
				slices.Sort(t[:k])
				i, seen := index[t]
				if !seen {
					i = len(next)
					index[t] = i
					next = append(next, t)
					nextProb = append(nextProb, 0)
				}
				nextProb[i] += p
			}
		}
		states, prob = next, nextProb
	}
	return collect(states, prob, k), true
}

// collect turns states into the distribution of the sum of squares.
func collect(states []sumState, prob []float64, k int) law {
	type vp struct {
		v int64
		p float64
	}
	all := make([]vp, len(states))
	for i, st := range states {
		for _, s := range st[:k] {
			all[i].v += int64(s) * int64(s)
		}
		all[i].p = prob[i]
	}
	slices.SortStableFunc(all, func(a, b vp) int { return int(a.v - b.v) })
	var l law
	for _, x := range all {
		if m := len(l.value); m > 0 && l.value[m-1] == x.v {
			l.prob[m-1] += x.p
			continue
		}
		l.value = append(l.value, x.v)
		l.prob = append(l.prob, x.p)
	}
	return l
}

// arrangements is the number of distinct permutations of a sorted pattern.
func arrangements(sorted []int) int {
	n, run := 1, 0
	for i := range sorted {
		if i > 0 && sorted[i] == sorted[i-1] {
			run++
		} else {
			run = 1
		}
		n = n * (i + 1) / run // stays whole: a running multinomial coefficient
	}
	return n
}

// distinctPermutations lists the permutations of a sorted pattern in
// lexicographic order, equal entries being interchangeable.
func distinctPermutations(sorted []int) [][]int {
	p := slices.Clone(sorted)
	var out [][]int
	for {
		out = append(out, slices.Clone(p))
		// Next permutation: the last ascent, swapped with the smallest larger
		// entry behind it, and the tail reversed.
		i := len(p) - 2
		for i >= 0 && p[i] >= p[i+1] {
			i--
		}
		if i < 0 {
			return out
		}
		j := len(p) - 1
		for p[j] <= p[i] {
			j--
		}
		p[i], p[j] = p[j], p[i]
		slices.Reverse(p[i+1:])
	}
}

// FriedmanCritical is the smallest value of Friedman's χ² for n untied blocks
// and k treatments whose exact upper tail is at most alpha, with that tail.
// Errors: ErrDomain (alpha, or n or k below 2), ErrTooLarge above the work limit
// of the enumeration, ErrTooFew when no arrangement at all reaches alpha.
func FriedmanCritical(n, k int, alpha float64) (chiSquare, p float64, err error) {
	if err := checkShare("alpha", alpha); err != nil {
		return 0, 0, err
	}
	if n < 2 || k < 2 {
		return 0, 0, fmt.Errorf("%w: %d blocks and %d treatments, 2 of each needed", stats.ErrDomain, n, k)
	}
	if k > maxExactTreatments || n > 10_000 {
		return 0, 0, fmt.Errorf("%w: exact Friedman for %d blocks and %d treatments", stats.ErrTooLarge, n, k)
	}
	blocks := make([][]int, n)
	for i := range blocks {
		blocks[i] = make([]int, k)
		for j := range blocks[i] {
			blocks[i][j] = 2 * (j + 1)
		}
	}
	l, ok := friedmanLaw(blocks, 4*exactWork)
	if !ok {
		return 0, 0, fmt.Errorf("%w: exact Friedman for %d blocks and %d treatments", stats.ErrTooLarge, n, k)
	}
	best, tail := -1, 0.0
	for i := len(l.value) - 1; i >= 0; i-- {
		tail += l.prob[i]
		if tail > alpha*(1+1e-12) { // a tail equal to alpha up to rounding counts
			break
		}
		best, p = i, tail
	}
	if best < 0 {
		return 0, 0, fmt.Errorf("%w: with %d blocks and %d treatments no result reaches %v", stats.ErrTooFew, n, k, alpha)
	}
	// Σ(2R)² back to χ²: 12/(n·k(k+1))·ΣR² − 3n(k+1).
	nn, kk := float64(n), float64(k)
	return 3/(nn*kk*(kk+1))*float64(l.value[best]) - 3*nn*(kk+1), p, nil
}
