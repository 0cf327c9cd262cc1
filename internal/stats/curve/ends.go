package curve

// The free ends of a logistic enter linearly. For given mid-points and scales
// their least squares values are known, so the descent runs over the others
// alone: variable projection (Golub & Pereyra 1973, SIAM J. Numer. Anal.
// 10:413) with the step of Kaufman (1975, BIT 15:49), which is the Gauss–Newton
// step of all parameters when the ends are at their best. A curve that shows
// only part of its bend lies in a long curved valley of ends against scale; the
// projection walks it in a third of the steps.

// stretchOf is a run of cells, from lo to hi − 1.
type stretchOf struct{ lo, hi int }

// spans notes which cells each parameter moves. Cells of a treatment are
// neighbours, so that a mid-point of one treatment moves one run of cells.
func (k *kernel) spans() {
	k.span = make([]stretchOf, k.p)
	for a := range k.span {
		k.span[a] = stretchOf{0, len(k.u)}
	}
	own := func(a, t int) {
		s := stretchOf{len(k.u), 0}
		for j, tr := range k.tr {
			if tr == t {
				s.lo, s.hi = min(s.lo, j), max(s.hi, j+1)
			}
		}
		k.span[a] = s
	}
	for t := range k.t {
		own(k.ends()+t, t)
		if k.own {
			own(k.slopeAt(t), t)
		}
	}
	all := make([]float64, len(k.u))
	for j := range all {
		all[j] = 1
	}
	k.one = make([]float64, k.k)
	k.times(all, k.one)
	k.oneSq = dot(k.one, k.one)
}

// timesIn writes C·v into out for a v that is zero outside of a run of cells.
func (k *kernel) timesIn(v []float64, in stretchOf, out []float64) {
	for i, row := range k.c {
		lo, hi := max(row.from, in.lo), min(row.from+len(row.v), in.hi)
		s := 0.0
		if lo < hi {
			s = dot(row.v[lo-row.from:hi-row.from], v[lo:hi])
		}
		out[i] = s
	}
}

// place is residual with the free ends of beta replaced by their least squares
// values. Where the logistic is flat over the cells, the ends stay.
func (k *kernel) place(beta, t []float64, w *scratch, out []float64) float64 {
	e := k.ends()
	if e == 0 || k.held {
		return k.residual(beta, t, w, out)
	}
	k.shares(beta, w)
	up := w.upTry[:k.k]
	k.times(w.pTrial, up)
	ou, uu, ut := dot(k.one, up), dot(up, up), dot(up, t)
	// The curve is base·1 + rise·p.
	var base, rise float64
	if e == 1 {
		base = k.scale.Low
		if uu <= 1e-300 {
			return k.residual(beta, t, w, out)
		}
		rise = (ut - base*ou) / uu
		beta[0] = base + rise
	} else {
		// p is centred first: its length beside its mean is what is left.
		left := uu - ou*ou/k.oneSq
		if !(left > 1e-9*uu) {
			return k.residual(beta, t, w, out)
		}
		ot := dot(k.one, t)
		rise = (ut - ou*ot/k.oneSq) / left
		base = (ot - rise*ou) / k.oneSq
		beta[0], beta[1] = base, base+rise
	}
	s := 0.0
	for i, v := range up {
		d := t[i] - base*k.one[i] - rise*v
		out[i] = d
		s += d * d
	}
	return s
}

// accept makes the trial point the point.
func (w *scratch) accept() {
	w.p, w.pTrial = w.pTrial, w.p
	w.up, w.upTry = w.upTry, w.up
}
