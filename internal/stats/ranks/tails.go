package ranks

import (
	"fmt"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
)

// The tail areas of package dist for arguments that this package has checked, so
// that their errors (an argument outside its domain) cannot occur. Should one, the
// answer is the harmless one: a p of 1.

func orOne(p float64, err error) float64 {
	if err != nil {
		return 1
	}
	return p
}

// chiSquareUpper is P(χ² > x).
func chiSquareUpper(x, df float64) float64 { return orOne(dist.ChiSquareUpper(x, df)) }

// fUpper is P(F > x).
func fUpper(x, df1, df2 float64) float64 { return orOne(dist.FUpper(x, df1, df2)) }

// tTwoSided is P(|T| > |t|).
func tTwoSided(t, df float64) float64 { return orOne(dist.TTwoSided(t, df)) }

// checkShare returns ErrDomain unless p lies strictly between 0 and 1.
func checkShare(name string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%w: %s = %v, needed strictly between 0 and 1", stats.ErrDomain, name, p)
	}
	return nil
}
