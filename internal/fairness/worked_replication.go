package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/stats/alias"
	"tamis/internal/stats/dist"
)

// The worked examples compute what they say, so that they stay true when what
// they are about changes. Their numbers go in as arguments, invented; what comes
// out is arithmetic.

// falseFindings is how often a t test at 5 % that takes pieces for cooks finds a
// difference between two set points that do the same: one cook of each, n pieces
// in it, cooks that vary ratio times as much as pieces (variances). The test
// statistic is a t on 2(n-1) degrees of freedom, wider by √(1 + n·ratio), because
// the cook moves all its pieces together.
func falseFindings(n int, ratio float64) float64 {
	df := float64(2 * (n - 1))
	limit, err := dist.TQuantile(0.975, df)
	if err != nil {
		return math.NaN()
	}
	share, err := dist.TTwoSided(limit/math.Sqrt(1+float64(n)*ratio), df)
	if err != nil {
		return math.NaN()
	}
	return share
}

func exampleOneRun() prose.Sentence {
	return prose.Say("Two set points that do exactly the same, one cook of each, six pieces in each, and cooks that vary as much as pieces do. A test that counts the pieces finds a difference in ",
		percent(falseFindings(6, 1)), " of such trials, where it promises 5 %. With 24 pieces it is ", percent(falseFindings(24, 1)), ".")
}

func exampleSplitRun() prose.Sentence {
	const bath, bag = 1.0, 0.5 // SD, points
	return prose.Say("Fills of a bath differ by ", amount(bath, "points", 1), ", bags in one fill by ", amount(bag, "points", 1), " (SD). The mean of two bags from two fills is known to ",
		amount(math.Sqrt((bath*bath+bag*bag)/2), "", 1), ", of two bags from one fill to ", amount(math.Sqrt(bath*bath+bag*bag/2), "", 1), ": hardly better than one bag, ",
		amount(math.Hypot(bath, bag), "", 1), ".")
}

// worth is how many independent looks n looks are worth that agree at icc.
func worth(n int, icc float64) float64 { return float64(n) / (1 + float64(n-1)*icc) }

func exampleLooks() prose.Sentence {
	return prose.Say("Looks at one cook that agree at 0.3: 4 are worth ", amount(worth(4, 0.3), "", 1), ", 12 are worth ", amount(worth(12, 0.3), "", 1), ", and 100 are worth ",
		amount(worth(100, 0.3), "", 1), ". A second cook is worth a whole one.")
}

// slopeOf is the least-squares slope of y on x.
func slopeOf(x, y []float64) float64 {
	mx, my := meanValue(x), meanValue(y)
	var xy, xx float64
	for i := range x {
		xy, xx = xy+(x[i]-mx)*(y[i]-my), xx+(x[i]-mx)*(x[i]-mx)
	}
	return xy / xx
}

func exampleRunOrder() prose.Sentence {
	points := []float64{46, 50, 54, 58}
	const drift = 0.5
	from := func(order []float64) prose.Quantity { // what the line through the four makes of the drift, from end to end
		y := make([]float64, len(order))
		for i := range order {
			y[i] = drift * order[i]
		}
		return amount(slopeOf(points, y)*(points[3]-points[0]), "points", 1)
	}
	return prose.Say("The cook's palate gains ", amount(drift, "points", 1), " with every run and the set points do nothing. Run in the order ", celsius(46), ", ", celsius(50), ", ", celsius(54), ", ", celsius(58), ": the line rises by ",
		from([]float64{1, 2, 3, 4}), " from end to end. Run as ", celsius(50), ", ", celsius(58), ", ", celsius(46), ", ", celsius(54), ": by ", from([]float64{3, 1, 4, 2}), ".")
}

func exampleSessionTied() prose.Sentence {
	lost := func(level, day []int) prose.Quantity {
		tie, err := alias.Lost(level, 3, alias.Category(day))
		if err != nil {
			return amount(math.NaN(), "", 0)
		}
		return count(tie.Lost)
	}
	return prose.Say("Three set points, a day for each: of 2 comparisons ", lost([]int{0, 1, 2, 0, 1, 2}, []int{0, 1, 2, 0, 1, 2}),
		" are lost, however often each is cooked. Let every day cook its own and the next day's: ", lost([]int{0, 1, 1, 2, 2, 0}, []int{0, 0, 1, 1, 2, 2}),
		" are lost, with the same six cooks.")
}

func exampleBathTied() prose.Sentence {
	const apart, off = 4.0, 0.5
	one, other := apart+2*off, apart-2*off
	return prose.Say("Two set points are ", kelvins(apart), " apart; one bath runs ", kelvins(off), " warm, the other ", kelvins(off), " cool. Tied, the water may be ", kelvins(one),
		" apart and nobody knows. Swapped for the second run it is ", kelvins(other), " there, and the mean of the two is ", kelvins((one+other)/2), " again.")
}

func exampleDrift() prose.Sentence {
	const step, runs = 0.2, 9
	return prose.Say("A bite that firms by ", amount(step, "points", 1), " from run to run has gained ", amount(step*(runs-1), "points", 1), " after ", count(runs),
		" runs: as much as many a set point does.")
}
