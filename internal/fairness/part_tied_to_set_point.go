package fairness

import (
	"slices"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var partTiedToSetPoint = Check{
	Slug:   "part-tied-to-set-point",
	Family: Material,
	Stage:  Plan,
	Short:  "the part",
	Asks:   "Did the thick end always go into one bath and the tail into the other?",
	Needs:  []string{"pieces.part", "cooks.set_point", "parts"},
	Finds: "Pieces are sorted by part. It blocks where every comparison is lost to the part by rank. It weakens where some are, where the corrected " +
		"Cramér's V of part and set point is above {tie-v}, or where the mean places along the source (1, 2, 3 from the head) of two set points lie " +
		"more than {part-step} apart.",
	Clears:   "Every set point had the parts alike, or there is one part only.",
	Unjudged: "A piece at a compared set point names no part, or no pieces are listed.",
	Why: "Raw fish can be nearly three times as tough at the tail as at the head. That outweighs most steps between set points, and nobody " +
		"can see it on the plate.",
	Wording: "{held}. Parts differ by nature, and here they changed together with the {factor}.",
	Others: map[string]string{
		"uneven": "The parts did not go to {levels} alike. Parts differ by nature, and some of that may look like the {factor}.",
		"places": "The {far} pieces came from nearer the {end} than the {near} ones, by {step} of a place on average. Part of that may look like the {factor}.",
	},
	Hedge:      "the {factor}s did not get the same parts",
	Next:       "Deal out the parts, so that each goes to every {factor} equally often.",
	Fix:        "balance-pieces",
	Source:     "Toughness along a fillet: published shear forces of raw fish (from memory). Rank; Cramér's V with the correction of Bergsma 2013 (from memory). Limits are house rules.",
	Options:    []string{"tie-v", "part-step"},
	FiresOn:    "cooks: [{id: A, set_point: 46 °C, pieces: [{part: head}, {part: head}]}, {id: B, set_point: 54 °C, pieces: [{part: tail}, {part: tail}]}]",
	ClearOn:    "cooks: [{id: A, set_point: 46 °C, pieces: [{source: f1, part: head}, {source: f2, part: tail}]}, {id: B, set_point: 54 °C, pieces: [{source: f1, part: tail}, {source: f2, part: head}]}]",
	EachFactor: true,
	Judge:      judgePartTied,
	Example:    examplePartTied,
}

// knownParts are the parts whose order along a source is understood without being
// written down.
var knownParts = []string{"head", "middle", "tail"}

func judgePartTied(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	if len(c.facts.pieces) == 0 {
		return cannot("pieces")
	}
	parts := c.ofPieces(func(p *trial.Piece) (string, bool) { return p.Part.V, p.Part.Known })
	if len(parts.lacks) > 0 {
		return cannot("pieces.part", parts.lacks...)
	}
	t := c.together(parts)
	j, ok := c.tied(parts, t)
	if ok {
		j.Fill["held"], j.Fill["far"], j.Fill["near"], j.Fill["end"], j.Fill["step"] = c.heldWords("", parts, " pieces", t), "", "", "", ""
		if t.Full() {
			j.Severity = Blocks
		}
		return j
	}
	order := c.Trial.Parts
	if len(order) == 0 {
		order = knownParts
	}
	marks, lacks := c.marks(func(_ *trial.Cook, p *trial.Piece, _, _ int) (float64, bool) {
		if p == nil {
			return 0, false
		}
		i := slices.IndexFunc(order, func(s string) bool { return strings.EqualFold(s, p.Part.V) })
		return float64(i + 1), i >= 0
	})
	if len(lacks) > 0 { // the places are not known: the parts as categories were judged
		return clear()
	}
	g, limit := c.gapOf(marks), c.set.number("part-step")
	if g.low < 0 || g.size <= limit {
		return clear()
	}
	return Judgement{
		Outcome: Fires, Severity: Weakens, Variant: "places", Statistic: "range of the mean places along the source", Value: quantity.Num(g.size),
		Threshold: quantity.Num(limit), Option: "part-step", Where: c.whereGap(g),
		Fill: Fill{"far": c.levelWords(g.high), "near": c.levelWords(g.low), "end": order[len(order)-1], "step": amount(g.size, "", 1), "factor": c.factorWords()},
		Cost: c.costOf(marks, g, prose.Say("the part")),
	}
}
