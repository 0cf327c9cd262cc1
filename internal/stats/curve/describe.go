package curve

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// describe fills what a reader wants of a candidate: coefficients in the units
// of x, residuals and lack of fit.
func (f *Fit) describe(c *Candidate) {
	s, k := f.stage, c.kern
	w := newScratch(k.p, k.k, len(k.u))
	k.jacobian(c.beta, w)
	n := mat.NewSymDense(k.p, nil)
	for a := range k.p {
		for b := a; b < k.p; b++ {
			n.SetSym(a, b, dot(w.cj[a], w.cj[b]))
		}
	}
	var ch mat.Cholesky
	if ch.Factorize(n) && ch.Cond() < 1e14 {
		c.cov = new(mat.SymDense)
		if ch.InverseTo(c.cov) != nil {
			c.cov = nil
		} else {
			c.cov.ScaleSym(f.scale, c.cov)
		}
	}
	c.Coef = c.coefficients(s.units)

	// Residuals: whitened, with the block directions taken out, brought back.
	cell := make([]float64, len(k.u))
	for j, u := range k.u {
		cell[j] = k.mean(c.beta, u, k.tr[j])
	}
	l := s.l
	c.Fitted = make([]float64, l.n)
	white := make([]float64, l.n)
	for i := range l.n {
		c.Fitted[i] = cell[l.cell[i]]
		v := l.d.Y[i] - c.Fitted[i]
		for j := range i {
			v -= s.chol.At(i, j) * white[j]
		}
		white[i] = v / s.chol.At(i, i)
	}
	for _, q := range s.qb {
		h := dot(q, white)
		for i := range white {
			white[i] -= h * q[i]
		}
	}
	c.Residuals = make([]float64, l.n)
	for i := range l.n {
		for j := 0; j <= i; j++ {
			c.Residuals[i] += s.chol.At(i, j) * white[j]
		}
	}

	d1 := s.k - k.p
	d2 := l.n - s.BlockCols - s.k
	if f.ErrorFrom == FromRepeats && d1 > 0 && d2 > 0 && s.pure > 0 {
		df2 := d2
		if l.cooks < l.n {
			df2 = s.RepeatDF // the cook stratum decides about set points
		}
		lof := math.Max(0, c.RSS-s.pure) / float64(d1)
		ft := &FTest{F: lof / (s.pure / float64(d2)), DF1: float64(d1), DF2: float64(df2)}
		ft.P = distuv.F{D1: ft.DF1, D2: ft.DF2}.Survival(ft.F)
		c.LackOfFit = ft
	}
}

// coefficients translates inner parameters by the linear map of each family,
// with standard errors by the delta method (exact for the linear families).
func (c *Candidate) coefficients(un units) []Coefficient {
	k := c.kern
	p := k.p
	var out []Coefficient
	add := func(name string, t int, value float64, row []float64) {
		se := 0.0
		if c.cov != nil {
			for a := range p {
				for b := range p {
					se += row[a] * row[b] * c.cov.At(a, b)
				}
			}
		}
		out = append(out, Coefficient{name, t, value, math.Sqrt(math.Max(0, se))})
	}
	unit := func(at ...float64) []float64 { // pairs index, value
		r := make([]float64, p)
		for i := 0; i+1 < len(at); i += 2 {
			r[int(at[i])] += at[i+1]
		}
		return r
	}
	slopeOwner := func(t int) int {
		if k.own {
			return t
		}
		return -1
	}
	m, h := un.centre, un.half
	b := c.beta
	switch k.family {
	case Constant, Line, Quadratic, Logistic2:
		// η = level + slope·(x−m)/h + curvature·((x−m)/h)².
		q := p - 1
		curv := 0.0
		if k.family == Quadratic {
			curv = b[q]
		}
		for t := range k.t {
			row := unit(float64(t), 1)
			v := b[t]
			if k.family != Constant {
				v -= b[k.slopeAt(t)] * m / h
				row[k.slopeAt(t)] -= m / h
			}
			if k.family == Quadratic {
				v += curv * m * m / h / h
				row[q] += m * m / h / h
			}
			add("level", t, v, row)
		}
		if k.family != Constant {
			for i := range k.slopes() {
				at := k.slopeAt(i)
				row := unit(float64(at), 1/h)
				v := b[at] / h
				if k.family == Quadratic {
					v -= 2 * curv * m / h / h
					row[q] -= 2 * m / h / h
				}
				add("slope", slopeOwner(i), v, row)
			}
		}
		if k.family == Quadratic {
			add("curvature", -1, curv/h/h, unit(float64(q), 1/h/h))
		}
	default:
		e := k.ends()
		if e == 2 {
			add("low", -1, b[0], unit(0, 1))
		}
		add("high", -1, b[e-1], unit(float64(e-1), 1))
		for t := range k.t {
			add("mid", t, m+h*b[e+t], unit(float64(e+t), h))
		}
		for i := range k.slopes() {
			at := k.slopeAt(i)
			sc := h * math.Exp(b[at])
			add("scale", slopeOwner(i), sc, unit(float64(at), sc))
		}
	}
	return out
}
