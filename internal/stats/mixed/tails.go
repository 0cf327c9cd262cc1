package mixed

import "tamis/internal/stats/dist"

// The tails below never fail: their callers pass finite statistics and degrees
// of freedom above 0 or infinite. Should rounding ever break that, the answer is
// the one that claims least, a p-value of 1.

func fTail(f, d1, d2 float64) float64 { return orOne(dist.FUpper(f, d1, d2)) }

func tTwoSided(t, df float64) float64 { return orOne(dist.TTwoSided(t, df)) }

func chiTail(x, df float64) float64 { return orOne(dist.ChiSquareUpper(x, df)) }

func orOne(p float64, err error) float64 {
	if err != nil {
		return 1
	}
	return p
}
