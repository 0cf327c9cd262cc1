package discrim

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// maxSize bounds the number of assessments that Size looks through.
const maxSize = 100_000

// Power is the exact chance that a test of n assessments at alpha is significant
// when the true share correct is pc (PCFromShare or ProbCorrect give one).
// Two-sided (2-AFC only) counts both directions. When no count is significant the
// power is 0. Errors: ErrEmpty, ErrDomain, ErrTooLarge.
func (m Method) Power(n int, alpha, pc float64, twoSided bool) (float64, error) {
	if err := m.checkTest(n, alpha, twoSided); err != nil {
		return 0, err
	}
	if !(pc >= 0 && pc <= 1) {
		return 0, fmt.Errorf("%w: share correct %v, needed in [0, 1]", stats.ErrDomain, pc)
	}
	if twoSided {
		k := leastAt(n, m.Chance(), alpha/2)
		if k > n {
			return 0, nil
		}
		return min(1, atLeast(k, n, pc)+atMost(n-k, n, pc)), nil
	}
	return atLeast(leastAt(n, m.Chance(), alpha), n, pc), nil
}

// SizeResult says how many assessments are enough. The power of an exact test
// does not rise steadily with n but in a saw-tooth, because counts are whole.
type SizeResult struct {
	// First is the smallest n whose power reaches the target; a slightly larger
	// n may fall below it again.
	First      int
	FirstPower float64
	// Stays is the smallest n from which on the power never falls below the
	// target again. It is the one to plan with.
	Stays      int
	StaysPower float64
	// Count is the critical count at Stays: the least number correct of a
	// difference test, the largest number correct of a similarity test.
	Count int
}

// Size is the number of assessments for a difference test at alpha to reach the
// power target when the true share correct is pc above chance. First and Stays
// are found by trying every n up to a bound beyond which Hoeffding's inequality
// guarantees the target. Errors: ErrDomain (pc not above chance, shares outside
// (0, 1)), ErrTooLarge when that bound is above 100 000.
func (m Method) Size(alpha, pc, target float64, twoSided bool) (SizeResult, error) {
	if err := m.checkTest(1, alpha, twoSided); err != nil {
		return SizeResult{}, err
	}
	if err := checkShare("power", target); err != nil {
		return SizeResult{}, err
	}
	if !(pc > m.Chance() && pc <= 1) {
		return SizeResult{}, fmt.Errorf("%w: share correct %v, needed above %.4g and at most 1", stats.ErrDomain, pc, m.Chance())
	}
	if twoSided {
		alpha /= 2
	}
	return upperSize(m.Chance(), pc, alpha, target, twoSided)
}

// upperSize solves for the test that rejects p0 when X ≥ k, true share p1 > p0;
// bothTails adds the mirror image of the critical region.
func upperSize(p0, p1, alpha, target float64, bothTails bool) (SizeResult, error) {
	// P0(X ≥ np0 + t) ≤ exp(−2t²/n), so with t = √(n·ln(1/α)/2) the critical count
	// is at most np0 + t + 1, and power is at least 1 − exp(−2(n(p1 − p0) − t)²/n).
	// That reaches the target from this n on:
	c := (math.Sqrt(-math.Log(alpha)/2) + math.Sqrt(-math.Log1p(-target)/2)) / (p1 - p0)
	if !(c*c <= maxSize) {
		return SizeResult{}, fmt.Errorf("%w: up to %.3g assessments would have to be tried, at most %d", stats.ErrTooLarge, c*c, maxSize)
	}
	horizon := int(math.Ceil(c*c)) + 1
	var res SizeResult
	k := 1 // critical count: from n to n + 1 it stays or rises by 1
	for n := 1; n <= horizon; n++ {
		for k <= n && atLeast(k, n, p0) > alpha*(1+1e-12) {
			k++
		}
		power := 0.0
		if k <= n {
			power = atLeast(k, n, p1)
			if bothTails {
				power += atMost(n-k, n, p1)
			}
		}
		if power >= target {
			if res.First == 0 {
				res.First, res.FirstPower = n, power
			}
			if res.Stays == 0 {
				res.Stays, res.StaysPower, res.Count = n, power, k
			}
		} else {
			res.Stays = 0 // fell below: start again
		}
	}
	if res.Stays == 0 {
		return SizeResult{}, fmt.Errorf("%w: power %v within %d assessments", stats.ErrNotConverged, target, horizon)
	}
	return res, nil
}
