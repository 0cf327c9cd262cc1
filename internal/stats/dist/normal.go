package dist

import "math"

// NormalPDF is the standard normal density φ(z).
func NormalPDF(z float64) float64 { return invSqrtTwoPi * math.Exp(-z*z/2) }

// NormalCDF is the standard normal lower tail Φ(z), accurate also far below 0.
func NormalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// NormalUpper is the standard normal upper tail 1 − Φ(z), accurate also far
// above 0.
func NormalUpper(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// NormalQuantile is the z with Φ(z) = p, for 0 < p < 1. For upper tails use
// -NormalQuantile(upper): a p near 1 has already lost the digits of its tail.
// Errors: stats.ErrDomain, stats.ErrNonFinite.
func NormalQuantile(p float64) (float64, error) {
	if err := checkProbability("p", p); err != nil {
		return 0, err
	}
	if p > 0.5 {
		return normalUpperQuantile(1 - p), nil // exact: p ≥ ½ loses nothing in 1−p
	}
	return -normalUpperQuantile(p), nil
}

// normalUpperQuantile solves 1 − Φ(z) = p for p ≤ ½ by Newton's method on the
// logarithm of the tail, a concave function, so that the iteration comes down
// to the root from one side.
func normalUpperQuantile(p float64) float64 {
	if p == 0.5 {
		return 0
	}
	lp := math.Log(p)
	// log(1−Φ(z)) is about −z²/2 − log(z√(2π)); the bare square root is an
	// upper bound and a safe start.
	z := math.Sqrt(-2 * lp)
	for range 60 {
		q := NormalUpper(z)
		if q == 0 { // beyond float64: step back in
			z *= 0.99
			continue
		}
		step := (math.Log(q) - lp) * q / NormalPDF(z)
		z += step
		if math.Abs(step) <= 2e-16*math.Abs(z) {
			break
		}
	}
	return z
}
