package mixed

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
)

// condition is the condition number that gonum reports with a solution it
// distrusts, 0 for no error, +Inf for any other error.
func condition(err error) mat.Condition {
	var c mat.Condition
	switch {
	case err == nil:
		return 0
	case errors.As(err, &c):
		return c
	}
	return mat.Condition(math.Inf(1))
}

func isCondition(err error) bool { return !math.IsInf(float64(condition(err)), 1) }

// addScaled is dst += s·a.
func addScaled(dst *mat.Dense, s float64, a mat.Matrix) {
	r, c := dst.Dims()
	for i := 0; i < r; i++ {
		for j := 0; j < c; j++ {
			dst.Set(i, j, dst.At(i, j)+s*a.At(i, j))
		}
	}
}

// traceProduct is tr(ab) for square matrices.
func traceProduct(a, b mat.Matrix) float64 {
	n, _ := a.Dims()
	s := 0.0
	for i := 0; i < n; i++ {
		for j := 0; j < n; j++ {
			s += a.At(i, j) * b.At(j, i)
		}
	}
	return s
}

// symmetric is (a + a')/2.
func symmetric(a *mat.Dense) *mat.SymDense {
	n, _ := a.Dims()
	out := mat.NewSymDense(n, nil)
	for i := 0; i < n; i++ {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (a.At(i, j)+a.At(j, i))/2)
		}
	}
	return out
}

// pseudoInverse inverts a positive semidefinite matrix on the directions whose
// eigenvalue exceeds tol, after scaling its diagonal to 1. Rows whose diagonal is
// not positive are left out. It reports false when nothing is left.
func pseudoInverse(a *mat.SymDense, tol float64) (*mat.SymDense, bool) {
	n := a.SymmetricDim()
	d := make([]float64, n)
	for i := range d {
		if v := a.At(i, i); v > 0 {
			d[i] = 1 / math.Sqrt(v)
		}
	}
	scaled := mat.NewSymDense(n, nil)
	for i := 0; i < n; i++ {
		for j := i; j < n; j++ {
			scaled.SetSym(i, j, a.At(i, j)*d[i]*d[j])
		}
	}
	out := mat.NewSymDense(n, nil)
	var ch mat.Cholesky
	if ch.Factorize(scaled) && ch.Cond() < 1/tol {
		_ = ch.InverseTo(out)
	} else {
		var eig mat.EigenSym
		if !eig.Factorize(scaled, true) {
			return out, false
		}
		var vec mat.Dense
		eig.VectorsTo(&vec)
		found := false
		for k, v := range eig.Values(nil) {
			if v <= tol {
				continue
			}
			found = true
			for i := 0; i < n; i++ {
				for j := i; j < n; j++ {
					out.SetSym(i, j, out.At(i, j)+vec.At(i, k)*vec.At(j, k)/v)
				}
			}
		}
		if !found {
			return out, false
		}
	}
	for i := 0; i < n; i++ {
		for j := i; j < n; j++ {
			out.SetSym(i, j, out.At(i, j)*d[i]*d[j])
		}
	}
	return out, true
}
