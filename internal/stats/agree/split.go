package agree

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// axes are principal components: centre, unit directions and their SDs, widest
// first.
type axes struct {
	centre    []float64
	direction [][]float64
	sd        []float64
}

// principalAxes of a table of rows; ok is false when nothing varies.
func principalAxes(rows [][]float64) (axes, bool) {
	k := len(rows[0])
	cov := covariance(rows)
	sym := mat.NewSymDense(k, nil)
	trace := 0.0
	for i := range k {
		trace += cov[i][i]
		for j := i; j < k; j++ {
			sym.SetSym(i, j, cov[i][j])
		}
	}
	a := axes{centre: make([]float64, k)}
	scale := 0.0
	col := make([]float64, len(rows))
	for j := range k {
		for i := range rows {
			col[i] = rows[i][j]
			scale = max(scale, math.Abs(col[i]))
		}
		a.centre[j] = mean(col)
	}
	if trace <= 1e-24*scale*scale {
		return a, false
	}
	var eig mat.EigenSym
	if !eig.Factorize(sym, true) {
		return a, false
	}
	values := eig.Values(nil)
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	for c := k - 1; c >= 0; c-- { // gonum sorts ascending
		if values[c] <= 1e-12*trace {
			break
		}
		v := make([]float64, k)
		lead := 0
		for j := range v {
			v[j] = vectors.At(j, c)
			if math.Abs(v[j]) > math.Abs(v[lead])*(1+1e-9) {
				lead = j
			}
		}
		if v[lead] < 0 { // one sign, whatever the routine chose
			for j := range v {
				v[j] = -v[j]
			}
		}
		a.direction = append(a.direction, v)
		a.sd = append(a.sd, math.Sqrt(values[c]))
	}
	return a, true
}

// draw makes n rows of one normal crowd.
func (a axes) draw(n int, rng *rand.Rand) [][]float64 {
	out := make([][]float64, n)
	for i := range out {
		row := make([]float64, len(a.centre))
		for c, dir := range a.direction {
			z := rng.NormFloat64() * a.sd[c]
			for j, d := range dir {
				row[j] += z * d
			}
		}
		out[i] = row
	}
	return out
}

// split parts rows into two groups of least variation within, by Lloyd's steps from
// the signs along each of the first three axes. The index is within / total.
func split(rows [][]float64, a axes) (group []int, index float64) {
	total := 0.0
	for _, r := range rows {
		total += distance2(r, a.centre)
	}
	index = math.Inf(1)
	for c := range min(3, len(a.direction)) {
		g := make([]int, len(rows))
		for i, r := range rows {
			s := 0.0
			for j, x := range r {
				s += (x - a.centre[j]) * a.direction[c][j]
			}
			if s > 0 {
				g[i] = 1
			}
		}
		w, ok := lloyd(rows, g)
		if ok && w/total < index*(1-1e-12) {
			group, index = g, w/total
		}
	}
	return group, index
}

// lloyd moves rows to the nearer of the two group means until nothing moves; ok is
// false when a group runs empty.
func lloyd(rows [][]float64, g []int) (within float64, ok bool) {
	k := len(rows[0])
	for range 100 {
		var n [2]float64
		m := [2][]float64{make([]float64, k), make([]float64, k)}
		for i, r := range rows {
			n[g[i]]++
			for j, x := range r {
				m[g[i]][j] += x
			}
		}
		if n[0] == 0 || n[1] == 0 {
			return 0, false
		}
		for s := range m {
			for j := range k {
				m[s][j] /= n[s]
			}
		}
		moved := false
		within = 0
		for i, r := range rows {
			d0, d1 := distance2(r, m[0]), distance2(r, m[1])
			to := g[i] // a tie stays where it is
			if d0 < d1 {
				to = 0
			} else if d1 < d0 {
				to = 1
			}
			moved = moved || to != g[i]
			g[i] = to
			within += min(d0, d1)
		}
		if !moved {
			break
		}
	}
	return within, true
}

func distance2(a, b []float64) float64 {
	s := 0.0
	for j := range a {
		d := a[j] - b[j]
		s += d * d
	}
	return s
}

// silhouette is the mean over rows of (b − a)/max(a, b), a the mean distance to the
// own group and b to the other (Rousseeuw 1987); 0 for a group of one.
func silhouette(rows [][]float64, g []int) float64 {
	n := len(rows)
	sum := make([][2]float64, n)
	var size [2]float64
	for i := range rows {
		size[g[i]]++
		for j := range i {
			d := math.Sqrt(distance2(rows[i], rows[j]))
			sum[i][g[j]] += d
			sum[j][g[i]] += d
		}
	}
	total := 0.0
	for i := range rows {
		own := g[i]
		if size[own] < 2 {
			continue
		}
		a, b := sum[i][own]/(size[own]-1), sum[i][1-own]/size[1-own]
		if m := max(a, b); m > 0 {
			total += (b - a) / m
		}
	}
	return total / float64(n)
}
