package linear

import (
	"math"

	"tamis/internal/stats/internal/vec"
)

// system is a least-squares problem with scaled columns a and its decomposition.
type system struct {
	a  [][]float64 // kept columns only
	qr *qr
}

// maxRefinements bounds the refinement; two or three rounds are usual.
const maxRefinements = 12

// solve finds r and z with
//
//	r + A·z = f
//	Aᵀ·r    = g
//
// For g = 0 these are the residuals and coefficients of f on A; for f = 0 and
// g = -e_j, z is column j of (AᵀA)⁻¹. Refinement on this augmented system
// (Björck 1967, BIT 7:257) converges while condition × 1e-16 is below 1 and then
// gives r and z to nearly full precision, because the right-hand sides of each
// round are residuals in double-double.
func (s system) solve(f, g []float64) (r []float64, z []dd) {
	n, p := s.qr.n, len(s.a)
	r, z = make([]float64, n), make([]dd, p)
	last := math.Inf(1)
	for round := range maxRefinements {
		df, dg := s.residuals(f, g, r, z, round == 0)
		dr, dz := s.step(df, dg)
		change := 0.0
		for _, d := range dz {
			change = math.Max(change, math.Abs(d))
		}
		for _, d := range dr {
			change = math.Max(change, math.Abs(d))
		}
		if round > 0 && !(change < last) {
			break // no longer contracting: the last round's values stand
		}
		for j, d := range dz {
			z[j] = z[j].addFloat(d)
		}
		for i, d := range dr {
			r[i] += d
		}
		last = change
		if round > 0 && settled(dz, z) && settledFloats(dr, r) {
			break
		}
	}
	return r, z
}

// settled reports that the step changes no digit of a double that matters.
func settled(step []float64, z []dd) bool {
	for j, d := range step {
		if math.Abs(d) > 0x1p-56*math.Abs(z[j].hi) {
			return false
		}
	}
	return true
}

func settledFloats(step, r []float64) bool {
	// Single residuals may be 0 by luck; the length of the step counts.
	return vec.Norm(step) <= 0x1p-52*vec.Norm(r)
}

// residuals are f - r - A·z and g - Aᵀ·r in double-double, rounded once.
func (s system) residuals(f, g, r []float64, z []dd, zero bool) (df, dg []float64) {
	if zero { // nothing has been solved yet
		return append([]float64{}, f...), append([]float64{}, g...)
	}
	// Sums of exact products with the rounding errors gathered beside (Ogita, Rump
	// & Oishi 2005, SIAM J. Sci. Comput. 26:1955, Dot2): as if computed with twice
	// the digits and rounded once, at a fraction of the cost of full double-doubles.
	df, dg = make([]float64, len(f)), make([]float64, len(g))
	errs := make([]float64, len(f))
	for i := range df {
		s := twoSum(f[i], -r[i])
		df[i], errs[i] = s.hi, s.lo
	}
	for j, col := range s.a {
		hi, lo := -z[j].hi, -z[j].lo
		var acc, rest = g[j], 0.0
		for i, x := range col {
			if x == 0 { // indicator columns are mostly 0
				continue
			}
			p := twoProd(x, hi)
			s := twoSum(df[i], p.hi)
			df[i] = s.hi
			errs[i] += s.lo + (p.lo + x*lo)
			p = twoProd(x, -r[i])
			s = twoSum(acc, p.hi)
			acc = s.hi
			rest += s.lo + p.lo
		}
		dg[j] = acc + rest
	}
	for i, e := range errs {
		df[i] += e
	}
	return df, dg
}

// step solves the augmented system once in working precision:
// h = R⁻ᵀg, d = Qᵀf, z = R⁻¹(d₁ - h), r = Q(h, d₂).
func (s system) step(f, g []float64) (dr, dz []float64) {
	p := len(s.a)
	h := append([]float64{}, g...)
	s.qr.solveRT(h)
	d := append([]float64{}, f...)
	s.qr.applyQT(d)
	dz = make([]float64, p)
	for k := range dz {
		dz[k] = d[k] - h[k]
	}
	s.qr.solveR(dz)
	copy(d, h)
	s.qr.applyQ(d)
	return d, dz
}
