package descriptive

import (
	"fmt"
	"math"
	"sort"

	"tamis/internal/stats"
)

// Definition names a sample quantile after Hyndman & Fan 1996 (American
// Statistician 50:361). The zero value is Type7.
type Definition int

const (
	// Type7 interpolates between the order statistics with x(k) at
	// (k−1)/(n−1), the mode of its distribution: the default here.
	Type7 Definition = iota
	// Type2 is the inverse of the empirical distribution, averaged at its
	// jumps: always a value or the middle of two.
	Type2
	// Type6 puts x(k) at k/(n+1), the mean of its distribution.
	Type6
	// Type8 puts x(k) at (k−⅓)/(n+⅓), about its median whatever the
	// distribution; the one Hyndman & Fan recommend.
	Type8
)

// Quantile is the p-th sample quantile, 0 ≤ p ≤ 1, of at least one value.
// Errors: stats.ErrEmpty, stats.ErrNonFinite, stats.ErrDomain.
func Quantile(x []float64, p float64, def Definition) (float64, error) {
	q, err := Quantiles(x, []float64{p}, def)
	if err != nil {
		return 0, err
	}
	return q[0], nil
}

// Quantiles is Quantile at several p, sorting x (a copy of it) once. ps may be
// empty and in any order.
func Quantiles(x, ps []float64, def Definition) ([]float64, error) {
	if err := stats.CheckSample("x", x); err != nil {
		return nil, err
	}
	if def < Type7 || def > Type8 {
		return nil, fmt.Errorf("%w: quantile definition %d", stats.ErrDomain, int(def))
	}
	for i, p := range ps {
		if math.IsNaN(p) {
			return nil, fmt.Errorf("%w: p[%d] = NaN", stats.ErrNonFinite, i)
		}
		if p < 0 || p > 1 {
			return nil, fmt.Errorf("%w: p[%d] = %v, must lie in 0…1", stats.ErrDomain, i, p)
		}
	}
	s := sorted(x)
	out := make([]float64, len(ps))
	for i, p := range ps {
		out[i] = quantileSorted(s, p, def)
	}
	return out, nil
}

func quantileSorted(s []float64, p float64, def Definition) float64 {
	n := float64(len(s))
	var shift float64 // the m of Hyndman & Fan: position n·p + m
	switch def {
	case Type7:
		shift = 1 - p
	case Type6:
		shift = p
	case Type8:
		shift = (p + 1) / 3
	}
	at := n*p + shift
	// 0.1·30 is a hair above 3; such a hair must not move to the next value.
	j := math.Floor(at + 1e-14*n)
	g := at - j
	if math.Abs(g) < 1e-14*n {
		g = 0
	}
	if def == Type2 {
		if g > 0 {
			g = 1
		} else {
			g = 0.5
		}
	}
	k := int(j) // 1-based; ends are clamped
	low, high := s[clamp(k-1, len(s))], s[clamp(k, len(s))]
	if low == high || g == 0 {
		return low
	}
	q := (1-g)*low + g*high // cannot overflow, unlike low + g(high−low)
	return math.Min(math.Max(q, low), high)
}

func clamp(i, n int) int { return max(0, min(i, n-1)) }

// Median is the middle value, or the mean of the two middle ones (all
// definitions agree on it). Errors: stats.ErrEmpty, stats.ErrNonFinite.
func Median(x []float64) (float64, error) { return Quantile(x, 0.5, Type7) }

// NormalMAD makes the MAD estimate the standard deviation of a normal sample:
// 1/Φ⁻¹(¾).
const NormalMAD = 1.482602218505602

// MAD is the median absolute deviation from the median, without the factor
// NormalMAD. Errors: stats.ErrEmpty, stats.ErrNonFinite.
func MAD(x []float64) (float64, error) {
	m, err := Median(x)
	if err != nil {
		return 0, err
	}
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - m)
	}
	mad, err := Median(d)
	if err != nil { // a deviation overflowed
		return 0, fmt.Errorf("%w: the deviations overflow", stats.ErrDomain)
	}
	return mad, nil
}

// FiveNumbers are minimum, lower quartile, median, upper quartile and maximum.
type FiveNumbers struct {
	Min, Q1, Median, Q3, Max float64
}

// FiveNumberSummary uses the quartiles of the definition given, so that a box in
// a figure and a quartile in a table are the same number. Tukey's hinges are a
// different definition and are not offered. Errors as for Quantile.
func FiveNumberSummary(x []float64, def Definition) (FiveNumbers, error) {
	q, err := Quantiles(x, []float64{0, 0.25, 0.5, 0.75, 1}, def)
	if err != nil {
		return FiveNumbers{}, err
	}
	return FiveNumbers{q[0], q[1], q[2], q[3], q[4]}, nil
}

func sorted(x []float64) []float64 {
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	return s
}
