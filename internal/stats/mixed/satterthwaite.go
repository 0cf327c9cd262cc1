package mixed

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// satterthwaite holds what the degrees of freedom of l'β̂ need:
//
//	df = 2 (l'Cl)² / (g'Ag),
//
// with C the covariance of the coefficients, g the gradient of l'Cl in the
// variance parameters (θ, ln σ) and A = 2·H⁻¹ their covariance, H being the Hessian
// of the criterion before σ is profiled out.
//
// At a variance of 0 the criterion and C are even in θ: the gradient of l'Cl is
// 0 there and H has no mixed entries, so the parameter drops out. The degrees of
// freedom are then those of the model without that grouping, as they are where
// the derivatives are taken numerically around θ = 0. Directions in which H has
// an eigenvalue below 1e-8 (its diagonal
// scaled to 1) carry no information and are left out of A.
type satterthwaite struct {
	cov *mat.SymDense
	jac []*mat.SymDense // derivative of C in θ_1 … θ_K, σ
	a   *mat.SymDense
}

func newSatterthwaite(m *Model, pt *point) *satterthwaite {
	k, p, mm := m.sys.k, m.P, m.P+1
	s := &satterthwaite{cov: m.cov, jac: make([]*mat.SymDense, k+1)}
	// All in units of σ: C = S⁻¹ with S = s₁₁(θ), ∂C/∂θ = -S⁻¹ (∂S/∂θ) S⁻¹.
	for a := 0; a < k; a++ {
		ds := mat.NewSymDense(p, nil)
		for i := 0; i < p; i++ {
			for j := i; j < p; j++ {
				ds.SetSym(i, j, -pt.axis[a].s[i*mm+j].d)
			}
		}
		s.jac[a] = sandwich(m.cov, ds)
	}
	s.jac[k] = mat.NewSymDense(p, nil)
	s.jac[k].ScaleSym(2, m.cov) // ∂(σ²S⁻¹)/∂ln σ

	// The criterion is D(θ) + ν ln σ² + R(θ)/σ² with D = logL (+ logX) and R the
	// penalised residual sum of squares. The profiled objective o = D + ν ln R has
	//   D_ab = o_ab - ν (R_ab/R - R_a R_b/R²),
	// and σ² = R/ν at the answer, so that D_ab + R_ab/σ² = o_ab + ν R_a R_b/R².
	h := mat.NewSymDense(k+1, nil)
	nu := float64(m.N - p)
	if m.ML {
		nu = float64(m.N)
	}
	r := pt.axis
	for a := 0; a < k; a++ {
		for b := a; b < k; b++ {
			ra, rb := r[a].r2.d/r[a].r2.v, r[b].r2.d/r[b].r2.v
			h.SetSym(a, b, pt.h.At(a, b)+nu*ra*rb)
		}
		h.SetSym(a, k, -2*nu*r[a].r2.d/r[a].r2.v)
	}
	h.SetSym(k, k, 4*nu)
	s.a, _ = pseudoInverse(h, 1e-8)
	s.a.ScaleSym(2, s.a)
	return s
}

// df is the degrees of freedom of l'β̂, l in the basis; +Inf when the variance
// parameters do not move l'Cl.
func (s *satterthwaite) df(l []float64) float64 {
	g := make([]float64, len(s.jac))
	for a, j := range s.jac {
		g[a] = quad(j, l)
	}
	v := quad(s.cov, l)
	return 2 * v * v / quad(s.a, g)
}

// sandwich is c·d·c.
func sandwich(c, d *mat.SymDense) *mat.SymDense {
	p := c.SymmetricDim()
	var t, u mat.Dense
	t.Mul(c, d)
	u.Mul(&t, c)
	out := mat.NewSymDense(p, nil)
	for i := 0; i < p; i++ {
		for j := i; j < p; j++ {
			out.SetSym(i, j, (u.At(i, j)+u.At(j, i))/2)
		}
	}
	return out
}

// combine is the denominator of an F test whose squared t statistics have the
// degrees of freedom nu (Kuznetsova et al. 2017, section 3): with E = Σ ν/(ν-2)
// over ν > 2, it is 2E/(E - q); it is their common value when all agree, and 2
// when E does not exceed q.
func combine(nu []float64) float64 {
	q := float64(len(nu))
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range nu {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	if hi-lo <= 1e-8*math.Max(1, lo) || len(nu) == 1 {
		sum := 0.0
		for _, v := range nu {
			sum += v
		}
		return sum / q
	}
	if lo <= 2 {
		return 2
	}
	e := 0.0
	for _, v := range nu {
		e += v / (v - 2)
	}
	return 2 * e / (e - q)
}
