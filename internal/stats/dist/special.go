package dist

import "math"

const (
	halfLogTwoPi = 0.9189385332046727 // log(2π)/2
	invSqrtTwoPi = 0.3989422804014327 // 1/√(2π)
	tiny         = 1e-300             // stands in for 0 in a continued fraction
	maxFraction  = 5_000_000          // terms of a continued fraction or series
)

// stirlingError is δ(a) = log Γ(a+1) − [(a+½) log a − a + ½ log 2π], the part
// of log Γ that Stirling's leading terms miss. Working with δ keeps the large,
// cancelling terms out of binomial and Poisson probabilities (Loader 2000,
// "Fast and accurate computation of binomial probabilities").
func stirlingError(a float64) float64 {
	if a < 16 {
		lg, _ := math.Lgamma(a + 1)
		return lg - (a+0.5)*math.Log(a) + a - halfLogTwoPi
	}
	// Bernoulli series; at a = 16 the first neglected term is below 1e-17.
	i := 1 / a
	i2 := i * i
	return i * (1.0/12 - i2*(1.0/360-i2*(1.0/1260-i2*(1.0/1680-i2*(1.0/1188-i2*691.0/360360)))))
}

// deviance is x log(x/m) + m − x, at least 0, without the cancellation that the
// plain formula suffers near x = m (Loader 2000).
func deviance(x, m float64) float64 {
	if x == 0 {
		return m
	}
	d := x - m
	if math.Abs(d) < 0.1*(x+m) {
		// With v = (x−m)/(x+m): log(x/m) = 2 atanh v = 2Σ v^(2j+1)/(2j+1), so
		// the deviance is (x−m)v + 2x Σ_{j≥1} v^(2j+1)/(2j+1).
		v := d / (x + m)
		sum := d * v
		term := 2 * x * v
		for j := 1; j < 100; j++ {
			term *= v * v
			next := sum + term/float64(2*j+1)
			if next == sum {
				break
			}
			sum = next
		}
		return sum
	}
	return x*math.Log(x/m) + m - x
}

// betaPrefix is x^a y^b / B(a, b) with y = 1 − x given on its own, so that
// neither is lost when the other is near 1.
func betaPrefix(a, b, x, y float64) float64 {
	if x <= 0 || y <= 0 {
		return 0
	}
	n := a + b
	lg := stirlingError(n) - stirlingError(a) - stirlingError(b) - deviance(a, n*x) - deviance(b, n*y)
	return math.Exp(lg) * math.Sqrt(a*b/n) * invSqrtTwoPi
}

// betaTails returns I_x(a, b) and 1 − I_x(a, b), each to nearly full relative
// accuracy: the side below the mean a/(a+b) comes from the continued fraction,
// the other is its complement.
func betaTails(a, b, x, y float64) (lower, upper float64) {
	switch {
	case x <= 0:
		return 0, 1
	case y <= 0:
		return 1, 0
	case b*x <= a*y: // x ≤ a/(a+b)
		lower = math.Min(betaFraction(a, b, x, y), 1)
		return lower, 1 - lower
	default:
		upper = math.Min(betaFraction(b, a, y, x), 1)
		return 1 - upper, upper
	}
}

// betaFraction is I_x(a, b) for x ≤ a/(a+b) by the continued fraction of
// DiDonato & Morris 1992 (ACM TOMS 18:360, eq. 9): with λ = a − (a+b)x ≥ 0
//
//	I = x^a y^b/B(a,b) · 1/(β₁ + α₂/(β₂ + α₃/(β₃ + …)))
//	α_{n+1} = (a+n−1)(a+b+n−1) n (b−n) x² / (a+2n−1)²
//	β_{n+1} = n + n(b−n)x/(a+2n−1) + (a+n)(λ+1+n(1+y))/(a+2n+1).
//
// The textbook fraction forms 1 − (nearly 1) when x is near 1, as it is for t
// with many degrees of freedom; here the small quantity λ enters as such.
func betaFraction(a, b, x, y float64) float64 {
	pre := betaPrefix(a, b, x, y)
	if pre == 0 {
		return 0
	}
	lambda := a - (a+b)*x
	if x > 0.5 { // the same number, formed from the small side
		lambda = (a+b)*y - b
	}
	// Modified Lentz.
	f := lentz(a * (lambda + 1) / (a + 1))
	c, d := f, 0.0
	for n := 1.0; n < maxFraction; n++ {
		w := a + 2*n - 1
		alpha := (a + n - 1) / w * ((a + b + n - 1) / w) * n * (b - n) * x * x
		beta := n + n*(b-n)*x/w + (a+n)/(w+2)*(lambda+1+n*(1+y))
		d = 1 / lentz(beta+alpha*d)
		c = lentz(beta + alpha/c)
		step := c * d
		f *= step
		if math.Abs(step-1) < 1e-16 {
			break
		}
	}
	return pre / f
}

func lentz(x float64) float64 {
	if math.Abs(x) < tiny {
		return tiny
	}
	return x
}

// poissonTerm is e^{−m} m^a / Γ(a+1) for real a ≥ 0.
func poissonTerm(a, m float64) float64 {
	if a == 0 {
		return math.Exp(-m)
	}
	if m == 0 {
		return 0
	}
	return math.Exp(-stirlingError(a)-deviance(a, m)) * invSqrtTwoPi / math.Sqrt(a)
}

// gammaTails returns the regularised incomplete gamma functions P(a, x) and
// Q(a, x): power series below a+1 (A&S 6.5.29), continued fraction above
// (A&S 6.5.31), the other side as complement.
func gammaTails(a, x float64) (lower, upper float64) {
	switch {
	case x <= 0:
		return 0, 1
	case math.IsInf(x, 1):
		return 1, 0
	}
	pre := poissonTerm(a, x) // x^a e^{−x} / Γ(a+1)
	if x < a+1 {
		sum, term := 1.0, 1.0
		for k := 1.0; k < maxFraction; k++ {
			term *= x / (a + k)
			sum += term
			if term < 1e-17*sum {
				break
			}
		}
		lower = math.Min(pre*sum, 1)
		return lower, 1 - lower
	}
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	f := d
	for k := 1.0; k < maxFraction; k++ {
		an := -k * (k - a)
		b += 2
		d = 1 / lentz(an*d+b)
		c = lentz(b + an/c)
		step := d * c
		f *= step
		if math.Abs(step-1) < 1e-16 {
			break
		}
	}
	upper = math.Min(pre*a*f, 1)
	return 1 - upper, upper
}
