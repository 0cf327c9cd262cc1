package fairness

import (
	"testing"

	"tamis/internal/trial"
)

// scored sets each firmness by taster, arm and row.
func scored(of func(who, arm, row int) float64) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			who := map[string]int{"anna": 0, "ben": 1, "cleo": 2, "dora": 3, "emil": 4, "freya": 5}[s.Assessor]
			s.Values["firmness"] = trial.Reading{V: of(who, int(s.Cook[2]-'1'), i)}
		}
	}
}

// chance is a number from -0.5 to 0.5 for a row, without pattern and without a
// generator.
func chance(row int) float64 { return float64((row*37+row*row*11)%101)/100 - 0.5 }

func TestAssessorOutOfStep(t *testing.T) {
	t.Parallel()
	inStep := func(who, arm, row int) float64 { return 3 + 2*float64(arm) + chance(row) }
	outcomes(t, "assessor-out-of-step", []expect{
		{name: "dora upside down", trial: changed(scored(func(who, arm, row int) float64 {
			if who == 3 {
				return 7 - 1.5*float64(arm) + chance(row)
			}
			return inStep(who, arm, row)
		})), stage: Scored, outcome: Fires, severity: Weakens, says: "P4 scored firmness against the rest of the panel. With P4 the change is"},
		{name: "dora flat", trial: changed(scored(func(who, arm, row int) float64 {
			if who == 3 {
				return 5 + 0.5*float64(row/36-1) // by session alone
			}
			return inStep(who, arm, row)
		})), stage: Scored, outcome: Fires, severity: Note, says: "P4 told nothing apart in firmness"},
		{name: "P4 spreads far", trial: changed(scored(func(who, arm, row int) float64 {
			if who == 3 {
				return 5 + 3.4*float64(arm-1) + chance(row)
			}
			return 5 + float64(arm-1) + chance(row)
		})), stage: Scored, outcome: Fires, severity: Note, says: "P4 spread the scores of firmness"},
		{name: "all in step", trial: changed(scored(inStep)), stage: Scored, outcome: Clear},
		{name: "three tasters", trial: changed(func(tr *trial.Trial) { onlyTasters(tr, 3) }), stage: Scored, outcome: CannotJudge, few: "assessors"},
		{name: "two set points", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				if i%3 == 2 {
					tr.Cooks[i].SetPoint = tr.Cooks[0].SetPoint
				}
			}
		}), stage: Scored, outcome: CannotJudge, few: "set points"},
		{name: "talked", trial: swapped("together: no", "together: yes"), stage: Scored, outcome: DoesNotApply},
		{name: "no panel", trial: snippet("measures: {shear: {unit: N}}\n"), stage: Scored, outcome: DoesNotApply},
	})
}

func TestPanelSplits(t *testing.T) {
	t.Parallel()
	camps := func(turned int) func(testing.TB) *trial.Trial {
		return changed(scored(func(who, arm, row int) float64 {
			up := 1.0
			if who < turned {
				up = -1
			}
			return 5 + up*1.5*float64(arm-1) + chance(row) + 0.4*float64(arm)
		}))
	}
	// spread has 9 of 20 the other way too, but with everything between: no camps.
	spread := func(t testing.TB, tr *trial.Trial) *trial.Trial {
		t.Helper()
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			v := 5.0
			if s.Cook == "A" {
				v += 0.2 * (float64(i/2) - 8.5)
			}
			s.Values["liking"] = trial.Reading{V: v}
		}
		return tr
	}
	liking := func(turned, of int) func(testing.TB) *trial.Trial {
		return func(t testing.TB) *trial.Trial {
			text := "aim: {measure: liking, best: highest}\nmeasures: {liking: {scale: 1 to 9, role: liking}}\npanel: {scores: scores.csv, blind: yes}\n" +
				"food: {name: trout}\ncooks: [{id: A, set_point: 46 °C, time: 30 min}, {id: B, set_point: 52 °C, time: 30 min}]\n"
			sheet := "assessor,cook,liking\n"
			for i := range of {
				a, b := "6", "4"
				if i < turned {
					a, b = "4", "6"
				}
				id := string(rune('a'+i/26)) + string(rune('a'+i%26))
				sheet += id + ",A," + a + "\n" + id + ",B," + b + "\n"
			}
			return readText(t, "tamis: 1\ntitle: t\n"+text, map[string]string{"scores.csv": sheet})
		}
	}
	outcomes(t, "panel-splits", []expect{
		{name: "two of six the other way", trial: camps(2), stage: Scored, outcome: Fires, severity: Weakens, value: 1.0 / 3, says: "4 of 6 tasters scored"},
		{name: "one of six the other way", trial: camps(1), stage: Scored, outcome: Clear},
		{name: "nobody", trial: camps(0), stage: Scored, outcome: Clear},
		{name: "9 of 20 like the other one", trial: liking(9, 20), stage: Scored, outcome: Fires, severity: Weakens, value: 0.45, says: "11 of 20 tasters scored 46 °C higher in liking, 9 scored 52 °C higher"},
		{name: "9 of 20, and everything between", trial: func(t testing.TB) *trial.Trial { return spread(t, liking(9, 20)(t)) }, stage: Scored, outcome: Fires, severity: Note, value: 0.45},
		{name: "3 of 20 like the other one", trial: liking(3, 20), stage: Scored, outcome: Clear},
		{name: "5 of 11 like the other one", trial: liking(5, 11), stage: Scored, outcome: CannotJudge, few: "assessors"},
		{name: "nothing twice", trial: func(t testing.TB) *trial.Trial {
			tr := liking(9, 20)(t)
			tr.Measures[0].Role = trial.Some("texture")
			return tr
		}, stage: Scored, outcome: CannotJudge, missing: "scores.repeat"},
		{name: "no panel", trial: snippet("measures: {shear: {unit: N}}\n"), stage: Scored, outcome: DoesNotApply},
	})
}

// TestSplitOfOneReversed holds that a split that is one reversed taster is told
// under that taster.
func TestSplitOfOneReversed(t *testing.T) {
	t.Parallel()
	tr := sound(t)
	onlyTasters(tr, 4)
	scored(func(who, arm, row int) float64 {
		if who == 3 {
			return 8 - 2*float64(arm) + chance(row)
		}
		return 3 + 2*float64(arm) + chance(row)
	})(tr)
	split := ask(t, "panel-splits", "", tr, Scored)
	if split.Outcome != Fires || split.Under != "assessor-out-of-step" {
		t.Errorf("%s under %q, want it to fire under assessor-out-of-step: %+v", split.Outcome, split.Under, split.Details)
	}
}
