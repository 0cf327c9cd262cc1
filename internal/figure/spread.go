package figure

import (
	"math"
	"sort"
)

// Spread returns sideways offsets, within ±width/2, for points that share an x
// (equal within 1e-9 of its size), so that equal scores do not hide each other.
// Within a group, points in order of y take the places of the van der Corput
// sequence: neighbours in y lie far apart, and no random number is involved. A
// point alone at its x stays where it is. x and y must have equal lengths;
// otherwise the result is nil.
func Spread(x, y []float64, width float64) []float64 {
	if len(x) != len(y) {
		return nil
	}
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool {
		i, j := order[a], order[b]
		if x[i] != x[j] {
			return x[i] < x[j]
		}
		return y[i] < y[j]
	})
	off := make([]float64, len(x))
	for lo := 0; lo < len(order); {
		hi := lo + 1
		for hi < len(order) && math.Abs(x[order[hi]]-x[order[lo]]) <= 1e-9*(1+math.Abs(x[order[lo]])) {
			hi++
		}
		if hi-lo > 1 {
			for k := lo; k < hi; k++ {
				off[order[k]] = width * (radicalInverse(k-lo+1) - 0.5)
			}
		}
		lo = hi
	}
	return off
}

// radicalInverse mirrors the binary digits of k at the point: 1/2, 1/4, 3/4 …
func radicalInverse(k int) float64 {
	v, f := 0.0, 0.5
	for ; k > 0; k >>= 1 {
		v += f * float64(k&1)
		f /= 2
	}
	return v
}
