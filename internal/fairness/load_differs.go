package fairness

import (
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var loadDiffers = Check{
	Slug:   "load-differs",
	Family: HeatFamily,
	Stage:  Plan,
	Short:  "load or bags",
	Asks:   "Was one bath fuller, one bag tighter, or one bag shared?",
	Needs:  []string{"pieces.before", "cooks.load", "baths.volume", "food.start", "cooks.vacuum", "pieces.bag"},
	Finds: "Food per litre of bath over the runs: a range above {load-ratio} of the mean. The fall of the bath when the food goes in, by mixing cold food and warm water: " +
		"more than {dip} on average at one set point and at least {dip-gap} more than at another. The mean pieces a bag differ by {bag-gap} or more between " +
		"set points, or the vacuum by more than {vacuum-gap}. Each is a note; it weakens where the number is constant within every set point and differs between them.",
	Clears:   "Whatever can be judged is within limits, and the load or the fall of the bath could be judged.",
	Unjudged: "Neither the mass of the food nor the volume of the bath is known for every cook.",
	Why: "Cold food pulls the water down: 1 kg at 4 °C in 10 l at 50 °C takes it to 46.3 °C. A piece in a squeezed or shared bag heats and drips " +
		"otherwise.",
	Wording: "The {more} bath carried {load} of food a litre against {other} for {less}. Those pieces heated more slowly.",
	Others: map[string]string{
		"dip":    "Cold food pulls the {more} bath down by about {load}, and the {less} bath by {other}. Those pieces heated more slowly.",
		"bag":    "At {more} there were {load} pieces a bag, at {less} {other}. Pieces that share a bag heat and drip otherwise.",
		"vacuum": "The vacuum was {load} at {more} and {other} at {less}. A tighter bag squeezes out more juice.",
		"runs":   "One bath carried {load} of food a litre and another {other}. Pieces in the fuller one heated more slowly.",
	},
	Hedge:      "the baths or the bags were not filled alike",
	Next:       "The same number of pieces, one to a bag, the same vacuum and the same water in every run.",
	Fix:        "same-load",
	Source:     "Mixing of food (3.6 kJ/kg K) and water (4.18 kJ/kg K), handbook values from memory. Limits are house rules.",
	Options:    []string{"load-ratio", "dip", "dip-gap", "bag-gap", "vacuum-gap"},
	FiresOn:    "cooks: [{id: A, set_point: 50 °C, vacuum: 95 %}, {id: B, set_point: 56 °C, vacuum: 70 %}]",
	ClearOn:    "baths: {n: {volume: 20 l, reads: 0 °C high}}\ncooks: [{id: A, set_point: 50 °C, vacuum: 80 %, load: 0.6 kg, bath: n, started: 10:00}, {id: B, set_point: 56 °C, vacuum: 80 %, load: 0.6 kg, bath: n, started: 12:00}]",
	EachFactor: true,
	Judge:      judgeLoad,
	Example:    exampleLoad,
}

func judgeLoad(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	runs := c.runs()
	load, lacksLoad := c.runNumbers(runs, c.gramsPerLitre)
	fall, lacksFall := c.runNumbers(runs, func(r bathRun) (float64, bool) { return c.heat().Cooks[r.Cooks[0]].Dip.Get() })
	bags, lacksBag := c.runNumbers(runs, c.piecesPerBag)
	vacuum, lacksVacuum := c.runNumbers(runs, func(r bathRun) (float64, bool) {
		v := c.Trial.Cooks[r.Cooks[0]].Vacuum
		return 100 * v.V.Fraction(), v.Known
	})
	var worst Judgement
	take := func(j Judgement, ok bool) {
		if ok && j.Severity > worst.Severity {
			worst = j
		}
	}
	if load != nil {
		take(c.loadRatio(runs, load))
	}
	if fall != nil {
		groups := byLevel(c.Levels(), runs, fall)
		if _, high, _ := ends(groups); high >= 0 && meanValue(groups[high]) > c.set.kelvin("dip") {
			take(c.loadGap(groups, "dip", "range of the mean falls of the bath, K", "dip-gap", c.set.kelvin("dip-gap")-1e-9, kelvins))
		}
	}
	if bags != nil {
		take(c.loadGap(byLevel(c.Levels(), runs, bags), "bag", "range of the mean pieces a bag", "bag-gap", c.set.number("bag-gap")-1e-9, func(v float64) prose.Quantity { return amount(v, "", 1) }))
	}
	if vacuum != nil {
		take(c.loadGap(byLevel(c.Levels(), runs, vacuum), "vacuum", "range of the mean vacuums, points", "vacuum-gap", c.set.number("vacuum-gap"), func(v float64) prose.Quantity { return percent(v / 100) }))
	}
	switch {
	case worst.Severity > None:
		worst.Outcome = Fires
		return worst
	case load == nil && fall == nil:
		out := Judgement{Outcome: CannotJudge, Missing: c.lacksLoad(compacted(append(slices.Clone(lacksLoad), lacksFall...)))}
		if bags == nil && vacuum == nil {
			out.Missing = append(out.Missing, Missing{"pieces.bag", lacksBag}, Missing{"cooks.vacuum", lacksVacuum})
		}
		return out
	}
	return clear()
}

// runNumbers reads a number of every run, and gives nil where one is not known,
// with the cooks that lack it.
func (c *Case) runNumbers(runs []bathRun, of func(r bathRun) (float64, bool)) (v []float64, lacks []string) {
	for _, r := range runs {
		x, ok := of(r)
		if !ok {
			lacks = append(lacks, c.Trial.Cooks[r.Cooks[0]].ID)
		}
		v = append(v, x)
	}
	if len(lacks) > 0 {
		return nil, lacks
	}
	return v, nil
}

// gramsPerLitre is the food in the bath of a run over its volume. The cooks of one
// run lay in it together.
func (c *Case) gramsPerLitre(r bathRun) (float64, bool) {
	b := c.bathOf(&c.Trial.Cooks[r.Cooks[0]])
	if b == nil || !b.Volume.Known || b.Volume.V.Litres() <= 0 {
		return 0, false
	}
	total := 0.0
	for _, ci := range r.Cooks {
		k := &c.Trial.Cooks[ci]
		if k.Load.Known {
			total += k.Load.V.Grams()
			continue
		}
		if len(k.Pieces) == 0 {
			return 0, false
		}
		for i := range k.Pieces {
			if !k.Pieces[i].Before.Known {
				return 0, false
			}
			total += k.Pieces[i].Before.V.Grams()
		}
	}
	return total / b.Volume.V.Litres(), true
}

// piecesPerBag is known where every piece names its bag.
func (c *Case) piecesPerBag(r bathRun) (float64, bool) {
	bags, n := map[string]bool{}, 0
	for _, ci := range r.Cooks {
		for i := range c.Trial.Cooks[ci].Pieces {
			p := &c.Trial.Cooks[ci].Pieces[i]
			if !p.Bag.Known {
				return 0, false
			}
			bags[p.Bag.V] = true
			n++
		}
	}
	return float64(n) / math.Max(1, float64(len(bags))), n > 0
}

// loadRatio judges the food per litre over all runs.
func (c *Case) loadRatio(runs []bathRun, load []float64) (Judgement, bool) {
	mean, limit := meanValue(load), c.set.number("load-ratio")
	ratio := spanOf(load) / mean
	if !(mean > 0 && ratio > limit) {
		return Judgement{}, false
	}
	groups := byLevel(c.Levels(), runs, load)
	low, high, _ := ends(groups)
	j := Judgement{
		Severity: Note, Variant: "runs", Statistic: "range of the food per litre over its mean", Value: quantity.Num(ratio), Threshold: quantity.Num(limit), Option: "load-ratio",
		Where: c.whereLevels(low, high), Fill: Fill{"more": c.levelWords(high), "less": c.levelWords(low), "load": massWords(math.Round(slices.Max(load))), "other": massWords(math.Round(slices.Min(load)))},
	}
	if boundTo(groups) {
		j.Severity, j.Variant = Weakens, ""
	}
	j.Where.Fields = []string{"cooks.load"}
	return j, true
}

// loadGap judges the range of level means against a limit.
func (c *Case) loadGap(groups [][]float64, variant, statistic, option string, limit float64, words func(float64) prose.Quantity) (Judgement, bool) {
	low, high, size := ends(groups)
	if low < 0 || !(size > limit) {
		return Judgement{}, false
	}
	j := Judgement{
		Severity: Note, Variant: variant, Statistic: statistic, Value: quantity.Num(size), Threshold: quantity.Num(limit), Option: option, Where: c.whereLevels(low, high),
		Fill: Fill{"more": c.levelWords(high), "less": c.levelWords(low), "load": words(meanValue(groups[high])), "other": words(meanValue(groups[low]))},
	}
	if boundTo(groups) {
		j.Severity = Weakens
	}
	j.Where.Fields = []string{map[string]string{"dip": "cooks.load", "bag": "pieces.bag", "vacuum": "cooks.vacuum"}[variant]}
	return j, true
}

// lacksLoad names what the load of some cooks lacks: the mass or the volume.
func (c *Case) lacksLoad(cooks []string) []Missing {
	var out []Missing
	for _, id := range cooks {
		k := &c.Trial.Cooks[c.facts.cookAt[id]]
		if b := c.bathOf(k); b == nil || !b.Volume.Known {
			out = addMissing(out, "baths.volume", id)
		}
		mass := k.Load.Known || len(k.Pieces) > 0
		for i := range k.Pieces {
			mass = mass && (k.Load.Known || k.Pieces[i].Before.Known)
		}
		if !mass {
			out = addMissing(out, "pieces.before", id)
		}
	}
	return out
}
