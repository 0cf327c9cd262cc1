package ordinal

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// marginal is the log likelihood of (ψ, σ) with the random intercept σu,
// u standard normal, integrated out group by group.
//
// For a group let h(u) = Σ w ℓ(a − σu, b − σu) − u²/2, û its maximum and
// s = (−h″(û))^(−1/2). With Gauss–Hermite nodes x_k and weights w_k,
//
//	L = (1/√2π) ∫ exp h(u) du ≈ s π^(−1/2) Σ_k w_k exp(x_k² + h(û + √2 s x_k)).
//
// One node, x = 0 and w = √π, is the Laplace approximation s exp h(û). Source:
// Pinheiro & Bates (1995), J. Comput. Graph. Stat. 4, 12–35. The gradient below
// is that of this approximation, with û and s moving along.
type marginal struct {
	*model
	members   [][]int // rows of each group
	node, lnw []float64
	mode      []float64 // û of each group at the last evaluation: the next start
	spread    []float64 // s of each group at the last evaluation
}

// hermite returns the nodes of the n-point rule and log w + x² − ½ log π.
func hermite(n int) (node, lnw []float64) {
	node, w := make([]float64, n), make([]float64, n)
	quad.Hermite{}.FixedLocations(node, w, math.Inf(-1), math.Inf(1))
	lnw = make([]float64, n)
	for k := range node {
		lnw[k] = math.Log(w[k]) + node[k]*node[k] - 0.5*math.Log(math.Pi)
	}
	if n%2 == 1 { // the middle node is 0 up to rounding
		node[n/2] = 0
	}
	return node, lnw
}

// group holds what one group needs during an evaluation.
type group struct {
	rows []int
	w    []float64
	a, b []float64 // bounds at u = 0
}

// h is h(u).
func (m *marginal) h(g group, sigma, u float64) (float64, bool) {
	s := -0.5 * u * u
	for i := range g.rows {
		l := m.link.logDiff(g.a[i]-sigma*u, g.b[i]-sigma*u)
		if math.IsNaN(l) || math.IsInf(l, 0) {
			return 0, false
		}
		s += g.w[i] * l
	}
	return s, true
}

// cellsAt is h(u) together with the cell of each row, kept in store.
func (m *marginal) cellsAt(g group, sigma, u float64, store []cell) ([]cell, float64, bool) {
	store = store[:0]
	s := -0.5 * u * u
	for i := range g.rows {
		c, ok := m.link.cell(g.a[i]-sigma*u, g.b[i]-sigma*u)
		if !ok {
			return store, 0, false
		}
		s += g.w[i] * c.l
		store = append(store, c)
	}
	return store, s, true
}

// findMode is Newton's method on h, which is concave for the three links.
func (m *marginal) findMode(g group, sigma, u float64) (float64, bool) {
	h, ok := m.h(g, sigma, u)
	if !ok {
		u = 0
		if h, ok = m.h(g, sigma, u); !ok {
			return 0, false
		}
	}
	for range 100 {
		g1, g2 := -u, -1.0
		for i := range g.rows {
			c, good := m.link.cell(g.a[i]-sigma*u, g.b[i]-sigma*u)
			if !good {
				return 0, false
			}
			g1 -= g.w[i] * sigma * (c.la + c.lb)
			g2 += g.w[i] * sigma * sigma * (c.da + c.db)
		}
		step := -g1 / g2
		if g2 >= 0 || math.IsNaN(step) || math.IsInf(step, 0) {
			return 0, false
		}
		if math.Abs(step) < 1e-9*(1+math.Abs(u)) { // quadratic: this step ends below rounding
			return u + step, true
		}
		moved := false
		for scale := 1.0; scale > 1e-10; scale /= 2 {
			if hn, good := m.h(g, sigma, u+scale*step); good && hn >= h-1e-13*(1+math.Abs(h)) {
				u, h, moved = u+scale*step, hn, true
				break
			}
		}
		if !moved {
			return u, true // rounding is all that is left
		}
	}
	return u, false
}

// evaluate returns the log likelihood and, if asked, its gradient by (ψ, σ).
func (m *marginal) evaluate(x []float64, want bool) (ll float64, grad []float64, ok bool) {
	psi, sigma := x[:m.p], x[m.p]
	if math.Abs(sigma) > maxSD {
		return 0, nil, false
	}
	grad = make([]float64, m.p+1)
	K := len(m.node)
	hk, pk, at := make([]float64, K), make([]float64, K), make([][]cell, K)
	for gi, rows := range m.members {
		n := len(rows)
		g := group{rows: rows, w: make([]float64, n), a: make([]float64, n), b: make([]float64, n)}
		for t, i := range rows {
			g.w[t] = m.w[i]
			g.a[t], g.b[t], _ = m.bounds(i, psi)
		}
		u, found := m.findMode(g, sigma, m.mode[gi])
		if !found {
			return 0, nil, false
		}
		// Cells at the mode: second and third derivatives of h.
		cells := make([]cell, n)
		huu, d3 := -1.0, 0.0
		for t := range rows {
			c, good := m.link.cell(g.a[t]-sigma*u, g.b[t]-sigma*u)
			if !good {
				return 0, nil, false
			}
			cells[t] = c
			huu += g.w[t] * sigma * sigma * (c.da + c.db)
			d3 += g.w[t] * (c.dda + c.ddb)
		}
		if !(huu < 0) {
			return 0, nil, false
		}
		s := 1 / math.Sqrt(-huu)
		m.mode[gi], m.spread[gi] = u, s

		// The sum over the nodes, largest term taken out.
		top := math.Inf(-1)
		for k, xk := range m.node {
			uk := u + sqrt2*s*xk
			v, good := 0.0, false
			if want { // the cells serve the gradient below as well
				at[k], v, good = m.cellsAt(g, sigma, uk, at[k])
			} else {
				v, good = m.h(g, sigma, uk)
			}
			if !good {
				// Far nodes may leave the range of the numbers: their share is 0.
				v = math.Inf(-1)
			}
			hk[k] = v + m.lnw[k]
			top = math.Max(top, hk[k])
		}
		if math.IsInf(top, 0) {
			return 0, nil, false
		}
		sum := 0.0
		for k := range hk {
			pk[k] = math.Exp(hk[k] - top)
			sum += pk[k]
		}
		ll += math.Log(s) + top + math.Log(sum)
		if !want {
			continue
		}

		// d log L = d log s + Σ_k π_k [h_ψ(u_k) + h_u(u_k)(dû + √2 x_k ds)],
		// π_k the shares of the nodes. ca, cb collect Σ π_k ∂ℓ/∂a and ∂ℓ/∂b.
		ca, cb := make([]float64, n), make([]float64, n)
		c1, c2, gs := 0.0, 0.0, 0.0
		for k, xk := range m.node {
			pi := pk[k] / sum
			if !(pi > 0) {
				continue
			}
			uk := u + sqrt2*s*xk
			hu := -uk
			for t := range rows {
				c := at[k][t]
				ca[t] += pi * g.w[t] * c.la
				cb[t] += pi * g.w[t] * c.lb
				hu -= g.w[t] * sigma * (c.la + c.lb)
				gs -= pi * g.w[t] * uk * (c.la + c.lb) // h_σ = −u Σ Dℓ
			}
			c1 += pi * hu
			c2 += pi * hu * sqrt2 * xk
		}
		// dû = −h_uψ/h_uu; ds = ½ s³ (h_uuψ + h_uuu dû). Both go into every row:
		// h_uψ = −σ Σ Dℓ_ψ, h_uuψ = σ² Σ D²ℓ_ψ, h_uuu = −σ³ Σ D³ℓ.
		e := c2 + 1/s // the factor of ds: from the nodes and from log s
		huuu := -sigma * sigma * sigma * d3
		toU := c1 + e*0.5*s*s*s*huuu // all that multiplies dû
		var sumD, sumD2 float64
		for t, i := range rows {
			c, w := cells[t], g.w[t]
			fromU := toU / huu * sigma * w // dû/dψ = (σ/h_uu) Σ Dℓ_ψ
			fromS := e * 0.5 * s * s * s * sigma * sigma * w
			va := ca[t] + fromU*c.da + fromS*c.dda
			vb := cb[t] + fromU*c.db + fromS*c.ddb
			addScaled(grad, m.upper[i], va)
			addScaled(grad, m.lower[i], vb)
			sumD += w * (c.la + c.lb)
			sumD2 += w * (c.da + c.db)
		}
		// The same for σ: h_uσ = −ΣDℓ + uσ ΣD²ℓ, h_uuσ = 2σ ΣD²ℓ − σ²u ΣD³ℓ.
		hus := -sumD + u*sigma*sumD2
		huus := 2*sigma*sumD2 - sigma*sigma*u*d3
		grad[m.p] += gs - toU*hus/huu + e*0.5*s*s*s*huus
	}
	return ll, grad, true
}

// hessian differences the gradient: one-sided for the steps of the climb (given
// the gradient at x), where it only shapes the path, and with refine central
// with one Richardson step, whose error is of fourth order.
func (m *marginal) hessian(x, at []float64, refine bool) (*mat.SymDense, bool) {
	k := len(x)
	full := mat.NewDense(k, k, nil)
	gradient := func(j int, step float64) ([]float64, bool) {
		y := append([]float64(nil), x...)
		y[j] += step
		_, g, ok := m.evaluate(y, true)
		return g, ok
	}
	central := func(j int, step float64) ([]float64, bool) {
		up, ok1 := gradient(j, step)
		down, ok2 := gradient(j, -step)
		if !ok1 || !ok2 {
			return nil, false
		}
		for r := range up {
			up[r] = (up[r] - down[r]) / (2 * step)
		}
		return up, true
	}
	for j := range k {
		var d []float64
		var ok bool
		if refine {
			step := 1e-3 * (1 + math.Abs(x[j]))
			wide, ok1 := central(j, step)
			if d, ok = central(j, step/2); !ok || !ok1 {
				return nil, false
			}
			for r := range d {
				d[r] = (4*d[r] - wide[r]) / 3
			}
		} else {
			step := 1e-6 * (1 + math.Abs(x[j]))
			if d, ok = gradient(j, step); !ok {
				return nil, false
			}
			for r := range d {
				d[r] = (d[r] - at[r]) / step
			}
		}
		full.SetCol(j, d)
	}
	h := mat.NewSymDense(k, nil)
	for r := range k {
		for s := r; s < k; s++ {
			h.SetSym(r, s, 0.5*(full.At(r, s)+full.At(s, r)))
		}
	}
	return h, true
}

func addScaled(dst, row []float64, v float64) {
	for j, x := range row {
		dst[j] += v * x
	}
}
