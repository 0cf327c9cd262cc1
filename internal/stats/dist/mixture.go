package dist

import "math"

// scaleMixture is E[g(S)], S = √(χ²_ν/ν): the average of g over the sampling
// error of a standard deviation with ν degrees of freedom. g must be positive,
// smooth and such that the integrand has one peak. peak is a guess of the S
// where the integrand is largest (1 when g varies little); it need not be good. maxStep is the
// largest step in log S that still resolves g.
//
// With s = e^u the density of S times ds is
//
//	√(ν/π) e^{−δ(ν/2)} · exp(ν[u − (e^{2u}−1)/2]) du,
//
// δ the Stirling remainder, and the trapezoidal rule in u converges faster than
// any power of the step. For small ν the left tail e^{νu} is long; there
// u = u₀ + y + 1 − e^{−y} makes it decay doubly exponentially (Takahasi & Mori
// 1974). Terms are added from the peak outwards until they stop mattering, so
// that the sum is relatively accurate however small it is.
func scaleMixture(g func(s float64) float64, nu, peak, maxStep float64) float64 {
	if nu > hugeDF {
		return g(1)
	}
	u0 := math.Log(peak)
	bend, slope := 0.0, 1.0
	if nu < bendBelow {
		bend, slope = 1, 2
	}
	// The peak in u has a standard deviation of about 1/√(2ν); a Gaussian is
	// integrated to 1e-17 with a step of 0.72 standard deviations; the e^{2u} in
	// the exponent asks for somewhat less. maxStep is what g asks for.
	h := math.Min(0.5/math.Sqrt(2*nu), maxStep) / slope
	scale := math.Sqrt(nu/math.Pi) * math.Exp(-stirlingError(nu/2)) * h
	at := func(j int) float64 {
		y := float64(j) * h
		u, du := u0+y, 1.0
		if bend > 0 {
			e := math.Exp(-y)
			u += bend * (1 - e)
			du += bend * e
		}
		w := math.Exp(nu * scaleExponent(u))
		if w == 0 {
			return 0
		}
		return w * du * g(math.Exp(u))
	}
	sum := at(0)
	for _, dir := range []int{1, -1} {
		previous := math.Inf(1)
		for j := dir; j < maxMixtureNodes && j > -maxMixtureNodes; j += dir {
			term := at(j)
			sum += term
			if term <= previous && term <= 1e-17*sum {
				break
			}
			previous = term
		}
	}
	return scale * sum
}

// maxMixtureNodes is a safety limit far above what any argument needs.
const maxMixtureNodes = 1_000_000

// bendBelow is the ν under which the left tail gets the bent mapping.
const bendBelow = 16

// scaleExponent is u − (e^{2u} − 1)/2, by its series −Σ_{k≥2} 2^{k−1}u^k/k! near 0,
// where ν times the rounding error of the difference would show.
func scaleExponent(u float64) float64 {
	if math.Abs(u) > 0.1 {
		return u - math.Expm1(2*u)/2
	}
	sum, term := 0.0, u
	for k := 2.0; k < 20; k++ {
		term *= 2 * u / k
		sum += term
	}
	return -sum
}
