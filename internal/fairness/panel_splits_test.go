package fairness

import (
	"testing"

	"tamis/internal/trial"
)

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
			s.Values.Set("liking", trial.Reading{V: v})
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
		{name: "liking that does not decide", trial: func(t testing.TB) *trial.Trial {
			tr := liking(9, 20)(t)
			tr.Measures = append(tr.Measures, trial.Measure{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}})
			tr.Aims[0].Measure = "firmness"
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				s.Values.Set("firmness", trial.Reading{V: map[string]float64{"A": 3, "B": 7}[s.Cook] + chance(i)})
			}
			return tr
		}, stage: Scored, outcome: Fires, severity: Weakens, value: 0.45, says: "11 of 20 tasters scored 46 °C higher in liking"},
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
