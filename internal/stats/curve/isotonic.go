package curve

import (
	"fmt"
	"slices"

	"tamis/internal/stats"
)

// IsotonicFit is a monotone step fit at distinct x.
type IsotonicFit struct {
	X      []float64 // distinct, ascending
	Mean   []float64 // weighted mean of y at each x
	Weight []float64 // sum of weights at each x
	Fitted []float64 // the monotone fit
	RSS    float64   // Σ w(y − fitted)² over all observations
	Levels int       // number of distinct steps
}

// Isotonic is weighted isotonic regression by pooling adjacent violators
// (Barlow, Bartholomew, Bremner & Brunk 1972): the least squares fit among
// functions of x that do not fall (or do not rise, with decreasing). Tied x are
// averaged first, so they share one value. weights nil means 1.
//
// It is a shape check: it has no error model and gives no interval.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrDomain for a weight ≤ 0.
func Isotonic(x, y, weights []float64, decreasing bool) (*IsotonicFit, error) {
	if err := stats.CheckSample("y", y); err != nil {
		return nil, err
	}
	if err := stats.CheckLengths("x", len(x), "y", len(y)); err != nil {
		return nil, err
	}
	if err := stats.CheckFinite("x", x); err != nil {
		return nil, err
	}
	if weights != nil {
		if err := stats.CheckLengths("weights", len(weights), "y", len(y)); err != nil {
			return nil, err
		}
		if err := stats.CheckFinite("weights", weights); err != nil {
			return nil, err
		}
	}
	weight := func(i int) float64 {
		if weights == nil {
			return 1
		}
		return weights[i]
	}
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
		if weight(i) <= 0 {
			return nil, fmt.Errorf("%w: weights[%d] = %v", stats.ErrDomain, i, weight(i))
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case x[a] < x[b]:
			return -1
		case x[a] > x[b]:
			return 1
		}
		return 0
	})
	f := &IsotonicFit{}
	at := make([]int, len(x)) // observation → distinct x
	for _, i := range order {
		n := len(f.X)
		if n == 0 || f.X[n-1] != x[i] {
			f.X, f.Mean, f.Weight = append(f.X, x[i]), append(f.Mean, 0), append(f.Weight, 0)
			n++
		}
		at[i] = n - 1
		// Running weighted mean: no overflow, no loss to an offset.
		f.Weight[n-1] += weight(i)
		f.Mean[n-1] += (y[i] - f.Mean[n-1]) * weight(i) / f.Weight[n-1]
	}
	sign := 1.0
	if decreasing {
		sign = -1
	}
	type pool struct {
		mean, weight float64
		count        int
	}
	var pools []pool
	for i, m := range f.Mean {
		p := pool{sign * m, f.Weight[i], 1}
		for len(pools) > 0 && pools[len(pools)-1].mean >= p.mean {
			q := pools[len(pools)-1]
			pools = pools[:len(pools)-1]
			w := q.weight + p.weight
			p = pool{q.mean + (p.mean-q.mean)*p.weight/w, w, q.count + p.count}
		}
		pools = append(pools, p)
	}
	f.Levels = len(pools)
	for _, p := range pools {
		for range p.count {
			f.Fitted = append(f.Fitted, sign*p.mean)
		}
	}
	for i := range y {
		d := y[i] - f.Fitted[at[i]]
		f.RSS += weight(i) * d * d
	}
	return f, nil
}
