package curve

import "slices"

// tails are the two quantiles of v at tail and 1 − tail, as quantile of the
// sorted values gives them. It reorders v; of the values only those that are
// asked for are put in their place, which costs a fraction of sorting.
func tails(v []float64, tail float64) (lo, hi float64) {
	i := int((1 - tail) * float64(len(v)-1))
	pick(v, i)
	if i+1 < len(v) {
		pick(v[i+1:], 0)
	}
	hi = quantile(v, 1-tail)
	left := v[:i+1]
	j := int(tail * float64(len(v)-1))
	pick(left, j)
	if j+1 < len(left) {
		pick(left[j+1:], 0)
	}
	return quantile(v, tail), hi
}

// pick puts the value of rank k into v[k], lower ones before it and higher ones
// behind it: Hoare's quickselect with the median of three as pivot. Short
// stretches, and those that fall apart badly, are sorted.
func pick(v []float64, k int) {
	for round := 0; len(v) > 12; round++ {
		if round > 64 {
			break
		}
		a, b, c := v[0], v[len(v)/2], v[len(v)-1]
		pivot := max(min(a, b), min(max(a, b), c))
		i, j := 0, len(v)-1
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			v = v[:j+1]
		case k >= i:
			v, k = v[i:], k-i
		default:
			return // between the two all equal the pivot
		}
	}
	slices.Sort(v)
}
