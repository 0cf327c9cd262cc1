package ranks

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// maxExactSigned is the number of non-zero differences up to which the signed
// rank distribution is computed exactly (40 200 sums × 200 steps).
const maxExactSigned = 200

// WilcoxonResult is the answer of SignedRank and RankSum.
type WilcoxonResult struct {
	// Statistic: SignedRank: V, the sum of the ranks of the positive
	// differences. RankSum: W, the rank sum of x less its least value m(m+1)/2,
	// that is the number of pairs with x above y, ties counting half.
	Statistic float64
	Mean, SD  float64 // of Statistic under the null hypothesis, SD with ties
	// N, M: the numbers of values that were ranked. SignedRank: N non-zero
	// differences, M = 0. RankSum: N of x, M of y.
	N, M int
	// Zeros: SignedRank only, the differences of exactly 0 that were set aside.
	Zeros int
	Ties  bool
	// PExact, valid when Exact: given the ties.
	PExact float64
	Exact  bool
	// Z and PNormal: normal with tie correction and a continuity correction of
	// one half. PNormalPlain: without the continuity correction.
	Z, PNormal, PNormalPlain float64
	// P is PExact where Exact, else PNormal.
	P           float64
	Alternative Alternative
	// Shift is the Hodges–Lehmann estimate: the median of the averages of all
	// pairs of differences (SignedRank), or of all x − y (RankSum).
	Shift float64
	// Interval for the shift, two-sided. Its Level is the level really attained
	// (exact part) or asked for (normal part); with ties it is at least that.
	Interval stats.Interval
	Warnings []stats.Warning
}

// SignedRank is Wilcoxon's signed rank test of differences against 0, n ≥ 1.
// For paired samples pass x − y; for a median m pass x − m. Zeros are set aside
// and counted (Wilcoxon's rule). Exact for at most 200 non-zero differences, ties
// included, by convolution over the signs; two-sided p is twice the smaller tail
// (the distribution is symmetric, with ties too). level is that of the interval.
//
// The interval joins order statistics of the averages of pairs, all differences
// (zeros too) taking part; where even the whole range does not reach level, the
// range is given with the level that it has and a warning.
//
// Errors: ErrEmpty, ErrNonFinite, ErrDomain, ErrNoVariation when all differences
// are 0.
func SignedRank(diffs []float64, alt Alternative, level float64) (WilcoxonResult, error) {
	if err := stats.CheckSample("differences", diffs); err != nil {
		return WilcoxonResult{}, err
	}
	if err := alt.check(); err != nil {
		return WilcoxonResult{}, err
	}
	if err := checkShare("level", level); err != nil {
		return WilcoxonResult{}, err
	}
	var abs []float64
	var positive []bool
	for _, d := range diffs {
		if d != 0 {
			abs = append(abs, math.Abs(d))
			positive = append(positive, d > 0)
		}
	}
	if len(abs) == 0 {
		return WilcoxonResult{}, fmt.Errorf("%w: all differences are 0", stats.ErrNoVariation)
	}
	twice, ties := twiceMidranks(abs)
	v := 0
	for i, r := range twice {
		if positive[i] {
			v += r
		}
	}
	n := float64(len(abs))
	res := WilcoxonResult{
		Statistic: float64(v) / 2, Mean: n * (n + 1) / 4,
		N: len(abs), Zeros: len(diffs) - len(abs), Ties: ties > 0, Alternative: alt,
	}
	// Var V = Σr²/4 = n(n+1)(2n+1)/24 − Σ(t³ − t)/48.
	res.SD = math.Sqrt(n*(n+1)*(2*n+1)/24 - ties/48)
	res.normal()
	if len(abs) <= maxExactSigned {
		pmf := signedRankLaw(twice)
		res.exact(tailsOf(pmf, v))
	}
	res.shiftOfDifferences(diffs, level)
	return res, nil
}

// normal fills Z and the two normal p values.
func (r *WilcoxonResult) normal() {
	d := r.Statistic - r.Mean
	r.PNormalPlain = normalP(d/r.SD, r.Alternative)
	// The continuity correction moves the statistic half a step towards its mean
	// (two-sided), or half a step against the alternative.
	switch r.Alternative {
	case Greater:
		d -= 0.5
	case Less:
		d += 0.5
	default:
		if math.Abs(d) <= 0.5 {
			d = 0
		} else {
			d -= math.Copysign(0.5, d)
		}
	}
	r.Z = d / r.SD
	r.PNormal = normalP(r.Z, r.Alternative)
	r.P = r.PNormal
}

func normalP(z float64, alt Alternative) float64 {
	switch alt {
	case Greater:
		return dist.NormalUpper(z)
	case Less:
		return dist.NormalUpper(-z)
	}
	return 2 * dist.NormalUpper(math.Abs(z))
}

// exact fills PExact from the lower and upper tail, both with the value seen,
// and the two-sided p.
func (r *WilcoxonResult) exact(lower, upper, both float64) {
	r.Exact = true
	switch r.Alternative {
	case Greater:
		r.PExact = upper
	case Less:
		r.PExact = lower
	default:
		r.PExact = both
	}
	r.PExact = min(r.PExact, 1)
	r.P = r.PExact
}

// signedRankLaw is the distribution of the doubled V: each doubled rank enters
// with probability one half.
func signedRankLaw(twice []int) []float64 {
	total := 0
	for _, r := range twice {
		total += r
	}
	pmf := make([]float64, total+1)
	pmf[0] = 1
	top := 0
	for _, r := range twice {
		// Downwards, in place: pmf'[s] = (pmf[s] + pmf[s − r])/2.
		top += r
		for s := top; s >= 0; s-- {
			p := pmf[s]
			if s >= r {
				p += pmf[s-r]
			}
			pmf[s] = p / 2
		}
	}
	return pmf
}

// tailsOf gives P(S ≤ v), P(S ≥ v) and P(|S − mean| ≥ |v − mean|) of a
// distribution on 0 … len−1 whose mean lies in the middle or is given by centre.
func tailsOf(pmf []float64, v int) (lower, upper, both float64) {
	return tailsAround(pmf, v, len(pmf)-1)
}

// tailsAround is tailsOf with twice the mean given; distances are compared in
// whole numbers.
func tailsAround(pmf []float64, v, twiceMean int) (lower, upper, both float64) {
	far := absInt(2*v - twiceMean)
	// From the ends inwards, so that small terms are added first.
	for s := 0; s <= v && s < len(pmf); s++ {
		lower += pmf[s]
	}
	for s := len(pmf) - 1; s >= v && s >= 0; s-- {
		upper += pmf[s]
	}
	for s := 0; s < len(pmf) && twiceMean-2*s >= far; s++ {
		both += pmf[s]
	}
	for s := len(pmf) - 1; s >= 0 && 2*s-twiceMean >= far; s-- {
		both += pmf[s]
	}
	if far == 0 {
		both = 1
	}
	return lower, upper, both
}

func absInt(x int) int {
	if x < 0 {
		return -x
	}
	return x
}

// shiftOfDifferences adds the Hodges–Lehmann estimate and its interval. The
// interval runs from the c-th smallest to the c-th largest average of pairs, c the
// largest with 2·P(V < c) ≤ 1 − level for untied ranks (Hollander & Wolfe 3.3).
func (r *WilcoxonResult) shiftOfDifferences(diffs []float64, level float64) {
	x := ascending(diffs)
	n := len(x)
	m := n * (n + 1) / 2
	kth := func(k int) float64 { return kthWalsh(x, k) }
	r.Shift = middleOf(m, kth)
	c, attained := 1, level
	if n <= maxExactSigned {
		untied := make([]int, n)
		for i := range untied {
			untied[i] = i + 1 // not doubled: no ties in this distribution
		}
		c, attained = cutOff(signedRankLaw(untied), level)
	} else {
		nn := float64(n)
		c = normalCut(nn*(nn+1)/4, math.Sqrt(nn*(nn+1)*(2*nn+1)/24), level)
	}
	r.interval(m, c, attained, level, kth)
	if attained < level {
		// 1 − 2·2^−n ≥ level for the range of n differences.
		r.Warnings = append(r.Warnings, levelWarning(level, "differences", math.Ceil(1-math.Log2(1-level))))
	}
}

func levelWarning(level float64, what string, need float64) stats.Warning {
	return stats.Warning{
		ID:   "level-not-reached",
		Text: fmt.Sprintf("Too few values for an interval of %.4g %%: the widest one is given, with the level that it has. Need is in %s.", 100*level, what),
		Need: need,
	}
}

// interval joins the c-th smallest and the c-th largest of m members.
func (r *WilcoxonResult) interval(m, c int, attained, level float64, kth func(int) float64) {
	if attained < level {
		c = 1
	}
	c = min(max(c, 1), (m+1)/2)
	r.Interval = stats.Interval{Low: kth(c), High: kth(m + 1 - c), Level: attained}
}

// cutOff is the largest c ≥ 1 with 2·P(S ≤ c − 1) ≤ 1 − level, and the level
// 1 − 2·P(S ≤ c − 1) that it attains. When even c = 1 fails the level is that of
// c = 1, below level.
func cutOff(pmf []float64, level float64) (c int, attained float64) {
	c, attained = 1, 1-2*pmf[0]
	cum := pmf[0]
	for 2*cum <= (1-level)*(1+1e-12) {
		attained = 1 - 2*cum
		if c >= len(pmf)-1 {
			break
		}
		cum += pmf[c]
		if 2*cum > (1-level)*(1+1e-12) {
			break
		}
		c++
	}
	return c, attained
}

// normalCut is the c of cutOff by the normal approximation with a half step.
func normalCut(mean, sd, level float64) int {
	z, err := dist.NormalQuantile((1 - level) / 2)
	if err != nil { // level was checked: cannot occur
		return 1
	}
	return int(math.Floor(mean + 0.5 + z*sd))
}
