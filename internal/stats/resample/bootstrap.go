package resample

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"tamis/internal/stats"
)

// MinUnits is the least number of units that a case bootstrap is offered for
// (house rule): with fewer, its intervals are far too short.
const MinUnits = 8

// BootOptions of a bootstrap. The zero value is 1 999 draws, seed 0, 95 %.
type BootOptions struct {
	Draws int
	Seed  uint64
	Level float64
}

func (o *BootOptions) fill() error {
	if o.Draws == 0 {
		o.Draws = 1_999
	}
	if o.Level == 0 {
		o.Level = 0.95
	}
	switch {
	case o.Draws < 0 || !(o.Level > 0 && o.Level < 1):
		return fmt.Errorf("%w: %d draws, level %v", stats.ErrDomain, o.Draws, o.Level)
	case o.Draws > 10_000_000:
		return fmt.Errorf("%w: %d draws", stats.ErrTooLarge, o.Draws)
	}
	return nil
}

// Boot is the result of a bootstrap.
type Boot struct {
	Estimate   float64        `json:"estimate"`
	Mean       float64        `json:"mean"` // of the draws
	Bias       float64        `json:"bias"` // Mean − Estimate
	SE         float64        `json:"se"`   // SD of the draws
	Percentile stats.Interval `json:"percentile"`
	// BCa is bias-corrected and accelerated (Efron 1987, JASA 82:171), nil when
	// it has no value: every draw on one side of the estimate, or a statistic
	// that does not change when a unit is left out.
	BCa          *stats.Interval `json:"bca,omitempty"`
	Z0           float64         `json:"z0"`
	Acceleration float64         `json:"acceleration"`
	// Levels are the shares of the draws at which BCa reads its ends.
	Levels   [2]float64      `json:"levels"`
	Draws    int             `json:"draws"`
	Units    int             `json:"units"`
	Warnings []stats.Warning `json:"warnings,omitempty"`
}

// Bootstrap draws n units with replacement, each block on its own. blocks[u] is
// the block of unit u, nil meaning one. statistic maps a list of unit numbers
// (repeats count as often as they stand) to a number; it is also called with
// single units left out.
//
// Quantiles are of definition 7 of Hyndman & Fan (1996). The acceleration is
// that of the delete-one jackknife, within blocks: lᵤ = (n_b − 1)(t̄_b − t₍ᵤ₎)/n_b,
// a = Σl³ / (6(Σl²)^1.5).
//
// Errors: ErrTooFew below MinUnits; ErrLengths; ErrDomain; ErrNonFinite from
// the statistic; ErrNoVariation when every draw gives the same number.
func Bootstrap(n int, blocks []int, statistic func(units []int) float64, opt BootOptions) (*Boot, error) {
	if err := opt.fill(); err != nil {
		return nil, err
	}
	if n < MinUnits {
		return nil, fmt.Errorf("%w: %d units, %d needed for a bootstrap", stats.ErrTooFew, max(n, 0), MinUnits)
	}
	if blocks != nil {
		if err := stats.CheckLengths("units", n, "blocks", len(blocks)); err != nil {
			return nil, err
		}
	}
	members := byBlock(n, blocks)
	for b, m := range members {
		if len(m) < 2 {
			return nil, fmt.Errorf("%w: block %d holds one unit, 2 needed", stats.ErrTooFew, b)
		}
	}
	values := make([]float64, opt.Draws)
	parallelWith(opt.Draws, newStream, func(rng *stream, i int) {
		rng.at(opt.Seed, i)
		units := make([]int, 0, n)
		for _, m := range members {
			for range m {
				units = append(units, m[rng.IntN(len(m))])
			}
		}
		values[i] = statistic(units)
	})
	return summarise(n, members, values, statistic, opt)
}

// BootstrapFrom is Bootstrap on given draws: each row lists the unit numbers
// (from 0) of one draw. It exists to reproduce recorded draws.
//
// Errors: as Bootstrap; ErrDomain for a unit number outside 0 to n−1.
func BootstrapFrom(draws [][]int, n int, statistic func(units []int) float64, opt BootOptions) (*Boot, error) {
	opt.Draws = len(draws)
	if len(draws) == 0 {
		return nil, fmt.Errorf("%w: no draws", stats.ErrEmpty)
	}
	if err := opt.fill(); err != nil {
		return nil, err
	}
	if n < MinUnits {
		return nil, fmt.Errorf("%w: %d units, %d needed for a bootstrap", stats.ErrTooFew, max(n, 0), MinUnits)
	}
	for i, d := range draws {
		if len(d) == 0 {
			return nil, fmt.Errorf("%w: draw %d", stats.ErrEmpty, i)
		}
		for _, u := range d {
			if u < 0 || u >= n {
				return nil, fmt.Errorf("%w: draw %d names unit %d of %d", stats.ErrDomain, i, u, n)
			}
		}
	}
	values := make([]float64, len(draws))
	parallel(len(draws), func(i int) { values[i] = statistic(slices.Clone(draws[i])) })
	return summarise(n, byBlock(n, nil), values, statistic, opt)
}

// byBlock lists the units of each block, blocks in order of first appearance.
func byBlock(n int, blocks []int) [][]int {
	var out [][]int
	index := map[int]int{}
	for u := range n {
		b := 0
		if blocks != nil {
			b = blocks[u]
		}
		k, ok := index[b]
		if !ok {
			k = len(out)
			index[b] = k
			out = append(out, nil)
		}
		out[k] = append(out[k], u)
	}
	return out
}

func summarise(n int, members [][]int, values []float64, statistic func([]int) float64, opt BootOptions) (*Boot, error) {
	var all []int
	for _, m := range members {
		all = append(all, m...)
	}
	slices.Sort(all)
	r := &Boot{Estimate: statistic(slices.Clone(all)), Draws: len(values), Units: n}
	if err := stats.CheckFinite("statistic", append([]float64{r.Estimate}, values...)); err != nil {
		return nil, err
	}
	r.Mean = mean(values)
	r.Bias = r.Mean - r.Estimate
	ss := 0.0
	for _, v := range values {
		ss += (v - r.Mean) * (v - r.Mean)
	}
	if len(values) > 1 {
		r.SE = math.Sqrt(ss / float64(len(values)-1))
	}
	sorted := slices.Sorted(slices.Values(values))
	if sorted[0] == sorted[len(sorted)-1] {
		return nil, fmt.Errorf("%w: every draw gives %v", stats.ErrNoVariation, sorted[0])
	}
	tail := (1 - opt.Level) / 2
	r.Percentile = stats.Interval{Low: quantile(sorted, tail), High: quantile(sorted, 1-tail), Level: opt.Level}
	if need := 20 / tail; float64(len(values)) < need {
		r.Warnings = append(r.Warnings, stats.Warning{ID: "few-draws", Need: math.Ceil(need),
			Text: fmt.Sprintf("%d draws leave fewer than 20 beyond each end of the interval.", len(values))})
	}

	below := 0
	for _, v := range values {
		if v < r.Estimate {
			below++
		}
	}
	norm := distuv.UnitNormal
	if below == 0 || below == len(values) {
		r.Warnings = append(r.Warnings, stats.Warning{ID: "one-sided-draws", Text: "Every draw lies on one side of the estimate: no BCa interval."})
		return r, nil
	}
	r.Z0 = norm.Quantile(float64(below) / float64(len(values)))

	left := make([]float64, n)
	parallel(n, func(u int) {
		rest := make([]int, 0, n-1)
		for _, v := range all {
			if v != u {
				rest = append(rest, v)
			}
		}
		left[u] = statistic(rest)
	})
	if err := stats.CheckFinite("statistic with a unit left out", left); err != nil {
		return nil, err
	}
	s2, s3 := 0.0, 0.0
	for _, m := range members {
		centre := 0.0
		for i, u := range m {
			centre += (left[u] - centre) / float64(i+1)
		}
		k := float64(len(m))
		for _, u := range m {
			l := (k - 1) * (centre - left[u]) / k
			s2 += l * l
			s3 += l * l * l
		}
	}
	if s2 == 0 {
		r.Warnings = append(r.Warnings, stats.Warning{ID: "no-acceleration", Text: "Leaving a unit out never changes the statistic: no BCa interval."})
		return r, nil
	}
	r.Acceleration = s3 / (6 * math.Pow(s2, 1.5))
	for i, z := range []float64{norm.Quantile(tail), norm.Quantile(1 - tail)} {
		w := r.Z0 + z
		// 1 − a·w changes sign for extreme skewness; the map is then no map.
		if d := 1 - r.Acceleration*w; d > 0 {
			r.Levels[i] = norm.CDF(r.Z0 + w/d)
		} else {
			r.Levels = [2]float64{}
			r.Warnings = append(r.Warnings, stats.Warning{ID: "too-skew", Text: "The statistic is too skew for a BCa interval."})
			return r, nil
		}
	}
	r.BCa = &stats.Interval{Low: quantile(sorted, r.Levels[0]), High: quantile(sorted, r.Levels[1]), Level: opt.Level}
	return r, nil
}

// quantile of sorted values, definition 7.
func quantile(sorted []float64, p float64) float64 {
	h := p * float64(len(sorted)-1)
	i := int(h)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (h-float64(i))*(sorted[i+1]-sorted[i])
}
