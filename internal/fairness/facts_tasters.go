package fairness

import (
	"math"
	"slices"

	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

// tasterMeans are the mean scores of each assessor at each level of the compared
// factor.
type tasterMeans struct {
	ids  []string
	mean [][]float64 // NaN where an assessor has no score at a level
}

func (c *Case) armMeansByTaster(m trial.Measure) tasterMeans {
	out := tasterMeans{ids: c.Trial.AssessorIDs()}
	at := map[string]int{}
	n := make([][]float64, len(out.ids))
	for i, id := range out.ids {
		at[id] = i
		out.mean = append(out.mean, make([]float64, c.Levels()))
		n[i] = make([]float64, c.Levels())
	}
	for _, r := range c.facts.scores {
		v, ok := r.S.Values.Get(m.Name)
		level := c.level(r.Cook, r.Piece)
		i, known := at[r.S.Assessor]
		if !ok || v.Missing || leftOut(r.S) || level < 0 || !known {
			continue
		}
		out.mean[i][level] += v.V
		n[i][level]++
	}
	for i := range out.mean {
		for l := range out.mean[i] {
			out.mean[i][l] /= n[i][l] // 0/0 is NaN: not tasted
		}
	}
	return out
}

// slope is that of an assessor's means on the mean of the others, over the levels
// that all of these tasted, with the two-sided p of its difference from 1. ok is
// false with fewer than four such levels, below which nothing is left to judge
// it by, or where the others do not differ.
func (t tasterMeans) slope(id string) (b, p float64, ok bool) {
	who := slices.Index(t.ids, id)
	if who < 0 {
		return 0, 0, false
	}
	var x, y []float64
	for l := range t.mean[who] {
		sum, n := 0.0, 0.0
		for i := range t.mean {
			if i != who {
				sum, n = sum+t.mean[i][l], n+1
			}
		}
		if v := sum / n; !math.IsNaN(v) && !math.IsNaN(t.mean[who][l]) {
			x, y = append(x, v), append(y, t.mean[who][l])
		}
	}
	if len(x) < leastArms+1 {
		return 0, 0, false
	}
	mx, sxx := meanSS(x)
	my, syy := meanSS(y)
	var sxy float64
	for i := range x {
		sxy += (x[i] - mx) * (y[i] - my)
	}
	df := float64(len(x) - 2)
	rss := 0.0
	if sxx > 0 {
		b = sxy / sxx
		rss = math.Max(0, syy-b*sxy)
	}
	if !(sxx > 0) || !(rss > 1e-12*syy) {
		return 0, 0, false
	}
	p, err := dist.TTwoSided((b-1)/math.Sqrt(rss/df/sxx), df)
	return b, p, err == nil
}

// nearlyAll is the share of the others who must agree on the ends for somebody to
// stand against them.
const nearlyAll = 0.9

// turned reports whether an assessor's means run against those of the others,
// and turn round the two levels that the others put furthest apart and nearly all
// of them, three at least, put the same way; with the correlation of the means.
func (t tasterMeans) turned(id string) (r float64, ok bool) {
	who := slices.Index(t.ids, id)
	if who < 0 {
		return 0, false
	}
	var x, y []float64
	var at []int // the levels of x
	for l := range t.mean[who] {
		sum, n := 0.0, 0.0
		for i := range t.mean {
			if i != who && !math.IsNaN(t.mean[i][l]) {
				sum, n = sum+t.mean[i][l], n+1
			}
		}
		if n > 0 && !math.IsNaN(t.mean[who][l]) {
			x, y, at = append(x, sum/n), append(y, t.mean[who][l]), append(at, l)
		}
	}
	if len(x) < leastArms {
		return 0, false
	}
	low, high := slices.Index(x, slices.Min(x)), slices.Index(x, slices.Max(x))
	agree, n := 0, 0
	for i := range t.mean {
		if d := t.difference(i, at[high], at[low]); i != who && !math.IsNaN(d) {
			n++
			if d > 0 {
				agree++
			}
		}
	}
	mx, sxx := meanSS(x)
	my, syy := meanSS(y)
	for i := range x {
		r += (x[i] - mx) * (y[i] - my)
	}
	if !(sxx > 0) || !(syy > 0) {
		return 0, false
	}
	r /= math.Sqrt(sxx * syy)
	return r, r < 0 && y[high] < y[low] && n >= leastPanel-1 && float64(agree) >= nearlyAll*float64(n)
}

// spreads finds the assessors whose means spread most and least over the levels,
// and the ratio of their standard deviations; 0 where somebody has no spread or
// has not tasted all.
func (t tasterMeans) spreads() (wide, narrow string, ratio float64) {
	low, high := math.Inf(1), 0.0
	for i, m := range t.mean {
		_, ss := meanSS(m)
		if !(ss > 0) {
			return "", "", 0
		}
		if ss < low {
			low, narrow = ss, t.ids[i]
		}
		if ss > high {
			high, wide = ss, t.ids[i]
		}
	}
	if len(t.mean) == 0 {
		return "", "", 0
	}
	return wide, narrow, math.Sqrt(high / low)
}

// difference is an assessor's mean at level a less that at level b; NaN where one
// was not tasted.
func (t tasterMeans) difference(i, a, b int) float64 { return t.mean[i][a] - t.mean[i][b] }
