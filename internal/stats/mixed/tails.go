package mixed

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// fTail is P(F > f) on d1 and d2 degrees of freedom, through the incomplete beta
// function of the small side, so that a p-value of 1e-30 keeps its digits. An
// infinite d2 is the χ² limit.
func fTail(f, d1, d2 float64) float64 {
	if !(f > 0) {
		return 1
	}
	if math.IsInf(d2, 1) {
		return chiTail(f*d1, d1)
	}
	x := d2 / (d2 + d1*f)
	if x <= 0 {
		return 0
	}
	if x > 0.5 {
		return 1 - mathext.RegIncBeta(d1/2, d2/2, d1*f/(d2+d1*f))
	}
	return mathext.RegIncBeta(d2/2, d1/2, x)
}

// tTwoSided is P(|T| > |t|).
func tTwoSided(t, df float64) float64 { return fTail(t*t, 1, df) }

// chiTail is P(χ² > x).
func chiTail(x, df float64) float64 {
	if !(x > 0) {
		return 1
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}

// tQuantile is the p-quantile of Student's t for p > 1/2: gonum's value,
// polished by Newton's method on the tail, which it computes to fewer digits.
func tQuantile(p, df float64) float64 {
	if df > 1e8 {
		return distuv.UnitNormal.Quantile(p)
	}
	d := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}
	q := d.Quantile(p)
	for i := 0; i < 4; i++ {
		step := (tTwoSided(q, df)/2 - (1 - p)) / d.Prob(q)
		if math.IsNaN(step) || math.IsInf(step, 0) {
			break
		}
		q += step
		if math.Abs(step) < 1e-14*math.Abs(q) {
			break
		}
	}
	return q
}
