package ranks

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"tamis/internal/stats"
)

// The few tail areas this package needs. Each is written so that the small tail
// is computed as such and never as 1 minus a number near 1.

// normalUpper is P(Z > z).
func normalUpper(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// normalQuantile is the z with P(Z < z) = p; p strictly between 0 and 1.
func normalQuantile(p float64) float64 { return mathext.NormalQuantile(p) }

// chiSquareUpper is P(χ² > x) with df degrees of freedom.
func chiSquareUpper(x, df float64) float64 {
	if x <= 0 {
		return 1
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}

// fUpper is P(F > x), as an incomplete beta of the small argument.
func fUpper(x, df1, df2 float64) float64 {
	if x <= 0 {
		return 1
	}
	return mathext.RegIncBeta(df2/2, df1/2, df2/(df2+df1*x))
}

// tTwoSided is P(|T| > |t|).
func tTwoSided(t, df float64) float64 {
	return mathext.RegIncBeta(df/2, 0.5, df/(df+t*t))
}

// tQuantileUpper is the t > 0 with P(T > t) = p, for 0 < p < 1/2, by bisection on
// the tail itself, so it is as good as the tail area.
func tQuantileUpper(p, df float64) float64 {
	lo, hi := 0.0, 1.0
	for tTwoSided(hi, df) > 2*p && hi < 1e300 {
		hi *= 2
	}
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid <= lo || mid >= hi {
			break
		}
		if tTwoSided(mid, df) > 2*p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// checkShare returns ErrDomain unless p lies strictly between 0 and 1.
func checkShare(name string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%w: %s = %v, needed strictly between 0 and 1", stats.ErrDomain, name, p)
	}
	return nil
}

// Alternative says which departures count against the null hypothesis. It is
// part of the question and is fixed before the data are seen.
type Alternative int

const (
	// TwoSided: either direction counts.
	TwoSided Alternative = iota
	// Greater: only a first sample (or difference) above counts.
	Greater
	// Less: only a first sample (or difference) below counts.
	Less
)

func (a Alternative) check() error {
	if a != TwoSided && a != Greater && a != Less {
		return fmt.Errorf("%w: alternative %d", stats.ErrDomain, int(a))
	}
	return nil
}

// String names the alternative in words.
func (a Alternative) String() string {
	switch a {
	case TwoSided:
		return "two-sided"
	case Greater:
		return "greater"
	case Less:
		return "less"
	}
	return "unknown alternative"
}
