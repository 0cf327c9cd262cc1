package ranks

import (
	"math"
	"slices"
)

// The k-th smallest of many averages or differences, without writing them down.
// Both sets are counted with two pointers over sorted data, and the answer is
// found by bisection over the floating-point numbers themselves, so it is one of
// the members, exactly, after at most 64 counts.

// kthWalsh is the k-th smallest (k from 1) of the n(n+1)/2 averages
// (x_i + x_j)/2, i ≤ j. sorted is ascending and finite.
func kthWalsh(sorted []float64, k int) float64 {
	n := len(sorted)
	count := func(v float64) int {
		c, j := 0, n-1
		for i := range n {
			for j >= 0 && sorted[i]/2+sorted[j]/2 > v {
				j--
			}
			if j < i {
				break
			}
			c += j - i + 1
		}
		return c
	}
	return bisect(sorted[0], sorted[n-1], k, count)
}

// kthDifference is the k-th smallest (k from 1) of the m·n differences
// x_i − y_j; x and y are ascending and finite.
func kthDifference(x, y []float64, k int) float64 {
	count := func(v float64) int {
		c, first := 0, 0 // first: the least j with x_i − y_j ≤ v
		for _, xi := range x {
			// As x_i grows fewer y_j are large enough, so first only moves up.
			for first < len(y) && xi-y[first] > v {
				first++
			}
			c += len(y) - first
		}
		return c
	}
	return bisect(x[0]-y[len(y)-1], x[len(x)-1]-y[0], k, count)
}

// bisect finds the smallest float v in [lo, hi] with count(v) ≥ k.
func bisect(lo, hi float64, k int, count func(float64) int) float64 {
	a, b := ordered(lo), ordered(hi)
	for a < b {
		mid := a + (b-a)/2
		if count(unordered(mid)) >= k {
			b = mid
		} else {
			a = mid + 1
		}
	}
	v := unordered(a)
	if v == 0 {
		return 0 // never −0
	}
	return v
}

// ordered maps floats to unsigned integers so that the order is kept.
func ordered(x float64) uint64 {
	u := math.Float64bits(x)
	if u>>63 == 1 {
		return ^u
	}
	return u | 1<<63
}

func unordered(u uint64) float64 {
	if u>>63 == 1 {
		return math.Float64frombits(u &^ (1 << 63))
	}
	return math.Float64frombits(^u)
}

// middleOf is the median of m members given by their k-th smallest.
func middleOf(m int, kth func(int) float64) float64 {
	if m%2 == 1 {
		return kth(m/2 + 1)
	}
	return kth(m/2)/2 + kth(m/2+1)/2
}

func ascending(xs []float64) []float64 {
	out := slices.Clone(xs)
	slices.Sort(out)
	return out
}
