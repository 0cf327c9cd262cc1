package safety

import "math"

// The numbers of the rules. Temperatures that stand in a table in °F are held
// exactly, so that they are not rounded down on the way.
var (
	// noCredit is the core below which nothing is counted as killed, 130 °F,
	// 54.4 °C: below it data are sparse and cells may grow.
	noCredit = fahrenheit(130)
	// poultryRow: 7 decades of Salmonella in poultry of up to poultryFat
	// percent fat at 137 °F, 58.3 °C, need 59.7 min (table of 9 CFR 381.150 as
	// adopted in Canada); hotter counts as this row.
	poultryRow = fahrenheit(137)
	// poultryInstant: 165 °F, 73.9 °C; the rule here says 74 °C.
	poultryInstant = 74.0
)

// CreditFrom is the core, °C, below which nothing is counted as killed.
func CreditFrom() float64 { return noCredit }

const (
	poultryMinutes = 60.0
	poultryFat     = 9.0

	// Fish of more fat, in percent, is counted by the row of oily fish even where
	// it is called lean: house rule, between cod with 1 and salmon with 14.
	leanFat = 5.0

	// Six decades of Listeria: 70 °C for 2 min with z 7.5 °C (Mackey and
	// Bratchell 1989; z from memory of the fish hazards guidance, appendix 4).
	// Carried below 63 °C that is an extrapolation: 17.2 min at 63 °C, 43 min
	// at 60 °C, 200 min at 55 °C.
	listeriaAt      = 70.0
	listeriaMinutes = 2.0
	listeriaZ       = 7.5

	// Bivalves: viruses need 90 °C for 90 s (common guidance, from memory).
	bivalveAt      = 90.0
	bivalveMinutes = 1.5

	// Pulses: boiled for 10 min. The core counts as boiling from 99 °C, which
	// leaves room for weather, not for a mountain: house rule.
	pulseAt      = 99.0
	pulseMinutes = 10.0

	// Parasites: a core of 60 °C for 1 min (Regulation (EC) 853/2004 as
	// amended by (EU) 1276/2011; wording from memory).
	parasiteAt      = 60.0
	parasiteMinutes = 1.0

	// Vulnerable people: besides the equivalent of 70 °C for 2 min the core
	// must reach 63 °C.
	vulnerableAt = 63.0

	// A thermometer counts as checked for this many days.
	checkedDays = 30

	// Growth: the highest temperature at which Clostridium perfringens is
	// reported to grow is 52.3 °C. At most 2 h above 21.1 °C and 4 h above
	// 10 °C below that, 4 h in all below 54.4 °C (after the fish hazards
	// guidance, table A-2, and Food Code 3-501.19).
	growthEnds  = 52.3
	warmMinutes = 120.0
	coolMinutes = 240.0
	warmAt      = 21.1
	coolAt      = 10.0
	coldStoreAt = 5.0

	// Chilling: from 57 to 21 °C within 2 h and to 5 °C within 6 h in all (Food
	// Code 3-501.14).
	chillFrom         = 57.0
	chillHalf         = 21.0
	chillHalfMinutes  = 120.0
	chillTotalMinutes = 360.0
)

func fahrenheit(f float64) float64 { return (f - 32) * 5 / 9 }

// minutesAt is how many minutes a path of samples, step minutes apart, stays at
// or above a temperature in one stretch, the longest one. A step counts only
// when both its ends do, so that nothing is counted that was not seen.
func minutesAt(path []float64, step, celsius float64) float64 {
	best, run := 0, 0
	for i := 1; i < len(path); i++ {
		if min(path[i-1], path[i]) >= celsius {
			run++
			best = max(best, run)
		} else {
			run = 0
		}
	}
	return float64(best) * step
}

// reaches reports whether any sample is at or above a temperature.
func reaches(path []float64, celsius float64) bool {
	for _, t := range path {
		if t >= celsius {
			return true
		}
	}
	return false
}

// minutesBelow is how many minutes of a path lie below a temperature, counted
// from the first sample. Of a step that crosses it, the share below counts, along
// the line that joins its ends: a whole step would jump where the core only shifts.
func minutesBelow(path []float64, step, celsius float64) float64 {
	var n float64
	for i := 1; i < len(path); i++ {
		switch low, high := min(path[i-1], path[i]), max(path[i-1], path[i]); {
		case high < celsius:
			n++
		case low < celsius:
			n += (celsius - low) / (high - low)
		}
	}
	return n * step
}

// equivalent is the time at ref, in minutes, that kills as much as the path:
// the integral of 10^((T-ref)/z) by the trapezoid rule on that power, not on T.
// Nothing counts below noCredit: where a step crosses it, only the part above
// does, as if the core ran straight from one sample to the next.
func equivalent(path []float64, step, ref, z float64) float64 {
	rate := func(t float64) float64 { return math.Exp(math.Ln10 / z * (t - ref)) }
	floor := rate(noCredit)
	var sum, before float64 // before is the rate at the last sample, 0 where it did not count
	for i := 1; i < len(path); i++ {
		lo, hi := min(path[i-1], path[i]), max(path[i-1], path[i])
		switch {
		case lo >= noCredit:
			if before == 0 {
				before = rate(path[i-1])
			}
			now := rate(path[i])
			sum += step * (before + now) / 2
			before = now
		case hi > noCredit:
			sum += step * (hi - noCredit) / (hi - lo) * (floor + rate(hi)) / 2
			before = 0
		default:
			before = 0
		}
	}
	return sum
}
