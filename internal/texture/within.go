package texture

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/linear"
)

// withinBlocks turns rows into contrasts that know nothing of the block means: the m
// rows of a block become m - 1 rows, orthonormal (Helmert), so independent
// errors of one variance stay so and the degrees of freedom are counted right.
// Rows in block -1 are dropped. Least squares on the result equals least
// squares with a column for each block.
func withinBlocks(block []int, cols [][]float64) [][]float64 {
	members := map[int][]int{}
	var order []int
	for i, b := range block {
		if b < 0 {
			continue
		}
		if len(members[b]) == 0 {
			order = append(order, b)
		}
		members[b] = append(members[b], i)
	}
	out := make([][]float64, len(cols))
	for _, b := range order {
		rows := members[b]
		for j := 1; j < len(rows); j++ {
			// (sum of the first j) - j × (the next), of length 1.
			scale := 1 / math.Sqrt(float64(j)*float64(j+1))
			for c, v := range cols {
				var sum float64
				for _, r := range rows[:j] {
					// Summing differences keeps the digits of values with a large offset.
					sum += v[r] - v[rows[j]]
				}
				out[c] = append(out[c], sum*scale)
			}
		}
	}
	return out
}

// blockFit is a least squares fit within blocks. Columns that the blocks
// determine are not in it; at says where the others stand, -1 for those.
type blockFit struct {
	fit *linear.Fit
	at  []int
	err error
}

// fitWithin fits y on named columns once the blocks are taken out.
func fitWithin(block []int, y []float64, names []string, cols [][]float64) blockFit {
	swept := withinBlocks(block, append([][]float64{y}, cols...))
	out := blockFit{at: make([]int, len(cols))}
	var kept [][]float64
	var keptNames []string
	for c, v := range swept[1:] {
		out.at[c] = -1
		if !zero(v) {
			out.at[c] = len(kept)
			kept, keptNames = append(kept, v), append(keptNames, names[c])
		}
	}
	n := len(swept[0])
	if n == 0 || len(kept) == 0 {
		out.err = errNothingWithin
		return out
	}
	x := mat.NewDense(n, len(kept), nil)
	for c, v := range kept {
		x.SetCol(c, v)
	}
	out.fit, out.err = linear.New(x, keptNames, swept[0], linear.Options{})
	return out
}

// zero reports whether a column of indicators has nothing left of it.
func zero(v []float64) bool {
	for _, x := range v {
		if math.Abs(x) > 1e-9 {
			return false
		}
	}
	return true
}

// row writes weights on the original columns as weights on the fit's
// coefficients; ok is false when one of them is not in the fit.
func (b blockFit) row(weights map[int]float64) (l []float64, ok bool) {
	l = make([]float64, len(b.fit.Coefficients))
	for c, w := range weights {
		if b.at[c] < 0 {
			return nil, false
		}
		l[b.at[c]] += w
	}
	return l, b.fit.Estimable(l)
}

// difference reads one combination as a difference. Without degrees of freedom
// or residual variation the estimate stands alone.
func (b blockFit) difference(weights map[int]float64, level float64) (Difference, bool) {
	l, ok := b.row(weights)
	if !ok {
		return Difference{}, false
	}
	d := Difference{Adjust: "none"}
	est, err := b.fit.Estimate(l, level)
	if err != nil {
		var v float64
		for i, w := range l {
			v += w * b.fit.Coefficients[i].Estimate
		}
		d.Estimate = num(v)
		d.unjudged(plain(err))
		return d, true
	}
	d.Estimate, d.SE, d.DF, d.T, d.P, d.PRaw = num(est.Value), num(est.SE), num(float64(est.DF)), num(est.T), num(est.P), num(est.P)
	d.Low, d.High = num(est.Interval.Low), num(est.Interval.High)
	return d, true
}

// unjudged marks everything but the estimate as missing.
func (d *Difference) unjudged(why string) {
	n := absent(why)
	d.SE, d.DF, d.Low, d.High, d.T, d.P, d.PRaw = n, n, n, n, n, n, n
}

// test judges several combinations at once.
func (b blockFit) test(t Test, rows []map[int]float64) Test {
	var flat []float64
	used := 0
	for _, r := range rows {
		if l, ok := b.row(r); ok {
			flat = append(flat, l...)
			used++
		}
	}
	if used == 0 {
		return t.without("it cannot be told from what was removed", "")
	}
	r, err := b.fit.Test(mat.NewDense(used, len(b.fit.Coefficients), flat), nil)
	if err != nil {
		return t.without(plain(err), "")
	}
	t.found(num(r.F), num(float64(r.DF)), num(float64(r.ResidualDF)), num(r.P))
	return t
}

// without is the test as a typed absence.
func (t Test) without(why, need string) Test {
	t.Cannot, t.Need = why, need
	t.absent(why)
	return t
}

// indicators are the columns of all levels but the first.
func indicators(name string, code []int, levels int) (names []string, cols [][]float64) {
	for l := 1; l < levels; l++ {
		v := make([]float64, len(code))
		for i, c := range code {
			if c == l {
				v[i] = 1
			}
		}
		names, cols = append(names, name+numbered(levels)[l]), append(cols, v)
	}
	return names, cols
}
