package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var waitDiffers = Check{
	Slug:   "wait-differs",
	Short:  "the wait",
	Family: Serving,
	Stage:  Plan,
	Asks:   "Did some pieces wait longer between bath and mouth?",
	Needs:  []string{"cooks.out", "cooks.served", "pieces.out", "pieces.served", "scores.at"},
	Finds: "The wait is the time served less the time out, of the piece or its cook, and the clock of the score sheet where no serving time is " +
		"written down. Waits are averaged by cook, then by set point. A range of the means above {wait-gap} is a note, above {wait-gap-big} it weakens.",
	Clears:   "The range is at most {wait-gap}.",
	Unjudged: "When it came out, or when it was served, is missing for a cook at a compared set point.",
	Why: "The surface of a piece on a cold plate cools within minutes, a thick core much less. Juices set and run out while it waits, and " +
		"the wait has nothing to do with the set point.",
	Wording:    "The {longer} pieces waited {gap} longer before they were tasted than the {shorter} ones, and cooled and set meanwhile.",
	Hedge:      "the {longer} pieces waited {gap} longer",
	Next:       "Start the cooks one after the other, so that every piece comes out the same time before its bite.",
	Eats:       true,
	Fix:        "same-serving",
	Source:     "House rules.",
	Options:    []string{"wait-gap", "wait-gap-big"},
	FiresOn:    "cooks: [{id: A, set_point: 63 °C, out: 12:00, served: 12:09}, {id: B, set_point: 66 °C, out: 12:00, served: 12:03}]",
	ClearOn:    "cooks: [{id: A, set_point: 63 °C, out: 12:00, served: 12:03}, {id: B, set_point: 66 °C, out: 12:03, served: 12:06}]",
	EachFactor: true,
	Judge:      judgeWait,
	Example:    exampleWait,
}

func judgeWait(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	marks, lacks := c.waits()
	g := c.gapOf(marks)
	small, big := c.set.minutes("wait-gap"), c.set.minutes("wait-gap-big")
	if g.size <= small || g.least == 0 {
		if len(lacks) == 0 && len(marks) > 0 {
			return clear()
		}
		return c.cannotTellWait(lacks)
	}
	j := Judgement{
		Outcome: Fires, Severity: Note, Statistic: "range of the mean waits, min",
		Value: quantity.Num(g.size), Threshold: quantity.Num(small), Option: "wait-gap", Where: c.whereGap(g),
		Fill: Fill{"longer": c.levelWords(g.high), "shorter": c.levelWords(g.low), "gap": minutes(g.size)},
		Cost: c.costOf(marks, g, prose.Say("the wait")),
	}
	if g.size > big {
		j.Severity, j.Threshold, j.Option = Weakens, quantity.Num(big), "wait-gap-big"
	}
	return j
}

// cannotTellWait names the time that is missing for the cooks whose wait is not
// known.
func (c *Case) cannotTellWait(lacks []string) Judgement {
	var out, served []string
	for _, id := range lacks {
		if ci := c.facts.cookAt[id]; c.Trial.Cooks[ci].Out.Known {
			served = append(served, id)
		} else {
			out = append(out, id)
		}
	}
	j := Judgement{Outcome: CannotJudge}
	if len(out) > 0 {
		j.Missing = append(j.Missing, Missing{Field: "cooks.out", Where: out})
	}
	if len(served) > 0 || len(out) == 0 {
		j.Missing = append(j.Missing, Missing{Field: "cooks.served", Where: served})
	}
	return j
}
