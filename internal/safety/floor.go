package safety

import (
	"math"

	"tamis/internal/trial"
)

// Floor is the lowest set point, on half degrees Celsius between low and high,
// whose verdict is no worse than that at high, for the cooks of For. ok is false
// where even low is no worse, or where the numbers are not a range: then there
// is nothing to warn of.
func Floor(t *trial.Trial, low, high float64, cooks []int) (celsius float64, ok bool) {
	if !(low < high) || math.IsInf(low, 0) || math.IsInf(high, 0) {
		return 0, false
	}
	best := For(t, high, cooks)
	noWorse := func(c float64) bool {
		v := For(t, c, cooks)
		return v.Verdict >= best.Verdict && (v.Vulnerable || !best.Vulnerable)
	}
	if noWorse(low) {
		return 0, false
	}
	// A verdict never gets better towards the cold, so halve the range.
	bad, good := math.Floor(2*low), math.Ceil(2*high)
	for good-bad > 1 {
		if mid := math.Floor((bad + good) / 2); noWorse(mid / 2) {
			good = mid
		} else {
			bad = mid
		}
	}
	return good / 2, true
}

// FloorCaution says that the window reaches lower than the verdict does, with
// what holds below.
func FloorCaution(floor float64, at, below Verdict) Caution {
	if at == below { // then it is who may eat it that changes
		return caution("window-floor", BesideSetPoint, "This holds from ", temp(floor, 1),
			" up. Below, it is not for young children, pregnant women, older people or anyone with weakened immunity.")
	}
	return caution("window-floor", BesideSetPoint, "This holds from ", temp(floor, 1), " up. Below, the verdict is: "+below.String()+".")
}
