package fairness

import (
	"math"
	"slices"

	"tamis/internal/stats/alias"
	"tamis/internal/stats/dist"
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
