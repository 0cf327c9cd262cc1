package discrim

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// maxAssessments bounds n everywhere in the package.
const maxAssessments = 1_000_000

// checkCounts checks 0 ≤ correct ≤ n and 1 ≤ n ≤ 1e6.
func checkCounts(correct, n int) error {
	if n == 0 {
		return fmt.Errorf("%w: assessments", stats.ErrEmpty)
	}
	if n < 0 || correct < 0 || correct > n {
		return fmt.Errorf("%w: %d correct of %d", stats.ErrDomain, correct, n)
	}
	if n > maxAssessments {
		return fmt.Errorf("%w: %d assessments, at most %d", stats.ErrTooLarge, n, maxAssessments)
	}
	return nil
}

func checkShare(name string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%w: %s = %v, needed strictly between 0 and 1", stats.ErrDomain, name, p)
	}
	return nil
}

// The package's arguments are checked before these are called, so the errors of
// dist cannot occur; should one, the tail is the harmless 1.
func atLeast(k, n int, p float64) float64 {
	v, err := dist.BinomialAtLeast(k, n, p)
	if err != nil {
		return 1
	}
	return v
}

func atMost(k, n int, p float64) float64 {
	v, err := dist.BinomialAtMost(k, n, p)
	if err != nil {
		return 1
	}
	return v
}

// BinomialP is the exact p of correct out of n against the chance p0, upper tail
// or two-sided. Two-sided adds the probabilities of all counts that are no
// likelier than the one seen (relative tolerance 1e-7), which at p0 = 1/2 is
// twice the smaller tail. Errors: ErrEmpty, ErrDomain, ErrTooLarge.
func BinomialP(correct, n int, p0 float64, twoSided bool) (float64, error) {
	if err := checkCounts(correct, n); err != nil {
		return 0, err
	}
	if err := checkShare("chance", p0); err != nil {
		return 0, err
	}
	if !twoSided {
		return atLeast(correct, n, p0), nil
	}
	pmf := func(k int) float64 {
		v, err := dist.BinomialPMF(k, n, p0)
		if err != nil {
			return 0
		}
		return v
	}
	limit := pmf(correct) * (1 + 1e-7)
	mode := int(math.Floor(float64(n+1) * p0))
	if pmf(mode) <= limit { // at the mode, or level with it
		return 1, nil
	}
	// On the far side of the mode the probabilities are monotone, so the first
	// count that is unlikely enough is found by bisection.
	if correct > mode {
		lo, hi := -1, mode // pmf(lo) ≤ limit (−1 counts as impossible), hi above it
		for hi-lo > 1 {
			mid := (lo + hi) / 2
			if pmf(mid) <= limit {
				lo = mid
			} else {
				hi = mid
			}
		}
		p := atLeast(correct, n, p0)
		if lo >= 0 {
			p += atMost(lo, n, p0)
		}
		return min(p, 1), nil
	}
	lo, hi := mode, n+1
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if pmf(mid) <= limit {
			hi = mid
		} else {
			lo = mid
		}
	}
	p := atMost(correct, n, p0)
	if hi <= n {
		p += atLeast(hi, n, p0)
	}
	return min(p, 1), nil
}

// ExactInterval is the Clopper–Pearson interval of a share: beta quantiles, so
// that each side errs in at most (1 − level)/2 of all samples. Errors as
// BinomialP.
func ExactInterval(correct, n int, level float64) (stats.Interval, error) {
	if err := checkCounts(correct, n); err != nil {
		return stats.Interval{}, err
	}
	if err := checkShare("level", level); err != nil {
		return stats.Interval{}, err
	}
	iv := stats.Interval{Low: 0, High: 1, Level: level}
	half := (1 - level) / 2
	var err error
	if correct > 0 {
		iv.Low, err = dist.BetaQuantile(half, float64(correct), float64(n-correct+1))
		if err != nil {
			return stats.Interval{}, err
		}
	}
	if correct < n {
		// The mirror image keeps the digits of the upper tail.
		low, err := dist.BetaQuantile(half, float64(n-correct), float64(correct+1))
		if err != nil {
			return stats.Interval{}, err
		}
		iv.High = 1 - low
	}
	return iv, nil
}

// WilsonInterval is Wilson's score interval of a share (Wilson 1927), narrower
// than the exact one and right on average. Errors as BinomialP.
func WilsonInterval(correct, n int, level float64) (stats.Interval, error) {
	if err := checkCounts(correct, n); err != nil {
		return stats.Interval{}, err
	}
	if err := checkShare("level", level); err != nil {
		return stats.Interval{}, err
	}
	z, err := dist.NormalQuantile((1 - level) / 2)
	if err != nil {
		return stats.Interval{}, err
	}
	nn, p, z2 := float64(n), float64(correct)/float64(n), z*z
	centre := (p + z2/(2*nn)) / (1 + z2/nn)
	half := -z * math.Sqrt(p*(1-p)/nn+z2/(4*nn*nn)) / (1 + z2/nn)
	return stats.Interval{Low: max(0, centre-half), High: min(1, centre+half), Level: level}, nil
}

// LeastCorrect is the smallest number correct out of n that is significant at
// alpha: P(X ≥ count) ≤ alpha when everybody guesses; two-sided (2-AFC only)
// alpha is halved and the count is of those who agree. Errors: ErrEmpty,
// ErrDomain (also two-sided for another method), ErrTooLarge, and ErrTooFew, with
// the n that would do, when even n correct of n is not significant.
func (m Method) LeastCorrect(n int, alpha float64, twoSided bool) (int, error) {
	if err := m.checkTest(n, alpha, twoSided); err != nil {
		return 0, err
	}
	if twoSided {
		alpha /= 2
	}
	k := leastAt(n, m.Chance(), alpha)
	if k > n {
		need := math.Ceil(math.Log(alpha) / math.Log(m.Chance()))
		return 0, fmt.Errorf("%w: %d assessments, %v needed before any result is significant", stats.ErrTooFew, n, need)
	}
	return k, nil
}

func (m Method) checkTest(n int, alpha float64, twoSided bool) error {
	if err := m.check(); err != nil {
		return err
	}
	if err := checkCounts(0, n); err != nil {
		return err
	}
	if err := checkShare("alpha", alpha); err != nil {
		return err
	}
	if twoSided && m != TwoAFC {
		return fmt.Errorf("%w: only the paired test (2-afc) can be two-sided, not %v", stats.ErrDomain, m)
	}
	return nil
}

// leastAt is the smallest k with P(X ≥ k | p) ≤ alpha, n + 1 when there is none.
// A tail that equals alpha up to rounding counts.
func leastAt(n int, p, alpha float64) int {
	lo, hi := 0, n+1 // P(X ≥ 0) = 1 > alpha, P(X ≥ n + 1) = 0
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if atLeast(mid, n, p) <= alpha*(1+1e-12) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// mostAt is the largest k with P(X ≤ k | p) ≤ beta, −1 when there is none.
func mostAt(n int, p, beta float64) int { return n - leastAt(n, 1-p, beta) }
