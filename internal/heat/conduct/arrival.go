package conduct

import (
	"fmt"
	"math"
	"slices"
)

// Seconds is how long the centre takes until θ has fallen to theta, strictly
// between 0 and 1. The error is ErrNever.
func Seconds(r Response, theta float64) (float64, error) {
	if !(theta > 0 && theta < 1) {
		return 0, fmt.Errorf("%w: θ = %v", ErrNever, theta)
	}
	slow := r.slowest()
	// The time by the slowest mode alone; the logarithm of θ is nearly straight
	// from there, and bending to it from the first moment on.
	hi := math.Log(slow.centre/theta) / slow.rate
	if !(hi > 0) {
		hi = 0.05 / slow.rate
	}
	f := func(t float64) float64 { return math.Log(r.Centre(t) / theta) }
	lo, above := 0.0, -math.Log(theta)
	at := f(hi)
	for at > 0 {
		lo, above = hi, at
		hi += at/slow.rate + 1e-12*hi // what the slowest mode needs for the rest
		if math.IsInf(hi, 1) {
			return 0, fmt.Errorf("%w: θ = %v", ErrNever, theta)
		}
		at = f(hi)
	}
	// The one-term time is often right to a millionth: look close to it first.
	if near := hi * (1 - 1e-6); near > lo {
		if v := f(near); v > 0 {
			lo, above = near, v
		}
	}
	return between(f, lo, above, hi, at), nil
}

// SecondsTo is how long the centre takes from start to target in a bath, all in
// °C, heating or cooling. One that begins at the target takes no time. The error
// is ErrNever.
func SecondsTo(r Response, start, bath, target float64) (float64, error) {
	if start == target {
		return 0, nil
	}
	return Seconds(r, (bath-target)/(bath-start))
}

// between finds the root of f between a, where it is fa, and b, where it is fb:
// signs differ, or one is zero. False position, with the weight of an end that
// stays put halved (the Illinois rule), and halving when that is slow.
func between(f func(float64) float64, a, fa, b, fb float64) float64 {
	side := 0
	for i := range 200 {
		if fa == 0 {
			return a
		}
		if fb == 0 {
			return b
		}
		c := b - fb*(b-a)/(fb-fa)
		if i%8 == 7 || !(c > math.Min(a, b) && c < math.Max(a, b)) {
			c = a + (b-a)/2
		}
		if c == a || c == b || math.Abs(b-a) <= 2e-16*(math.Abs(a)+math.Abs(b)) {
			return c
		}
		fc := f(c)
		if math.Abs(fc) < 1e-15 {
			return c
		}
		if (fc > 0) == (fb > 0) {
			b, fb = c, fc
			if side == -1 {
				fa /= 2
			}
			side = -1
		} else {
			a, fa = c, fc
			if side == 1 {
				fb /= 2
			}
			side = 1
		}
	}
	return a + (b-a)/2
}

func never(target, limit float64) error {
	return fmt.Errorf("%w: %v °C within %v s", ErrNever, target, limit)
}

// sorted is a copy in order, without doubles.
func sorted(x []float64) []float64 {
	out := slices.Clone(x)
	slices.Sort(out)
	return slices.Compact(out)
}
