package schedule

import (
	"math"

	"tamis/internal/trial"
)

// House rules on handwork and waits, in minutes; none has a source.
const (
	Within    = 10.0 // everything of a flight is plated within so long
	Wait      = 15.0 // from the bath to the plate, at the most
	PerSample = 2.0  // tasting one sample, with a rinse
	Hands     = 2    // people who cook
	Pause     = 5.0  // between two flights
	Break     = 10.0 // after as many samples as a sitting holds

	salting    = 1.0 // a piece
	bagging    = 1.0 // a piece
	dropping   = 1.0 // a cook
	lifting    = 0.5 // a piece, out of its bag and dried; a cook is at least a minute
	plating    = 1.0 // a piece
	turning    = 0.5 // a piece into the pan and out of it
	portioning = 0.1 // a portion of a triangle, cut and put beside its code
	weighing   = 2.0 // a piece, where nobody tastes: weighed and sheared
	finishing  = 2.0 // a finish that is only described in words
)

// What is assumed of a bath that is not described, and of water (common practice,
// no source).
const (
	bathLitres = 20.0
	bathWatts  = 1000.0
	tapWater   = 15.0 // °C
	kitchenAir = 20.0 // °C
	lossWatts  = 5.0  // W/K, with a lid
	pouring    = 6.0  // litres a minute, out or in
	filling    = 2.0  // minutes of hands for anything done to a bath
	settling   = 5.0  // minutes until a bath stands at its set point
	preheating = 20.0 // minutes for an oven or a pan
	waterHeat  = 4186.0
)

// unclocked is how long something may take from the bath to the last bite, in
// minutes, where no growth clock can be run: the shorter reading of 4 h in all.
const unclocked = 240.0

// heatTime is how long a bath takes from one temperature to a hotter one, in
// minutes: C dT/dt = P - U (T - air) solved. ok is false where the heater cannot
// get there.
func heatTime(litres, watts, from, to float64) (minutes float64, ok bool) {
	if to <= from {
		return 0, true
	}
	start, end := watts-lossWatts*(from-kitchenAir), watts-lossWatts*(to-kitchenAir)
	if !(end > 0) || !(litres > 0) {
		return math.Inf(1), false
	}
	return litres * waterHeat / lossWatts * math.Log(start/end) / 60, true
}

// coolTime is how long hands need to bring a bath to a cooler set point with tap
// water, in minutes: of the water the share (from - to)/(from - tap) is let out and
// replaced. A bath cooler than its tap is made so with ice in the same time.
func coolTime(litres, from, to, tap float64) float64 {
	share := 1.0
	if from > tap {
		share = math.Min(1, (from-to)/(from-tap))
	}
	return filling + math.Ceil(2*share*litres/pouring)
}

// bathOf is what is known of a bath, with what is assumed for the rest.
func bathOf(t *trial.Trial, id string) (litres, watts float64, stated bool) {
	litres, watts = bathLitres, bathWatts
	for i := range t.Baths {
		b := &t.Baths[i]
		if b.ID != id {
			continue
		}
		stated = b.Volume.Known && b.Power.Known
		if v := b.Volume.V.Litres(); b.Volume.Known && v > 0 {
			litres = v
		}
		if p := b.Power.V.Watts(); b.Power.Known && p > 0 {
			watts = p
		}
	}
	return litres, watts, stated
}

// seconds rounds handwork up to whole minutes, in seconds.
func seconds(minutes float64) int { return 60 * int(math.Ceil(minutes-1e-9)) }

// exactly is minutes as the nearest whole second.
func exactly(minutes float64) int { return int(math.Round(60 * minutes)) }
