package agree

import (
	"fmt"
	"math"

	"tamis/internal/stats"
)

// PreferenceResult is the answer of Preferences.
type PreferenceResult struct {
	// People whose favourite counts; Skipped tasted fewer than two products.
	People, Skipped int
	// Shares of People who like each product best, adding up to 1. A favourite
	// shared by t products gives each 1/t.
	Shares []float64
	// Tasted by product, and the mean liking of those who tasted it (absent for
	// none).
	Tasted []int
	Means  []Number
	// Undecided people gave all their products the same score.
	Undecided int
	Warnings  []stats.Warning
}

// Preferences counts who likes which product (column) best, from a people ×
// products table of liking. NaN marks a product not tasted; infinities are
// ErrNonFinite. Errors: ErrEmpty, ErrLengths, ErrNonFinite, ErrTooFew (fewer than
// two products, or nobody tasted two).
func Preferences(liking [][]float64) (PreferenceResult, error) {
	if err := checkLiking(liking); err != nil {
		return PreferenceResult{}, err
	}
	k := len(liking[0])
	res := PreferenceResult{Shares: make([]float64, k), Tasted: make([]int, k), Means: make([]Number, k)}
	by := make([][]float64, k)
	holes := false
	for _, row := range liking {
		best, ties, tasted := math.Inf(-1), 0, 0
		for j, x := range row {
			if math.IsNaN(x) {
				holes = true
				continue
			}
			tasted++
			by[j] = append(by[j], x)
			switch {
			case x > best:
				best, ties = x, 1
			case x == best:
				ties++
			}
		}
		if tasted < 2 {
			res.Skipped++
			continue
		}
		res.People++
		if ties == tasted {
			res.Undecided++
		}
		for j, x := range row {
			if x == best {
				res.Shares[j] += 1 / float64(ties)
			}
		}
	}
	if res.People == 0 {
		return PreferenceResult{}, fmt.Errorf("%w: nobody tasted two products", stats.ErrTooFew)
	}
	for j := range k {
		res.Shares[j] /= float64(res.People)
		res.Tasted[j] = len(by[j])
		res.Means[j] = none(NobodyInIt)
		if len(by[j]) > 0 {
			res.Means[j] = some(mean(by[j]))
		}
	}
	if holes {
		res.Warnings = append(res.Warnings, stats.Warning{
			ID:   "not-all-tasted-all",
			Text: "Not everybody tasted every product. A product tasted by fewer can be the favourite of fewer.",
		})
	}
	return res, nil
}

// checkLiking wants a people × products rectangle without infinities.
func checkLiking(liking [][]float64) error {
	if len(liking) == 0 || len(liking[0]) == 0 {
		return fmt.Errorf("%w: the table is empty", stats.ErrEmpty)
	}
	for i, row := range liking {
		if err := stats.CheckLengths("row 0", len(liking[0]), fmt.Sprintf("row %d", i), len(row)); err != nil {
			return err
		}
		for j, x := range row {
			if math.IsNaN(x) { // not tasted
				continue
			}
			if err := checkValues(fmt.Sprintf("row %d, column %d", i, j), []float64{x}); err != nil {
				return err
			}
		}
	}
	if len(liking[0]) < 2 {
		return fmt.Errorf("%w: 1 product, 2 needed", stats.ErrTooFew)
	}
	return nil
}
