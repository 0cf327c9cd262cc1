package ranks

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// maxSigns bounds the number of signs (and of discordant pairs): beyond it a
// summed binomial tail would take too long.
const maxSigns = 100_000_000

// SignResult is the answer of Sign.
type SignResult struct {
	Positive, Negative, Zeros int
	// P is exact: binomial with chance one half, zeros set aside.
	P           float64
	Alternative Alternative
	// Median of all differences (mean of the two middle ones for an even number)
	// and the interval from the c-th smallest to the c-th largest, whose Level is
	// the level attained.
	Median   float64
	Interval stats.Interval
	Warnings []stats.Warning
}

// Sign is the exact sign test of differences against a median of 0, n ≥ 1. Only
// the direction counts, so it makes no assumption on shape. level is that of the
// interval for the median. Errors: ErrEmpty, ErrNonFinite, ErrDomain,
// ErrNoVariation when all differences are 0.
func Sign(diffs []float64, alt Alternative, level float64) (SignResult, error) {
	if err := stats.CheckSample("differences", diffs); err != nil {
		return SignResult{}, err
	}
	if err := alt.check(); err != nil {
		return SignResult{}, err
	}
	if err := checkShare("level", level); err != nil {
		return SignResult{}, err
	}
	res := SignResult{Alternative: alt}
	for _, d := range diffs {
		switch {
		case d > 0:
			res.Positive++
		case d < 0:
			res.Negative++
		default:
			res.Zeros++
		}
	}
	n := res.Positive + res.Negative
	if n == 0 {
		return SignResult{}, fmt.Errorf("%w: all differences are 0", stats.ErrNoVariation)
	}
	res.P = halfP(res.Positive, n, alt)
	x := ascending(diffs)
	res.Median = middleOf(len(x), func(k int) float64 { return x[k-1] })
	// c largest with 2·P(B ≤ c − 1) ≤ 1 − level, B binomial on all n values.
	c := 1
	attained := 1 - 2*halfUpper(len(x), len(x))
	for c < (len(x)+1)/2 {
		p := 2 * halfUpper(len(x)-c, len(x)) // P(B ≤ c) = P(B ≥ n − c)
		if p > (1-level)*(1+1e-12) {
			break
		}
		c++
		attained = 1 - p
	}
	res.Interval = stats.Interval{Low: x[c-1], High: x[len(x)-c], Level: attained}
	if attained < level {
		res.Warnings = append(res.Warnings, levelWarning(level, "differences", math.Ceil(1-math.Log2(1-level))))
	}
	return res, nil
}

// halfP is the binomial p of k successes in n tries at chance one half; two-sided
// is twice the smaller tail.
func halfP(k, n int, alt Alternative) float64 {
	switch alt {
	case Greater:
		return halfUpper(k, n)
	case Less:
		return halfUpper(n-k, n)
	}
	return min(1, 2*halfUpper(max(k, n-k), n))
}

// halfUpper is P(B ≥ k) for B binomial(n, ½). Terms fall from k on when k is above
// the middle; below it the complement is summed instead.
func halfUpper(k, n int) float64 {
	if k <= 0 {
		return 1
	}
	if k > n {
		return 0
	}
	if 2*k <= n {
		return 1 - halfUpper(n-k+1, n) // P(B ≤ k − 1) = P(B ≥ n − k + 1)
	}
	// The first term by log-gamma for long series, by an exact product for short
	// ones (up to 1000 every factor is a whole number over a power of 2).
	term := 1.0
	if n <= 1000 {
		halvings := n
		for i := 1; i <= n-k; i++ {
			term *= float64(n-i+1) / float64(i)
			for term > 1 && halvings > 0 {
				term /= 2
				halvings--
			}
		}
		term = math.Ldexp(term, -halvings)
	} else {
		a, _ := math.Lgamma(float64(n + 1))
		b, _ := math.Lgamma(float64(k + 1))
		c, _ := math.Lgamma(float64(n - k + 1))
		term = math.Exp(a - b - c - float64(n)*math.Ln2)
	}
	sum := term
	for j := k + 1; j <= n; j++ {
		term *= float64(n-j+1) / float64(j)
		sum += term
		if term < sum*1e-18 {
			break
		}
	}
	return sum
}
