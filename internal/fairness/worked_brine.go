package fairness

import (
	"math"

	"tamis/internal/heat"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/alias"
	"tamis/internal/trial"
)

func exampleBrineTied() prose.Sentence {
	lost := func(brined []int) prose.Quantity {
		tie, err := alias.Lost([]int{0, 0, 1, 1}, 2, alias.Category(brined))
		if err != nil {
			return amount(math.NaN(), "", 0)
		}
		return count(tie.Lost)
	}
	return prose.Say("Two set points, two pieces each. Brine at one of them only: of 1 comparison ", lost([]int{0, 0, 1, 1}), " is lost. Brine for one piece at each: ",
		lost([]int{0, 1, 0, 1}), " is lost, and the brine is compared as well.")
}

func exampleBrineDose() prose.Sentence {
	raw, brined := []float64{120, 118, 121}, []float64{122, 123, 122}
	uptake := make([]float64, len(raw))
	for i := range raw {
		uptake[i] = 100 * (brined[i] - raw[i]) / raw[i]
	}
	mean := meanValue(uptake)
	ss := 0.0
	for _, u := range uptake {
		ss += (u - mean) * (u - mean)
	}
	sd := math.Sqrt(ss / float64(len(uptake)-1))
	return prose.Say("Three pieces of one tub, 120, 118 and 121 g before and 122, 123 and 122 g after: they took up ", amount(uptake[0], "", 1), ", ", amount(uptake[1], "", 1), " and ",
		amount(uptake[2], "", 1), " % of their weight. Around the mean of ", amount(mean, "", 1), " % that scatters by ", percent(sd/mean), ": the second piece is another dish.")
}

func exampleSaltGivesAway() prose.Sentence {
	const saltier, halo = 2.0, 0.3 // points, and points of juiciness a point of salt
	return prose.Say("Brined pieces taste ", amount(saltier, "points", 1), " saltier, and tasters give ", amount(halo, "points", 1), " more juiciness for each point of salt. Then brine gains ",
		amount(saltier*halo, "points", 1), " of juiciness without a drop more juice.")
}

func exampleFinishDiffers() prose.Sentence {
	reach := func(seconds float64) (prose.Quantity, prose.Quantity) {
		depth, share, _ := searReach(trial.Finish{Sear: trial.Some(quantity.FromSeconds(seconds)), PerSide: true}, anyFood, 25)
		return millimetres(depth), percent(share)
	}
	short, some := reach(20)
	long, more := reach(60)
	return prose.Say("In a piece of ", millimetres(25), " a sear of 20 s a side reaches ", short, " deep, ", some, " of the piece; 60 s a side reach ", long, ", ", more,
		". Whoever sears one set point longer compares pans.")
}

// servedAt is a slab of 20 mm from the fridge, an hour in a bath and then so many
// minutes on the board, as package heat cools it.
func servedAt(bath float64, wait int) heat.Bite {
	t := &trial.Trial{
		Food:   trial.Food{Kind: trial.Some("lean fish"), Form: trial.Some(trial.Whole), Shape: trial.Some(trial.Slab), Thickness: trial.Some(quantity.Millimetres(20)), Start: trial.Some(quantity.Celsius(fromFridge))},
		Medium: trial.Some(trial.WaterBath),
		Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(bath)), Time: trial.Some(quantity.FromMinutes(60)),
			Started: trial.Some(trial.Clock{Minute: 600}), Served: trial.Some(trial.Clock{Minute: 660 + wait})}},
	}
	h := heat.OfTrial(t)
	b, ok := heat.BiteOf(t, 0, &h.Cooks[0])
	if !ok {
		b.Core, b.Surface, b.Mean = math.NaN(), math.NaN(), math.NaN()
	}
	return b
}

func exampleServedAt() prose.Sentence {
	cold, hot := servedAt(46, 3), servedAt(56, 3)
	return prose.Say("Slabs of ", millimetres(20), " from ", celsius(46), " and ", celsius(56), ", three minutes on the board: on average they are at ", oneDecimal(cold.Mean), " and ", oneDecimal(hot.Mean),
		". Part of what the tongue tells apart is warmth.")
}

func exampleWait() prose.Sentence {
	soon, late := servedAt(54, 2), servedAt(54, 12)
	return prose.Say("A slab of ", millimetres(20), " from ", celsius(54), ", in still air: after 2 min its core is at ", oneDecimal(soon.Core), " and its surface at ", oneDecimal(soon.Surface),
		", after 12 min at ", oneDecimal(late.Core), " and ", oneDecimal(late.Surface), ".")
}

func exampleChilled() prose.Sentence {
	once := arrival(20, fromFridge, 54)
	return prose.Say("A slab of ", millimetres(20), " is at ", celsius(54), " after ", minutes(once), ". Chilled and warmed up again it makes that trip twice: ", minutes(2*once),
		" of warming instead of ", minutes(once), ", beside whatever it lost when it set.")
}
