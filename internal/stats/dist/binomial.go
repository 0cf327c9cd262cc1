package dist

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// BinomialPMF is P(X = k) for n trials of success chance p in [0, 1], to about
// 1e-14 relative. k outside 0…n has probability 0. Errors: stats.ErrDomain,
// stats.ErrNonFinite.
func BinomialPMF(k, n int, p float64) (float64, error) {
	if err := checkBinomial(n, p); err != nil {
		return 0, err
	}
	return binomialPMF(k, n, p), nil
}

func binomialPMF(k, n int, p float64) float64 {
	switch {
	case k < 0 || k > n:
		return 0
	case p == 0 || p == 1:
		if (p == 0 && k == 0) || (p == 1 && k == n) {
			return 1
		}
		return 0
	case k == 0:
		return math.Exp(float64(n) * math.Log1p(-p))
	case k == n:
		return math.Pow(p, float64(n))
	}
	a, b := float64(k), float64(n-k)
	m := float64(n)
	// Loader's saddle-point form of n!/(k!(n−k)!) p^k q^{n−k}.
	lg := stirlingError(m) - stirlingError(a) - stirlingError(b) - deviance(a, m*p) - deviance(b, m*(1-p))
	return math.Exp(lg) * math.Sqrt(m/(a*b)) * invSqrtTwoPi
}

// BinomialAtLeast is P(X ≥ k), the exact one-sided p-value of k successes.
func BinomialAtLeast(k, n int, p float64) (float64, error) {
	if err := checkBinomial(n, p); err != nil {
		return 0, err
	}
	_, atLeast := binomialTails(k, n, p)
	return atLeast, nil
}

// BinomialAtMost is P(X ≤ k).
func BinomialAtMost(k, n int, p float64) (float64, error) {
	if err := checkBinomial(n, p); err != nil {
		return 0, err
	}
	if k >= n {
		return 1, nil
	}
	below, _ := binomialTails(k+1, n, p)
	return below, nil
}

// binomialTails returns P(X < k) and P(X ≥ k) = I_p(k, n−k+1).
func binomialTails(k, n int, p float64) (below, atLeast float64) {
	switch {
	case k <= 0:
		return 0, 1
	case k > n:
		return 1, 0
	}
	atLeast, below = betaTails(float64(k), float64(n-k+1), p, 1-p)
	return below, atLeast
}

func checkBinomial(n int, p float64) error {
	if math.IsNaN(p) {
		return fmt.Errorf("%w: p = NaN", stats.ErrNonFinite)
	}
	if p < 0 || p > 1 {
		return fmt.Errorf("%w: p = %v, must lie in 0…1", stats.ErrDomain, p)
	}
	if n < 0 {
		return fmt.Errorf("%w: n = %d trials", stats.ErrDomain, n)
	}
	if float64(n) > maxBothDF {
		return fmt.Errorf("%w: n = %d trials, at most %v", stats.ErrTooLarge, n, float64(maxBothDF))
	}
	return nil
}

// BetaCDF is I_x(a, b), the lower tail of the beta distribution at x in [0, 1];
// a and b are above 0. Errors: stats.ErrDomain, stats.ErrNonFinite.
func BetaCDF(x, a, b float64) (float64, error) {
	if err := firstError(checkNumber("x", x), checkShape("a", a), checkShape("b", b), checkBothDF(a, b)); err != nil {
		return 0, err
	}
	lower, _ := betaTails(a, b, x, 1-x)
	return lower, nil
}

// BetaQuantile is the x with I_x(a, b) = p: with a = k, b = n−k+1 the lower
// Clopper–Pearson limit of k in n.
func BetaQuantile(p, a, b float64) (float64, error) {
	if err := firstError(checkProbability("p", p), checkShape("a", a), checkShape("b", b), checkBothDF(a, b)); err != nil {
		return 0, err
	}
	// A beta variable is d₁F/(d₂ + d₁F) with d₁ = 2a, d₂ = 2b.
	f, err := fQuantile(p, 2*a, 2*b, true)
	if err != nil {
		return 0, err
	}
	x, _ := betaOdds(f, 2*a, 2*b)
	return x, nil
}

func checkShape(name string, a float64) error {
	if err := checkDF(name, a); err != nil {
		return err
	}
	if a > hugeDF/4 {
		return fmt.Errorf("%w: %s = %v", stats.ErrTooLarge, name, a)
	}
	return nil
}
