package mixed

import "math"

// Mode is the conditional mode (predicted random effect) of a level, with the
// standard deviation of the effect given the data and the estimated parameters:
// the uncertainty of the fixed coefficients is not in it.
type Mode struct {
	Level string
	Mode  float64
	SD    float64
}

// Modes are the conditional modes of each grouping, in the order of Data.Groups
// and of their levels. A level without rows has mode 0 and the grouping's own
// standard deviation.
func (m *Model) Modes() [][]Mode {
	b, sd := m.modes()
	out := make([][]Mode, len(m.data.Groups))
	for g, gr := range m.data.Groups {
		out[g] = make([]Mode, len(gr.Levels))
		for l, name := range gr.Levels {
			out[g][l] = Mode{Level: name, SD: m.Components[g].SD}
		}
		for c, l := range m.used[g] {
			out[g][l].Mode, out[g][l].SD = b[g][c], sd[g][c]
		}
	}
	return out
}

// modes solves (ΛZ'WZΛ + I)u = ΛZ'W(y - Xβ̂), b = Λu; the conditional covariance
// of b is σ²Λ(ΛZ'WZΛ + I)⁻¹Λ (Bates et al. 2015, section 2.2), of which only the
// entries on the pattern of the factor are computed.
func (m *Model) modes() (b, sd [][]float64) {
	k := len(m.codes)
	b, sd = make([][]float64, k), make([][]float64, k)
	if k == 0 {
		return b, sd
	}
	levels := make([]int, k)
	for g := range levels {
		levels[g] = len(m.used[g])
	}
	s := newSystem(m.z, m.P+1, m.codes, levels, m.data.Weights, roots(m.data.Weights), 0)
	ax := make([]jet, len(s.row))
	rhs := make([]jet, s.nr)
	for j := 0; j < s.nr; j++ {
		tj := m.theta[s.factor[j]]
		for e := s.colPtr[j]; e < s.colPtr[j+1]; e++ {
			ax[e].v = s.within[e] * tj * m.theta[s.factor[s.row[e]]]
			if s.row[e] == j {
				ax[e].v++
			}
		}
		x := s.xWithin[j*s.m : j*s.m+s.m]
		t := x[m.P] * m.scale
		for c := 0; c < m.P; c++ {
			t -= x[c] * (m.gamma[c] - m.coord[c])
		}
		rhs[j].v = t * tj
	}
	f := newJetLDL(s.sym)
	f.factor(s.colPtr, s.row, ax) // I plus a positive semidefinite matrix
	f.forward(rhs, 1)
	u := make([]float64, s.nr)
	for i := s.nr - 1; i >= 0; i-- {
		u[i] = rhs[i].v / f.d[i].v
		for p := s.sym.lp[i]; p < s.sym.lp[i+1]; p++ {
			u[i] -= f.lx[p].v * u[s.sym.li[p]]
		}
	}
	inv := f.inverseDiagonal()
	for g := range m.codes {
		b[g], sd[g] = make([]float64, levels[g]), make([]float64, levels[g])
		for l := range b[g] {
			j := s.first[g] + l
			b[g][l] = m.theta[g] * u[j]
			sd[g][l] = m.Sigma * m.theta[g] * math.Sqrt(inv[j])
		}
	}
	return b, sd
}

// inverseDiagonal is the diagonal of (LDL')⁻¹ by the recurrence of Takahashi,
// Fagan & Chen 1973, which needs the inverse only where L has entries: with
// Z = (LDL')⁻¹, column by column from the last,
// Z_ij = -Σ_k Z_ik L_kj and Z_jj = 1/d_j - Σ_k L_kj Z_kj, k over the rows of
// column j.
func (f *jetLDL) inverseDiagonal() []float64 {
	s := f.s
	diag := make([]float64, s.n)
	zx := make([]float64, len(s.li))
	w := make([]float64, s.n)
	mark := make([]int, s.n)
	for i := range mark {
		mark[i] = -1
	}
	lval := make([]float64, s.n)
	for j := s.n - 1; j >= 0; j-- {
		lo, hi := s.lp[j], s.lp[j+1]
		for p := lo; p < hi; p++ {
			i := s.li[p]
			mark[i], w[i], lval[i] = j, 0, f.lx[p].v
		}
		for p := lo; p < hi; p++ {
			k := s.li[p]
			lk := lval[k]
			w[k] -= lk * diag[k]
			for q := s.lp[k]; q < s.lp[k+1]; q++ {
				if i := s.li[q]; mark[i] == j {
					w[i] -= lk * zx[q]
					w[k] -= lval[i] * zx[q]
				}
			}
		}
		diag[j] = 1 / f.d[j].v
		for p := lo; p < hi; p++ {
			zx[p] = w[s.li[p]]
			diag[j] -= f.lx[p].v * zx[p]
		}
	}
	return diag
}

// Fitted are the fitted values: of the fixed part alone (marginal), or with the
// conditional modes added.
func (m *Model) Fitted(conditional bool) []float64 {
	sw := roots(m.data.Weights)
	out := make([]float64, m.N)
	for i := range out {
		v := dot(m.b.q[i*m.P:i*m.P+m.P], m.gamma)
		if sw != nil {
			v /= sw[i]
		}
		out[i] = m.center + v
	}
	if conditional {
		b, _ := m.modes()
		for g, codes := range m.codes {
			for i, c := range codes {
				out[i] += b[g][c]
			}
		}
	}
	return out
}

// Residuals are y minus Fitted, not scaled by the weights.
func (m *Model) Residuals(conditional bool) []float64 {
	out := m.Fitted(conditional)
	for i, f := range out {
		out[i] = m.data.Y[i] - f
	}
	return out
}
