package fairness

import (
	"math"

	"tamis/internal/heat"
	"tamis/internal/prose"
	"tamis/internal/trial"
)

// Of the slabs in the examples: the conductivity of lean flesh, W/m/K, and the
// fridge they come from, °C.
const (
	fleshConductivity = 0.5
	fromFridge        = 4.0
)

// arrival is the likely time in minutes after which the core of a bagged slab is
// within 0.5 K of a moving bath.
func arrival(mm, start, bath float64) float64 {
	each := func(v float64) [3]float64 { return [3]float64{v, v, v} }
	return heat.ComeUpOf(heat.Setting{Shape: trial.Slab, Thickness: mm, Bath: bath, Start: each(start), Diffusivity: each(anyFood), Transfer: each(heat.Transfer),
		Conductivity: fleshConductivity}).Mid
}

func exampleTimeMoves() prose.Sentence {
	const mm = 20
	held := func(bath, time float64) prose.Quantity { return minutes(time - arrival(mm, fromFridge, bath)) }
	return prose.Say("Pieces of ", millimetres(mm), ": 60 min at ", celsius(48), " hold the core there for ", held(48, 60), ", 90 min at ", celsius(56), " for ", held(56, 90),
		". Was it the ", kelvins(8), ", or the longer wait? With 60 min for both it would be ", held(48, 60), " and ", held(56, 60), ".")
}

func exampleRamp() prose.Sentence {
	// Three set points, 45 min each, in one bath that is turned up in between.
	const each = 45.0
	return prose.Say("All pieces go in at ", celsius(46), ", one bag comes out, the bath goes to ", celsius(50), ", the next comes out, and so to ", celsius(54),
		". The first had ", minutes(each), " in warm water, the last ", minutes(3*each), ", of which ", minutes(2*each), " were at other set points.")
}

func exampleCoreShort() prose.Sentence {
	at := func(mm float64) prose.Quantity { return minutes(arrival(mm, fromFridge, 54)) }
	return prose.Say("From the fridge to ", celsius(54), " the core of a bagged slab needs ", at(15), " at ", millimetres(15), ", ", at(25), " at ", millimetres(25), ", and ", at(40), " at ",
		millimetres(40), ".")
}

func exampleHoldSpread() prose.Sentence {
	held := func(mm float64) prose.Quantity { return minutes(120 - arrival(mm, fromFridge, 54)) }
	return prose.Say("120 min at ", celsius(54), ": a core of ", millimetres(20), " stands there for ", held(20), ", one of ", millimetres(25), " for ", held(25), ", one of ", millimetres(30), " for ",
		held(30), ".")
}

func exampleBathOff() prose.Sentence {
	const apart, off = 2.0, 0.5
	return prose.Say("Two set points ", kelvins(apart), " apart, each bath within ", kelvins(off), ": the water is anything from ", kelvins(apart-2*off), " to ", kelvins(apart+2*off),
		" apart, and a slope taken from it is wrong by up to ", percent(2*off/apart), ".")
}

// dipOf is how far a bath falls when food goes in, by mixing, K: litres of water,
// grams of food, °C. The specific heats are 4.18 kJ/kg/K and 3.5 for flesh (from
// memory); the heater and the walls are left out.
func dipOf(litres, grams, water, food float64) float64 {
	w, f := 4.18*litres, 3.5*grams/1000
	return water - (w*water+f*food)/(w+f)
}

func exampleLoad() prose.Sentence {
	dip := func(grams float64) prose.Quantity { return kelvins(dipOf(10, grams, 54, fromFridge)) }
	return prose.Say("Two pieces of 150 g from the fridge take ", dip(300), " off 10 l of water at ", celsius(54), ", ten take ", dip(1500),
		", before the heater catches up. The bath's display says the same for both an hour later.")
}

func exampleGap() prose.Sentence {
	// Firmness 2 at the cold end and 8 at the warm one; the aim is 5.
	const cold, warm, low, high, aim = 46.0, 58.0, 2.0, 8.0, 5.0
	share := (aim - low) / (high - low)
	straight, late := cold+share*(warm-cold), cold+math.Sqrt(share)*(warm-cold)
	return prose.Say("Cooked at ", celsius(cold), " and ", celsius(warm), ", firmness is 2 and 8. If it rises evenly, 5 lies at ", oneDecimal(straight), "; if it rises late, as a square, at ",
		oneDecimal(late), ". Nothing that was cooked says which.")
}
