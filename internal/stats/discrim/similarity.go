package discrim

import (
	"fmt"
	"math"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// SimilarityResult is the answer of Similarity.
type SimilarityResult struct {
	Method  Method
	Correct int
	N       int
	// Limit is the largest share of discriminators that would still not matter,
	// Beta the accepted risk of calling samples similar at that limit.
	Limit, Beta float64
	// MostCorrect is the largest count that still shows similarity; CanReach is
	// false when not even 0 correct would, and MostCorrect is then 0.
	MostCorrect int
	CanReach    bool
	// P is the chance of this count or fewer when the limit is the truth.
	P float64
	// Similar: Correct ≤ MostCorrect.
	Similar bool
	// Upper is the exact one-sided upper limit of the share of discriminators at
	// confidence 1 − Beta; samples are similar when it is below Limit.
	Upper    float64
	Warnings []stats.Warning
}

// MostCorrect is the largest number correct out of n that shows similarity:
// P(X ≤ count) ≤ beta when a share limit of discriminators is the truth. A test
// that was not significant for a difference shows nothing of the kind. Errors:
// ErrEmpty, ErrDomain, ErrTooLarge, and ErrTooFew when not even 0 correct would do.
func (m Method) MostCorrect(n int, limit, beta float64) (int, error) {
	if err := m.checkSimilarity(n, limit, beta); err != nil {
		return 0, err
	}
	k := mostAt(n, m.PCFromShare(limit), beta)
	if k < 0 {
		need := math.Ceil(math.Log(beta) / math.Log1p(-m.PCFromShare(limit)))
		return 0, fmt.Errorf("%w: %d assessments, at least %v needed to show similarity", stats.ErrTooFew, n, need)
	}
	return k, nil
}

func (m Method) checkSimilarity(n int, limit, beta float64) error {
	if err := m.checkTest(n, beta, false); err != nil {
		return err
	}
	return checkShare("limit", limit)
}

// Similarity tests whether fewer than a share limit of people discriminate, with
// the risk beta of saying so wrongly. Errors: ErrEmpty, ErrDomain, ErrTooLarge.
func (m Method) Similarity(correct, n int, limit, beta float64) (SimilarityResult, error) {
	if err := m.checkSimilarity(n, limit, beta); err != nil {
		return SimilarityResult{}, err
	}
	if err := checkCounts(correct, n); err != nil {
		return SimilarityResult{}, err
	}
	pc := m.PCFromShare(limit)
	res := SimilarityResult{Method: m, Correct: correct, N: n, Limit: limit, Beta: beta, P: atMost(correct, n, pc)}
	if k := mostAt(n, pc, beta); k >= 0 {
		res.MostCorrect, res.CanReach, res.Similar = k, true, correct <= k
	} else {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "cannot-show-similarity",
			Text: "With so few assessments no result could show similarity. Need is in assessments, and is the bare minimum.",
			Need: math.Ceil(math.Log(beta) / math.Log1p(-pc)),
		})
	}
	if correct == n {
		res.Upper = 1
	} else {
		// The upper end of Clopper–Pearson, one-sided, through its mirror image.
		low, err := dist.BetaQuantile(beta, float64(n-correct), float64(correct+1))
		if err != nil {
			return SimilarityResult{}, err
		}
		res.Upper = max(0, m.ShareFromPC(1-low))
	}
	// A count at or below guessing that is unusually low is itself odd.
	if low := atMost(correct, n, m.Chance()); low < 0.025 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "below-guessing",
			Text: fmt.Sprintf("Fewer were correct than guessing gives (chance %.3g): look for a fault in the serving or the key.", low),
		})
	}
	return res, nil
}

// SimilarityPower is the exact chance that n assessments show similarity when the
// true share of discriminators is pd, usually 0. Errors: ErrEmpty, ErrDomain,
// ErrTooLarge.
func (m Method) SimilarityPower(n int, limit, beta, pd float64) (float64, error) {
	if err := m.checkSimilarity(n, limit, beta); err != nil {
		return 0, err
	}
	if !(pd >= 0 && pd <= 1) {
		return 0, fmt.Errorf("%w: true share %v, needed in [0, 1]", stats.ErrDomain, pd)
	}
	k := mostAt(n, m.PCFromShare(limit), beta)
	if k < 0 {
		return 0, nil
	}
	return atMost(k, n, m.PCFromShare(pd)), nil
}

// SimilaritySize is the number of assessments for a similarity test to succeed
// with the chance target when the true share of discriminators is pd, below
// limit. It is the mirror image of Size (incorrect answers are counted) and larger
// than the size of a difference test. Errors: ErrDomain, ErrTooLarge.
func (m Method) SimilaritySize(limit, beta, pd, target float64) (SizeResult, error) {
	if err := m.checkSimilarity(1, limit, beta); err != nil {
		return SizeResult{}, err
	}
	if err := checkShare("power", target); err != nil {
		return SizeResult{}, err
	}
	if !(pd >= 0 && pd < limit) {
		return SizeResult{}, fmt.Errorf("%w: true share %v, needed in [0, %v)", stats.ErrDomain, pd, limit)
	}
	res, err := upperSize(1-m.PCFromShare(limit), 1-m.PCFromShare(pd), beta, target, false)
	if err != nil {
		return SizeResult{}, err
	}
	res.Count = res.Stays - res.Count // incorrect back to correct
	return res, nil
}
