package quantity

import "math"

// slack absorbs what binary fractions lose: 55.00000000001 is 55, not 55.5.
// It is far below any step used here and far above the error of a conversion.
const slack = 1e-9

func up(x, step float64) float64   { return math.Ceil(x/step-slack) * step }
func down(x, step float64) float64 { return math.Floor(x/step+slack) * step }

// WindowInward rounds a window of set points towards its inside, to 0.5 °C or
// to whole °F, so that nothing is promised beyond what was found. It returns
// false when no rounded value lies inside; the two bounds are then unrounded.
func WindowInward(low, high Temperature, s System) (lo, hi Temperature, ok bool) {
	if s == US {
		lo, hi = Fahrenheit(up(low.Fahrenheit(), 1)), Fahrenheit(down(high.Fahrenheit(), 1))
		ok = lo.Fahrenheit() <= hi.Fahrenheit()
	} else {
		lo, hi = Celsius(up(low.Celsius(), 0.5)), Celsius(down(high.Celsius(), 0.5))
		ok = lo.Celsius() <= hi.Celsius()
	}
	if !ok {
		return low, high, false
	}
	return lo, hi, true
}

// ToleranceInward rounds a tolerance down to 0.1 of the system's degree; °F are
// × 1.8 without the 32.
func ToleranceInward(d Difference, s System) Difference {
	if s == US {
		return FahrenheitDegrees(tenths(down(math.Abs(d.Fahrenheit()), 0.1)))
	}
	return CelsiusDegrees(tenths(down(math.Abs(d.Kelvin()), 0.1)))
}

// MinimumUp rounds a temperature that must at least be reached up, to 0.1 °C
// or to whole °F.
func MinimumUp(t Temperature, s System) Temperature {
	if s == US {
		return Fahrenheit(up(t.Fahrenheit(), 1))
	}
	return Celsius(tenths(up(t.Celsius(), 0.1)))
}

// MinimumTimeUp rounds a time that must at least be held up, to 5 min.
func MinimumTimeUp(d Duration) Duration { return FromMinutes(up(d.Minutes(), 5)) }

// DiscardTimeDown rounds a time after which food is thrown away down, to 5 min.
func DiscardTimeDown(d Duration) Duration { return FromMinutes(down(d.Minutes(), 5)) }

// tenths removes the dust of a multiplication by 0.1.
func tenths(x float64) float64 { return math.Round(x*10) / 10 }
