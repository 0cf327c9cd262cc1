package fairness

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

const twoOfTwo = `cooks: [{id: A, set_point: 46 °C, session: s1, order: 1, bath: n}, {id: B, set_point: 54 °C, session: s1, order: 2, bath: s},
  {id: C, set_point: 54 °C, session: s2, order: 1, bath: n}, {id: D, set_point: 46 °C, session: s2, order: 2, bath: s}]`

func TestOneRunPerSetPoint(t *testing.T) {
	t.Parallel()
	runGrafts(t, "one-run-per-set-point", []grafted{
		{name: "once each", snippets: on(`cooks: [{set_point: 46 °C}, {set_point: 54 °C}]`), outcome: Fires, severity: Blocks,
			says: "46 °C and 54 °C were cooked once each. Whatever else was special about that run looks exactly like the set point. 6 pieces and 6 tasters do not change this. What went along with it here: the bath and the order.", value: 1},
		{name: "twice each", snippets: on(twoOfTwo), outcome: Fires, severity: Weakens, says: "46 °C and 54 °C were cooked only twice.", value: 2},
		{name: "one of three once", snippets: on(`cooks: [{set_point: 46 °C}, {set_point: 54 °C}, {set_point: 58 °C}, {set_point: 54 °C}, {set_point: 46 °C}, {set_point: 46 °C}, {set_point: 54 °C}]`),
			outcome: Fires, severity: Blocks, says: "58 °C was cooked once.", value: 1},
		{name: "two bags in one bath are one run", snippets: on(`cooks: [{set_point: 46 °C, bath: n, session: s1, started: 10:00, out: 11:00}, {set_point: 46 °C, bath: n, session: s1, started: 10:05, out: 11:00},
      {set_point: 54 °C, bath: s, session: s1}, {set_point: 54 °C, bath: n, session: s2}]`), outcome: Fires, severity: Blocks, says: "46 °C was cooked once."},
		{name: "fair", outcome: Clear},
		{name: "one arm", snippets: on(`cooks: [{set_point: 46 °C}, {set_point: 46 °C}]`), outcome: DoesNotApply},
		{name: "asked for four", snippets: on(`thresholds: {min-runs: 4}`), outcome: Fires, severity: Weakens, value: 3},
	})
	covered := judged(t, "one-run-per-set-point", `cooks: [
    {set_point: 48 °C, pieces: [{source: f1}, {source: f2}, {source: f3}, {source: f4}, {source: f5}, {source: f6}]},
    {set_point: 54 °C, pieces: [{source: f1}, {source: f2}, {source: f3}, {source: f4}, {source: f5}, {source: f6}]}]`)
	if got := covered.Text.Text(quantity.Metric); !strings.Contains(got, "Differences between the 6 sources are covered; only those between runs are not.") {
		t.Error(got)
	}
	if covered.Value.Or(0) != 1 || len(covered.Where.Pairs) != 1 {
		t.Errorf("%+v", covered)
	}
}

func TestSplitRun(t *testing.T) {
	t.Parallel()
	runGrafts(t, "split-run", []grafted{
		{name: "half an hour of an hour", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: n, session: s1, started: 10:00, out: 11:00}, {id: B, set_point: 64 °C, bath: n, session: s1, started: 10:29, out: 11:29}]`),
			outcome: Fires, severity: Note, says: "A and B (64 °C) stood in one bath at one time.", value: 31.0 / 60},
		{name: "just half is not more than half", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: n, session: s1, started: 10:00, out: 11:00}, {id: B, set_point: 64 °C, bath: n, session: s1, started: 10:30, out: 11:30}]`), outcome: Clear},
		{name: "over midnight", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: n, session: s1, started: 23:30, out: 00:30}, {id: B, set_point: 64 °C, bath: n, session: s1, started: 23:35, out: 00:35}]`), outcome: Fires, severity: Note},
		{name: "two baths", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: n, session: s1, started: 10:00, out: 11:00}, {id: B, set_point: 64 °C, bath: s, session: s1, started: 10:00, out: 11:00}]`), outcome: Clear},
		{name: "start not known", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: n, session: s1, started: ~, out: ~}, {id: B, set_point: 64 °C, bath: n, session: s1}]`), outcome: CannotJudge, missing: "cooks.started"},
		{name: "the only bath of the file", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: ~, session: s1, started: 10:00, out: 11:00}, {id: B, set_point: 64 °C, bath: ~, session: s1, started: 10:10, out: 11:10}]`, `baths: {north: {volume: 20 l}}`), outcome: Fires, severity: Note, says: "stood in one bath at one time"},
		{name: "bath not known", snippets: on(`cooks: [{id: A, set_point: 64 °C, bath: ~, session: s1}, {id: B, set_point: 64 °C, session: s1}]`), outcome: CannotJudge, missing: "cooks.bath"},
		{name: "once each", snippets: on(`cooks: [{set_point: 46 °C}, {set_point: 54 °C}]`), outcome: DoesNotApply},
		{name: "fair", outcome: Clear},
	})
}

func TestLooksCountedAsRuns(t *testing.T) {
	t.Parallel()
	alike := "assessor,session,position,cook,firmness\n"
	for _, who := range fairTasters {
		for i, cook := range []string{"A", "B", "C", "D", "E", "F"} {
			// Looks at a run agree nearly, the runs of an arm do not.
			alike += who + "," + []string{"first", "second"}[i/3] + "," + string(rune('1'+i%3)) + "," + cook + "," + []string{"3", "4", "5", "7.5", "8", "8.5"}[i] + "\n"
		}
	}
	sheet := "scores: |\n"
	for _, line := range strings.Split(strings.TrimSpace(alike), "\n") {
		sheet += "  " + line + "\n"
	}
	runGrafts(t, "looks-counted-as-runs", []grafted{
		{name: "unit is the piece", snippets: on(`analysis: {unit: piece}`), outcome: Fires, severity: Blocks, says: "The analysis counted each piece for itself, but set points were given to whole cooks. There are 9 runs"},
		{name: "n of the looks", snippets: on(`conclusion: "56 °C was firmer (n = 54)."`), outcome: Fires, severity: Weakens, says: "“n = 54” counts looks", value: 54},
		{name: "n of the runs", snippets: on(`conclusion: "56 °C was firmer (n = 9)."`), outcome: Clear},
		{name: "runs that differ", snippets: on(`cooks: [{set_point: 48 °C}, {set_point: 52 °C}, {set_point: 56 °C}, {set_point: 52 °C}, {set_point: 48 °C}, {set_point: 56 °C}]`, sheet),
			outcome: Fires, severity: Note, says: "6 looks at one run are worth about 1.0 independent ones", value: 6},
		{name: "one run each, planning value", snippets: on(`cooks: [{set_point: 48 °C}, {set_point: 52 °C}, {set_point: 56 °C}]`), outcome: Fires, severity: Note, value: 1 + 5*0.3},
		{name: "one run each, no planning value", snippets: on(`{thresholds: {icc: none}, cooks: [{set_point: 48 °C}, {set_point: 52 °C}, {set_point: 56 °C}]}`), outcome: CannotJudge, few: "runs at one set point"},
		{name: "fair", outcome: Clear},
	})
}

func TestAgreement(t *testing.T) {
	t.Parallel()
	// Two runs of one level, values 1, 3 and 5, 7: MS between 16, MS within 2, two
	// looks a run, so the variance between runs is 7 and the ICC 7/9.
	icc, ok := agreement([]bathRun{{Level: 0}, {Level: 0}}, [][]float64{{1, 3}, {5, 7}}, 1)
	if !ok {
		t.Fatal("not estimated")
	}
	nineDigits(t, "ICC", icc, 7.0/9, "analysis of variance by hand")
	// Means that agree better than chance give 0 and no less.
	if icc, ok := agreement([]bathRun{{Level: 0}, {Level: 0}}, [][]float64{{1, 9}, {2, 8}}, 1); !ok || icc != 0 {
		t.Errorf("%v %v", icc, ok)
	}
	for name, looks := range map[string][][]float64{"one look each": {{1}, {2}}, "one run": {{1, 2}, nil}, "constant": {{3, 3}, {3, 3}}, "empty": {nil, nil}} {
		if _, ok := agreement([]bathRun{{Level: 0}, {Level: 0}}, looks, 1); ok {
			t.Errorf("%s: estimated", name)
		}
	}
}

func TestRunOrderFollowsSetPoint(t *testing.T) {
	t.Parallel()
	up := `cooks: [{set_point: 46 °C, session: s1, order: 1}, {set_point: 50 °C, session: s1, order: 2}, {set_point: 54 °C, session: s1, order: 3}, {set_point: 58 °C, session: s1, order: 4}]`
	runGrafts(t, "run-order-follows-set-point", []grafted{
		{name: "from cold to hot", snippets: on(up), outcome: Fires, severity: Blocks, says: "were run from low to high.", value: 1},
		{name: "hot to cold, by the clock", snippets: on(`cooks: [{set_point: 58 °C, session: s1, order: ~, started: 10:00}, {set_point: 54 °C, session: s1, started: 10:30}, {set_point: 50 °C, session: s1, started: 11:00}]`),
			outcome: Fires, severity: Blocks, says: "from high to low", value: 1},
		{name: "the same every day", snippets: on(`cooks: [{set_point: 50 °C, order: 1}, {set_point: 46 °C, order: 2}, {set_point: 54 °C, order: 3}, {set_point: 50 °C, order: 1}, {set_point: 46 °C, order: 2}, {set_point: 54 °C, order: 3}]`),
			outcome: Fires, severity: Weakens, says: "in the same order in every session", value: 1},
		{name: "the same every day, numbered on", snippets: on(`cooks: [{set_point: 50 °C, session: s1, order: 1}, {set_point: 46 °C, session: s1, order: 2}, {set_point: 54 °C, session: s1, order: 3}, {set_point: 50 °C, session: s2, order: 4}, {set_point: 46 °C, session: s2, order: 5}, {set_point: 54 °C, session: s2, order: 6}]`),
			outcome: Fires, severity: Weakens, says: "in the same order in every session", value: 1},
		{name: "the same every day, by the clock", snippets: on(`cooks: [{set_point: 50 °C, session: s1, order: ~, started: 10:00, out: 10:50}, {set_point: 46 °C, session: s1, started: 11:30, out: 12:20}, {set_point: 54 °C, session: s1, started: 12:50, out: 13:40}, {set_point: 50 °C, session: s2, started: 9:00, out: 9:50}, {set_point: 46 °C, session: s2, started: 10:20, out: 11:10}, {set_point: 54 °C, session: s2, started: 12:00, out: 12:50}]`),
			outcome: Fires, severity: Weakens, says: "in the same order in every session", value: 1},
		{name: "all in at once", snippets: on(`cooks: [{set_point: 46 °C, session: s1, order: 1, started: 10:00}, {set_point: 50 °C, session: s1, order: 2, started: 10:04}, {set_point: 54 °C, session: s1, order: 3, started: 10:10}]`), outcome: Clear, says: "went in together"},
		{name: "all in at once, and always in one order", snippets: on(`cooks: [{set_point: 46 °C, session: s1, order: 1, started: 10:00}, {set_point: 50 °C, session: s1, order: 2, started: 10:05}, {set_point: 46 °C, session: s2, order: 1, started: 10:00}, {set_point: 50 °C, session: s2, order: 2, started: 10:05}]`),
			outcome: Fires, severity: Note, says: "from low to high, session after session", value: 1},
		{name: "all in at once, this way and that", snippets: on(`cooks: [{set_point: 46 °C, session: s1, order: 1, started: 10:00}, {set_point: 50 °C, session: s1, order: 2, started: 10:05}, {set_point: 50 °C, session: s2, order: 1, started: 10:00}, {set_point: 46 °C, session: s2, order: 2, started: 10:05}]`), outcome: Clear},
		{name: "not written down", snippets: on(`cooks: [{id: A, set_point: 46 °C, order: ~, started: ~, out: ~, time: 50 min}, {id: B, set_point: 50 °C}]`), outcome: CannotJudge, missing: "cooks.order"},
		{name: "one a session", snippets: on(`cooks: [{set_point: 46 °C, session: s1}, {set_point: 50 °C, session: s2}]`), outcome: CannotJudge, few: "cooks in one session"},
		{name: "drawn, and no better order", snippets: on(`{drawn: {order: yes}, cooks: [{set_point: 48 °C, session: s1, order: 1, started: 10:00}, {set_point: 62 °C, session: s1, order: 3, started: 12:00}, {set_point: 50 °C, session: s1, order: 2, started: 11:00}]}`), outcome: Fires, severity: Blocks},
		{name: "drawn by lot, as good as any", snippets: on(drawnPair("yes")), outcome: Clear, says: "drawn by lot"},
		{name: "the same, not drawn", snippets: on(drawnPair("no")), outcome: Fires, severity: Weakens},
		{name: "fair", outcome: Clear},
	})
}

// drawnPair has one pair of unlike cooks and one of like ones: whatever the order,
// r and ρ are ±√½.
func drawnPair(drawn string) string {
	return `{drawn: {order: ` + drawn + `}, cooks: [{set_point: 48 °C, session: s1, order: 1, started: 10:00}, {set_point: 56 °C, session: s1, order: 2, started: 12:00},
    {set_point: 48 °C, session: s2, order: 1, started: 10:00}, {set_point: 48 °C, session: s2, order: 2, started: 11:00}]}`
}

func TestSessionTiedToSetPoint(t *testing.T) {
	t.Parallel()
	runGrafts(t, "session-tied-to-set-point", []grafted{
		{name: "a day each", snippets: on(`cooks: [{set_point: 62 °C, session: mon}, {set_point: 62 °C, session: mon}, {set_point: 68 °C, session: tue}, {set_point: 68 °C, session: tue}]`),
			outcome: Fires, severity: Blocks, says: "62 °C and 68 °C were cooked in different sessions and never together. What the session did and what the set point did cannot be told apart.", value: 1},
		{name: "one of three apart", snippets: on(`cooks: [{set_point: 62 °C, session: mon}, {set_point: 64 °C, session: mon}, {set_point: 68 °C, session: tue}, {set_point: 68 °C, session: tue}]`),
			outcome: Fires, severity: Weakens, says: "62 °C and 68 °C, 64 °C and 68 °C never met in one session."},
		{name: "uneven", snippets: on(`cooks: [{set_point: 62 °C, session: mon}, {set_point: 62 °C, session: mon}, {set_point: 62 °C, session: mon}, {set_point: 68 °C, session: mon}, {set_point: 68 °C, session: tue}, {set_point: 68 °C, session: tue}, {set_point: 68 °C, session: tue}, {set_point: 68 °C, session: tue}]`),
			outcome: Fires, severity: Weakens, says: "did not get 62 °C and 68 °C alike"},
		{name: "a block of its own", snippets: on(`cooks: [{set_point: 62 °C, session: mon, block: b1}, {set_point: 68 °C, session: mon, block: b2}, {set_point: 68 °C, session: tue, block: b2}, {set_point: 62 °C, session: tue, block: b1}]`),
			outcome: Fires, severity: Blocks, says: "in different blocks"},
		{name: "one session", snippets: on(`cooks: [{set_point: 62 °C, session: mon}, {set_point: 68 °C, session: mon}]`), outcome: Clear},
		{name: "by the date of the start", snippets: on(`cooks: [{set_point: 62 °C, session: ~, started: 2026-02-10 10:00, out: 2026-02-10 11:00}, {set_point: 68 °C, session: ~, started: 2026-02-11 10:00, out: 2026-02-11 11:00}]`), outcome: Fires, severity: Blocks},
		{name: "not written down", snippets: on(`cooks: [{set_point: 62 °C, session: ~}, {set_point: 68 °C, session: mon}]`), outcome: CannotJudge, missing: "cooks.session"},
		{name: "fair", outcome: Clear},
	})
}

func TestBathTiedToSetPoint(t *testing.T) {
	t.Parallel()
	own := `cooks: [{set_point: 48 °C, bath: n}, {set_point: 48 °C, bath: n}, {set_point: 54 °C, bath: s}, {set_point: 54 °C, bath: s}]`
	runGrafts(t, "bath-tied-to-set-point", []grafted{
		{name: "own bath, thermometers known", snippets: on(own), outcome: Fires, severity: Weakens, says: "48 °C had only the bath n and 54 °C only the bath s. A fault of one bath would look like the set point.", value: 1},
		{name: "own bath, nothing known", snippets: on(own, `baths: {n: {volume: 20 l}}`), outcome: Fires, severity: Blocks},
		{name: "one bath", snippets: on(`cooks: [{set_point: 48 °C, bath: n}, {set_point: 54 °C, bath: n}]`), outcome: Clear},
		{name: "not written down", snippets: on(`cooks: [{set_point: 48 °C, bath: ~}, {set_point: 54 °C, bath: n}]`, `baths: {n: {reads: 0 °C high}, s: {reads: 0 °C high}}`), outcome: CannotJudge, missing: "cooks.bath"},
		{name: "not written down, one bath in the house", snippets: on(`cooks: [{set_point: 48 °C, bath: ~}, {set_point: 54 °C, bath: n}]`), outcome: Clear},
		{name: "fair", outcome: Clear},
	})
}

func TestDriftOverRuns(t *testing.T) {
	t.Parallel()
	// Means less their set points fall by 1 a run, with a wobble far below it.
	falling := `cooks: [{set_point: 48 °C, session: s, order: 1, firmness: 7.0}, {set_point: 56 °C, session: s, order: 2, firmness: 7.1}, {set_point: 56 °C, session: s, order: 3, firmness: 6.0}, {set_point: 48 °C, session: s, order: 4, firmness: 4.0},
    {set_point: 48 °C, session: s, order: 5, firmness: 3.1}, {set_point: 56 °C, session: s, order: 6, firmness: 3.0}, {set_point: 48 °C, session: s, order: 7, firmness: 1.0}, {set_point: 56 °C, session: s, order: 8, firmness: 1.1}]`
	noSheet := `panel: {scores: ~}`
	runGrafts(t, "drift-over-runs", []grafted{
		{name: "falling", snippets: on(falling, noSheet), outcome: Fires, severity: Weakens, says: "from the first run to the last"},
		{name: "only two degrees of freedom", snippets: on(`cooks: [{set_point: 48 °C, session: s, order: 1, firmness: 7}, {set_point: 56 °C, session: s, order: 2, firmness: 6}, {set_point: 56 °C, session: s, order: 3, firmness: 5}, {set_point: 48 °C, session: s, order: 4, firmness: 4.5}, {set_point: 48 °C, session: s, order: 5, firmness: 4}]`, noSheet),
			outcome: CannotJudge, few: "runs"},
		{name: "order not written down", snippets: on(`cooks: [{id: A, set_point: 48 °C, order: ~, started: ~, out: ~, time: 50 min}, {id: B, set_point: 56 °C}, {id: C, set_point: 48 °C}]`), outcome: CannotJudge, missing: "cooks.order"},
		{name: "one arm", snippets: on(`cooks: [{set_point: 48 °C}, {set_point: 48 °C}]`), outcome: DoesNotApply},
		{name: "fair", outcome: Clear},
	})
}

// The cakes of Cook 1938: the batches, numbered 1 to 15 for each recipe, fall from
// the first to the last.
func TestDriftOfTheCakes(t *testing.T) {
	t.Parallel()
	tr, _, err := trialfile.Read("../../testdata/cake/cake.yaml", trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatal(err)
	}
	f := judgedAbout(t, "drift-over-runs", trial.SetPointFactor, tr)
	wants(t, f, Fires, Weakens)
	const r = "lm of the batch means on recipe and number of the batch, R 4.2.2"
	nineDigits(t, "p", f.Value.Or(0), 3.57859097988123e-07, r)
	nineDigits(t, "slope", f.Details[0].Value.Or(0), -1.03373015873016, r)
	nineDigits(t, "drift", f.Details[1].Value.Or(0), -14*1.03373015873016, r)
	nineDigits(t, "range", f.Details[2].Value.Or(0), 7.86666666666666, "means of the temperatures, R 4.2.2")
	if got, want := f.Text.Text(quantity.Metric), "Angle moved by 14.5 ° from the first block to the last"; !strings.HasPrefix(got, want) {
		t.Errorf("%q", got)
	}
}
