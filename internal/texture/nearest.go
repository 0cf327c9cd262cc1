package texture

import "math"

// Nearest is the cooked set point nearest to x, among the arms of any measure.
func Nearest(r Result, x float64) Number {
	best := absent("no set point was cooked")
	dist := math.Inf(1)
	for _, m := range r.Measures {
		for _, a := range m.Arms {
			if v, ok := a.SetPoint.Get(); ok && math.Abs(v-x) < dist {
				best, dist = a.SetPoint, math.Abs(v-x)
			}
		}
	}
	return best
}
