package mixed

import "math"

// A jet is a function of one real t near 0, truncated after the square:
// f(t) = v + d·t + e·t². Evaluating the criterion at θ + t·u in jets gives its
// value, its slope along u and half its curvature along u, all to rounding
// error. (Forward automatic differentiation by Taylor coefficients; Griewank &
// Walther 2008, ch. 13.)
type jet struct{ v, d, e float64 }

func (a jet) add(b jet) jet { return jet{a.v + b.v, a.d + b.d, a.e + b.e} }

func (a jet) mul(b jet) jet {
	return jet{a.v * b.v, a.v*b.d + a.d*b.v, a.v*b.e + a.d*b.d + a.e*b.v}
}

func (a jet) scale(s float64) jet { return jet{a.v * s, a.d * s, a.e * s} }

// recip is 1/a. From a·r = 1, order by order.
func (a jet) recip() jet {
	r := 1 / a.v
	d := -a.d * r * r
	return jet{r, d, -(a.d*d + a.e*r) * r}
}

// log is ln a: with x = a/a₀ - 1, ln a = ln a₀ + x - x²/2.
func (a jet) log() jet {
	d, e := a.d/a.v, a.e/a.v
	return jet{math.Log(a.v), d, e - d*d/2}
}
