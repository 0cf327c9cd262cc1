package linear

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// whitener turns observations with unequal variances or correlations into
// uncorrelated ones of equal variance: multiplication by the roots of the
// weights or by L⁻¹, where L·Lᵀ is the covariance.
type whitener struct {
	root   []float64
	lower  *mat.TriDense
	logDet float64 // of the covariance
}

func newWhitener(opt Options, n int) (whitener, error) {
	var w whitener
	if opt.Weights != nil && opt.Covariance != nil {
		return w, fmt.Errorf("%w: weights and a covariance together", stats.ErrDomain)
	}
	if opt.Weights != nil {
		if err := stats.CheckLengths("weights", len(opt.Weights), "observations", n); err != nil {
			return w, err
		}
		if err := stats.CheckFinite("weights", opt.Weights); err != nil {
			return w, err
		}
		w.root = make([]float64, n)
		for i, x := range opt.Weights {
			if x <= 0 {
				return w, fmt.Errorf("%w: weights[%d] = %v; leave the observation out instead", stats.ErrDomain, i, x)
			}
			w.root[i] = math.Sqrt(x)
			w.logDet -= math.Log(x)
		}
	}
	if c := opt.Covariance; c != nil {
		if err := stats.CheckLengths("covariance", c.SymmetricDim(), "observations", n); err != nil {
			return w, err
		}
		for i := range n {
			for j := i; j < n; j++ {
				if v := c.At(i, j); math.IsNaN(v) || math.IsInf(v, 0) {
					return w, fmt.Errorf("%w: covariance (%d, %d) = %v", stats.ErrNonFinite, i, j, v)
				}
			}
		}
		var chol mat.Cholesky
		if !chol.Factorize(c) {
			return w, fmt.Errorf("%w: the covariance is not positive definite", stats.ErrSingular)
		}
		w.lower = mat.NewTriDense(n, mat.Lower, nil)
		chol.LTo(w.lower)
		w.logDet = chol.LogDet()
	}
	return w, nil
}

// apply whitens a column in place.
func (w whitener) apply(c []float64) {
	if w.root != nil {
		for i, r := range w.root {
			c[i] *= r
		}
	}
	if w.lower == nil {
		return
	}
	for i := range c { // forward substitution
		s := c[i]
		for j := range i {
			s -= w.lower.At(i, j) * c[j]
		}
		c[i] = s / w.lower.At(i, i)
	}
}

// undo is the inverse of apply.
func (w whitener) undo(c []float64) {
	if w.root != nil {
		for i, r := range w.root {
			c[i] /= r
		}
	}
	if w.lower == nil {
		return
	}
	for i := len(c) - 1; i >= 0; i-- {
		s := 0.0
		for j := 0; j <= i; j++ {
			s += w.lower.At(i, j) * c[j]
		}
		c[i] = s
	}
}
