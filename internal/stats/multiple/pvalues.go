package multiple

import (
	"fmt"
	"math"
	"sort"

	"tamis/internal/stats"
)

// AdjustP adjusts raw p-values by a method that needs nothing else: None,
// Bonferroni, Sidak, Holm, Hochberg or BenjaminiHochberg. The result is in the
// order of the input. Ties get equal answers. Errors: stats.ErrEmpty,
// stats.ErrNonFinite, stats.ErrDomain for a p outside 0…1 or another method.
func AdjustP(method Method, p []float64) ([]float64, error) {
	if err := stats.CheckSample("p", p); err != nil {
		return nil, err
	}
	for i, x := range p {
		if x < 0 || x > 1 {
			return nil, fmt.Errorf("%w: p[%d] = %v, must lie in 0…1", stats.ErrDomain, i, x)
		}
	}
	m := float64(len(p))
	out := make([]float64, len(p))
	switch method {
	case None:
		copy(out, p)
	case Bonferroni:
		for i, x := range p {
			out[i] = math.Min(1, m*x)
		}
	case Sidak:
		for i, x := range p {
			// 1 − (1−p)^m, in a form that keeps tiny p.
			out[i] = -math.Expm1(m * math.Log1p(-x))
		}
	case Holm: // step down: running maximum of (m − rank + 1) p
		order := ascending(p)
		running := 0.0
		for r, i := range order {
			running = math.Max(running, math.Min(1, (m-float64(r))*p[i]))
			out[i] = running
		}
	case Hochberg: // step up: running minimum of (m − rank + 1) p from the largest
		order := ascending(p)
		running := 1.0
		for r := len(order) - 1; r >= 0; r-- {
			running = math.Min(running, (m-float64(r))*p[order[r]])
			out[order[r]] = running
		}
	case BenjaminiHochberg: // step up: running minimum of p m / rank
		order := ascending(p)
		running := 1.0
		for r := len(order) - 1; r >= 0; r-- {
			running = math.Min(running, p[order[r]]*(m/float64(r+1)))
			out[order[r]] = running
		}
	default:
		return nil, fmt.Errorf("%w: %v needs more than p-values", stats.ErrDomain, method)
	}
	return out, nil
}

// ascending returns the positions of p from the smallest value up.
func ascending(p []float64) []int {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return p[order[a]] < p[order[b]] })
	return order
}
