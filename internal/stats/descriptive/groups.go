package descriptive

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Pooled is the spread within groups: SD² = Σ SSⱼ / DF, DF = Σ (nⱼ − 1).
type Pooled struct {
	SD float64
	DF int
}

// PooledSD pools the spread of groups of any size. Groups with one value add
// nothing, empty groups are skipped. Errors: stats.ErrEmpty without any value,
// stats.ErrTooFew when no group has two, stats.ErrNonFinite, stats.ErrDomain.
func PooledSD(groups [][]float64) (Pooled, error) {
	var ss sum
	df, n := 0, 0
	for g, x := range groups {
		if len(x) == 0 {
			continue
		}
		m, err := Describe(x)
		if err != nil {
			return Pooled{}, fmt.Errorf("group %d: %w", g, err)
		}
		ss.add(m.SS)
		df += m.N - 1
		n += m.N
	}
	switch {
	case n == 0:
		return Pooled{}, fmt.Errorf("%w: groups", stats.ErrEmpty)
	case df == 0:
		return Pooled{}, fmt.Errorf("%w: no group has 2 values", stats.ErrTooFew)
	case math.IsInf(ss.value(), 0) || math.IsNaN(ss.value()):
		return Pooled{}, fmt.Errorf("%w: the squared deviations overflow", stats.ErrDomain)
	}
	return Pooled{SD: math.Sqrt(ss.value() / float64(df)), DF: df}, nil
}

// StandardisedDifference is (largest − smallest group mean) / pooled SD: |d| for
// two groups. It describes an imbalance and tests nothing. Errors as for
// PooledSD, stats.ErrTooFew below two groups that hold values, and
// stats.ErrNoVariation when nothing varies within the groups.
func StandardisedDifference(groups [][]float64) (float64, error) {
	low, high, filled := math.Inf(1), math.Inf(-1), 0
	for g, x := range groups {
		if len(x) == 0 {
			continue
		}
		m, err := Mean(x)
		if err != nil {
			return 0, fmt.Errorf("group %d: %w", g, err)
		}
		low, high = math.Min(low, m), math.Max(high, m)
		filled++
	}
	if filled == 1 {
		return 0, fmt.Errorf("%w: one group, a difference needs 2", stats.ErrTooFew)
	}
	p, err := PooledSD(groups)
	if err != nil {
		return 0, err
	}
	if p.SD == 0 {
		return 0, fmt.Errorf("%w: nothing varies within the groups", stats.ErrNoVariation)
	}
	d := (high - low) / p.SD
	if math.IsInf(d, 0) {
		return 0, fmt.Errorf("%w: the standardised difference overflows", stats.ErrDomain)
	}
	return d, nil
}

// DesignEffect is 1 + (m − 1)·icc: by how much the variance of a mean grows when
// m looks at each unit share an intraclass correlation (Kish 1965). m ≥ 1, real
// (a mean number of looks); icc from −1/(m−1) to 1. Errors: stats.ErrDomain,
// stats.ErrNonFinite.
func DesignEffect(m, icc float64) (float64, error) {
	if err := stats.CheckFinite("argument", []float64{m, icc}); err != nil {
		return 0, err
	}
	if m < 1 || icc > 1 || icc < -1 {
		return 0, fmt.Errorf("%w: %v looks at a correlation of %v", stats.ErrDomain, m, icc)
	}
	d := 1 + (m-1)*icc
	if d < 0 {
		return 0, fmt.Errorf("%w: %v looks cannot have a correlation of %v", stats.ErrDomain, m, icc)
	}
	return d, nil
}

// EffectiveSize is m / DesignEffect(m, icc): what m looks at one unit count for.
// stats.ErrDomain also where the design effect is 0.
func EffectiveSize(m, icc float64) (float64, error) {
	d, err := DesignEffect(m, icc)
	if err != nil {
		return 0, err
	}
	if d == 0 {
		return 0, fmt.Errorf("%w: the looks cancel exactly", stats.ErrDomain)
	}
	return m / d, nil
}
