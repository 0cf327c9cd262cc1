package fairness

import (
	"math"

	"tamis/internal/trial"
)

// placed are the scores of one measure that have a place, with the sitting and the
// sample of each: what a score is judged against when places are compared.
type placed struct {
	y               []float64
	place           []int // the position as written
	sitting, sample []int
	sittings        int
	samples         int
	first           int // rows at position 1
}

// placedScores lays out a measure. A sample is a piece where the sheet names
// pieces, else a cook.
func (c *Case) placedScores(m trial.Measure) placed {
	all, _ := c.sittings()
	var p placed
	index := map[[2]int]int{}
	p.sittings = len(all)
	for si, s := range all {
		for _, r := range s.rows {
			v, ok := r.S.Values.Get(m.Name)
			if !ok || v.Missing || leftOut(r.S) {
				continue
			}
			key := [2]int{r.Cook, r.Piece}
			at, ok := index[key]
			if !ok {
				at = len(index)
				index[key] = at
			}
			p.y = append(p.y, v.V)
			p.place = append(p.place, r.S.Position.V)
			p.sitting, p.sample = append(p.sitting, si), append(p.sample, at)
			if r.S.Position.V == 1 {
				p.first++
			}
		}
	}
	p.samples = len(index)
	return p
}

// sweeps bounds the alternation below; it stops much earlier on any layout that a
// person would serve.
const sweeps = 500

// within takes the means of sittings and samples out of a column: the residuals
// of an additive model with both. One mean after the other is taken out until
// nothing is left to take (alternating projections; von Neumann, from memory).
func (p placed) within(v []float64) []float64 {
	out := append([]float64(nil), v...)
	scale := 0.0
	for _, x := range out {
		scale = math.Max(scale, math.Abs(x))
	}
	for range sweeps {
		moved := math.Max(centre(out, p.sitting, p.sittings), centre(out, p.sample, p.samples))
		if moved <= 1e-12*scale {
			break
		}
	}
	return out
}

// centre takes the mean of each group out and says how large the largest was.
func centre(v []float64, group []int, groups int) float64 {
	sum, n := make([]float64, groups), make([]float64, groups)
	for i, g := range group {
		sum[g] += v[i]
		n[g]++
	}
	largest := 0.0
	for g := range sum {
		if n[g] > 0 {
			sum[g] /= n[g]
			largest = math.Max(largest, math.Abs(sum[g]))
		}
	}
	for i, g := range group {
		v[i] -= sum[g]
	}
	return largest
}

// freedom is the residual degrees of freedom with sittings and samples out:
// rows − sittings − samples + parts of the layout that share neither.
func (p placed) freedom() int {
	parent := make([]int, p.sittings+p.samples)
	used := make([]bool, len(parent))
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	for i := range p.y {
		a, b := p.sitting[i], p.sittings+p.sample[i]
		used[a], used[b] = true, true
		parent[find(a)] = find(b)
	}
	free := len(p.y)
	for i, u := range used {
		if u {
			free--
			if find(i) == i {
				free++
			}
		}
	}
	return free
}

// effect of one column on the scores, with sittings and samples out.
type effect struct {
	b, se, t, sd float64 // sd is the residual one
	df           int
	ok           bool
}

// effectOf is the least squares coefficient of x, and ok only where x varies
// within sittings and samples.
func (p placed) effectOf(x []float64) (effect, []float64) {
	rx, ry := p.within(x), p.within(p.y)
	var sxx, sxy, syy, raw float64
	for i := range rx {
		sxx += rx[i] * rx[i]
		sxy += rx[i] * ry[i]
		syy += ry[i] * ry[i]
		raw += x[i] * x[i]
	}
	df := p.freedom() - 1
	if df < 1 || sxx <= 1e-9*raw {
		return effect{}, ry
	}
	e := effect{b: sxy / sxx, df: df}
	rss := math.Max(0, syy-e.b*sxy)
	if rss <= 1e-12*syy {
		return effect{}, ry // no scatter to judge by
	}
	e.sd = math.Sqrt(rss / float64(df))
	e.se = e.sd / math.Sqrt(sxx)
	e.t, e.ok = e.b/e.se, true
	for i := range ry {
		ry[i] -= e.b * rx[i]
	}
	return e, ry
}
