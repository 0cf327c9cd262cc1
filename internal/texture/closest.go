package texture

import (
	"math"
	"sort"

	"tamis/internal/trial"
)

// closest finds the cooked set point whose means miss the aims least, summed in
// units of each measure's scale (or of the spread of its means). Only measures
// with numbers count; nil when none has.
func (a *analysis) closest(method string) *ClosestCook {
	type key struct {
		arm    float64
		method string
	}
	miss := map[key]float64{}
	seen := map[key]int{}
	aims := 0
	for _, aim := range a.t.Aims {
		m := a.out.Measures.Named(aim.Measure)
		if m == nil || len(m.Points) == 0 {
			continue
		}
		aims++
		sum, n := map[key]float64{}, map[key]float64{}
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range m.Points {
			x, ok := p.SetPoint.Get()
			if !ok || (method != "" && p.Method != method) {
				continue
			}
			k := key{tidy(math.Round(x*20) / 20), p.Method}
			sum[k] += p.Mean
			n[k]++
			low, high = math.Min(low, p.Mean), math.Max(high, p.Mean)
		}
		width := high - low
		if len(m.Scale) == 2 {
			width = m.Scale[1] - m.Scale[0]
		}
		if !(width > 0) {
			width = 1
		}
		for k := range sum {
			miss[k] += missBy(aim, sum[k]/n[k], low, high) / width
			seen[k]++
		}
	}
	if aims == 0 {
		return nil
	}
	var keys []key
	for k := range miss {
		if seen[k] == aims {
			keys = append(keys, k)
		}
	}
	if len(keys) == 0 {
		return nil
	}
	sort.Slice(keys, func(i, j int) bool {
		a, b := keys[i], keys[j]
		if d := miss[a] - miss[b]; math.Abs(d) > 1e-12 {
			return d < 0
		}
		if a.arm != b.arm {
			return a.arm < b.arm
		}
		return a.method < b.method
	})
	// Two methods at one set point are no tie of set points: the set point is
	// named then, and no method.
	tied, how := map[float64]bool{}, keys[0].method
	for _, k := range keys[1:] {
		switch {
		case miss[k]-miss[keys[0]] > 1e-9:
		case k.arm == keys[0].arm:
			how = ""
		default:
			tied[k.arm] = true
		}
	}
	return &ClosestCook{SetPoint: num(keys[0].arm), Method: how, Miss: num(miss[keys[0]]), Ties: len(tied)}
}

// missBy is by how much a mean misses an aim; 0 when it holds.
func missBy(aim trial.Aim, v, low, high float64) float64 {
	switch {
	case aim.Target.Known:
		return math.Max(0, math.Max(aim.Target.V.Low-v, v-aim.Target.V.High))
	case aim.AtLeast.Known:
		return math.Max(0, aim.AtLeast.V-v)
	case aim.AtMost.Known:
		return math.Max(0, v-aim.AtMost.V)
	case aim.Best.V == trial.Lowest:
		return v - low
	}
	return high - v
}
