package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/trial"
)

var sourceTiedToSetPoint = Check{
	Slug:   "source-tied-to-set-point",
	Family: Material,
	Stage:  Plan,
	Short:  "where the pieces came from",
	Asks:   "Did each set point get its own fish, loin or box?",
	Needs:  []string{"pieces.source", "cooks.set_point", "sources.lot"},
	Finds: "Pieces are sorted by source. It blocks where a comparison is lost to the source by rank: no chain of sources joins the two set points. It " +
		"weakens where none is lost but the corrected Cramér's V of source and set point is above {tie-v}. The same is asked of the lot; of the two " +
		"the worse is reported, and the lot where they are equal.",
	Clears: "Every two set points are joined by sources that met both, and V is at most {tie-v}. One source for everything is clear here. So are pieces that " +
		"were drawn by lot (drawn), where every set point has three sources or more over two cooks or more, and each that met one set point only lies in one " +
		"cook: how sources differ is then part of the scatter between cooks.",
	Unjudged: "A piece at a compared set point names no source, or no pieces are listed.",
	Why: "Two animals can differ more than ten degrees do. Where each set point has its own animal, the two effects are one, and more pieces of the " +
		"same two animals do not help.",
	Wording: "{held}. The difference may be the {food}, not the cooking.",
	Others: map[string]string{
		"uneven": "The {kind}s did not go to {levels} alike. Part of the difference may be the {food}, not the cooking.",
	},
	Hedge:      "the {factor}s did not get the same {kind}s",
	Next:       "Cut everything that you buy into as many pieces as there are {factor}s, and send one to each.",
	Fix:        "balance-pieces",
	Source:     "Connectedness of a two-way layout, by rank; Cramér's V with the correction of Bergsma 2013 (from memory). {tie-v} is a house rule.",
	Options:    []string{"tie-v"},
	FiresOn:    "cooks: [{id: A, set_point: 58 °C, pieces: [{source: loin-1}, {source: loin-1}]}, {id: B, set_point: 64 °C, pieces: [{source: loin-2}, {source: loin-2}]}]",
	ClearOn:    "cooks: [{id: A, set_point: 58 °C, pieces: [{source: loin-1}, {source: loin-2}]}, {id: B, set_point: 64 °C, pieces: [{source: loin-1}, {source: loin-2}]}]",
	EachFactor: true,
	Judge:      judgeSourceTied,
	Example:    exampleSourceTied,
}

func judgeSourceTied(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	if len(c.facts.pieces) == 0 {
		return cannot("pieces")
	}
	sources := c.ofPieces(func(p *trial.Piece) (string, bool) { return p.Source.V, p.Source.Known })
	if len(sources.lacks) > 0 {
		return cannot("pieces.source", sources.lacks...)
	}
	worst := c.tiedMaterial(sources, "source")
	if worst.Outcome == Fires && c.ownByLot(sources) {
		worst = clearBut("No source went to all ", c.factorWords(), "s, but they were drawn by lot, at least ", count(ownSources), " for each, and none to two cooks of one: how they differ is part of the scatter between cooks.")
	}
	lots := c.ofPieces(func(p *trial.Piece) (string, bool) {
		s := c.sourceOf(p)
		if s == nil {
			return "", false
		}
		return s.Lot.V, s.Lot.Known
	})
	if len(lots.lacks) == 0 {
		if j := c.tiedMaterial(lots, "lot"); j.Outcome == Fires && j.Severity >= worst.Severity {
			worst = j
		}
	}
	return worst
}

// ownSources and ownCooks are how many sources and cooks each level needs where
// sources are not shared between levels: as many as make a run repeated, and two
// cooks for a scatter between them (house rules).
const (
	ownSources = 3
	ownCooks   = 2
)

// ownByLot reports whether sources that are not shared between levels were dealt by
// lot, so many to each level that they are a sample and not an accident, and none of
// them to two cooks of a level: then a cook holds its own sources, and their
// differences are in the error that the level is tested against. What was chosen by
// hand, or spans the cooks of a level, is not.
func (c *Case) ownByLot(k category) bool {
	if !c.Trial.Drawn.Known || !c.Trial.Drawn.V.Pieces.V {
		return false
	}
	sources, cooks := make([]map[int]bool, c.Levels()), make([]map[int]bool, c.Levels())
	levels, held := make([]map[int]bool, len(k.names)), make([]map[int]bool, len(k.names))
	note := func(list []map[int]bool, at, what int) {
		if list[at] == nil {
			list[at] = map[int]bool{}
		}
		list[at][what] = true
	}
	for i, l := range k.level {
		note(sources, l, k.code[i])
		note(cooks, l, k.cooks[i])
		note(levels, k.code[i], l)
		note(held, k.code[i], k.cooks[i])
	}
	for l := range sources {
		if n := len(cooks[l]); n > 0 && (n < ownCooks || len(sources[l]) < ownSources) {
			return false
		}
	}
	for s := range levels {
		if len(levels[s]) == 1 && len(held[s]) > 1 {
			return false
		}
	}
	return true
}

func (c *Case) tiedMaterial(k category, kind string) Judgement {
	t := c.together(k)
	j, ok := c.tied(k, t)
	if !ok {
		return clear()
	}
	if t.Lost > 0 {
		j.Severity = Blocks
	}
	j.Where.Sources = k.names
	if kind == "lot" {
		j.Where.Sources = c.sourcesOfLots(k.names)
	}
	j.Fill["held"], j.Fill["kind"], j.Fill["food"] = c.heldWords(map[string]string{"lot": "pieces of delivery ", "source": "pieces of "}[kind], k, "", t), kind, c.foodWords()
	return j
}

// sourceOf is what a piece was cut from, or nil.
func (c *Case) sourceOf(p *trial.Piece) *trial.Source {
	if p == nil || !p.Source.Known {
		return nil
	}
	if c.facts.lazy.sourceAt == nil {
		c.facts.lazy.sourceAt = make(map[string]int, len(c.Trial.Sources))
		for i := range c.Trial.Sources {
			c.facts.lazy.sourceAt[c.Trial.Sources[i].ID] = i
		}
	}
	if i, ok := c.facts.lazy.sourceAt[p.Source.V]; ok {
		return &c.Trial.Sources[i]
	}
	return nil
}

func (c *Case) sourcesOfLots(lots []string) []string {
	var out []string
	for i := range c.Trial.Sources {
		for _, l := range lots {
			if s := &c.Trial.Sources[i]; s.Lot.Known && s.Lot.V == l {
				out = append(out, s.ID)
			}
		}
	}
	return out
}

// foodWords names the food, or calls it food.
func (c *Case) foodWords() prose.Sentence {
	if n := c.Trial.Food.Name; n.Known && n.V != "" {
		return prose.Say(n.V)
	}
	return prose.Say("food")
}
