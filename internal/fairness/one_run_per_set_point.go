package fairness

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var oneRunPerSetPoint = Check{
	Slug:   "one-run-per-set-point",
	Family: Replication,
	Stage:  Plan,
	Short:  "one run each",
	Asks:   "Did you cook each set point more than once, in separate bath fills?",
	Needs:  []string{"cooks.set_point", "cooks.bath", "cooks.session", "cooks.started", "cooks.out"},
	Finds: "R is the smallest number of runs at a compared set point, with cooks that were one run counted once. " +
		"It blocks at R = 1 and weakens below {min-runs}. What was cooked once blocks its own comparisons only.",
	Clears: "Every compared set point has at least {min-runs} runs.",
	Why: "Everything that was odd about that one bath run sits inside the set point's result. More pieces or tasters of the same run " +
		"cannot show it.",
	Wording: "{arms} {were} cooked {once}. Whatever else was special about that run looks exactly like the set point. {looks} change this.{rode}{covered}",
	Others: map[string]string{
		"two": "{arms} {were} cooked only {times}. If one of those runs was odd, {share} of what is known there is odd.{covered}",
	},
	Hedge:      "each set point was cooked only {times}",
	Next:       "Cook each set point in {min_runs} separate fills, on two days or with the baths swapped, with fewer pieces in each.",
	Eats:       true,
	Fix:        "repeat-runs",
	Source:     "The unit of a treatment is what it was applied to (Hurlbert 1984, Ecological Monographs 54:187, from memory).",
	Options:    []string{"min-runs"},
	FiresOn:    "cooks: [{id: A, set_point: 46 °C, time: 45 min}, {id: B, set_point: 54 °C, time: 45 min}]",
	ClearOn:    "cooks: [{id: A, set_point: 46 °C, session: s1}, {id: B, set_point: 54 °C, session: s1}, {id: C, set_point: 54 °C, session: s2}, {id: D, set_point: 46 °C, session: s2}, {id: E, set_point: 46 °C, session: s3}, {id: F, set_point: 54 °C, session: s3}]",
	EachFactor: true,
	Judge:      judgeOneRun,
	Example:    exampleOneRun,
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
	if smallest <= 1 { // what was cooked twice is the lesser fault, and not the one that blocks
		few, names = slices.DeleteFunc(few, func(l int) bool { return n[l] > 1 }), nil
		for _, l := range few {
			names = append(names, c.label(l))
		}
	}
	j := Judgement{
		Outcome: Fires, Severity: Weakens, Variant: "two", Statistic: "fewest runs at a level (R)",
		Value: quantity.Num(float64(smallest)), Threshold: quantity.Num(float64(need)), Option: "min-runs",
		Where: Where{Arms: names, Cooks: c.cooksAt(few...)},
		Fill: Fill{
			"arms": c.levelsWords(few...), "were": plural(len(few), "was", "were"), "once": plural(len(few), "once", "once each"), "min_runs": count(need),
			"times": timesWords(smallest), "share": shareOfRuns(smallest),
			"looks": looksWords(c), "rode": c.rodeAlong(few), "covered": c.sourcesCovered(),
		},
	}
	j.Where.At = c.cookPlace(j.Where.Cooks)
	for _, level := range few {
		for other := range n {
			if other != level && !slices.Contains(few[:slices.Index(few, level)], other) {
				j.Where.Pairs = append(j.Where.Pairs, [2]string{c.label(min(level, other)), c.label(max(level, other))})
			}
		}
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

// timesWords is "twice", "three times": how often a set point was cooked.
func timesWords(n int) string {
	if words := [...]string{"", "once", "twice", "three times", "four times", "five times"}; n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%d times", n)
}

// shareOfRuns is what one run of so many is of them.
func shareOfRuns(n int) string {
	if words := [...]string{"", "all", "half", "a third", "a quarter", "a fifth"}; n < len(words) {
		return words[n]
	}
	return "a small part"
}

// looksWords is "12 pieces and 8 tasters do not", whose full sentence ends with
// what they do not do.
func looksWords(c *Case) prose.Sentence {
	pieces, people := len(c.facts.pieces), len(c.Trial.AssessorIDs())
	switch {
	case pieces > 0 && people > 0:
		return prose.Say(prose.Plural(pieces, "piece"), " and ", prose.Plural(people, "taster"), " do not")
	case people > 0:
		return prose.Say(prose.Plural(people, "taster"), plural(people, " does not", " do not"))
	case pieces > 0:
		return prose.Say(prose.Plural(pieces, "piece"), plural(pieces, " does not", " do not"))
	}
	return prose.Say("More pieces or tasters of that run would not")
}

// rodeAlong names what else differed between the runs of levels that have one
// run each: it is tied to them by construction.
func (c *Case) rodeAlong(few []int) prose.Sentence {
	var names []string
	for _, one := range []struct {
		word string
		of   func(k *trial.Cook) (string, bool)
	}{
		{"the session", sessionOf},
		{"the bath", func(k *trial.Cook) (string, bool) { return c.Trial.BathOf(k) }},
	} {
		if k := c.ofRuns(one.of); len(k.names) > 1 && c.together(k).Lost > 0 {
			names = append(names, one.word)
		}
	}
	if o := c.orders(c.runs()); len(o.noOrder) == 0 && o.most > 1 && !o.together(c.set.minutes("same-start")) {
		names = append(names, "the order")
	}
	if len(few) < 2 || len(names) == 0 {
		return nil
	}
	return prose.Say(" What went along with it here: ", prose.List(names), ".")
}

// coveredSources is how many sources, each split over all levels, show how much
// sources differ; coveredBath is how close to its set point, K, every bath must
// then have stood.
const (
	coveredSources = 6
	coveredBath    = 0.2
)

// sourcesCovered says, where it is so, that the differences between sources are
// known although the runs are few.
func (c *Case) sourcesCovered() prose.Sentence {
	met := map[string]map[int]bool{}
	for _, p := range c.facts.pieces {
		if level := c.level(p.Cook, p.Piece); level >= 0 && p.P.Source.Known {
			if met[p.P.Source.V] == nil {
				met[p.P.Source.V] = map[int]bool{}
			}
			met[p.P.Source.V][level] = true
		}
	}
	split := 0
	for _, levels := range met {
		if len(levels) == c.Levels() {
			split++
		}
	}
	if split < coveredSources || split < len(met) || !c.bathsWithin(coveredBath) {
		return nil
	}
	return prose.Say(" Differences between the ", count(split), " sources are covered; only those between runs are not.")
}

// bathsWithin reports whether the log of every cook shows the bath within so many
// K of the set point.
func (c *Case) bathsWithin(kelvin float64) bool {
	h := c.heat()
	for i := range c.Trial.Cooks {
		log := h.Cooks[i].Log
		if log == nil {
			return false
		}
		mean, ok := log.BathMean.Get()
		if !ok || math.Abs(mean-h.Cooks[i].SetPoint) > kelvin {
			return false
		}
	}
	return true
}
