package figure

import "math"

// Sparse picks the points of curves that are drawn: enough that straight lines
// between them stay within the tolerance of every point left out, in every curve.
// The curves ys share x, which increases; tolerance is in the units of y, and keep,
// when given, names further points that must stay. Indices ascend, both ends are
// among them. Curves of another length than x are not looked at.
//
// It is the algorithm of Ramer (1972) and of Douglas and Peucker (1973), on the
// vertical distance, which is what a reader of a curve sees.
func Sparse(tolerance float64, keep func(x float64) bool, x []float64, ys ...[]float64) (at []int) {
	n := len(x)
	if n == 0 {
		return nil
	}
	stays := make([]bool, n)
	stays[0], stays[n-1] = true, true
	for i := range x {
		stays[i] = stays[i] || keep != nil && keep(x[i])
	}
	first := 0
	for last := 1; last < n; last++ {
		if stays[last] {
			split(stays, first, last, tolerance, x, ys)
			first = last
		}
	}
	for i, s := range stays {
		if s {
			at = append(at, i)
		}
	}
	return at
}

// split marks the points between two that stay which have to stay too.
func split(stays []bool, first, last int, tolerance float64, x []float64, ys [][]float64) {
	for last-first > 1 {
		worst, far := 0, tolerance
		for _, y := range ys {
			if len(y) != len(x) {
				continue
			}
			for i := first + 1; i < last; i++ {
				line := y[first]
				if w := x[last] - x[first]; w > 0 {
					line += (x[i] - x[first]) / w * (y[last] - y[first])
				}
				if d := math.Abs(y[i] - line); d > far {
					worst, far = i, d
				}
			}
		}
		if worst == 0 {
			return
		}
		stays[worst] = true
		split(stays, first, worst, tolerance, x, ys)
		first = worst
	}
}
