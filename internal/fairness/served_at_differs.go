package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var servedAtDiffers = Check{
	Slug:   "served-at-differs",
	Short:  "serving temperature",
	Family: Serving,
	Stage:  Cooked,
	Asks:   "Was every bite at the same temperature?",
	Needs:  []string{"cooks.served_at", "pieces.served_at", "scores.served_at"},
	Finds: "The temperatures at the bite are averaged by cook, then by set point. A range of the means above {served-gap} is a note; above " +
		"{served-gap-big}, it weakens, as does one above the smallest step between set points that " +
		"chance would hardly bring about.",
	Clears:   "The range is at most {served-gap} and at most the smallest step between set points.",
	Unjudged: "The temperature at the bite is missing for a cook at a compared set point.",
	Why: "Warm flesh is softer and juicier. A hotter bath gives a hotter bite, unless all bites are brought to one temperature; then " +
		"part of what is tasted is the plate and not the cooking.",
	Wording: "The {warmer} pieces were eaten {gap} warmer than the {cooler} ones. Warmth itself changes how firm and juicy a bite feels.",
	Hedge:   "the {warmer} pieces were eaten {gap} warmer",
	Next: "Bring all pieces to one temperature, no higher than the lowest set point, and serve them within 10 minutes. " +
		"The wait counts as time in which germs can grow.",
	Eats:       true,
	Fix:        "same-serving",
	Source:     "House rules. That warmth changes how firm meat feels is common knowledge among cooks; no source.",
	Options:    []string{"served-gap", "served-gap-big"},
	FiresOn:    "cooks: [{id: A, set_point: 46 °C, served_at: 38 °C}, {id: B, set_point: 56 °C, served_at: 46 °C}]",
	ClearOn:    "cooks: [{id: A, set_point: 46 °C, served_at: 40 °C}, {id: B, set_point: 56 °C, served_at: 41 °C}]",
	EachFactor: true,
	Judge:      judgeServedAt,
	Example:    exampleServedAt,
}

func judgeServedAt(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	marks, lacks := c.servedAt()
	g := c.gapOf(marks)
	note, big := c.set.kelvin("served-gap"), c.set.kelvin("served-gap-big")
	limit, option := big, "served-gap-big"
	// A bite that differs by more than a step of the set points hides that step.
	if step, ok := c.smallestStep(); ok && c.Factor.IsSetPoint() && step < limit {
		limit, option = step, ""
	}
	severity := None
	p, hardly := hardlyByChance(c.cookMeans(marks))
	switch {
	case g.size > big, g.size > limit && hardly:
		severity = Weakens
	case g.size > limit: // below served-gap-big, and so more than the smallest step
		severity = Note
	case g.size > note:
		severity, limit, option = Note, note, "served-gap"
	}
	if severity == None || g.least == 0 {
		if len(lacks) > 0 || len(marks) == 0 {
			return cannot("cooks.served_at", lacks...)
		}
		return clear()
	}
	w := c.whereGap(g)
	return Judgement{
		Outcome: Fires, Severity: severity, Statistic: "range of the mean temperatures at the bite, K",
		Value: quantity.Num(g.size), Threshold: quantity.Num(limit), Option: option, Where: w,
		Fill:    Fill{"warmer": c.levelWords(g.high), "cooler": c.levelWords(g.low), "gap": kelvins(g.size)},
		Cost:    c.costOf(marks, g, prose.Say("the temperature at the bite")),
		Details: []Detail{{Name: "p of the range of the means", Value: quantity.Num(p)}},
	}
}
