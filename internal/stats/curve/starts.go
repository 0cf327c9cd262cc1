package curve

import (
	"math"
	"math/rand/v2"
	"slices"
)

// otherStarts derives further starts from a given one, best first:
//
//   - the parameters in which the model is linear, found by finite differences,
//     are solved by least squares with the others held (variable projection in
//     the sense of Golub & Pereyra 1973, used for the start only);
//   - the others are scaled by factors from 1/e⁴ to e⁴, a fixed pseudo-random
//     set, and the four with the least sum of squares are kept.
//
// The set depends on nothing but the problem and the start.
func (s *solver) otherStarts(start []float64) [][]float64 {
	linear := s.linearSet(start)
	s.linear = linear
	type scored struct {
		beta []float64
		rss  float64
	}
	var list []scored
	try := func(b []float64) {
		if b = s.project(b, linear); b == nil {
			return
		}
		if t := s.sum(b); !math.IsInf(t, 1) {
			list = append(list, scored{b, t})
		}
	}
	try(slices.Clone(start))
	rng := rand.New(rand.NewPCG(1, uint64(s.p)))
	for i := range 40 * s.p {
		b := slices.Clone(start)
		// Half of the set moves all parameters, half a single one.
		only := -1
		if i%2 == 1 {
			only = rng.IntN(s.p)
		}
		for j := range b {
			m := math.Exp(8*rng.Float64() - 4)
			flip := rng.Float64() < 0.15
			if only >= 0 && j != only || linear[j] {
				continue
			}
			if b[j] == 0 {
				b[j] = 1
			}
			b[j] *= m
			if flip {
				b[j] = -b[j]
			}
		}
		try(b)
	}
	slices.SortStableFunc(list, func(a, b scored) int {
		switch {
		case a.rss < b.rss:
			return -1
		case a.rss > b.rss:
			return 1
		}
		return 0
	})
	var out [][]float64
	for _, c := range list {
		fresh := true
		for _, o := range out {
			d := 0.0
			for j := range o {
				d = math.Max(d, math.Abs(o[j]-c.beta[j])/math.Max(math.Abs(o[j])+math.Abs(c.beta[j]), 1e-300))
			}
			fresh = fresh && d > 0.02
		}
		if fresh {
			out = append(out, c.beta)
		}
		if len(out) == 4 {
			break
		}
	}
	return out
}

// linearSet marks parameters that enter the model linearly together: second
// differences, pure and mixed, vanish to rounding at two steps.
func (s *solver) linearSet(beta []float64) []bool {
	set := make([]bool, s.p)
	at := func(h float64, js ...int) []float64 {
		b := slices.Clone(beta)
		for _, j := range js {
			b[j] += h * math.Max(math.Abs(beta[j]), 1)
		}
		out := make([]float64, s.n)
		s.problem.Mean(b, out)
		return out
	}
	flat := func(a, b, c, d []float64) bool { // a − b − c + d = 0
		for i := range a {
			e := a[i] - b[i] - c[i] + d[i]
			m := math.Abs(a[i]) + math.Abs(b[i]) + math.Abs(c[i]) + math.Abs(d[i])
			if !(math.Abs(e) <= 1e-11*m) {
				return false
			}
		}
		return true
	}
	zero := at(0)
	moves := func(j int) bool {
		v := at(0.3, j)
		for i := range v {
			if v[i] != zero[i] {
				return true
			}
		}
		return false
	}
	for j := range s.p {
		if s.fixed[j] || !moves(j) {
			continue
		}
		ok := true
		for _, h := range []float64{0.3, -0.7} {
			one := at(h, j)
			ok = ok && flat(at(h, j, j), one, one, zero)
			for k := range j {
				if set[k] {
					ok = ok && flat(at(h, j, k), one, at(h, k), zero)
				}
			}
		}
		set[j] = ok
	}
	return set
}

// project solves the linear parameters with the others held; nil when that is
// impossible.
func (s *solver) project(b []float64, linear []bool) []float64 {
	var js []int
	for j, l := range linear {
		if l {
			js = append(js, j)
		}
	}
	if len(js) == 0 {
		return b
	}
	for _, j := range js {
		b[j] = 0
	}
	if math.IsInf(s.sum(b), 1) {
		return nil
	}
	base := slices.Clone(s.r)
	a := make([]float64, s.n*len(js))
	for c, j := range js {
		b[j] = 1
		if math.IsInf(s.sum(b), 1) {
			return nil
		}
		for i := range base {
			a[i*len(js)+c] = base[i] - s.r[i]
		}
		b[j] = 0
	}
	q, _ := newLeastSquares(a, s.n, len(js), dependent)
	step := q.damped(base, 0, make([]float64, len(js)))
	for c, j := range js {
		b[j] = step[c]
	}
	if anyBad(b) {
		return nil
	}
	return b
}
