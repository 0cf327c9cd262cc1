package faults

import "math"

// size finds the spread of run means and the true effect that fits: two to three
// and a half times the smallest difference that is seen.
func (t *Trial) size() {
	n, k := t.noise, len(t.setPoints)
	looks := float64(len(t.names))
	if !t.write.panel {
		looks = 1
	}
	s := math.Sqrt(n.cook*n.cook + (n.piece*n.piece+n.source*n.source)/float64(len(t.cooks[0].pieces)) + n.score*n.score/looks)
	df := float64(t.runs*k - k - (t.sessions - 1))
	// Quantiles of t for df degrees of freedom, 0.975 plus 0.80, by Hill's expansion
	// to the first term; it errs upwards for small df, where the effect is larger.
	q := 1.96 + 0.8416 + (1.96*(1.96*1.96+1)+0.8416*(0.8416*0.8416+1))/(4*df)
	if df < 4 {
		q *= 1.25
	}
	seen := q * s * math.Sqrt(2/float64(t.runs))
	t.effect = t.between(2, 3.5) * seen
	if t.effect > 5 { // the scale ends; less noise keeps the ratio
		shrink := 5 / t.effect
		for _, v := range []*float64{&t.noise.session, &t.noise.cook, &t.noise.source, &t.noise.piece, &t.noise.score} {
			*v *= shrink
		}
		t.effect = 5
	}
	if t.chance(0.5) {
		t.effect = -t.effect
	}
}

// truth is the mean of a measure at a set point: half above and half below the
// middle of the scale, in a line or bent.
func (t *Trial) truth(arm int) float64 {
	x := float64(arm)/float64(len(t.setPoints)-1) - 0.5
	return 5 + t.effect*x
}

// settle draws what the cooks and pieces are like.
func (t *Trial) settle() {
	session := make([]float64, t.sessions)
	for i := range session {
		session[i] = t.noise.session * t.r.NormFloat64()
	}
	source := map[int]float64{}
	for _, c := range t.cooks {
		c.mean += t.truth(c.arm) + session[c.session] + t.noise.cook*t.r.NormFloat64()
		for _, p := range c.pieces {
			if _, ok := source[p.source]; !ok {
				source[p.source] = t.noise.source * t.r.NormFloat64()
			}
			p.mean += c.mean + source[p.source] + t.noise.piece*t.r.NormFloat64()
			if p.brined {
				p.mean -= 0.3
			}
			p.after = p.before * (1 - 0.06 - 0.004*float64(c.arm) - 0.008*math.Abs(t.r.NormFloat64()))
			p.value = 20 + 3*(p.mean-5) + 0.5*t.r.NormFloat64()
		}
	}
}

// taste fills the score sheet: everybody tastes every cook of a session, or with
// an incomplete layout all but one or two; the places are dealt out evenly, or by
// lot.
func (t *Trial) taste() {
	if !t.write.panel {
		return
	}
	bias := make([]float64, len(t.names))
	for i := range bias {
		bias[i] = t.noise.taster * t.r.NormFloat64()
	}
	for session := range t.sessions {
		var served []*cook
		for _, c := range t.cooks {
			if c.session == session {
				served = append(served, c)
			}
		}
		square := williams(len(served))
		turn := t.r.Perm(len(served))
		for who := range t.names {
			var list []*cook
			order := square[(who+session*len(t.names))%len(square)]
			if t.write.random {
				order = t.r.Perm(len(served))
			}
			for _, i := range order {
				c := served[turn[i]]
				// Whom a set point misses goes round, so that pairs are shared evenly.
				if t.write.incomplete && (c.arm+who+session)%len(t.setPoints) == 0 {
					continue
				}
				list = append(list, c)
			}
			for place, c := range list {
				x := &row{who: who, session: session, place: place, cook: c, piece: c.pieces[t.r.IntN(len(c.pieces))], fields: map[string]string{}}
				for _, m := range t.measures {
					v := 5 + m.weight*(x.piece.mean-5) + bias[who] + t.noise.score*t.r.NormFloat64()
					low, high := 0.0, 10.0
					if m.name == "liking" {
						low, high = 1, 9
					}
					x.values = append(x.values, math.Max(low, math.Min(high, v)))
				}
				t.rows = append(t.rows, x)
			}
		}
	}
}

// williams are serving orders of n samples in which each stands equally often at
// each place and after each other one: n orders, or 2n where n is odd.
func williams(n int) [][]int {
	first := make([]int, n)
	for i := range first {
		if i%2 == 1 {
			first[i] = (i + 1) / 2
		} else if i > 0 {
			first[i] = n - i/2
		}
	}
	var out [][]int
	for shift := range n {
		order := make([]int, n)
		for i := range order {
			order[i] = (first[i] + shift) % n
		}
		out = append(out, order)
	}
	if n%2 == 1 {
		for i := range n {
			order := make([]int, n)
			for j := range order {
				order[j] = out[i][n-1-j]
			}
			out = append(out, order)
		}
	}
	return out
}
