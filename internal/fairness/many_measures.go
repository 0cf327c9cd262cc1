package fairness

import (
	"math"
	"slices"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var manyMeasures = Check{
	Slug:   "many-measures",
	Family: Analysis,
	Stage:  Plan,
	Short:  "many measures",
	Asks:   "How many things were measured, and which one was meant to decide?",
	Needs:  []string{"aim", "measures", "compare", "declared"},
	Finds: "m is the number of tested measures times the declared comparisons; without any, one overall test a measure. Without an aim two or more are " +
		"a note, and from {many} on it weakens: the chance of a false alarm, 1 − 0.95^m, is then 30 % or more. With an aim it is a note when the " +
		"conclusion rests on a measure that is not in it.",
	Clears:  "One measure, or an aim whose measures are those of the conclusion.",
	Why:     "Of fifteen tests at 5 %, at least one comes out by luck more often than not (54 %). Whoever may choose afterwards will choose that one.",
	Wording: "{m} comparisons could be made and none was named as the deciding one. About {alarms} of them would come out by luck.",
	Others: map[string]string{
		"other": "The conclusion speaks of {named}, which is not what the aim names. A measure chosen afterwards is a lead, not a result.",
	},
	Hedge:   "it is one of {m} comparisons",
	Next:    "Before you cook, name the one measure that decides, and its target (aim).",
	Fix:     "declare-aim",
	Source:  "1 − 0.95^m for independent tests. House rule for {many}.",
	Options: []string{"many"},
	FiresOn: "measures: {firmness: {scale: 0 to 10}, juiciness: {scale: 0 to 10}, flake: {just_right: 1 to 5}}",
	ClearOn: "aim: {measure: firmness, target: 5 to 6.5}",
	Judge:   judgeManyMeasures,
	Example: func() prose.Sentence {
		const m = 15
		return prose.Say(count(m), " tests at 5 % of a food in which nothing differs: at least one finds something with a chance of ",
			percent(falseAlarm(m)), ".")
	},
}

// falseAlarm is the chance that at least one of m independent tests at 5 % finds
// something where there is nothing.
func falseAlarm(m int) float64 { return 1 - math.Pow(0.95, float64(m)) }

func judgeManyMeasures(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	t := c.Trial
	m := len(testedMeasures(t)) * contrasts(t)
	if len(t.Aims) == 0 {
		if m < 2 {
			return clear()
		}
		j := Judgement{
			Outcome: Fires, Severity: Note, Statistic: "comparisons (m)", Value: quantity.Num(float64(m)),
			Threshold: quantity.Num(c.set.number("many")), Option: "many", Where: Where{Fields: []string{"aim"}},
			Details: []Detail{{Name: "chance of a false alarm", Value: quantity.Num(falseAlarm(m))}},
			Fill:    Fill{"m": count(m), "alarms": amount(0.05*float64(m), "", 1)},
		}
		if m >= c.set.count("many") {
			j.Severity = Weakens
		}
		return j
	}
	var named []string
	for _, name := range measuresIn(t, t.Conclusion.V) {
		if !slices.ContainsFunc(t.Aims, func(a trial.Aim) bool { return a.Measure == name }) {
			named = append(named, name)
		}
	}
	if len(named) == 0 || len(named) < len(measuresIn(t, t.Conclusion.V)) {
		return clear()
	}
	words := make([]string, len(named))
	for i, n := range named {
		words[i] = strings.ReplaceAll(n, "_", " ")
	}
	return Judgement{Outcome: Fires, Severity: Note, Variant: "other", Statistic: "comparisons (m)", Value: quantity.Num(float64(m)),
		Where: Where{Measures: named, At: t.Conclusion.At}, Fill: Fill{"named": prose.List(words), "m": count(m)}}
}

// testedMeasures are the measures with numbers, or before there are any, all of
// them.
func testedMeasures(t *trial.Trial) []string {
	var with, all []string
	for _, m := range t.Measures {
		all = append(all, m.Name)
		if t.HasNumbers(m) {
			with = append(with, m.Name)
		}
	}
	if len(with) > 0 {
		return with
	}
	return all
}

// contrasts counts the declared comparisons; without any there is one overall
// test.
func contrasts(t *trial.Trial) int {
	n := 0
	if t.Compare.Known {
		if t.Compare.V.Against.Known {
			n += len(t.Arms()) - 1
		}
		if t.Compare.V.Brine.Known {
			n++
		}
	}
	return max(1, n)
}

// measuresIn lists the measures that a text names, by name.
func measuresIn(t *trial.Trial, text string) []string {
	low := strings.ToLower(text)
	var out []string
	for _, m := range t.Measures {
		if hasWord(low, strings.ToLower(m.Name)) || hasWord(low, strings.ToLower(strings.ReplaceAll(m.Name, "_", " "))) {
			out = append(out, m.Name)
		}
	}
	return out
}
