package ordinal

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// Link names the distribution function F of the latent error.
type Link int

const (
	// Logit is the logistic distribution: proportional odds.
	Logit Link = iota
	// Probit is the standard normal distribution.
	Probit
	// CLogLog is F(x) = 1 − exp(−exp(x)): proportional hazards.
	CLogLog
)

// String is the name of the link in lower case.
func (l Link) String() string {
	switch l {
	case Logit:
		return "logit"
	case Probit:
		return "probit"
	case CLogLog:
		return "cloglog"
	}
	return fmt.Sprintf("link(%d)", int(l))
}

func (l Link) check() error {
	if l < Logit || l > CLogLog {
		return fmt.Errorf("%w: link %d is not one of logit, probit, cloglog", stats.ErrDomain, int(l))
	}
	return nil
}

// log1mexp is log(1 − exp(−x)) for x > 0. Near 0 the difference is taken by
// expm1, far from it by log1p; ln 2 is where the two lose equally little
// (Mächler 2012, "Accurately computing log(1 − exp(−|a|))").
func log1mexp(x float64) float64 {
	if x <= math.Ln2 {
		return math.Log(-math.Expm1(-x))
	}
	return math.Log1p(-math.Exp(-x))
}

// log1pexp is log(1 + exp(x)) without overflow.
func log1pexp(x float64) float64 {
	if x > 0 {
		return x + math.Log1p(math.Exp(-x))
	}
	return math.Log1p(math.Exp(x))
}

// sd is the standard deviation of the latent error.
func (l Link) sd() float64 {
	switch l {
	case Probit:
		return 1
	case CLogLog:
		return math.Pi / math.Sqrt(6)
	default:
		return math.Pi / math.Sqrt(3)
	}
}

const (
	logSqrt2Pi = 0.91893853320467274178 // log √(2π)
	sqrt2      = math.Sqrt2
)

// logNormalCDF is log Φ(x), also far in the lower tail, where Φ underflows.
func logNormalCDF(x float64) float64 {
	if x > -20 {
		if x > 5 {
			return math.Log1p(-0.5 * math.Erfc(x/sqrt2))
		}
		return math.Log(0.5 * math.Erfc(-x/sqrt2))
	}
	// Asymptotic series of Mills' ratio (Abramowitz & Stegun 26.2.12). At
	// |x| ≥ 20 the sixth term is below 1e-12 and the error below it.
	y := 1 / (x * x)
	s := 1 - y*(1-3*y*(1-5*y*(1-7*y*(1-9*y))))
	return -0.5*x*x - logSqrt2Pi - math.Log(-x) + math.Log(s)
}

// quantile is the inverse of F for 0 < p < 1. It only makes starting values.
func (l Link) quantile(p float64) float64 {
	switch l {
	case Probit:
		return -sqrt2 * math.Erfcinv(2*p)
	case CLogLog:
		return math.Log(-math.Log1p(-p))
	default:
		return math.Log(p) - math.Log1p(-p)
	}
}

// cdf is F(x); ±Inf are allowed.
func (l Link) cdf(x float64) float64 {
	switch {
	case math.IsInf(x, 1):
		return 1
	case math.IsInf(x, -1):
		return 0
	}
	switch l {
	case Probit:
		return 0.5 * math.Erfc(-x/sqrt2)
	case CLogLog:
		return -math.Expm1(-math.Exp(x))
	default:
		return math.Exp(-log1pexp(-x))
	}
}

// logDiff is log(F(a) − F(b)) for a > b, where a may be +Inf and b may be −Inf.
// The difference itself is never formed where it would cancel or underflow.
func (l Link) logDiff(a, b float64) float64 {
	if !(a > b) {
		return math.Inf(-1)
	}
	top, bottom := math.IsInf(a, 1), math.IsInf(b, -1)
	switch l {
	case Probit:
		switch {
		case top && bottom:
			return 0
		case top:
			return logNormalCDF(-b)
		case bottom:
			return logNormalCDF(a)
		}
		if b > 0 { // the upper tail is the lower tail mirrored
			a, b = -b, -a
		}
		if h, m := a-b, 0.5*(a+b); h*(1+math.Abs(m)) < 0.02 {
			// Φ(a) − Φ(b) = h φ(m) (1 + h²(m²−1)/24 + h⁴(m⁴−6m²+3)/1920 + …),
			// the Taylor series about the middle: close thresholds cancel otherwise.
			m2, h2 := m*m, h*h
			s := h2*(m2-1)/24 + h2*h2*(m2*m2-6*m2+3)/1920
			return math.Log(h) - logSqrt2Pi - 0.5*m2 + math.Log1p(s)
		}
		if a > 0 { // b ≤ 0 < a: both parts are positive, nothing cancels
			return math.Log(0.5 * (math.Erf(a/sqrt2) + math.Erf(-b/sqrt2)))
		}
		la := logNormalCDF(a)
		return la + log1mexp(la-logNormalCDF(b))
	case CLogLog:
		// F(a) − F(b) = exp(−e^b) (1 − exp(−(e^a − e^b))).
		switch {
		case top && bottom:
			return 0
		case top:
			return -math.Exp(b)
		case bottom:
			return log1mexp(math.Exp(a))
		}
		return -math.Exp(b) + log1mexp(math.Exp(b)*math.Expm1(a-b))
	default:
		// F(a) − F(b) = e^a (1 − e^(b−a)) / ((1+e^a)(1+e^b)).
		switch {
		case top && bottom:
			return 0
		case top:
			return -log1pexp(b)
		case bottom:
			return -log1pexp(-a)
		}
		if a > -300 && a < 300 && b > -300 && b < 300 { // three logarithms in one, as in cell
			A, _ := logistic(a)
			_, notB := logistic(b)
			return math.Log(A * notB * -math.Expm1(b-a))
		}
		return -log1pexp(-a) + log1mexp(a-b) - log1pexp(b)
	}
}

// density returns log f(x), f'(x)/f(x) and f″(x)/f(x) for a finite x. Ratios,
// not the derivatives themselves: they stay finite where f underflows.
func (l Link) density(x float64) (logf, d1, d2 float64) {
	switch l {
	case Probit:
		return -0.5*x*x - logSqrt2Pi, -x, x*x - 1
	case CLogLog:
		e := math.Exp(x)
		return x - e, 1 - e, 1 - 3*e + e*e
	default:
		a := math.Abs(x)
		logf = -a - 2*math.Log1p(math.Exp(-a))
		d1 = -math.Tanh(0.5 * x)                  // f' = f (1 − 2F)
		return logf, d1, d1*d1 - 2*math.Exp(logf) // f″ = f ((1−2F)² − 2f)
	}
}

// cell holds log p and the derivatives of ℓ = log p, p = F(a) − F(b), by the
// two bounds. A bound at infinity has derivatives 0.
type cell struct {
	l             float64
	la, lb        float64 // ∂ℓ/∂a, ∂ℓ/∂b
	laa, lab, lbb float64
	da, db        float64 // D ∂ℓ/∂a, D ∂ℓ/∂b with D = ∂/∂a + ∂/∂b: a shift of both
	dda, ddb      float64 // D² ∂ℓ/∂a, D² ∂ℓ/∂b
}

// logistic returns F(x) and 1 − F(x), both to full relative precision.
func logistic(x float64) (f, rest float64) {
	if x < 0 {
		e := math.Exp(x)
		return e / (1 + e), 1 / (1 + e)
	}
	e := math.Exp(-x)
	return 1 / (1 + e), e / (1 + e)
}

// cell evaluates one row. ok is false when p is 0 or not a number.
func (l Link) cell(a, b float64) (c cell, ok bool) {
	// fa = f(a)/p, fa1 = f'(a)/p, fa2 = f″(a)/p; the same for b.
	var fa, fa1, fa2, fb, fb1, fb2 float64
	if l == Logit && (a < 300 || math.IsInf(a, 1)) && (b > -300 || math.IsInf(b, -1)) && a > b && a > -300 && b < 300 {
		// With A = F(a), B = F(b) and E = 1 − e^(b−a), p = A (1−B) E: every
		// ratio is a product, nothing cancels and nothing underflows here. This
		// is the inner loop of FitMixed, and a third of the general path's time.
		A, notA := logistic(a)
		B, notB := logistic(b)
		E := -math.Expm1(b - a)
		c.l = math.Log(A * notB * E)
		fa, fb = notA/(notB*E), B/(A*E)
		da, db := notA-A, notB-B
		fa1, fa2 = fa*da, fa*(da*da-2*A*notA)
		fb1, fb2 = fb*db, fb*(db*db-2*B*notB)
		return c.finish(fa, fa1, fa2, fb, fb1, fb2)
	}
	c.l = l.logDiff(a, b)
	if math.IsInf(c.l, 0) || math.IsNaN(c.l) {
		return c, false
	}
	if !math.IsInf(a, 1) {
		lf, d1, d2 := l.density(a)
		if fa = math.Exp(lf - c.l); fa > 0 { // 0 times an overflowed ratio is no number
			fa1, fa2 = fa*d1, fa*d2
		}
	}
	if !math.IsInf(b, -1) {
		lf, d1, d2 := l.density(b)
		if fb = math.Exp(lf - c.l); fb > 0 {
			fb1, fb2 = fb*d1, fb*d2
		}
	}
	return c.finish(fa, fa1, fa2, fb, fb1, fb2)
}

// finish turns the ratios to p into the derivatives of log p.
func (c cell) finish(fa, fa1, fa2, fb, fb1, fb2 float64) (cell, bool) {
	c.la, c.lb = fa, -fb
	c.laa, c.lab, c.lbb = fa1-fa*fa, fa*fb, -fb1-fb*fb
	// r1 = Dp/p, r2 = D²p/p. D(f(a)/p) = f'(a)/p − f(a)/p r1, and once more.
	r1, r2 := fa-fb, fa1-fb1
	c.da, c.db = fa1-fa*r1, -(fb1 - fb*r1)
	c.dda = fa2 - 2*fa1*r1 + fa*(2*r1*r1-r2)
	c.ddb = -(fb2 - 2*fb1*r1 + fb*(2*r1*r1-r2))
	// One sum finds any NaN or infinity among them.
	sum := c.l + c.laa + c.lab + c.lbb + c.dda + c.ddb
	return c, !math.IsNaN(sum) && !math.IsInf(sum, 0)
}
