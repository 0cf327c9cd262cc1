package vec

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Norm is the Euclidean length of a, 0 of an empty one. Where plain squares would
// overflow or vanish, the entries are scaled by the largest first; elsewhere it is
// the plain root of the plain sum, whose last digits models are held to.
func Norm(a []float64) float64 {
	if s := floats.Dot(a, a); s > 1e-200 && s < 1e200 {
		return math.Sqrt(s)
	}
	largest := 0.0
	for _, x := range a {
		largest = max(largest, math.Abs(x))
	}
	if largest == 0 || math.IsInf(largest, 0) || math.IsNaN(largest) {
		return largest
	}
	s := 0.0
	for _, x := range a {
		s += (x / largest) * (x / largest)
	}
	return largest * math.Sqrt(s)
}
