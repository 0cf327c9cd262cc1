package fairness

import (
	"math"
	"slices"

	"tamis/internal/heat"
	"tamis/internal/trial"
)

// heat is the heat of the trial's cooks: as it was given, else computed once.
func (c *Case) heat() *heat.Trial {
	if c.Heat != nil && len(c.Heat.Cooks) == len(c.Trial.Cooks) {
		return c.Heat
	}
	if c.facts.heat == nil {
		c.facts.heat = heat.OfTrial(c.Trial)
	}
	return c.facts.heat
}

// bathAt is the temperature at which the water of a cook really stood, °C: the
// mean of its log, else the set point less the error of its thermometer. logged
// reports the first, known either.
func (c *Case) bathAt(cook int) (celsius float64, logged, known bool) {
	k := &c.Trial.Cooks[cook]
	if !k.SetPoint.Known {
		return 0, false, false
	}
	if log := c.heat().Cooks[cook].Log; log != nil {
		if mean, ok := log.BathMean.Get(); ok {
			return mean, true, true
		}
	}
	celsius = k.SetPoint.V.Celsius()
	if b := c.bathOf(k); b != nil && b.Reads.Known {
		return celsius - b.Reads.V.Kelvin(), false, true
	}
	return celsius, false, false
}

// bathOf is the bath of a cook, or nil.
func (c *Case) bathOf(k *trial.Cook) *trial.Bath {
	id, ok := c.Trial.BathOf(k)
	for i := range c.Trial.Baths {
		if b := &c.Trial.Baths[i]; ok && b.ID == id {
			return b
		}
	}
	return nil
}

// median of some numbers, 0 of none. x is not altered.
func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	v := slices.Clone(x)
	slices.Sort(v)
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}

// spanOf is the largest less the smallest of some numbers, 0 of none.
func spanOf(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	return slices.Max(x) - slices.Min(x)
}

// byLevel sorts numbers of runs by the level of the compared factor.
func byLevel(levels int, runs []bathRun, v []float64) [][]float64 {
	out := make([][]float64, levels)
	for i, r := range runs {
		out[r.Level] = append(out[r.Level], v[i])
	}
	return out
}

func meanValue(x []float64) float64 {
	m := 0.0
	for i, v := range x {
		m += (v - m) / float64(i+1)
	}
	return m
}

// ends are the levels with the smallest and the largest mean, of those with
// values; -1 without any.
func ends(groups [][]float64) (low, high int, size float64) {
	low, high = -1, -1
	for l, g := range groups {
		if len(g) == 0 {
			continue
		}
		if low < 0 || meanValue(g) < meanValue(groups[low]) {
			low = l
		}
		if high < 0 || meanValue(g) > meanValue(groups[high]) {
			high = l
		}
	}
	if low >= 0 {
		size = meanValue(groups[high]) - meanValue(groups[low])
	}
	return low, high, size
}

// boundTo reports whether numbers are constant within every level, to a share of
// their size, and differ between levels.
func boundTo(groups [][]float64) bool {
	within, top := 0.0, 0.0
	for _, g := range groups {
		within = math.Max(within, spanOf(g))
		for _, v := range g {
			top = math.Max(top, math.Abs(v))
		}
	}
	_, _, size := ends(groups)
	return within <= 1e-9*top && size > 1e-9*top
}
