package allot

import "math"

// Difference is the standardised difference of groups: the largest group mean
// less the smallest, over the standard deviation within groups,
//
//	d = (max x̄ⱼ − min x̄ⱼ) / s,  s² = Σ(nⱼ−1)sⱼ² / Σ(nⱼ−1),
//
// and the same as a share of the mean of all. It describes a layout; it tests
// nothing. NaN values are left out. d is NaN where no group has two values or
// none varies within its group, unless all means are equal; Share is NaN where
// there is no value, or the mean is not above 0.
func Difference(values []float64, group []int) (d, share float64) {
	n, sum := map[int]float64{}, map[int]float64{}
	var all, total float64
	for i, v := range values {
		if i < len(group) && !math.IsNaN(v) && !math.IsInf(v, 0) {
			n[group[i]]++
			sum[group[i]] += v
			all, total = all+1, total+v
		}
	}
	if all == 0 {
		return math.NaN(), math.NaN()
	}
	low, high := math.Inf(1), math.Inf(-1)
	for g := range n { // the order does not matter to an extreme
		low, high = math.Min(low, sum[g]/n[g]), math.Max(high, sum[g]/n[g])
	}
	var ss, df float64
	for i, v := range values { // in the order given, so that the sum is the same every time
		if i < len(group) && !math.IsNaN(v) && !math.IsInf(v, 0) {
			r := v - sum[group[i]]/n[group[i]]
			ss += r * r
		}
	}
	df = all - float64(len(n))
	gap, mean := high-low, total/all
	share = math.NaN()
	if mean > 0 {
		share = gap / mean
	}
	tiny := 1e-9 * math.Max(math.Abs(low), math.Abs(high))
	switch {
	case gap <= tiny:
		return 0, share
	case df < 1 || math.Sqrt(ss) <= tiny:
		return math.NaN(), share
	}
	return gap / math.Sqrt(ss/df), share
}

// Follows is how closely the run order follows a value within sessions: the
// correlation of the two, each less its session's mean, by value and by rank.
// Sessions of one run say nothing. It is 0 where either side does not vary.
func Follows(order []int, value []float64, session []int) (r, rho float64) {
	groups := map[int][]int{}
	for i := range order {
		groups[session[i]] = append(groups[session[i]], i)
	}
	// In the order of the first run of each session, for the same sums every time.
	var a, b, ra, rb []float64
	seen := map[int]bool{}
	for i := range order {
		if s := session[i]; !seen[s] {
			seen[s] = true
			g := groups[s]
			x, y := make([]float64, len(g)), make([]float64, len(g))
			for k, j := range g {
				x[k], y[k] = float64(order[j]), value[j]
			}
			a, b = append(a, centred(x)...), append(b, centred(y)...)
			ra, rb = append(ra, centred(ranks(x))...), append(rb, centred(ranks(y))...)
		}
	}
	return correlation(a, b), correlation(ra, rb)
}

func centred(x []float64) []float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - sum/float64(len(x))
	}
	return out
}

// ranks are mid-ranks: ties share the mean of their places.
func ranks(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		var below, same float64
		for _, w := range x {
			if w < v {
				below++
			} else if w == v {
				same++
			}
		}
		out[i] = below + (same+1)/2
	}
	return out
}

func correlation(a, b []float64) float64 {
	var ab, aa, bb float64
	for i := range a {
		ab, aa, bb = ab+a[i]*b[i], aa+a[i]*a[i], bb+b[i]*b[i]
	}
	if aa <= 1e-12 || bb <= 1e-12 {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}
