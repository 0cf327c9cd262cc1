package mixed

// shifted is the system of the same model in which the function u'δ of the
// coordinates, u a unit vector in the basis, is held at its ML estimate plus off
// (in units of the scaled residual): one column fewer, and a response from which
// the held part is taken. All sums transform linearly, rows are not needed.
func (s *system) shifted(u []float64, off float64, ml *Model) *system {
	v := off
	for i, x := range u {
		v += x * (ml.gamma[i] - ml.coord[i]) / ml.scale
	}
	// The other p-1 columns: those of the reflection that takes e₁ to u, less its
	// first (w is the reflection's normal, with the sign that avoids cancellation).
	p := s.p
	w := append([]float64(nil), u...)
	sign := 1.0
	if u[0] > 0 {
		sign = -1
	}
	w[0] -= sign // takes sign·e₁ to u, which spans the same
	ww := dot(w, w)
	m2 := p
	t := make([]float64, s.m*m2) // old columns → new columns
	for j := 1; j < p; j++ {
		for i := 0; i < p; i++ {
			x := -2 * w[i] * w[j] / ww
			if i == j {
				x++
			}
			t[i*m2+j-1] = x
		}
	}
	for i := 0; i < p; i++ {
		t[i*m2+p-1] = -v * u[i]
	}
	t[p*m2+p-1] = 1

	out := *s
	out.p, out.m = p-1, p
	out.xWithin = mulRows(s.xWithin, t, s.m, m2)
	out.xClass = mulRows(s.xClass, t, s.m, m2)
	out.sWithin = congruent(s.sWithin, t, s.m, m2)
	out.sClass = nil
	for c := range s.size {
		out.sClass = append(out.sClass, congruent(s.sClass[c*s.m*s.m:(c+1)*s.m*s.m], t, s.m, m2)...)
	}
	out.wk = &work{ax: s.wk.ax, ldl: s.wk.ldl, b: make([]jet, s.nr*m2), s: make([]jet, m2*m2)}
	return &out
}

// mulRows is a·t for rows of m values, t m × m2.
func mulRows(a, t []float64, m, m2 int) []float64 {
	out := make([]float64, len(a)/m*m2)
	for r := 0; r*m < len(a); r++ {
		for i, x := range a[r*m : r*m+m] {
			for j := 0; j < m2; j++ {
				out[r*m2+j] += x * t[i*m2+j]
			}
		}
	}
	return out
}

// congruent is t'at for a symmetric a, m × m.
func congruent(a, t []float64, m, m2 int) []float64 {
	at := mulRows(a, t, m, m2)
	out := make([]float64, m2*m2)
	for i := 0; i < m; i++ {
		for j := 0; j < m2; j++ {
			for k := 0; k < m2; k++ {
				out[j*m2+k] += t[i*m2+j] * at[i*m2+k]
			}
		}
	}
	for j := 0; j < m2; j++ { // symmetric to the last digit
		for k := 0; k < j; k++ {
			v := (out[j*m2+k] + out[k*m2+j]) / 2
			out[j*m2+k], out[k*m2+j] = v, v
		}
	}
	return out
}

// workspace returns the system with buffers of its own, for callers that share
// a model.
func (s *system) workspace() *system {
	out := *s
	out.wk = &work{ax: make([]jet, len(s.row)), b: make([]jet, s.nr*s.m), s: make([]jet, s.m*s.m), ldl: newJetLDL(s.sym)}
	return &out
}
