package ordinal

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// restrict is the objective over the plane x = origin + B y, as a function of
// y. It serves profile intervals (one entry fixed) and fits with an infinite
// estimate (the infinite direction fixed far out).
func restrict(o objective, origin []float64, B *mat.Dense) objective {
	n, k := B.Dims()
	at := func(y []float64) []float64 { return onPlane(origin, B, y) }
	return objective{
		value: func(y []float64) (float64, bool) { return o.value(at(y)) },
		derivatives: func(y []float64) (float64, []float64, *mat.SymDense, bool) {
			f, g, h, ok := o.derivatives(at(y))
			if !ok {
				return 0, nil, nil, false
			}
			grad := make([]float64, k) // B'g
			for c := range k {
				for r := range n {
					grad[c] += B.At(r, c) * g[r]
				}
			}
			var hb, full mat.Dense // B'HB
			hb.Mul(h, B)
			full.Mul(B.T(), &hb)
			hess := mat.NewSymDense(k, nil)
			for r := range k {
				for s := r; s < k; s++ {
					hess.SetSym(r, s, full.At(r, s))
				}
			}
			return f, grad, hess, true
		},
	}
}

func onPlane(origin []float64, B *mat.Dense, y []float64) []float64 {
	x := append([]float64(nil), origin...)
	for r := range x {
		for c, v := range y {
			x[r] += B.At(r, c) * v
		}
	}
	return x
}

// complement returns an orthonormal basis of the vectors orthogonal to d, as
// columns: the Householder reflection that carries the first axis to d carries
// the other axes to it.
func complement(d []float64) *mat.Dense {
	n := len(d)
	norm := math.Sqrt(sumSquares(d))
	v := make([]float64, n)
	for i, x := range d {
		v[i] = x / norm
	}
	// v = d ∓ e1 with the sign that does not cancel.
	if v[0] > 0 {
		v[0]++
	} else {
		v[0]--
	}
	vv := sumSquares(v)
	B := mat.NewDense(n, n-1, nil)
	for c := 1; c < n; c++ {
		for r := range n {
			e := 0.0
			if r == c {
				e = 1
			}
			B.Set(r, c-1, e-2*v[r]*v[c]/vv)
		}
	}
	return B
}
