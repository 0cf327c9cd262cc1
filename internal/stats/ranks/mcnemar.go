package ranks

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// McNemarResult is the answer of McNemar.
type McNemarResult struct {
	// B and C: the pairs that changed, yes→no and no→yes.
	B, C int
	// PExact is the exact binomial p, two-sided; PMid the mid-p, which counts
	// the table seen by half.
	PExact, PMid float64
	// ChiSquare without and Corrected with the continuity correction, 1 df each.
	ChiSquare, PChiSquare float64
	Corrected, PCorrected float64
	Warnings              []stats.Warning
}

// McNemar compares two yes/no answers of the same people from the two counts of
// those who changed (McNemar 1947). Those who did not change carry no information
// on the difference. Errors: ErrDomain (negative count), ErrTooLarge, and
// ErrNoVariation when nobody changed.
func McNemar(b, c int) (McNemarResult, error) {
	if b < 0 || c < 0 {
		return McNemarResult{}, fmt.Errorf("%w: counts %d and %d", stats.ErrDomain, b, c)
	}
	if b > maxSigns || c > maxSigns {
		return McNemarResult{}, fmt.Errorf("%w: counts %d and %d, at most %d each", stats.ErrTooLarge, b, c, maxSigns)
	}
	n := b + c
	if n == 0 {
		return McNemarResult{}, fmt.Errorf("%w: nobody answered differently", stats.ErrNoVariation)
	}
	res := McNemarResult{B: b, C: c, PExact: halfP(b, n, TwoSided)}
	top := max(b, c)
	seen := halfUpper(top, n) - halfUpper(top+1, n)
	res.PMid = min(1, 2*(halfUpper(top+1, n)+seen/2))
	if b == c {
		res.PMid = 1 // the centre: both halves of the split meet
	}
	d, nn := math.Abs(float64(b)-float64(c)), float64(n)
	res.ChiSquare = d * d / nn
	res.PChiSquare = chiSquareUpper(res.ChiSquare, 1)
	if d > 1 {
		res.Corrected = (d - 1) * (d - 1) / nn
	}
	res.PCorrected = chiSquareUpper(res.Corrected, 1)
	if n < 25 {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "mcnemar-few-changed",
			Text: "Fewer than 25 people answered differently, so read the exact p and not χ².",
			Need: 25,
		})
	}
	return res, nil
}

// McNemarPairs counts the changes in two series of answers of the same people and
// calls McNemar. Errors: ErrEmpty, ErrLengths, and those of McNemar.
func McNemarPairs(first, second []bool) (McNemarResult, error) {
	if err := stats.CheckLengths("first", len(first), "second", len(second)); err != nil {
		return McNemarResult{}, err
	}
	if len(first) == 0 {
		return McNemarResult{}, fmt.Errorf("%w: pairs", stats.ErrEmpty)
	}
	b, c := 0, 0
	for i := range first {
		if first[i] && !second[i] {
			b++
		}
		if !first[i] && second[i] {
			c++
		}
	}
	return McNemar(b, c)
}
