package dist

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// tailQuantile finds x > 0 with tail(x) = p. The search runs in v = log x on
// log tail, where all tails used here are smooth and nearly linear far out;
// rising says whether the tail grows with x. start is any positive guess.
func tailQuantile(tail func(x float64) float64, p float64, rising bool, start float64) (float64, error) {
	lp := math.Log(p)
	sign := -1.0
	if rising {
		sign = 1
	}
	g := func(v float64) float64 { // increasing in v
		t := tail(math.Exp(v))
		if t <= 0 {
			return sign * (-1e4 - lp)
		}
		return sign * (math.Log(t) - lp)
	}
	v, err := solveIncreasing(g, math.Log(start), 0.5, -745, 709)
	if err != nil {
		return 0, err
	}
	return math.Exp(v), nil
}

// solveIncreasing finds the root of an increasing g: it walks from start with
// doubling steps until the sign changes, then closes in on it.
// The root must lie within [min, max].
func solveIncreasing(g func(float64) float64, start, step, min, max float64) (float64, error) {
	a := start
	ga := g(a)
	if ga == 0 {
		return a, nil
	}
	dir := 1.0
	if ga > 0 {
		dir = -1
	}
	for {
		b := math.Max(min, math.Min(max, a+dir*step))
		gb := g(b)
		if math.IsNaN(gb) {
			return 0, fmt.Errorf("%w: no value at %v", stats.ErrNotConverged, b)
		}
		if gb == 0 {
			return b, nil
		}
		if (gb > 0) != (ga > 0) {
			return closeIn(g, a, b, ga, gb), nil
		}
		if b == min || b == max {
			return 0, fmt.Errorf("%w: the answer lies outside the numbers a computer can hold", stats.ErrDomain)
		}
		a, ga = b, gb
		step *= 2
	}
}

// closeIn narrows a sign change of g between a and b to a few units in the last
// place: inverse quadratic steps where the last three points look like a
// monotone parabola, bisection otherwise (Chandrupatla 1997, Advances in
// Engineering Software 28:145).
func closeIn(g func(float64) float64, a, b, ga, gb float64) float64 {
	t := 0.5
	for range 200 {
		x := a + t*(b-a)
		gx := g(x)
		var c, gc float64 // the point that falls out of the bracket
		if (gx > 0) == (ga > 0) {
			c, gc = a, ga
		} else {
			c, gc = b, gb
			b, gb = a, ga
		}
		a, ga = x, gx
		best, gBest := a, ga
		if math.Abs(gb) < math.Abs(ga) {
			best, gBest = b, gb
		}
		limit := (4e-16*math.Abs(best) + 1e-17) / math.Abs(b-a)
		if gBest == 0 || limit > 0.5 {
			return best
		}
		xi := (a - b) / (c - b)
		phi := (ga - gb) / (gc - gb)
		t = 0.5
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = ga/(gb-ga)*gc/(gb-gc) + (c-a)/(b-a)*ga/(gc-ga)*gb/(gc-gb)
			t = math.Min(1-limit, math.Max(limit, t))
		}
	}
	return a
}
