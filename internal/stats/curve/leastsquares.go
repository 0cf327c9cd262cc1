package curve

import "math"

// dependent is the remainder of a column below which it adds nothing to those
// before it, in rounding of the model alone.
const dependent = 1e-12

// leastSquares is a QR of an n × p matrix (p small), kept for repeated damped
// solves.
type leastSquares struct {
	n, p int
	a    []float64 // original, n × p
	r    []float64 // p × p upper triangle of the free columns, scaled to length 1
	free []int     // columns that are not zero and not dependent
	q    [][]float64
	len  []float64 // column lengths
}

// newLeastSquares factorises a copy of a; full is false when columns are zero
// or dependent (remainder below tol of the length). Gram–Schmidt run twice,
// on columns scaled to length 1.
func newLeastSquares(a []float64, n, p int, tol float64) (*leastSquares, bool) {
	q := &leastSquares{n: n, p: p, a: append([]float64(nil), a...), r: make([]float64, p*p), len: make([]float64, p)}
	for j := range p {
		v := make([]float64, n)
		top := 0.0
		for i := range n {
			v[i] = a[i*p+j]
			top = math.Max(top, math.Abs(v[i]))
		}
		if top == 0 || math.IsNaN(top) || math.IsInf(top, 0) {
			continue
		}
		for i := range v {
			v[i] /= top
		}
		l := norm(v)
		for i := range v {
			v[i] /= l
		}
		q.len[j] = l * top
		m := len(q.free)
		row := make([]float64, p)
		for range 2 {
			for k, u := range q.q {
				h := dot(u, v)
				row[k] += h
				for i := range v {
					v[i] -= h * u[i]
				}
			}
		}
		d := norm(v)
		if d < tol {
			continue
		}
		for i := range v {
			v[i] /= d
		}
		for k := range m {
			q.r[k*p+m] = row[k]
		}
		q.r[m*p+m] = d
		q.q = append(q.q, v)
		q.free = append(q.free, j)
	}
	return q, len(q.free) == p
}

// offset is |Q'r|/√m over |r − QQ'r|/√df.
func (q *leastSquares) offset(res []float64, df float64) float64 {
	in := 0.0
	rest := append([]float64(nil), res...)
	for _, u := range q.q {
		h := dot(u, rest)
		in += h * h
		for i := range rest {
			rest[i] -= h * u[i]
		}
	}
	out := dot(rest, rest)
	if out == 0 {
		if in == 0 {
			return 0
		}
		return math.Inf(1)
	}
	return math.Sqrt(in / math.Max(1, float64(len(q.q))) / (out / df))
}

// damped solves min |res − A·s|² + λ|D·s|² with D the column scale, by Givens
// rotations of the damping rows into R.
func (q *leastSquares) damped(res []float64, lambda float64, scale []float64) []float64 {
	m, p := len(q.free), q.p
	step := make([]float64, p)
	r := make([]float64, m*m)
	z := make([]float64, m)
	for i := range m {
		for j := i; j < m; j++ {
			r[i*m+j] = q.r[i*p+j]
		}
		z[i] = dot(q.q[i], res)
	}
	if lambda > 0 {
		row := make([]float64, m)
		for k := range m {
			clear(row)
			// Columns were scaled by 1/len, so the unknowns are len·s.
			row[k] = math.Sqrt(lambda) * scale[q.free[k]] / q.len[q.free[k]]
			zk := 0.0
			for i := k; i < m; i++ {
				if row[i] == 0 {
					continue
				}
				h := math.Hypot(r[i*m+i], row[i])
				c, s := r[i*m+i]/h, row[i]/h
				for j := i; j < m; j++ {
					a, b := r[i*m+j], row[j]
					r[i*m+j], row[j] = c*a+s*b, c*b-s*a
				}
				z[i], zk = c*z[i]+s*zk, c*zk-s*z[i]
			}
		}
	}
	for i := m - 1; i >= 0; i-- {
		v := z[i]
		for j := i + 1; j < m; j++ {
			v -= r[i*m+j] * z[j]
		}
		z[i] = v / r[i*m+i]
	}
	for i, j := range q.free {
		step[j] = z[i] / q.len[j]
	}
	return step
}

// predicted is the fall of the sum of squares that the linear model promises.
func (q *leastSquares) predicted(res, step []float64) float64 {
	before, after := 0.0, 0.0
	for i := range q.n {
		v := res[i]
		before += v * v
		for j, s := range step {
			v -= q.a[i*q.p+j] * s
		}
		after += v * v
	}
	return before - after
}

// inverse is (A'A)⁻¹ for a matrix of full rank.
func (q *leastSquares) inverse() [][]float64 {
	p := q.p
	// R⁻¹ column by column, then R⁻¹R⁻ᵀ with the column lengths put back.
	inv := make([][]float64, p)
	for c := range p {
		inv[c] = make([]float64, p)
		for i := c; i >= 0; i-- {
			v := 0.0
			if i == c {
				v = 1
			}
			for j := i + 1; j <= c; j++ {
				v -= q.r[i*p+j] * inv[c][j]
			}
			inv[c][i] = v / q.r[i*p+i]
		}
	}
	out := make([][]float64, p)
	for i := range p {
		out[i] = make([]float64, p)
		for j := range p {
			for c := max(i, j); c < p; c++ {
				out[i][j] += inv[c][i] * inv[c][j]
			}
			out[i][j] /= q.len[i] * q.len[j]
		}
	}
	return out
}
