package figure

import (
	"math"
	"strconv"
)

// Fahrenheit converts stored degrees Celsius.
var Fahrenheit = Conversion{Factor: 1.8, Offset: 32}

// NiceTicks returns at most about want round positions inside [lo, hi], at
// steps of 1, 2 or 5 times a power of ten, labelled with the decimals that the
// step needs. The range is not widened. It returns nil when lo < hi does not
// hold, when an end is not finite, or when want is below 2.
func NiceTicks(lo, hi float64, want int) []Tick { return niceTicks(lo, hi, want, Conversion{}) }

// niceTicks chooses round numbers after conversion and returns metric places.
func niceTicks(lo, hi float64, want int, conv Conversion) []Tick {
	a, b := conv.Apply(lo), conv.Apply(hi)
	if !(a < b) || math.IsInf(a, 0) || math.IsInf(b, 0) || math.IsInf(b-a, 0) || want < 2 {
		return nil
	}
	step, decimals := niceStep((b - a) / float64(want-1))
	// Count in whole steps so that rounding does not accumulate; the slack of
	// a millionth keeps an end that is round but for its last bit.
	first := math.Ceil(a/step - 1e-6)
	last := math.Floor(b/step + 1e-6)
	// A range too narrow for its distance from zero has no whole steps to count.
	if !(last-first < 1000) || math.Abs(first) > 1e15 || math.Abs(last) > 1e15 {
		return nil
	}
	var ts []Tick
	for k := first; k <= last; k++ {
		v := k * step
		if v == 0 {
			v = 0 // no minus zero in a label
		}
		ts = append(ts, Tick{
			At:    math.Min(hi, math.Max(lo, conv.Invert(v))),
			Label: FormatNumber(v, decimals),
		})
	}
	return ts
}

// niceStep is the smallest of 1, 2, 5 × 10^k that is at least raw, and the
// decimals needed to print it.
func niceStep(raw float64) (step float64, decimals int) {
	e := math.Floor(math.Log10(raw))
	p := math.Pow(10, e)
	decimals = max(0, -int(e))
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*p*(1+1e-9) {
			return m * p, decimals
		}
	}
	return 10 * p, max(0, decimals-1)
}

// FormatNumber prints v with the given decimals and a true minus sign; a
// number that rounds to zero has no sign.
func FormatNumber(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', max(0, decimals), 64)
	if len(s) == 0 || s[0] != '-' {
		return s
	}
	for _, r := range s[1:] {
		if r != '0' && r != '.' {
			return "−" + s[1:]
		}
	}
	return s[1:]
}

// Number is an axis over [lo, hi] with about want ticks.
func Number(label, unit string, lo, hi float64, want int) Axis {
	return Axis{Label: Same(label), Unit: Same(unit), Min: lo, Max: hi,
		Metric: NiceTicks(lo, hi, want), Digits: digitsFor(lo, hi)}
}

// Temperature is an axis over [lo, hi] °C that carries both units, with round
// ticks in each.
func Temperature(label string, lo, hi float64, want int) Axis {
	return Axis{
		Label: Same(label), Unit: Text{Metric: "°C", US: "°F"}, Min: lo, Max: hi,
		Metric:  NiceTicks(lo, hi, want),
		US:      niceTicks(lo, hi, want, Fahrenheit),
		Digits:  1,
		Convert: Fahrenheit,
	}
}

// Category is an axis of names.
func Category(label string, names ...Text) Axis {
	return Axis{Label: Same(label), Categories: names}
}

// digitsFor is the decimals that show a hundredth of the range.
func digitsFor(lo, hi float64) int {
	w := hi - lo
	if !(w > 0) || math.IsInf(w, 0) {
		return 0
	}
	return min(6, max(0, int(math.Ceil(2-math.Log10(w)))))
}

// Extent is the smallest range that holds all values of the lists; ok is false
// when there is no finite value. Values that are not finite are skipped.
func Extent(lists ...[]float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, l := range lists {
		for _, v := range l {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				lo, hi, ok = math.Min(lo, v), math.Max(hi, v), true
			}
		}
	}
	if !ok {
		return 0, 0, false
	}
	return lo, hi, true
}

// Padded widens [lo, hi] by a share of its width at both ends; a range without
// width is widened by one, so that a single value has an axis.
func Padded(lo, hi, share float64) (float64, float64) {
	w := hi - lo
	if !(w > 0) {
		return lo - 1, hi + 1
	}
	return lo - share*w, hi + share*w
}
