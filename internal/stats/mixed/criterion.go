package mixed

// pieces is what the criterion is made of at one θ, along one direction:
// logL = ln|ΛZ'WZΛ + I|; s = the (p+1)² matrix [Q r]'(I + ZΛ²Z')⁻¹[Q r] for the
// basis Q and the least-squares residual r; logX = ln|s₁₁|; r2 = the penalised
// residual sum of squares, the last pivot of s.
type pieces struct {
	logL, logX, r2 jet
	s              []jet // p × p part, row-major, upper triangle valid
}

// eval evaluates the pieces at θ + t·u in jets. ok is false where θ is so large
// that rounding leaves no positive pivot.
func (s *system) eval(theta, u []float64) (pc pieces, ok bool) {
	m, nc := s.m, len(s.size)
	wk := s.wk
	th := make([]jet, s.k)
	for g := range th {
		th[g] = jet{theta[g], u[g], 0}
	}
	// Factor of each class, h = 1/(n(1 + θ²n)), and the eliminated grouping's
	// part of the determinant, Σ ln(1 + θ²n).
	h := make([]jet, nc)
	if nc > 0 {
		gamma := th[s.order[0]].mul(th[s.order[0]])
		for c, n := range s.size {
			one := gamma.scale(n)
			one.v++
			h[c] = one.scale(n).recip()
			pc.logL = pc.logL.add(one.log().scale(s.count[c]))
		}
	}
	// weigh is within + Σ_c h_c·class_c, entry by entry; class c of entry e lies at
	// e·step + c·stride.
	weigh := func(dst []jet, within, class []float64, stride, step int) {
		for e := range dst {
			t := jet{v: within[e]}
			for c := range h {
				g := class[e*step+c*stride]
				t.v += h[c].v * g
				t.d += h[c].d * g
				t.e += h[c].e * g
			}
			dst[e] = t
		}
	}
	weigh(wk.s, s.sWithin, s.sClass, m*m, 1)
	if s.nr > 0 {
		weigh(wk.ax, s.within, s.class, 1, nc)
		weigh(wk.b, s.xWithin, s.xClass, s.nr*m, 1)
		for j := 0; j < s.nr; j++ {
			tj := th[s.factor[j]]
			for e := s.colPtr[j]; e < s.colPtr[j+1]; e++ {
				i := s.row[e]
				wk.ax[e] = wk.ax[e].mul(tj.mul(th[s.factor[i]]))
				if i == j {
					wk.ax[e].v++
				}
			}
			b := wk.b[j*m : j*m+m]
			for a := range b {
				b[a] = b[a].mul(tj)
			}
		}
		if !wk.ldl.factor(s.colPtr, s.row, wk.ax) {
			return pc, false
		}
		wk.ldl.forward(wk.b, m)
		for j := 0; j < s.nr; j++ {
			d := wk.ldl.d[j]
			pc.logL = pc.logL.add(d.log())
			di := d.recip()
			b := wk.b[j*m : j*m+m]
			for a := range b {
				l := b[a].mul(di)
				row := wk.s[a*m : a*m+m]
				for c := a; c < m; c++ {
					x, t := &b[c], &row[c]
					t.v -= l.v * x.v
					t.d -= l.v*x.d + l.d*x.v
					t.e -= l.v*x.e + l.d*x.d + l.e*x.v
				}
			}
		}
	}
	pc.s = append([]jet(nil), wk.s...)
	// Eliminate the basis from s, last of all the response.
	for j := 0; j < s.p; j++ {
		d := wk.s[j*m+j]
		if !(d.v > 0) {
			return pc, false
		}
		pc.logX = pc.logX.add(d.log())
		di := d.recip()
		rj := wk.s[j*m : j*m+m]
		for a := j + 1; a < m; a++ {
			l := rj[a].mul(di)
			ra := wk.s[a*m : a*m+m]
			for c := a; c < m; c++ {
				x, t := &rj[c], &ra[c]
				t.v -= l.v * x.v
				t.d -= l.v*x.d + l.d*x.v
				t.e -= l.v*x.e + l.d*x.d + l.e*x.v
			}
		}
	}
	pc.r2 = wk.s[m*m-1]
	return pc, pc.r2.v > 0
}

// A goal says what is minimised over θ.
type goal struct {
	ml bool
	// sigma2, when above 0, is a residual variance held fixed, in units of the
	// scaled residual; otherwise it is profiled out.
	sigma2 float64
	// held, when above 0, is one more than the grouping whose θ stays where it is.
	held int
}

func (g goal) holds(a int) bool { return a == g.held-1 }

// objective is the criterion without the parts that do not move with θ. With σ²
// profiled out it is logL + [logX] + ν·ln r2, with ν = n - p under REML and n
// under ML, in which case logX does not enter; with σ² fixed the last part is
// r2/σ².
func (s *system) objective(pc pieces, g goal) jet {
	nu := float64(s.n - s.p)
	o := pc.logL
	if g.ml {
		nu = float64(s.n)
	} else {
		o = o.add(pc.logX)
	}
	if g.sigma2 > 0 {
		return o.add(pc.r2.scale(1 / g.sigma2))
	}
	return o.add(pc.r2.log().scale(nu))
}
