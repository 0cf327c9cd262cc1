package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/resample"
)

var tastingOrderUneven = Check{
	Slug:   "tasting-order-uneven",
	Short:  "tasting order",
	Family: Serving,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Did everyone taste them in the same order?",
	Needs:  []string{"scores.assessor", "scores.session", "scores.position"},
	Finds: "How often each set point came at each place is held against what shuffling the samples within each sitting would give. It blocks where " +
		"every place always had the same set point (one fixed order). Otherwise it fires where the counts at a place are uneven by more than " +
		"{order-uneven} and χ² of the table, by shuffling within sittings, has p < {order-p}; at p < 0.005 it weakens, else it is a note.",
	Clears:   "The counts at every place are even to within {order-uneven}, or no more uneven than shuffling makes them.",
	Unjudged: "The position is missing on some rows.",
	Why: "The first bite, and the bite after a soft one, are judged otherwise than the rest. A fixed order gives all of that to one set " +
		"point, and it looks like cooking.",
	Wording: "Everyone tasted in the same order: {order}. The first and the last bite score differently whatever they are.",
	Others: map[string]string{
		"uneven": "{level} came at place {place} {n} times, where an even order gives {even}. A place in the order changes a score whatever is served there.",
	},
	Hedge:      "the tasting order was not even",
	Next:       "Let a plan draw balanced orders: each sample equally often at each place, and after each other sample.",
	Eats:       true,
	Fix:        "balance-order",
	Source:     "Orders balanced for place and for what came before: Williams 1949, Aust. J. Sci. Res. A 2:149, from memory; the limits are house rules.",
	Options:    []string{"order-uneven", "order-p"},
	FiresOn:    ordersExample("A B", "A B", "A B"),
	ClearOn:    ordersExample("A B", "B A", "A B", "B A"),
	EachFactor: true,
	Judge:      judgeTastingOrder,
	Example:    exampleTastingOrder,
}

// shuffles is how many arrangements a permutation test looks at: enough to tell
// 0.005 from 0.01, and a matter of milliseconds.
const shuffles = 1999

func judgeTastingOrder(c *Case) Judgement {
	p, ok := c.panel()
	if !ok || len(c.facts.scores) == 0 || !c.Compares() {
		return notApplicable("no serving order of what is compared")
	}
	all, lacks := c.sittings()
	if len(lacks) > 0 {
		return cannot("scores.position", c.persons(lacks)...)
	}
	if largestSitting(all) < 2 {
		return notApplicable("one sample a sitting has no order")
	}
	pl := c.placesOf(all)
	if len(pl.level) == 0 {
		return cannot("scores.piece")
	}
	w := Where{Measures: names(c.tastedMeasures()), At: p.Scores[0].At}
	t := tieOf(c.Levels(), len(pl.label), pl.level, pl.place)
	if t.Full() {
		var order []prose.Sentence
		for at := range pl.label {
			order = append(order, c.levelWords(t.have(at)[0]))
		}
		w.Pairs = t.labels(c)
		return Judgement{Outcome: Fires, Severity: Blocks, Statistic: "comparisons lost by rank", Value: quantity.Num(float64(t.Lost)), Threshold: quantity.Num(0),
			Where: w, Fill: Fill{"order": prose.And(order...)}}
	}
	limit := c.set.number("order-uneven")
	size, level, place := pl.spread()
	if size <= limit+1e-9 {
		if len(all) < c.Levels() {
			return clearBut("balanced as far as ", count(len(all)), " sittings allow")
		}
		return clear()
	}
	prob := c.orderP(pl)
	if prob >= c.set.number("order-p") {
		return clear()
	}
	j := Judgement{Outcome: Fires, Severity: Note, Variant: "uneven", Statistic: "p of χ² of set point and place, shuffled within sittings", Value: quantity.Num(prob),
		Threshold: quantity.Num(c.set.number("order-p")), Option: "order-p", Where: w,
		Details: []Detail{{Name: "largest difference of counts at a place", Value: quantity.Num(size)}},
		Fill: Fill{"level": c.levelWords(level), "place": count(pl.label[place]), "n": count(pl.count[level][place]),
			"even": amount(pl.even[level][place], "", decimals1(pl.even[level][place]))}}
	j.Where.Arms = []string{c.label(level)}
	if prob < weakensBelow {
		j.Severity = Weakens
	}
	return j
}

// orderP is the p of the table of level and place. Where the χ² distribution with
// the mean of the shuffled statistic already says that nothing is near a limit,
// its p is given; else samples are shuffled within their sittings, until p is
// certain to be above the limit: what lies above is not told apart.
func (c *Case) orderP(pl places) float64 {
	statistic := pl.chiSquare()
	x := statistic(pl.level)
	df := float64((c.Levels() - 1) * (len(pl.label) - 1))
	if pl.even2 > 0 && df > 0 {
		if p, err := dist.ChiSquareUpper(x*df/pl.even2, df); err == nil && p > 0.3 {
			return p
		}
	}
	// A tenth of the shuffles tells most even orders, and saves nine tenths.
	limit := c.set.number("order-p")
	p := 1.0
	for _, look := range []struct {
		draws  int
		enough float64
	}{{shuffles / 10, 2 * limit}, {shuffles, limit}} {
		r, err := resample.Permute(pl.level, pl.block, statistic,
			resample.Options{Tail: resample.Greater, Draws: look.draws, Seed: 1, Alpha: limit, Enough: look.enough})
		if err != nil {
			return 1 // there is only one way to serve them
		}
		if p = r.P; p > look.enough {
			break
		}
	}
	return p
}

// decimals1 is 0 for a whole number and 1 for any other.
func decimals1(v float64) int { return min(1, decimals(v)) }
