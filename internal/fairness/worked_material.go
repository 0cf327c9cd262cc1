package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/stats/alias"
)

// oneDecimal is a temperature in a sentence, to a tenth.
func oneDecimal(celsius float64) prose.Quantity {
	return prose.Quantity{Kind: prose.Temperature, Value: celsius, Digits: 1}
}

func exampleSourceTied() prose.Sentence {
	lost := func(source []int) prose.Quantity {
		tie, err := alias.Lost([]int{0, 0, 1, 1}, 2, alias.Category(source))
		if err != nil {
			return amount(math.NaN(), "", 0)
		}
		return count(tie.Lost)
	}
	return prose.Say("Two fish, four pieces, two set points. A fish for each: of 1 comparison ", lost([]int{0, 0, 1, 1}), " is lost. Half of each fish for each: ", lost([]int{0, 1, 0, 1}),
		" is lost. It is the same fish and the same work.")
}

func examplePartTied() prose.Sentence {
	// Four places along a loin, each firmer than the one before.
	const step = 0.5
	gap := func(a, b []float64) prose.Quantity {
		return amount(step*math.Abs(meanValue(a)-meanValue(b)), "points", 1)
	}
	return prose.Say("A loin firms by ", amount(step, "points", 1), " from each quarter to the next. The front half at one set point and the back half at the other differ by ",
		gap([]float64{1, 2}, []float64{3, 4}), " whatever the baths do; the outer quarters against the inner ones differ by ", gap([]float64{1, 4}, []float64{2, 3}), ".")
}

func exampleSize() prose.Sentence {
	thin, thick, double := arrival(25, fromFridge, 54), arrival(27.5, fromFridge, 54), arrival(50, fromFridge, 54)
	return prose.Say("To ", celsius(54), " a slab of ", millimetres(25), " needs ", minutes(thin), ". A tenth more thickness takes ", percent(thick/thin-1), " more time, twice the thickness ",
		amount(double/thin, "times", 1), " as long.")
}

func exampleColdHistory() prose.Sentence {
	cold, warm := arrival(25, 0, 54), arrival(25, 12, 54)
	return prose.Say("A slab of ", millimetres(25), " is at ", celsius(54), " after ", minutes(cold), " from ", celsius(0), " and after ", minutes(warm), " from ", celsius(12),
		": the piece that lay on the board is cooked ", minutes(cold-warm), " longer.")
}

func exampleOneLot() prose.Sentence {
	const lots = 0.8 // SD between deliveries, points
	return prose.Say("Deliveries differ by ", amount(lots, "points", 1), " (SD). However often one is cooked, what it says of the food is known to ", amount(lots, "", 1),
		" at best; three deliveries bring that to ", amount(lots/math.Sqrt(3), "", 1), ".")
}

func exampleAnythingElse() prose.Sentence {
	// In how many of the 3! orders three numbers rise or fall with three set points.
	follows := 2.0 / 6
	return prose.Say("Three set points, cooked once each. A number that has nothing to do with them rises or falls along with them one time in three. Of six such numbers at least one does so in ",
		percent(1-math.Pow(1-follows, 6)), " of trials.")
}

func exampleOneTub() prose.Sentence {
	return prose.Say("One tub of brine for all brined pieces, mixed a tenth too strong. Eight pieces agree nicely, because all eight lay in it. Where pieces of a tub agree at 0.8, they are worth ",
		amount(worth(8, 0.8), "", 1), " pieces with a tub of their own.")
}

func exampleOneCook() prose.Sentence {
	scores := []float64{4, 4, 7}
	return prose.Say("Three cooks score 4, 4 and 7, on average ", amount(meanValue(scores), "", 1), ". Without the last it is ", amount(meanValue(scores[:2]), "", 1),
		". The one to cook again is that one.")
}
