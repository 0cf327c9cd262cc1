package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var declaredAfterTasting = Check{
	Slug:   "declared-after-tasting",
	Family: Analysis,
	Stage:  Plan,
	Short:  "declared afterwards",
	Asks:   "Was the question fixed before the first bite?",
	Needs:  []string{"declared", "date", "sessions.date", "cooks.started", "looks"},
	Finds: "It weakens when declared is absent or later than the first cook, when a set point was added after declared and after another session was scored, " +
		"or when results were looked at more than once before the last cook.",
	Clears:   "Declared on or before the day of the first cook, and none of the others. A plan that is not cooked yet is clear.",
	Unjudged: "The day on which the question was fixed is given, but no day of any cook, session or trial.",
	Why:      "A question that is chosen after the answer always fits. The best of a first round also tends to fall back in the next.",
	Wording:  "Question and deciding measure were not fixed before tasting. Read the result as a lead to test, not as a test passed.",
	Others: map[string]string{
		"added": "{added} came in after the first scores were seen. A set point chosen by a result flatters it.",
		"looks": "The results were looked at {looks} times before the last cook. Whoever stops when it looks good finds something too often.",
	},
	Hedge:   "the question was fixed afterwards",
	Next:    "Write down question, deciding measure and date before the first cook (declared), leave them alone, and confirm the chosen set point in a fresh trial.",
	Eats:    true,
	Fix:     "declare-first",
	Source:  "On the size of the bias with repeated looks: Armitage, McPherson and Rowe (1969), Journal of the Royal Statistical Society A 132, 235–244, from memory.",
	FiresOn: "date: 2026-02-11",
	ClearOn: "declared: 2026-02-09\nsessions: {first: {date: 2026-02-10}}",
	Judge:   judgeDeclared,
	Example: func() prose.Sentence {
		return prose.Say("Looking five times at a growing trial and stopping when p is below 0.05 finds something in about ", percent(0.14),
			" of the trials in which nothing differs (Armitage and others 1969, from memory).")
	},
}

func judgeDeclared(c *Case) Judgement {
	t := c.Trial
	if c.Stage == Plan && !hasScores(t) {
		if !t.Declared.Known {
			return clearBut("Before you cook, write down the day on which question and aim were fixed (declared).")
		}
		return clear()
	}
	fires := Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Fields: []string{"declared"}, At: t.Declared.At}}
	if !t.Declared.Known {
		return fires
	}
	if t.Looks.Known && t.Looks.V > 1 {
		fires.Variant, fires.Fill = "looks", Fill{"looks": count(t.Looks.V)}
		fires.Statistic, fires.Value, fires.Threshold = "looks", quantity.Num(float64(t.Looks.V)), quantity.Num(1)
		fires.Where = Where{Fields: []string{"looks"}, At: t.Looks.At}
		return fires
	}
	first, ok := firstDay(t)
	if !ok {
		return cannot("sessions.date")
	}
	if late := t.Declared.V.Days() - first.Days(); late > 0 {
		fires.Statistic, fires.Value, fires.Threshold = "days after the first cook", quantity.Num(float64(late)), quantity.Num(0)
		return fires
	}
	if levels := addedLater(c, first); len(levels) > 0 {
		fires.Variant, fires.Fill = "added", Fill{"added": c.levelsWords(levels...)}
		fires.Where = Where{Arms: c.labels(levels...), Cooks: c.cooksAt(levels...), Fields: []string{"declared"}, At: t.Declared.At}
		return fires
	}
	return clear()
}

func hasScores(t *trial.Trial) bool {
	for _, m := range t.Measures {
		if t.HasNumbers(m) {
			return true
		}
	}
	return false
}

// dayOf is the day of a cook: of its start, of its session, or of the trial
// where it names no session.
func dayOf(t *trial.Trial, k *trial.Cook) (trial.Date, bool) {
	if d := writtenDay(t, k, k.Started.V); !d.IsZero() {
		return d, true
	}
	return t.Date.V, t.Date.Known
}

func firstDay(t *trial.Trial) (trial.Date, bool) {
	var first trial.Date
	for i := range t.Cooks {
		if d, ok := dayOf(t, &t.Cooks[i]); ok && (first.IsZero() || d.Days() < first.Days()) {
			first = d
		}
	}
	return first, !first.IsZero()
}

// addedLater are the levels whose first cook is later than the first day of the
// trial and than declared, while scores of an earlier day exist. A set point
// that a design lists, or whose order was drawn by lot, was planned.
func addedLater(c *Case, first trial.Date) []int {
	t := c.Trial
	if t.Drawn.Known && t.Drawn.V.Order.V || t.Design.Known || !hasScores(t) {
		return nil
	}
	starts := make([]int, c.Levels())
	for i := range starts {
		starts[i] = -1
	}
	for i := range t.Cooks {
		d, ok := dayOf(t, &t.Cooks[i])
		level := c.Factor.Cook[i]
		if ok && level >= 0 && (starts[level] < 0 || d.Days() < starts[level]) {
			starts[level] = d.Days()
		}
	}
	var out []int
	for level, day := range starts {
		if day > first.Days() && day > t.Declared.V.Days() {
			out = append(out, level)
		}
	}
	if len(out) == len(starts) {
		return nil
	}
	return out
}
