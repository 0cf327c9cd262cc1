package fairness

import (
	"math"
	"slices"

	"tamis/internal/stats/alias"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/resample"
)

// rangeByChance is how likely the means of some levels lie as far apart by chance
// alone: the p of their range by the studentised range, with the harmonic mean of
// the numbers of values, n of each level; 1 and false where nothing scatters
// within the levels.
func rangeByChance(s *alias.Spread, n []int) (p float64, ok bool) {
	if !s.HasD {
		return 1, false
	}
	inverse := 0.0
	for _, k := range n {
		inverse += 1 / float64(k)
	}
	p, err := dist.RangeUpper(s.D*math.Sqrt(float64(len(n))/inverse), len(n), float64(s.DF))
	if err != nil {
		return 1, false
	}
	return p, true
}

// hardlyByChance reports whether the means of groups lie further apart than their
// scatter would bring about, with the p that says so. Values that do not scatter
// were set so, and never lie apart by chance.
func hardlyByChance(groups [][]float64) (p float64, yes bool) {
	groups = slices.DeleteFunc(slices.Clone(groups), func(g []float64) bool { return len(g) == 0 })
	s, err := alias.Imbalance(groups)
	if err != nil {
		return 1, false
	}
	n := make([]int, len(groups))
	for i, g := range groups {
		n[i] = len(g)
	}
	p, tested := rangeByChance(s, n)
	return p, !tested || p < weakensBelow
}

// hardlyByChance reports whether levels that were shuffled among the rows would
// hardly go along with the category as far as they do.
func (k category) hardlyByChance() bool {
	var level, code []int
	for i, c := range k.code {
		if c >= 0 && k.level[i] >= 0 {
			level, code = append(level, k.level[i]), append(code, c)
		}
	}
	p, err := resample.Permute(level, nil, func(level []int) float64 {
		l, err := alias.CramersV(alias.Count(level, code))
		if err != nil {
			return 0
		}
		return l.ChiSquared
	}, resample.Options{Tail: resample.Greater, Draws: shuffles, Seed: 1, Alpha: weakensBelow, Enough: weakensBelow})
	return err == nil && p.P < weakensBelow
}
