package fairness

import (
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var oneTub = Check{
	Slug:   "one-tub",
	Short:  "one tub",
	Family: Brining,
	Stage:  Plan,
	About:  AboutBrine,
	Asks:   "Did all brined pieces soak together in one tub?",
	Needs:  []string{"brine.tub"},
	Finds: "For each wet brine that two pieces or more had, the tubs are counted. One tub blocks claims about the brine; fewer than " +
		"{min-tubs} weaken them.",
	Clears:   "Every wet brine was mixed in {min-tubs} tubs or more, or pieces were salted one by one.",
	Unjudged: "A wet brine does not name its tub.",
	Why: "One tub was mixed once. Its strength and its temperature sit in every piece that soaked in it, so the brine was tried once, " +
		"however many pieces there are.",
	Wording: "All {pieces} in {brine} shared one tub. What you see is that tub; a second mix may differ.",
	Others:  map[string]string{"few": "The {pieces} in {brine} shared {tubs} tubs. An odd mix is a large part of what is known about the brine."},
	Hedge:   "the brine was mixed in {tubs_words}",
	Next:    "Mix {min_tubs} small tubs and split every source over them, or salt each piece by weight.",
	Fix:     "more-tubs",
	Source:  "The unit of a treatment is what it was applied to (Hurlbert 1984, Ecological Monographs 54:187, from memory).",
	Options: []string{"min-tubs"},
	FiresOn: "cooks: [{id: A, set_point: 58 °C, brine: {salt: 6 %, for: 30 min, tub: t1}, pieces: [{id: A1}, {id: A2}]}, {id: B, set_point: 62 °C, brine: {salt: 6 %, for: 30 min, tub: t1}, pieces: [{id: B1}]}]",
	ClearOn: "cooks: [{id: A, set_point: 58 °C, brine: {salt: 6 %, for: 30 min, tub: t1}, pieces: [{id: A1}, {id: A2}]}, {id: B, set_point: 62 °C, brine: {salt: 6 %, for: 30 min, tub: t2}, pieces: [{id: B1}]}, {id: C, set_point: 62 °C, brine: {salt: 6 %, for: 30 min, tub: t3}, pieces: [{id: C1}]}]",
	Judge:   judgeOneTub,
	Example: exampleOneTub,
}

func judgeOneTub(c *Case) Judgement {
	need := c.set.count("min-tubs")
	var worst *recipe
	fewest, wet := need, false
	var lacks []string
	all := c.allRecipes()
	for i := range all {
		r := &all[i]
		if r.brine.Kind != trial.WetBrine || len(r.rows) < 2 {
			continue
		}
		wet = true
		var tubs []string
		unknown := false
		for _, row := range r.rows {
			if tub := row.brine.V.Tub; !tub.Known {
				unknown = true
				lacks = append(lacks, c.Trial.Cooks[row.cook].ID)
			} else if !slices.Contains(tubs, tub.V) {
				tubs = append(tubs, tub.V)
			}
		}
		if n := len(tubs); !unknown && n < fewest {
			fewest, worst = n, r
		}
	}
	switch {
	case !wet:
		return notApplicable("no two pieces soaked in a wet brine")
	case worst == nil && len(lacks) > 0:
		return cannot("brine.tub", slices.Compact(lacks)...)
	case worst == nil:
		return clear()
	}
	cooks, pieces := c.idsOf(worst.rows)
	at := worst.rows[0].brine.At
	if at.Line == 0 {
		at = c.cookPlace(cooks)
	}
	j := Judgement{
		Outcome: Fires, Severity: Weakens, Variant: "few", Statistic: "tubs of a brine", Value: quantity.Num(float64(fewest)),
		Threshold: quantity.Num(float64(need)), Option: "min-tubs", Where: Where{Cooks: cooks, Pieces: pieces, At: at},
		Fill: Fill{"pieces": prose.Plural(len(worst.rows), "piece"), "brine": brineWords(worst.brine), "tubs": count(fewest),
			"tubs_words": prose.Plural(fewest, "tub"), "min_tubs": count(need)},
	}
	if fewest == 1 {
		j.Severity, j.Variant = Blocks, ""
	}
	return j
}

// brineWords names a brine: "the 6 % brine", "the brine", "1 % dry salt".
func brineWords(b trial.Brine) prose.Sentence {
	salt := prose.Quantity{Kind: prose.Share, Value: b.Salt.V.Percent() / 100, Digits: decimals(b.Salt.V.Percent())}
	switch {
	case b.Kind == trial.NoBrine:
		return prose.Say("no brine")
	case b.Kind == trial.DryBrine && b.Salt.Known:
		return prose.Say(salt, " dry salt")
	case b.Kind == trial.DryBrine:
		return prose.Say("dry salt")
	case b.Salt.Known:
		return prose.Say("the ", salt, " brine")
	}
	return prose.Say("the brine")
}
