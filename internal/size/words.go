package size

import (
	"math"
	"strconv"
	"strings"

	"tamis/internal/prose"
)

// RoundUp gives a difference two digits, rounded up, because a smaller difference
// would be seen less often than is said; and the decimals to print it with.
func RoundUp(v float64) (rounded float64, decimals int) {
	d := digits(v)
	p := math.Pow(10, float64(d))
	// The margin keeps 0.3000000000000001 from becoming 0.31.
	r := math.Ceil(v*p*(1-1e-9)) / p
	return r, min(d, digits(r)) // 0.995 is 1.0, not 1.00
}

// amount is a difference as the kitchen reads it.
func amount(v float64, unit string) prose.Quantity {
	r, d := RoundUp(v)
	return prose.Quantity{Kind: prose.Amount, Value: r, Unit: unit, Digits: d}
}

// digits are the decimals that leave two digits of v.
func digits(v float64) int {
	if !(v > 0) {
		return 0
	}
	return max(0, min(6, 1-int(math.Floor(math.Log10(v)))))
}

// typed is a number as somebody would type it.
func typed(v float64, unit string) prose.Quantity {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	_, decimals, _ := strings.Cut(s, ".")
	return prose.Quantity{Kind: prose.Amount, Value: v, Unit: unit, Digits: min(6, len(decimals))}
}

func count(n int) prose.Quantity { return prose.Quantity{Kind: prose.Count, Value: float64(n)} }

// share is a chance as a percentage: whole percents, with decimals where the
// chance is near one of its ends.
func share(v float64) prose.Quantity {
	q := prose.Quantity{Kind: prose.Share, Value: v}
	whole := math.Abs(100*v-math.Round(100*v)) < 1e-9
	if r := min(v, 1-v); r < 0.095 && !whole {
		q.Digits = 1
	}
	return q
}

// odds says a power as a number of trials of ten or a hundred.
func odds(p float64) string {
	if t := p * 10; math.Abs(t-math.Round(t)) < 1e-9 {
		return strconv.Itoa(int(math.Round(t))) + " such trials in 10"
	}
	return strconv.FormatFloat(100*p, 'f', -1, 64) + " such trials in 100"
}

func plural(n int, one string) prose.Sentence { return prose.Plural(n, one) }
