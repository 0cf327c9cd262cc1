package ordinal

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// model is the likelihood in internal coordinates: standardised columns, and
// ψ = (α, ν threshold by threshold, β, ζ). Row i lies between the bounds
// a = upper_i·ψ / s and b = lower_i·ψ / s, s = exp(z_i·ζ); a nil row is an
// infinite bound. Both bounds are linear in the first p entries of ψ.
type model struct {
	link         Link
	upper, lower [][]float64
	z            [][]float64
	w            []float64
	p, q         int // linear entries; entries of ζ
}

func (m *model) size() int { return m.p + m.q }

func dot(a, b []float64) float64 {
	s := 0.0
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

// bounds returns a, b and 1/s of row i. A nil bound is infinite.
func (m *model) bounds(i int, psi []float64) (a, b, shrink float64) {
	shrink = 1
	if m.q > 0 {
		shrink = math.Exp(-dot(m.z[i], psi[m.p:]))
	}
	a, b = math.Inf(1), math.Inf(-1)
	if r := m.upper[i]; r != nil {
		a = dot(r, psi) * shrink
	}
	if r := m.lower[i]; r != nil {
		b = dot(r, psi) * shrink
	}
	return a, b, shrink
}

// logLik is the log likelihood, and ok is false outside the parameter space
// (thresholds out of order for some row, overflow).
func (m *model) logLik(psi []float64) (ll float64, ok bool) {
	for i := range m.w {
		a, b, _ := m.bounds(i, psi)
		l := m.link.logDiff(a, b)
		if math.IsNaN(l) || math.IsInf(l, 0) {
			return 0, false
		}
		ll += m.w[i] * l
	}
	return ll, true
}

// derivatives returns the log likelihood, its gradient and its Hessian.
func (m *model) derivatives(psi []float64) (ll float64, grad []float64, hess *mat.SymDense, ok bool) {
	k := m.size()
	grad = make([]float64, k)
	h := make([]float64, k*k) // upper triangle
	ga, gb := make([]float64, k), make([]float64, k)
	for i, w := range m.w {
		a, b, shrink := m.bounds(i, psi)
		c, good := m.link.cell(a, b)
		if !good {
			return 0, nil, nil, false
		}
		ll += w * c.l
		// First derivatives of the bounds: ∂a/∂ψ = row/s, ∂a/∂ζ = −a z.
		fill(ga, m.upper[i], shrink)
		fill(gb, m.lower[i], shrink)
		for t := range m.q {
			if m.upper[i] != nil {
				ga[m.p+t] = -a * m.z[i][t]
			}
			if m.lower[i] != nil {
				gb[m.p+t] = -b * m.z[i][t]
			}
		}
		// ℓ'' = Σ ℓ_ab a_r b_s + ℓ_a a_rs + ℓ_b b_rs; only ζ makes a_rs:
		// ∂²a/∂ψ∂ζ = −z ∂a/∂ψ and ∂²a/∂ζ∂ζ' = a z z' = −z' ∂a/∂ζ.
		for r := range k {
			grad[r] += w * (c.la*ga[r] + c.lb*gb[r])
			va := w * (c.laa*ga[r] + c.lab*gb[r])
			vb := w * (c.lab*ga[r] + c.lbb*gb[r])
			row := h[r*k : (r+1)*k]
			for s := r; s < k; s++ {
				row[s] += va*ga[s] + vb*gb[s]
			}
			for t := range m.q {
				if s := m.p + t; s >= r {
					row[s] -= w * m.z[i][t] * (c.la*ga[r] + c.lb*gb[r])
				}
			}
		}
	}
	hess = mat.NewSymDense(k, nil)
	for r := range k {
		for s := r; s < k; s++ {
			hess.SetSym(r, s, h[r*k+s])
		}
	}
	return ll, grad, hess, true
}

// fill sets dst to row·shrink, zeros where the row is nil or ends.
func fill(dst, row []float64, shrink float64) {
	clear(dst)
	for j, x := range row {
		dst[j] = x * shrink
	}
}
