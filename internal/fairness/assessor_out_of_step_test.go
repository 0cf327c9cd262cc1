package fairness

import (
	"slices"
	"testing"

	"tamis/internal/trial"
)

// scored sets each firmness by taster, arm and row.
func scored(of func(who, arm, row int) float64) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			who := map[string]int{"anna": 0, "ben": 1, "cleo": 2, "dora": 3, "emil": 4, "freya": 5}[s.Assessor]
			s.Values.Set("firmness", trial.Reading{V: of(who, int(s.Cook[2]-'1'), i)})
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
		{name: "dora upside down, on three samples", trial: changed(func(tr *trial.Trial) {
			scored(func(who, arm, row int) float64 {
				if who == 3 {
					return 7 - 1.5*float64(arm) + chance(row)
				}
				return inStep(who, arm, row)
			})(tr)
			p := tr.Panel.V
			seen := map[string]bool{} // one sample of each cook of the first session
			p.Scores = slices.DeleteFunc(slices.Clone(p.Scores), func(s trial.Score) bool {
				again := seen[s.Assessor+s.Cook] || s.Session.V != tr.Cooks[0].Session.V
				seen[s.Assessor+s.Cook] = true
				return again
			})
			tr.Panel = trial.Some(p)
		}), stage: Scored, outcome: Fires, severity: Note, says: "P4 scored firmness the other way round from nearly all others"},
		{name: "dora flat", trial: changed(scored(func(who, arm, row int) float64 {
			if who == 3 {
				return 5 + 0.5*float64(row/36-1) // by session alone
			}
			return inStep(who, arm, row)
		})), stage: Scored, outcome: Fires, severity: Note, says: "P4 could tell nothing apart in firmness"},
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
