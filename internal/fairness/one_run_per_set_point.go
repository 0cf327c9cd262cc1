package fairness

import (
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var oneRunPerSetPoint = Check{
	Slug:   "one-run-per-set-point",
	Family: Replication,
	Stage:  Plan,
	Asks:   "Did you cook each set point more than once, in separate bath fills?",
	Needs:  []string{"cooks.set_point", "cooks.bath", "cooks.session", "cooks.started", "cooks.out"},
	Finds: "R is the smallest number of runs at a compared set point, with cooks that were one run counted once. " +
		"It blocks at R = 1 and weakens below {min-runs}. A set point whose fellows are all repeated blocks only its own comparisons.",
	Clears:   "Every compared set point has at least {min-runs} runs.",
	Unjudged: "Pieces are listed without cooks.",
	Why: "Everything that was odd about that one bath run sits inside the set point's result. More pieces or tasters of the same run " +
		"cannot show it.",
	Wording: "{arms} {were} cooked once each. Whatever else was special about that run looks exactly like the set point. {looks} do not change this.",
	Others: map[string]string{
		"two": "{arms} {were} cooked only {runs} times. One odd run is half of what is known there.",
	},
	Hedge:      "each set point was cooked only {runs} times",
	Next:       "Cook each set point in {min_runs} separate fills, on two days or with the baths swapped, with fewer pieces in each.",
	Fix:        "repeat-runs",
	Source:     "The unit of a treatment is what it was applied to (Hurlbert 1984, Ecological Monographs 54:187, from memory).",
	Options:    []string{"min-runs"},
	FiresOn:    "cooks: [{id: A, set_point: 46 °C, time: 45 min}, {id: B, set_point: 54 °C, time: 45 min}]",
	ClearOn:    "cooks: [{id: A, set_point: 46 °C, session: s1}, {id: B, set_point: 54 °C, session: s1}, {id: C, set_point: 54 °C, session: s2}, {id: D, set_point: 46 °C, session: s2}, {id: E, set_point: 46 °C, session: s3}, {id: F, set_point: 54 °C, session: s3}]",
	EachFactor: true,
	Judge:      judgeOneRun,
}

func judgeOneRun(c *Case) Judgement {
	if !c.Compares() || c.Factor.WithinCooks() {
		return notApplicable("nothing that is applied to a whole cook is compared")
	}
	n, need := c.runsPerLevel(), c.set.count("min-runs")
	smallest, few, names := need, []int{}, []string{}
	for level, k := range n {
		if k < need {
			few, names = append(few, level), append(names, c.label(level))
		}
		smallest = min(smallest, k)
	}
	if len(few) == 0 {
		return clear()
	}
	j := Judgement{
		Outcome: Fires, Severity: Weakens, Variant: "two", Statistic: "fewest runs at a level (R)",
		Value: quantity.Num(float64(smallest)), Threshold: quantity.Num(float64(need)), Option: "min-runs",
		Where: Where{Arms: names, Cooks: c.cooksAt(few...)},
		Fill: Fill{
			"arms": c.levelsWords(few...), "were": plural(len(few), "was", "were"), "runs": count(smallest), "min_runs": count(need),
			"looks": looksWords(c),
		},
	}
	if smallest <= 1 {
		j.Severity, j.Variant = Blocks, ""
	}
	return j
}

// cooksAt lists the cooks that have one of the levels.
func (c *Case) cooksAt(levels ...int) []string {
	var out []string
	for i, level := range c.Factor.Cook {
		if slices.Contains(levels, level) {
			out = append(out, c.Trial.Cooks[i].ID)
		}
	}
	return out
}

// looksWords is "12 pieces and 8 tasters".
func looksWords(c *Case) prose.Sentence {
	pieces, people := len(c.facts.pieces), len(c.Trial.AssessorIDs())
	switch {
	case pieces > 0 && people > 0:
		return prose.Say(prose.Plural(pieces, "piece"), " and ", prose.Plural(people, "taster"))
	case people > 0:
		return prose.Plural(people, "taster")
	case pieces > 0:
		return prose.Plural(pieces, "piece")
	}
	return prose.Say("More looks at it")
}
