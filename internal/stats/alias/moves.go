package alias

import (
	"errors"
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/resample"
)

// Movement is how far a number moves along with the compared levels.
type Movement struct {
	R    float64 `json:"r"`
	Rho  float64 `json:"rho"`
	Rows int     `json:"rows"`
	// P is the share of arrangements of the levels within their blocks that give a
	// correlation at least as large. Without HasP no arrangement could have given
	// a P as small as was asked for.
	P    float64 `json:"p"`
	HasP bool    `json:"has_p"`
}

// Most is the larger of |R| and |Rho|.
func (m *Movement) Most() float64 { return math.Max(math.Abs(m.R), math.Abs(m.Rho)) }

// Moves is the correlation of a number with the value of the level of each unit,
// and a permutation p for the larger of |r| and |ρ|: the levels are moved among
// the units of a block (nil = one block), which is what drawing them by lot
// within blocks would have done. Up to resample.MaxFull arrangements all are
// visited, beyond them draws from the seed with (b+1)/(m+1).
//
// alpha is the largest p of interest. Where the blocks allow so few arrangements
// that p cannot be as small, HasP is false.
//
// Units with an unknown level (NaN), number or block are passed over.
//
// Errors: ErrEmpty, ErrLengths, ErrNonFinite for an infinity, ErrDomain for
// alpha outside (0, 1), ErrTooFew for fewer than three units, ErrNoVariation
// when either side is constant.
func Moves(level, number []float64, block []int, alpha float64, seed uint64) (*Movement, error) {
	if !(alpha > 0 && alpha < 1) {
		return nil, fmt.Errorf("%w: alpha %v", stats.ErrDomain, alpha)
	}
	groups, err := bySession(block, level, number)
	if err != nil {
		return nil, err
	}
	var xs, ys []float64
	var blocks []int
	for g, rows := range groups {
		xs, ys = append(xs, pick(level, rows)...), append(ys, pick(number, rows)...)
		for range rows {
			blocks = append(blocks, g)
		}
	}
	if len(xs) < 3 {
		return nil, fmt.Errorf("%w: %d units, 3 needed", stats.ErrTooFew, len(xs))
	}
	labels, values := labelled(xs)
	most := func(labels []int) float64 {
		x := make([]float64, len(labels))
		for i, l := range labels {
			x[i] = values[l]
		}
		r, rho, _ := both(x, ys)
		return math.Max(math.Abs(r), math.Abs(rho))
	}
	m := &Movement{Rows: len(xs)}
	var ok bool
	if m.R, m.Rho, ok = both(xs, ys); !ok {
		return nil, fmt.Errorf("%w: levels or numbers", stats.ErrNoVariation)
	}
	p, err := resample.Permute(labels, blocks, most, resample.Options{Tail: resample.Greater, Alpha: alpha, Seed: seed})
	var few *resample.FewArrangements
	switch {
	case err == nil:
		m.P, m.HasP = p.P, true
	case errors.As(err, &few), errors.Is(err, stats.ErrNoVariation):
		// Every block holds one level, or too few: nothing to permute.
	default:
		return nil, err
	}
	return m, nil
}

// both are Pearson's and Spearman's correlation.
func both(x, y []float64) (r, rho float64, ok bool) {
	var numbers, ranks moments
	numbers.add(x, y)
	ranks.add(midRanks(x), midRanks(y))
	r, ok = numbers.correlation()
	rho, ok2 := ranks.correlation()
	return r, rho, ok && ok2
}

// labelled numbers the distinct values in the order in which they occur.
func labelled(x []float64) (labels []int, values []float64) {
	index := map[float64]int{}
	labels = make([]int, len(x))
	for i, v := range x {
		l, seen := index[v]
		if !seen {
			l = len(values)
			index[v] = l
			values = append(values, v)
		}
		labels[i] = l
	}
	return labels, values
}
