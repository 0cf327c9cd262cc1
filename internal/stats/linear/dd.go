package linear

import "math"

// dd is a double-double: the unevaluated sum hi + lo with |lo| ≤ ulp(hi)/2,
// about 32 decimal digits (Dekker 1971, Numer. Math. 18:224).
type dd struct{ hi, lo float64 }

// twoSum is a + b exactly (Knuth, TAOCP 2, 4.2.2).
func twoSum(a, b float64) dd {
	s := a + b
	t := s - a
	return dd{s, (a - (s - t)) + (b - t)}
}

// quickSum is a + b exactly when |a| ≥ |b|.
func quickSum(a, b float64) dd {
	s := a + b
	return dd{s, b - (s - a)}
}

// twoProd is a·b exactly; the fused multiply-add gives the rounding error.
func twoProd(a, b float64) dd {
	p := a * b
	return dd{p, math.FMA(a, b, -p)}
}

func (a dd) add(b dd) dd {
	s, t := twoSum(a.hi, b.hi), twoSum(a.lo, b.lo)
	s = quickSum(s.hi, s.lo+t.hi)
	return quickSum(s.hi, s.lo+t.lo)
}

func (a dd) addFloat(b float64) dd {
	s := twoSum(a.hi, b)
	return quickSum(s.hi, s.lo+a.lo)
}

func (a dd) neg() dd { return dd{-a.hi, -a.lo} }

func (a dd) sub(b dd) dd { return a.add(b.neg()) }

func (a dd) mul(b dd) dd {
	p := twoProd(a.hi, b.hi)
	return quickSum(p.hi, p.lo+(a.hi*b.lo+a.lo*b.hi))
}

func (a dd) mulFloat(b float64) dd {
	p := twoProd(a.hi, b)
	return quickSum(p.hi, p.lo+a.lo*b)
}

// div is long division with three partial quotients.
func (a dd) div(b dd) dd {
	q1 := a.hi / b.hi
	r := a.sub(b.mulFloat(q1))
	q2 := r.hi / b.hi
	r = r.sub(b.mulFloat(q2))
	q3 := r.hi / b.hi
	return quickSum(q1, q2).addFloat(q3)
}

func (a dd) float() float64 { return a.hi + a.lo }

// dotDD is Σ a·b with products and sums in double-double.
func dotDD(a, b []float64) float64 {
	var s dd
	for i, x := range a {
		s = s.add(twoProd(x, b[i]))
	}
	return s.float()
}

// meanDD is the weighted mean of y, nil weights counting 1 each.
func meanDD(y, w []float64) dd {
	var s, n dd
	for i, v := range y {
		if w == nil {
			s, n = s.addFloat(v), n.addFloat(1)
			continue
		}
		s, n = s.add(twoProd(v, w[i])), n.addFloat(w[i])
	}
	return s.div(n)
}
