package ranks

import (
	"fmt"
	"math/bits"
	"slices"

	"tamis/internal/stats"
)

// PageCritical is the smallest L for n untied blocks and k treatments whose exact
// upper tail is at most alpha, with that tail. Errors: ErrDomain, ErrTooLarge,
// and ErrTooFew when even the largest L does not reach alpha.
func PageCritical(n, k int, alpha float64) (l int, p float64, err error) {
	if err := checkShare("alpha", alpha); err != nil {
		return 0, 0, err
	}
	if n < 1 || k < 3 {
		return 0, 0, fmt.Errorf("%w: %d blocks and %d treatments, 1 and 3 needed", stats.ErrDomain, n, k)
	}
	blocks := untiedBlocks(n, k, pageWork)
	lw, ok := pageLaw(blocks, pageWork)
	if !ok {
		return 0, 0, fmt.Errorf("%w: exact Page for %d blocks and %d treatments", stats.ErrTooLarge, n, k)
	}
	best, tail := -1, 0.0
	for i := len(lw.value) - 1; i >= 0; i-- {
		tail += lw.prob[i]
		if tail > alpha*(1+1e-12) {
			break
		}
		if lw.prob[i] > 0 {
			best, p = i, tail
		}
	}
	if best < 0 {
		return 0, 0, fmt.Errorf("%w: with %d blocks and %d treatments no result reaches %v", stats.ErrTooFew, n, k, alpha)
	}
	return int(lw.value[best] / 2), p, nil
}

// pageWork is the number of multiply-adds up to which Page's L is enumerated.
const pageWork = 200_000_000

// maxPageTreatments bounds the subset tables of one block (2^k rows).
const maxPageTreatments = 12

// untiedBlocks builds n blocks of doubled ranks 2, 4, …, 2k; nil when n alone is
// beyond any work limit.
func untiedBlocks(n, k, limit int) [][]int {
	if n > limit/100 || k > maxPageTreatments {
		return nil
	}
	one := make([]int, k)
	for j := range one {
		one[j] = 2 * (j + 1)
	}
	blocks := make([][]int, n)
	for i := range blocks {
		blocks[i] = one
	}
	return blocks
}

// pageLaw is the null distribution of 2L over the deals within all blocks.
// Blocks with the same pattern of ties share the distribution of one block.
func pageLaw(blocks [][]int, limit int) (law, bool) {
	if len(blocks) == 0 {
		return law{}, false
	}
	k := len(blocks[0])
	if k > maxPageTreatments {
		return law{}, false
	}
	// One pattern: k·2^k subset steps over at most Σj·2j sums. All blocks: the sum
	// of the products of lengths, about (n·span)²/2.
	span := float64(k*(k*k-1)) / 3
	most := float64(k*(k+1)*(2*k+1)) / 3
	one, all := float64(k)*float64(int(1)<<k)*most, float64(len(blocks))*span
	distinct := map[string]bool{}
	for _, b := range blocks {
		distinct[fmt.Sprint(sortedCopy(b))] = true
	}
	if one*float64(len(distinct))+all*all/2 > float64(limit) {
		return law{}, false
	}
	cache := map[string][]float64{}
	total, low := []float64{1}, 0
	for _, b := range blocks {
		sorted := sortedCopy(b)
		key := fmt.Sprint(sorted)
		pmf, ok := cache[key]
		lo := lowestL(sorted)
		if !ok {
			pmf = onePageBlock(sorted, lo)
			cache[key] = pmf
		}
		total = convolve(total, pmf)
		low += lo
	}
	l := law{value: make([]int64, len(total)), prob: total}
	for i := range total {
		l.value[i] = int64(low + i)
	}
	return l, true
}

// lowestL is Σ j·r with the largest ranks on the smallest weights, the least
// value of 2L in a block of sorted doubled ranks.
func lowestL(sorted []int) int {
	k, s := len(sorted), 0
	for j := range sorted {
		s += (j + 1) * sorted[k-1-j]
	}
	return s
}

// onePageBlock is the distribution of Σ j·r_π(j) − lo over all k! deals. It walks
// over the subsets of ranks already dealt: subset size = next weight − 1, so
// 2^k tables stand in for k! permutations.
func onePageBlock(sorted []int, lo int) []float64 {
	k := len(sorted)
	hi := 0
	for j, r := range sorted {
		hi += (j + 1) * r
	}
	tables := make([][]float64, 1<<k)
	tables[0] = []float64{1}
	for set := range 1<<k - 1 {
		w := bits.OnesCount(uint(set)) + 1
		from := tables[set]
		for i, r := range sorted {
			if set&(1<<i) != 0 {
				continue
			}
			to := set | 1<<i
			if tables[to] == nil {
				tables[to] = make([]float64, hi+1)
			}
			// Counts are whole numbers below 2^53 (12! ≈ 5e8), so no rounding.
			into := tables[to][w*r:]
			for s, c := range from {
				if c != 0 {
					into[s] += c
				}
			}
		}
		tables[set] = nil
	}
	total := 1.0
	for j := 2; j <= k; j++ {
		total *= float64(j)
	}
	pmf := make([]float64, hi-lo+1)
	for s, c := range tables[1<<k-1] {
		if c != 0 {
			pmf[s-lo] = c / total
		}
	}
	return pmf
}

func sortedCopy(xs []int) []int {
	out := slices.Clone(xs)
	slices.Sort(out)
	return out
}

// convolve is the distribution of the sum of two independent counts.
func convolve(a, b []float64) []float64 {
	out := make([]float64, len(a)+len(b)-1)
	for i, x := range a {
		if x == 0 {
			continue
		}
		for j, y := range b {
			out[i+j] += x * y
		}
	}
	return out
}
