package fairness

import (
	"slices"

	"tamis/internal/quantity"
)

var oneLot = Check{
	Slug:   "one-lot",
	Family: Material,
	Stage:  Plan,
	Short:  "one delivery",
	Asks:   "Did everything come from one delivery?",
	Needs:  []string{"sources.lot", "pieces.source"},
	Finds:  "It counts the lots of the sources from which the compared pieces were cut. One lot is a note.",
	Clears: "There are two lots or more. A claim about the food as it is bought asks for {lots}.",

	Unjudged:  "A source of a compared piece has no lot, or no piece names its source.",
	Why:       "The next delivery may be fatter, fresher or firmer, and the best set point may move with it. Nothing in one delivery can show by how much.",
	Wording:   "All pieces came from one delivery, {lot}. The result holds for that delivery; another may behave differently.",
	Hedge:     "everything came from one delivery",
	Next:      "Repeat the two nearest set points on two later deliveries.",
	Eats:      true,
	Fix:       "more-lots",
	Source:    "A result holds for what it was sampled from. {lots} is a house rule.",
	Options:   []string{"lots"},
	FiresOn:   "sources: {f1: {lot: L1}, f2: {lot: L1}}\ncooks: [{id: A, set_point: 48 °C, pieces: [{source: f1}, {source: f2}]}, {id: B, set_point: 54 °C, pieces: [{source: f1}, {source: f2}]}]",
	ClearOn:   "sources: {f1: {lot: L1}, f2: {lot: L2}}\ncooks: [{id: A, set_point: 48 °C, pieces: [{source: f1}, {source: f2}]}, {id: B, set_point: 54 °C, pieces: [{source: f1}, {source: f2}]}]",
	Describes: true,
	Judge:     judgeOneLot,
	Example:   exampleOneLot,
}

func judgeOneLot(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	var sources, lots, lacks []string
	for _, r := range c.facts.pieces {
		if c.level(r.Cook, r.Piece) < 0 || slices.Contains(sources, r.P.Source.V) {
			continue
		}
		s := c.sourceOf(r.P)
		if s == nil && r.P.Source.Known { // named, but nobody describes it
			sources, lacks = append(sources, r.P.Source.V), append(lacks, r.P.Source.V)
			continue
		}
		if s == nil {
			lacks = append(lacks, r.P.ID)
			continue
		}
		sources = append(sources, s.ID)
		switch {
		case !s.Lot.Known:
			lacks = append(lacks, s.ID)
		case !slices.Contains(lots, s.Lot.V):
			lots = append(lots, s.Lot.V)
		}
	}
	switch {
	case len(lots) > 1:
		return clear()
	case len(sources) == 0:
		return cannot("pieces.source", lacks...)
	case len(lacks) > 0:
		return cannot("sources.lot", lacks...)
	}
	w := Where{Sources: sources, Fields: []string{"sources.lot"}}
	if i := slices.IndexFunc(c.facts.pieces, func(r pieceRow) bool { return r.P.Source.Known && r.P.Source.V == sources[0] }); i >= 0 {
		w.At = c.sourceOf(c.facts.pieces[i].P).At
	}
	return Judgement{
		Outcome: Fires, Severity: Note, Statistic: "lots", Value: quantity.Num(1), Threshold: quantity.Num(2), Where: w,
		Details: []Detail{{Name: "sources", Value: quantity.Num(float64(len(sources)))}},
		Fill:    Fill{"lot": lots[0]},
	}
}
