package mixed

import (
	"fmt"
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

// MaxKenwardRows is the largest number of rows for Kenward–Roger, whose sums
// need a matrix of levels × levels.
const MaxKenwardRows = 2000

// kenwardRoger holds the adjusted covariance and what the degrees of freedom
// need, for Σ = Σ_k σ_k² Z_kZ_k' + σ² I, which is linear in its parameters
// (Kenward & Roger 1997, Biometrics 53:983; the second derivatives of Σ are 0).
type kenwardRoger struct {
	cov      *mat.SymDense   // Φ, unadjusted
	adjusted *mat.SymDense   // Φ_A
	pMat     []*mat.SymDense // P_i, of each variance parameter, the residual last
	w        *mat.SymDense   // covariance of the variance parameters
}

// krOnce computes the adjustment at the first call that needs it.
type krOnce struct {
	once sync.Once
	kr   *kenwardRoger
	err  error
}

func (m *Model) kenward() (*kenwardRoger, error) {
	m.kr.once.Do(func() { m.kr.kr, m.kr.err = m.newKenward() })
	return m.kr.kr, m.kr.err
}

// newKenward works with the sums over levels only. With all rows scaled by √w,
// X the basis, Z = [Z_1 … Z_K], T = X'Σ⁻¹Z and S = Z'Σ⁻¹Z, cut into blocks by
// grouping, the matrices of the paper are, for G_k = Z_kZ_k',
//
//	P_k = -T_k T_k',  Q_jk = T_j S_jk T_k',  tr(Σ⁻¹G_jΣ⁻¹G_k) = |S_jk|²,
//
// and the residual's, G_0 = I, follow from σ²I = Σ - Σ_k σ_k² G_k without any
// further sum. σ is the unit throughout: σ² = 1, σ_k² = θ_k².
func (m *Model) newKenward() (*kenwardRoger, error) {
	if m.ML {
		return nil, fmt.Errorf("%w: Kenward–Roger needs a REML fit, and this is ML", stats.ErrDomain)
	}
	if m.N > MaxKenwardRows {
		return nil, fmt.Errorf("%w: Kenward–Roger is offered up to %d rows and these are %d; use Satterthwaite", stats.ErrTooLarge, MaxKenwardRows, m.N)
	}
	p, k := m.P, len(m.theta)
	t, s, at, err := m.levelSums()
	if err != nil {
		return nil, err
	}
	vk := make([]float64, k)
	for a := range vk {
		vk[a] = m.theta[a] * m.theta[a]
	}
	// Φ⁻¹ = X'Σ⁻¹X.
	phi := m.cov
	var phiInv mat.Dense
	if err := phiInv.Inverse(phi); err != nil && math.IsInf(float64(condition(err)), 1) {
		return nil, fmt.Errorf("%w: the covariance of the coefficients", stats.ErrSingular)
	}

	// P of each grouping, then of the residual:
	// X'Σ⁻¹·I·Σ⁻¹X = X'Σ⁻¹X - Σ σ_k² X'Σ⁻¹G_kΣ⁻¹X.
	pm := make([]*mat.Dense, k+1)
	for a := 0; a < k; a++ {
		ta := t.Slice(0, p, at[a], at[a+1])
		pm[a] = mat.NewDense(p, p, nil)
		pm[a].Mul(ta, ta.T())
		pm[a].Scale(-1, pm[a])
	}
	pm[k] = mat.NewDense(p, p, nil)
	pm[k].Scale(-1, &phiInv)
	for a := 0; a < k; a++ {
		addScaled(pm[k], -vk[a], pm[a])
	}

	// Q and the traces.
	q := make([][]*mat.Dense, k+1)
	tr := mat.NewDense(k+1, k+1, nil)
	for a := range q {
		q[a] = make([]*mat.Dense, k+1)
	}
	for a := 0; a < k; a++ {
		for b := 0; b < k; b++ {
			block := s.Slice(at[a], at[a+1], at[b], at[b+1])
			var u, v mat.Dense
			u.Mul(t.Slice(0, p, at[a], at[a+1]), block)
			v.Mul(&u, t.Slice(0, p, at[b], at[b+1]).T())
			q[a][b] = &v
			f := mat.Norm(block, 2)
			tr.Set(a, b, f*f)
		}
	}
	// With G_0: Σ⁻¹G_0Σ⁻¹ = Σ⁻¹ - Σ_j σ_j² Σ⁻¹G_jΣ⁻¹.
	trOne := make([]float64, k+1) // tr(Σ⁻¹G_a)
	trOne[k] = float64(m.N)
	for a := 0; a < k; a++ {
		for i := at[a]; i < at[a+1]; i++ {
			trOne[a] += s.At(i, i)
		}
		trOne[k] -= vk[a] * trOne[a]
	}
	for a := 0; a < k; a++ {
		qa := mat.DenseCopyOf(pm[a])
		qa.Scale(-1, qa)
		x := trOne[a]
		for b := 0; b < k; b++ {
			addScaled(qa, -vk[b], q[a][b])
			x -= vk[b] * tr.At(a, b)
		}
		q[a][k], q[k][a] = qa, mat.DenseCopyOf(qa.T())
		tr.Set(a, k, x)
		tr.Set(k, a, x)
	}
	qk := mat.DenseCopyOf(pm[k])
	qk.Scale(-1, qk)
	x := trOne[k]
	for b := 0; b < k; b++ {
		addScaled(qk, -vk[b], q[b][k])
		x -= vk[b] * tr.At(b, k)
	}
	q[k][k] = qk
	tr.Set(k, k, x)

	// Expected information of the variances, I_ij = ½[tr(Σ⁻¹G_iΣ⁻¹G_j)
	// - 2 tr(ΦQ_ij) + tr(ΦP_iΦP_j)], and its inverse W.
	phiP := make([]*mat.Dense, k+1)
	for a := range phiP {
		phiP[a] = new(mat.Dense)
		phiP[a].Mul(phi, pm[a])
	}
	info := mat.NewSymDense(k+1, nil)
	for a := 0; a <= k; a++ {
		for b := a; b <= k; b++ {
			info.SetSym(a, b, (tr.At(a, b)-2*traceProduct(phi, q[a][b])+traceProduct(phiP[a], phiP[b]))/2)
		}
	}
	w, ok := pseudoInverse(info, 1e-12)
	if !ok {
		return nil, fmt.Errorf("%w: the information of the variances", stats.ErrSingular)
	}

	// Φ_A = Φ + 2Φ{Σ W_ij (Q_ij - P_iΦP_j)}Φ.
	sum := mat.NewDense(p, p, nil)
	for a := 0; a <= k; a++ {
		for b := 0; b <= k; b++ {
			var pp mat.Dense
			pp.Mul(pm[a], phiP[b])
			addScaled(sum, w.At(a, b), q[a][b])
			addScaled(sum, -w.At(a, b), &pp)
		}
	}
	kr := &kenwardRoger{cov: phi, w: w, adjusted: mat.NewSymDense(p, nil)}
	kr.adjusted.CopySym(sandwich(phi, symmetric(sum)))
	kr.adjusted.ScaleSym(2, kr.adjusted)
	kr.adjusted.AddSym(kr.adjusted, phi)
	for _, a := range pm {
		kr.pMat = append(kr.pMat, symmetric(a))
	}
	return kr, nil
}

// df gives the denominator degrees of freedom and the factor by which the F of
// the rows of l (in the basis) is multiplied.
func (kr *kenwardRoger) df(l [][]float64) (df, scale float64) {
	rows := len(l)
	// Θ = L'(LΦL')⁻¹L enters through traces only, so work in the space of the
	// rows: with M = (LΦL')⁻¹ and B_i = LΦP_iΦL', tr(ΘΦP_iΦ) = tr(M B_i).
	inner := mat.NewSymDense(rows, nil)
	for i := range l {
		for j := i; j < rows; j++ {
			inner.SetSym(i, j, bilinear(kr.cov, l[i], l[j]))
		}
	}
	mInv, ok := pseudoInverse(inner, 1e-12)
	if !ok {
		return math.Inf(1), 1
	}
	lm := mat.NewDense(rows, len(l[0]), nil)
	for i, r := range l {
		lm.SetRow(i, r)
	}
	var lPhi mat.Dense
	lPhi.Mul(lm, kr.cov)
	k := len(kr.pMat)
	mb := make([]*mat.Dense, k)
	for a, pm := range kr.pMat {
		var u, v mat.Dense
		u.Mul(&lPhi, pm)
		v.Mul(&u, lPhi.T())
		mb[a] = new(mat.Dense)
		mb[a].Mul(mInv, &v)
	}
	var a1, a2 float64
	for i := 0; i < k; i++ {
		for j := 0; j < k; j++ {
			a1 += kr.w.At(i, j) * mat.Trace(mb[i]) * mat.Trace(mb[j])
			a2 += kr.w.At(i, j) * traceProduct(mb[i], mb[j])
		}
	}
	// The moments of the scaled F and the F distribution that has them (Kenward
	// & Roger 1997, section 3).
	q := float64(rows)
	b := (a1 + 6*a2) / (2 * q)
	g := ((q+1)*a1 - (q+4)*a2) / ((q + 2) * a2)
	c1 := g / (3*q + 2*(1-g))
	c2 := (q - g) / (3*q + 2*(1-g))
	c3 := (q + 2 - g) / (3*q + 2*(1-g))
	if !(a2 > 0) {
		return math.Inf(1), 1 // nothing about the variances moves this contrast
	}
	e := 1 / (1 - a2/q)
	v0, v1, v2 := 1+c1*b, 1-c2*b, 1-c3*b
	// ρ = V/(2E²) with V = (2/q)·v0/(v1²·v2). Both v0 and v1 vanish together in
	// the limit of few degrees of freedom; the ratio is then taken as 1.
	ratio := 1.0
	if math.Abs(v1) > 1e-10 || math.Abs(v0) > 1e-10 {
		ratio = (1 - a2/q) / v1
	}
	rho := ratio * ratio * v0 / v2 / q
	df = 4 + (q+2)/(q*rho-1)
	scale = df / (e * (df - 2))
	if math.Abs(df-2) < 1e-2 {
		scale = 1
	}
	return df, scale
}

// levelSums returns T = X'Σ⁻¹Z (p × levels), S = Z'Σ⁻¹Z (levels × levels) and
// where each grouping's levels start, rows scaled by √w and X the basis. With
// A = Z'Z, C = Z'X and D = (ΛAΛ + I)⁻¹, by the identity of Woodbury,
// S = A - AΛDΛA and T' = C - AΛDΛC in units of σ.
func (m *Model) levelSums() (t, s *mat.Dense, at []int, err error) {
	p, k := m.P, len(m.theta)
	at = make([]int, k+1)
	for a := range m.used {
		at[a+1] = at[a] + len(m.used[a])
	}
	q := at[k]
	if q == 0 {
		return &mat.Dense{}, &mat.Dense{}, at, nil
	}
	all := make([]float64, q*q)
	c := mat.NewDense(q, p, nil)
	for i := 0; i < m.N; i++ {
		w, r := 1.0, 1.0
		if m.data.Weights != nil {
			w = m.data.Weights[i]
			r = math.Sqrt(w)
		}
		for a := 0; a < k; a++ {
			la := at[a] + m.codes[a][i]
			for b := 0; b < k; b++ {
				all[la*q+at[b]+m.codes[b][i]] += w
			}
			row := c.RawRowView(la)
			for j := range row {
				row[j] += r * m.b.q[i*p+j]
			}
		}
	}
	az := mat.NewDense(q, q, all)
	lambda := make([]float64, q)
	for a := 0; a < k; a++ {
		for l := at[a]; l < at[a+1]; l++ {
			lambda[l] = m.theta[a]
		}
	}
	inner := mat.NewSymDense(q, nil)
	la := mat.NewDense(q, q, nil) // ΛA
	lc := mat.NewDense(q, p, nil) // ΛC
	for i := 0; i < q; i++ {
		for j := 0; j < q; j++ {
			la.Set(i, j, lambda[i]*all[i*q+j])
			if j >= i {
				v := lambda[i] * lambda[j] * all[i*q+j]
				if i == j {
					v++
				}
				inner.SetSym(i, j, v)
			}
		}
		for j := 0; j < p; j++ {
			lc.Set(i, j, lambda[i]*c.At(i, j))
		}
	}
	var ch mat.Cholesky
	if !ch.Factorize(inner) {
		return nil, nil, nil, fmt.Errorf("%w: the sums over levels", stats.ErrSingular)
	}
	var dla, dlc, s2, t2 mat.Dense
	if err := ch.SolveTo(&dla, la); err != nil && !isCondition(err) {
		return nil, nil, nil, fmt.Errorf("%w: the sums over levels", stats.ErrSingular)
	}
	if err := ch.SolveTo(&dlc, lc); err != nil && !isCondition(err) {
		return nil, nil, nil, fmt.Errorf("%w: the sums over levels", stats.ErrSingular)
	}
	s2.Mul(la.T(), &dla)
	s2.Sub(az, &s2)
	t2.Mul(la.T(), &dlc)
	t2.Sub(c, &t2)
	return mat.DenseCopyOf(t2.T()), &s2, at, nil
}
