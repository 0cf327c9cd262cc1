package fairness

import (
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var brineTiedToSetPoint = Check{
	Slug:   "brine-tied-to-set-point",
	Short:  "brine",
	Family: Brining,
	Stage:  Plan,
	Kind:   Bundle,
	Asks:   "Were only some set points brined?",
	Needs:  []string{"cooks.brine", "pieces.brine", "cooks.set_point"},
	Finds: "Brines are sorted by kind, salt, sugar and time (within {soak-gap} they are one). It blocks where comparisons of set points are " +
		"lost when every brine has an effect of its own, by rank; it weakens where none is lost but some brine is missing at some set point.",
	Clears:   "Every brine was used at every set point, or there is one brine only.",
	Unjudged: "The brine is written down for some pieces and not for others: missing is not none.",
	Why:      "A brine firms, seasons and holds water. Where it comes with the set point, nobody can say which of the two did it.",
	Wording:  "Only {levels} had {brine}. What the brine did and what the {factor} did cannot be told apart there.",
	Others: map[string]string{
		"holes": "Only {levels} had {brine}. The other comparisons assume that the brine does the same everywhere.",
	},
	Hedge:      "not every brine was used at every {factor}",
	Next:       "Brine half of the pieces at every set point, or none at all.",
	Fix:        "cross-brine",
	Source:     "House rules; the rank of a two-way layout is that of its graph.",
	Options:    []string{"soak-gap"},
	FiresOn:    "cooks: [{id: A, set_point: 46 °C, brine: none}, {id: B, set_point: 52 °C, brine: {salt: 5 %, for: 20 min}}]",
	ClearOn:    "cooks: [{id: A, set_point: 46 °C, pieces: [{brine: none}, {brine: {dry salt: 1 %, for: 30 min}}]}, {id: B, set_point: 52 °C, pieces: [{brine: none}, {brine: {dry salt: 1 %, for: 30 min}}]}]",
	EachFactor: true,
	Judge:      judgeBrineTied,
	Example:    exampleBrineTied,
}

func judgeBrineTied(c *Case) Judgement {
	if !c.Compares() || c.Factor.Name == trial.BrineFactor {
		return notApplicable("nothing is compared beside the brine")
	}
	rows := c.brinedRows()
	var level, lacks []int
	var stated []brinedRow
	for _, r := range rows {
		l := c.level(r.cook, r.piece)
		switch {
		case l < 0:
		case !r.brine.Known:
			lacks = append(lacks, r.cook)
		default:
			stated, level = append(stated, r), append(level, l)
		}
	}
	if len(stated) == 0 {
		return notApplicable("no brine is written down")
	}
	all := c.allRecipes()
	code := make([]int, len(stated))
	for i, r := range stated {
		code[i] = r.recipe
	}
	t := tieOf(c.Levels(), len(all), level, code)
	if len(lacks) > 0 { // missing is not none
		return cannot("cooks.brine", c.cookIDs(slices.Compact(lacks)...)...)
	}
	if len(all) < 2 || t.Lost == 0 && t.empty() == 0 {
		return clear()
	}
	// Named is a brine, not the lack of one, that the fewest levels had.
	named := -1
	for i := range all {
		if t.cats[i] > 0 && all[i].brine.Kind != trial.NoBrine && (named < 0 || len(t.have(i)) < len(t.have(named))) {
			named = i
		}
	}
	cooks, pieces := c.idsOf(all[named].rows)
	w := Where{Cooks: cooks, Pieces: pieces, At: c.cookPlace(cooks), Pairs: t.labels(c)}
	for _, l := range t.have(named) {
		w.Arms = append(w.Arms, c.label(l))
	}
	j := Judgement{Outcome: Fires, Severity: Weakens, Variant: "holes", Statistic: "brines missing at a level", Value: quantity.Num(float64(t.empty())),
		Threshold: quantity.Num(0), Where: w, Fill: Fill{"levels": c.levelsWords(t.have(named)...), "brine": c.treatmentWords(all[named].brine, all), "factor": c.factorWords()}}
	if t.Lost > 0 {
		j.Severity, j.Variant, j.Statistic, j.Value = Blocks, "", "comparisons lost by rank", quantity.Num(float64(t.Lost))
	}
	return j
}

// treatmentWords names a brine among others: with its time where the salt alone
// does not tell it from another.
func (c *Case) treatmentWords(b trial.Brine, all []recipe) prose.Sentence {
	words := brineWords(b)
	for _, other := range all {
		o := other.brine
		if o.Kind == b.Kind && o.Salt.V.Percent() == b.Salt.V.Percent() && !sameBrine(o, b, c.set.number("soak-gap")) && b.For.Known {
			return prose.Say(words, " for ", minutes(b.For.V.Minutes()))
		}
	}
	return words
}
