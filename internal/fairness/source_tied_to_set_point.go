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
	Clears:   "Every two set points are joined by sources that met both, and V is at most {tie-v}. One source for everything is clear here.",
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
	lots := c.ofPieces(func(p *trial.Piece) (string, bool) {
		s := c.sourceOf(p)
		if s == nil {
			return "", false
		}
		return s.Lot.V, s.Lot.Known
	})
	if len(lots.lacks) == 0 {
		if j := c.tiedMaterial(lots, "lot"); j.Severity >= worst.Severity {
			worst = j
		}
	}
	return worst
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
