package descriptive

import (
	"fmt"
	"math"
	"sort"

	"tamis/internal/stats"
)

// Ranks returns the ranks 1…n of x, tied values sharing the mean of their ranks
// (midranks), and the sizes of the groups of two and more equal values, from the
// smallest value up. Errors: stats.ErrEmpty, stats.ErrNonFinite.
func Ranks(x []float64) (ranks []float64, ties []int, err error) {
	if err := stats.CheckSample("x", x); err != nil {
		return nil, nil, err
	}
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(a, b int) bool { return x[order[a]] < x[order[b]] })
	ranks = make([]float64, len(x))
	for i := 0; i < len(order); {
		j := i + 1
		for j < len(order) && x[order[j]] == x[order[i]] {
			j++
		}
		if j-i > 1 {
			ties = append(ties, j-i)
		}
		for _, at := range order[i:j] {
			ranks[at] = float64(i+1+j) / 2 // mean of i+1 … j
		}
		i = j
	}
	return ranks, ties, nil
}

// Pearson is the product-moment correlation of n ≥ 2 pairs, within [−1, 1].
// Errors: stats.ErrLengths, stats.ErrEmpty, stats.ErrTooFew, stats.ErrNonFinite,
// and stats.ErrNoVariation when either side is constant.
func Pearson(x, y []float64) (float64, error) {
	if err := checkPairs(x, y); err != nil {
		return 0, err
	}
	if constant(x) || constant(y) {
		return 0, fmt.Errorf("%w: one side is constant, a correlation needs two that vary", stats.ErrNoVariation)
	}
	mx, my := deviations(x), deviations(y)
	var xy, xx, yy sum
	for i := range mx {
		xy.add(mx[i] * my[i])
		xx.add(mx[i] * mx[i])
		yy.add(my[i] * my[i])
	}
	r := xy.value() / (math.Sqrt(xx.value()) * math.Sqrt(yy.value()))
	if math.IsNaN(r) {
		return 0, fmt.Errorf("%w: the variation is lost in rounding", stats.ErrNoVariation)
	}
	return math.Max(-1, math.Min(1, r)), nil
}

// Spearman is the Pearson correlation of the midranks. Errors as for Pearson.
func Spearman(x, y []float64) (float64, error) {
	if err := checkPairs(x, y); err != nil {
		return 0, err
	}
	rx, _, err := Ranks(x)
	if err != nil {
		return 0, err
	}
	ry, _, err := Ranks(y)
	if err != nil {
		return 0, err
	}
	return Pearson(rx, ry)
}

func checkPairs(x, y []float64) error {
	if err := stats.CheckLengths("x", len(x), "y", len(y)); err != nil {
		return err
	}
	if err := stats.CheckSample("x", x); err != nil {
		return err
	}
	if err := stats.CheckFinite("y", y); err != nil {
		return err
	}
	if len(x) < 2 {
		return fmt.Errorf("%w: one pair, a correlation needs 2", stats.ErrTooFew)
	}
	return nil
}

func constant(x []float64) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}

// deviations are the values minus their mean, divided by the largest of them
// in size: a correlation does not see the scale, and squares of what is left
// neither overflow nor vanish.
func deviations(x []float64) []float64 {
	half := 1.0 // guards x − mean where the values span the whole range
	for _, v := range x {
		if math.Abs(v) > math.MaxFloat64/4 {
			half = 0.25
		}
	}
	scaled := make([]float64, len(x))
	for i, v := range x {
		scaled[i] = v * half
	}
	mean, _ := meanAndSS(scaled)
	d := make([]float64, len(x))
	var rest sum
	for i, v := range scaled {
		d[i] = v - mean
		rest.add(d[i])
	}
	off, largest := rest.value()/float64(len(x)), 0.0
	for i := range d {
		d[i] -= off // what the rounding of the mean left
		largest = math.Max(largest, math.Abs(d[i]))
	}
	if largest > 0 {
		for i := range d {
			d[i] /= largest
		}
	}
	return d
}
