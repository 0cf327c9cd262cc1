package ranks

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats"
)

// rankSumWork is the number of steps up to which the rank sum distribution is
// computed exactly (two samples of 50 need a fifth of it).
const rankSumWork = 150_000_000

// RankSum is Wilcoxon's rank sum test (Mann–Whitney) of two independent samples,
// each with at least one value. Statistic is the number of pairs with x above y,
// ties counting one half. The exact p, ties included, comes from convolution over
// the doubled mid-ranks; two-sided means at least as far from the mean, which
// without ties is twice the smaller tail. level is that of the interval for the
// shift x − y, which joins order statistics of all differences; its exact form
// uses the distribution without ties (Hollander & Wolfe 4.3).
//
// Errors: ErrEmpty, ErrNonFinite, ErrDomain, ErrNoVariation when all values of
// both samples are equal. The test speaks about shifts only when both samples
// have the same shape; otherwise about P(x > y).
func RankSum(x, y []float64, alt Alternative, level float64) (WilcoxonResult, error) {
	if err := stats.CheckSample("x", x); err != nil {
		return WilcoxonResult{}, err
	}
	if err := stats.CheckSample("y", y); err != nil {
		return WilcoxonResult{}, err
	}
	if err := alt.check(); err != nil {
		return WilcoxonResult{}, err
	}
	if err := checkShare("level", level); err != nil {
		return WilcoxonResult{}, err
	}
	if lo, hi := slices.Min(x)-slices.Max(y), slices.Max(x)-slices.Min(y); math.IsInf(lo, 0) || math.IsInf(hi, 0) {
		return WilcoxonResult{}, fmt.Errorf("%w: the differences x − y overflow", stats.ErrDomain)
	}
	all := append(append(make([]float64, 0, len(x)+len(y)), x...), y...)
	twice, ties := twiceMidranks(all)
	m, n := float64(len(x)), float64(len(y))
	total := m + n
	if ties >= total*total*total-total {
		return WilcoxonResult{}, fmt.Errorf("%w: all %d values are equal", stats.ErrNoVariation, len(all))
	}
	sum := 0
	for _, r := range twice[:len(x)] {
		sum += r
	}
	res := WilcoxonResult{
		Statistic: float64(sum)/2 - m*(m+1)/2, Mean: m * n / 2,
		N: len(x), M: len(y), Ties: ties > 0, Alternative: alt,
	}
	// Var W = mn/12·(N + 1 − Σ(t³ − t)/(N(N−1))).
	res.SD = math.Sqrt(m * n / 12 * (total + 1 - ties/(total*(total-1))))
	res.normal()
	if pmf, low, ok := rankSumLaw(twice, len(x), rankSumWork); ok {
		// Twice the mean of the doubled sum is 2m(N+1); shifted by the lowest sum.
		res.exact(tailsAround(pmf, sum-low, 2*len(x)*(len(all)+1)-2*low))
	}
	res.shiftOfSamples(x, y, level)
	return res, nil
}

// rankSumLaw is the distribution of the sum of m of the doubled ranks drawn
// without replacement, on low … low + len − 1. ok is false above the work limit.
func rankSumLaw(twice []int, m, limit int) (pmf []float64, low int, ok bool) {
	sorted := sortedCopy(twice)
	n := len(sorted)
	// Without ties all doubled ranks are even; the table then has only every
	// second cell filled, which costs time but keeps one code path.
	high := 0
	for i := range m {
		low += sorted[i]
		high += sorted[n-1-i]
	}
	small := min(m, n-m)
	if float64(n)*float64(small)*float64(high+1) > float64(limit) {
		return nil, 0, false
	}
	if m > n-m {
		// Draw the complement instead: its sum is the total less ours.
		total := 0
		for _, r := range sorted {
			total += r
		}
		rev, revLow, ok := rankSumLaw(sorted, n-m, limit)
		if !ok {
			return nil, 0, false
		}
		pmf = make([]float64, len(rev))
		for i, p := range rev {
			pmf[len(rev)-1-i] = p
		}
		return pmf, total - revLow - len(rev) + 1, true
	}
	// ways[c][s]: probability weight of having drawn c of the ranks seen so far
	// with sum s. Counts would overflow a float only beyond C(1000, 500), far
	// above the work limit.
	ways := make([][]float64, m+1)
	for c := range ways {
		ways[c] = make([]float64, high+1)
	}
	ways[0][0] = 1
	for i, r := range sorted {
		for c := min(i, m-1); c >= 0; c-- {
			from, to := ways[c], ways[c+1]
			for s := 0; s+r <= high; s++ {
				if from[s] != 0 {
					to[s+r] += from[s]
				}
			}
		}
	}
	total := 0.0
	for _, w := range ways[m] {
		total += w
	}
	pmf = ways[m][low : high+1]
	for i := range pmf {
		pmf[i] /= total
	}
	return pmf, low, true
}

// shiftOfSamples adds the Hodges–Lehmann shift and its interval.
func (r *WilcoxonResult) shiftOfSamples(x, y []float64, level float64) {
	sx, sy := ascending(x), ascending(y)
	m, n := len(x), len(y)
	kth := func(k int) float64 { return kthDifference(sx, sy, k) }
	r.Shift = middleOf(m*n, kth)
	c, attained := 1, level
	untied := make([]int, m+n)
	for i := range untied {
		untied[i] = i + 1 // single ranks: no ties in this distribution
	}
	if pmf, _, ok := rankSumLaw(untied, m, rankSumWork); ok {
		c, attained = cutOff(pmf, level)
	} else {
		mm, nn := float64(m), float64(n)
		c = normalCut(mm*nn/2, math.Sqrt(mm*nn*(mm+nn+1)/12), level)
	}
	r.interval(m*n, c, attained, level, kth)
	if attained < level {
		// The widest interval has level 1 − 2/C(m+n, m); equal samples of k each.
		k := 1.0
		for choose := 2.0; 1-2/choose < level; k++ {
			choose *= 2 * (2*k + 1) / (k + 1)
		}
		r.Warnings = append(r.Warnings, levelWarning(level, "values in each sample", k))
	}
}
