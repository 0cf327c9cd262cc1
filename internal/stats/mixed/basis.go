package mixed

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// aliasTolerance is the share of a column's length that must remain after the
// earlier columns are removed for the column to count as new. Rounding leaves
// about 1e-15; a covariate with a spread of 1e-9 of its offset still counts.
const aliasTolerance = 1e-10

// A basis is an orthonormal basis of the columns of W^½X, built in the order of
// the columns so that a dependent column is always the later one. Working in it
// keeps the condition of X out of all later sums: X'WX is then the identity.
type basis struct {
	n, p  int
	q     []float64 // n × p, row-major, orthonormal columns
	r     []float64 // p × p upper triangular, row-major: W^½·X[kept] = q·r
	kept  []int
	alias [][]float64 // for dropped column j (nil for a kept one): its coefficients on the kept columns before it
}

// newBasis orthonormalises by Gram–Schmidt done twice, which is as good as
// Householder's method for this purpose (Giraud, Langou & Rozložník 2005).
// sw holds √w or is nil.
func newBasis(x *mat.Dense, sw []float64) *basis {
	n, m := x.Dims()
	b := &basis{n: n, alias: make([][]float64, m)}
	var cols [][]float64
	var rcols [][]float64
	for j := 0; j < m; j++ {
		c := make([]float64, n)
		for i := range c {
			c[i] = x.RawRowView(i)[j]
			if sw != nil {
				c[i] *= sw[i]
			}
		}
		length := norm(c)
		coef := make([]float64, len(cols)+1)
		if length > 0 {
			// Scale first so that squares neither overflow nor vanish.
			for i := range c {
				c[i] /= length
			}
			for pass := 0; pass < 2; pass++ {
				for k, qk := range cols {
					t := dot(qk, c)
					coef[k] += t
					for i := range c {
						c[i] -= t * qk[i]
					}
				}
			}
			for k := range coef {
				coef[k] *= length
			}
		}
		rest := norm(c)
		if length == 0 || rest <= aliasTolerance {
			b.alias[j] = coef[:len(cols)]
			continue
		}
		for i := range c {
			c[i] /= rest
		}
		coef[len(cols)] = rest * length
		cols = append(cols, c)
		rcols = append(rcols, coef)
		b.kept = append(b.kept, j)
	}
	b.p = len(cols)
	b.q = make([]float64, n*b.p)
	b.r = make([]float64, b.p*b.p)
	for k, c := range cols {
		for i, v := range c {
			b.q[i*b.p+k] = v
		}
		for i, v := range rcols[k] {
			b.r[i*b.p+k] = v
		}
	}
	// What was stored for a dropped column are its coordinates in q; turn them
	// into coefficients on the kept columns.
	for j, a := range b.alias {
		if a == nil {
			continue
		}
		full := make([]float64, b.p)
		copy(full, a)
		b.backSolve(full)
		b.alias[j] = full
	}
	return b
}

// backSolve replaces v by r⁻¹v: coordinates in q become coefficients of X[kept].
func (b *basis) backSolve(v []float64) {
	for i := b.p - 1; i >= 0; i-- {
		for k := i + 1; k < b.p; k++ {
			v[i] -= b.r[i*b.p+k] * v[k]
		}
		v[i] /= b.r[i*b.p+i]
	}
}

// transSolve replaces l by r⁻ᵀl: a linear function of the coefficients of
// X[kept] becomes the same function of the coordinates in q.
func (b *basis) transSolve(l []float64) {
	for i := 0; i < b.p; i++ {
		for k := 0; k < i; k++ {
			l[i] -= b.r[k*b.p+i] * l[k]
		}
		l[i] /= b.r[i*b.p+i]
	}
}

// factor is r with a column for each column of X, dropped ones included: a
// matrix of few rows with the same inner products between columns as W^½X.
func (b *basis) factor() *mat.Dense {
	out := mat.NewDense(b.p, len(b.alias), nil)
	for k, j := range b.kept {
		for i := 0; i <= k; i++ {
			out.Set(i, j, b.r[i*b.p+k])
		}
	}
	for j, a := range b.alias {
		for k, c := range a {
			for i := 0; i <= k; i++ {
				out.Set(i, j, out.At(i, j)+c*b.r[i*b.p+k])
			}
		}
	}
	return out
}

// logDet is ln|X'WX| of the kept columns.
func (b *basis) logDet() float64 {
	s := 0.0
	for i := 0; i < b.p; i++ {
		s += 2 * math.Log(math.Abs(b.r[i*b.p+i]))
	}
	return s
}

// project returns q'v.
func (b *basis) project(v []float64) []float64 {
	out := make([]float64, b.p)
	for i, x := range v {
		row := b.q[i*b.p : i*b.p+b.p]
		for k := range row {
			out[k] += row[k] * x
		}
	}
	return out
}

// subtract takes q·c from v in place.
func (b *basis) subtract(v, c []float64) {
	for i := range v {
		row := b.q[i*b.p : i*b.p+b.p]
		for k := range row {
			v[i] -= row[k] * c[k]
		}
	}
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

// norm is the Euclidean length, scaled against overflow.
func norm(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		if x = math.Abs(x); x > m {
			m = x
		}
	}
	if m == 0 {
		return 0
	}
	s := 0.0
	for _, x := range v {
		x /= m
		s += x * x
	}
	return m * math.Sqrt(s)
}
