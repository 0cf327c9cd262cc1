package fairness

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/stats/dist"
	"tamis/internal/trial"
)

// tasted are the means of three samples that are alike, 5.0 each, in given orders
// of 0, 1 and 2, where a first bite gains something and the bite after sample 2
// loses something.
func tasted(orders [][3]int, first, after float64) (means [3]float64) {
	for _, order := range orders {
		for place, sample := range order {
			v := 5.0
			if place == 0 {
				v += first
			} else if order[place-1] == 2 {
				v -= after
			}
			means[sample] += v / float64(len(orders))
		}
	}
	return means
}

// oneOrder is the same for everybody, goesRound three orders in which each sample
// follows one other, allOrders all six.
var (
	oneOrder  = [][3]int{{0, 1, 2}}
	goesRound = [][3]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}}
	allOrders = [][3]int{{0, 1, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}, {0, 2, 1}, {1, 0, 2}}
)

func threeMeans(m [3]float64) prose.Sentence {
	return prose.Say(amount(m[0], "", 1), ", ", amount(m[1], "", 1), " and ", amount(m[2], "", 1))
}

func exampleTastingOrder() prose.Sentence {
	return prose.Say("Three samples are alike, and a first bite gains ", amount(0.8, "points", 1), ". In one order for everybody they score ", threeMeans(tasted(oneOrder, 0.8, 0)),
		"; in all six orders ", threeMeans(tasted(allOrders, 0.8, 0)), ".")
}

func examplePlace() prose.Sentence {
	m := tasted(allOrders, 0.8, 0)
	var x []float64
	for _, order := range allOrders {
		for place := range order {
			x = append(x, 5+map[bool]float64{true: 0.8}[place == 0])
		}
	}
	ss := 0.0
	for _, v := range x {
		ss += (v - m[0]) * (v - m[0])
	}
	return prose.Say("Three samples are alike, and a first bite gains ", amount(0.8, "points", 1), ". In even orders the means are fair, ", threeMeans(m), ", but the scores of one sample scatter by ",
		amount(math.Sqrt(ss/float64(len(x)-1)), "points", 1), " (SD) for no reason of its own.")
}

func exampleCarryOver() prose.Sentence {
	return prose.Say("Three samples are alike, and whatever comes right after the third loses ", amount(0.6, "points", 1), ". Where the orders only go round, they score ",
		threeMeans(tasted(goesRound, 0, 0.6)), "; in all six orders the first two share the loss: ", threeMeans(tasted(allOrders, 0, 0.6)), ".")
}

func exampleCookTasted() prose.Sentence {
	const panel, cooks, hope = 4, 1, 1.5
	return prose.Say("Four tasters find two set points alike. One of them cooked, and gives the one that was hoped for ", amount(hope, "points", 1), " more: the panel differs by ",
		amount(hope*cooks/panel, "points", 2), ".")
}

func exampleTalked() prose.Sentence {
	return prose.Say("Eight tasters who keep silent, and differ by 1.0 points, know a mean to ", amount(1/math.Sqrt(8), "", 2), ". If talk makes them agree at 0.9, they are worth ",
		amount(worth(8, 0.9), "", 1), " tasters, and know it to ", amount(1/math.Sqrt(worth(8, 0.9)), "", 2), ", while the sheets still show eight.")
}

func exampleOutOfStep() prose.Sentence {
	differences := []float64{2, 2, 2, 2, 2}
	with := append(slices.Clone(differences), -2)
	return prose.Say("Five tasters find ", amount(meanValue(differences), "points", 1), " between two set points, a sixth holds the scale upside down: the panel says ", amount(meanValue(with), "points", 1), ".")
}

func examplePanelSplits() prose.Sentence {
	cold, hot := []float64{8, 8, 8, 8, 4, 4, 4, 4}, []float64{4, 4, 4, 4, 8, 8, 8, 8}
	return prose.Say("Four guests give ", celsius(46), " 8 and ", celsius(56), " 4, four others the reverse. The two average ", amount(meanValue(cold), "", 1), " and ", amount(meanValue(hot), "", 1),
		", as if nobody cared.")
}

func exampleTypingSlip() prose.Sentence {
	mm := []float64{18, 17, 19, 18, 18, 17, 19, 180}
	return prose.Say("Eight thicknesses, seven around ", millimetres(meanValue(mm[:7])), " and one of 180 where 18.0 was meant: the mean is ", millimetres(meanValue(mm)), ".")
}

func exampleLeftOut() prose.Sentence {
	a, b := []float64{3, 5, 5, 6, 6}, []float64{4, 4, 5, 5, 7}
	return prose.Say("Five scores of each of two set points, 3 5 5 6 6 and 4 4 5 5 7: means of ", amount(meanValue(a), "", 1), " and ", amount(meanValue(b), "", 1),
		". Without the 3 of the one and the 7 of the other they are ", amount(meanValue(a[1:]), "", 1), " and ", amount(meanValue(b[:4]), "", 1), ".")
}

// interval is the half-width of a 95 % interval, NaN where there is none.
func interval(se, df float64) float64 {
	t, err := dist.TQuantile(0.975, df)
	if err != nil {
		return math.NaN()
	}
	return t * se
}

func exampleAnalyses() prose.Sentence {
	const diff, se = 1.0, 0.45
	say := func(df float64) prose.Sentence {
		h := interval(se, df)
		return prose.Say(amount(diff-h, "", 1), " to ", amount(diff+h, "", 1))
	}
	return prose.Say("Two set points differ by ", amount(diff, "points", 1), ", standard error ", amount(se, "", 2), ". Judged by 6 cooks (4 degrees of freedom) the interval is ", say(4),
		"; judged by 40 scores of them it is ", say(38), ". One holds 0, the other does not.")
}

// topGap is how far the first of n numbers that differ by chance alone lies ahead
// of the second, in standard deviations: ∫ n F^(n−1) (1 − F) dx.
func topGap(n int) float64 {
	const step = 0.001
	sum := 0.0
	for x := -8.0; x < 8; x += step {
		f := dist.NormalCDF(x)
		sum += float64(n) * math.Pow(f, float64(n-1)) * (1 - f) * step
	}
	return sum
}

func exampleWinner() prose.Sentence {
	const n, se = 5, 0.5
	return prose.Say(fmt.Sprint(n), " set points are alike, and each mean is known to ", amount(se, "points", 1), ". The one on top still leads the next by ", amount(se*topGap(n), "points", 2), " on average.")
}

func exampleSame() prose.Sentence {
	const real, sd, runs = 1.0, 0.8, 3
	se, df := sd*math.Sqrt(2.0/runs), 4.0
	t, err := dist.TQuantile(0.975, df)
	missed := math.NaN()
	if err == nil {
		high, err1 := dist.NoncentralTCDF(t, df, real/se)
		low, err2 := dist.NoncentralTCDF(-t, df, real/se)
		if err1 == nil && err2 == nil {
			missed = high - low
		}
	}
	return prose.Say("Two set points really differ by ", amount(real, "points", 1), ", three runs each, runs that differ by ", amount(sd, "", 1), " (SD). In ", percent(missed),
		" of such trials no difference is found.")
}

func exampleProves() prose.Sentence {
	const limit, seen = 1.96, 1.96 // standard errors: what it takes for p < 0.05, and what was seen
	again := dist.NormalUpper(limit-seen) + dist.NormalCDF(-limit-seen)
	return prose.Say("A difference that just reaches p = 0.05, and is exactly as large as it was seen, is found again in ", percent(again), " of the trials that repeat it.")
}

func exampleWider() prose.Sentence {
	least, err := dist.BetaQuantile(0.025, 4, 1)
	if err != nil {
		least = math.NaN()
	}
	return prose.Say("Four tasters of four prefer one set point. That fits with guests of whom as few as ", percent(least), " do (exact 95 % interval).")
}

func exampleBeyond() prose.Sentence {
	at := []float64{46, 50, 54}
	score := []float64{3, 4, 7}
	slope := slopeOf(at, score)
	line := meanValue(score) + slope*(42-meanValue(at))
	// The parabola through three points a step apart, one step further down.
	bent := 3*score[0] - 3*score[1] + score[2]
	return prose.Say("Firmness is 3, 4 and 7 at ", celsius(46), ", ", celsius(50), " and ", celsius(54), ". Drawn on to ", celsius(42), " a line says ", amount(line, "", 1), ", a curve through all three ",
		amount(bent, "", 1), ". Nothing that was cooked says which.")
}

func exampleSafeWords() prose.Sentence {
	const bath, mm = 62, 25
	t := &trial.Trial{
		Food: trial.Food{Kind: trial.Some("poultry"), Form: trial.Some(trial.Whole), Shape: trial.Some(trial.Slab), Thickness: trial.Some(quantity.Millimetres(mm)),
			Start: trial.Some(quantity.Celsius(fromFridge)), Composition: trial.Some(trial.Composition{Fat: trial.Some(quantity.Percent(2))})},
		Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(bath)), Time: trial.Some(quantity.FromMinutes(60))}},
	}
	after := safety.NewPlanner(t, safety.Override{}).PasteurisedAfter(0, bath, mm)
	return prose.Say("Poultry with 2 % fat, ", millimetres(mm), " thick, from the fridge, in a bath at ", celsius(bath), ": the core is likely there after ", minutes(arrival(mm, fromFridge, bath)),
		"; on the unfavourable side it is pasteurised, by calculation, after ", minutes(after.Minutes), ". Whoever takes it out between the two and writes “safe” is wrong. Your local food code may ask for more.")
}
