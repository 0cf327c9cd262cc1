package fairness

import (
	"testing"

	"tamis/internal/trial"
)

func TestCookTasted(t *testing.T) {
	t.Parallel()
	cooked := func(ids ...string) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			for i := range tr.Panel.V.Assessors {
				for _, id := range ids {
					if a := &tr.Panel.V.Assessors[i]; a.ID == id {
						a.Cooked = trial.Some(true)
					}
				}
			}
		}
	}
	// anna alone finds the set points upside down, and strongly.
	upsideDown := func(tr *trial.Trial) {
		for i := range tr.Panel.V.Scores {
			if s := &tr.Panel.V.Scores[i]; s.Assessor == "anna" {
				v := s.Values.Of("firmness")
				v.V = 10 - v.V
				s.Values.Set("firmness", v)
			}
		}
	}
	outcomes(t, "cook-tasted", []expect{
		{name: "one", trial: changed(cooked("anna")), outcome: Fires, severity: Note, value: 1, says: "P1 cooked or chose the set points, and scored"},
		{name: "most", trial: changed(cooked("anna", "ben", "cleo", "dora")), outcome: Fires, severity: Weakens, value: 4, says: "they are 4 of 6 tasters"},
		{name: "chose", trial: swapped("anna: {kind: trained, cooked: no, chose: no}", "anna: {kind: trained, cooked: no, chose: yes}"), outcome: Fires, severity: Note},
		{name: "moves the answer", trial: changed(func(tr *trial.Trial) {
			cooked("anna")(tr)
			upsideDown(tr)
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "Without them the change in firmness is 2."},
		{name: "nobody", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "not stated for one", trial: swapped("    anna: {kind: trained, cooked: no, chose: no}\n", ""), outcome: CannotJudge, missing: "panel.assessors.cooked"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
		{name: "a panel of nobody", trial: snippet("panel: {blind: yes}\n"), outcome: CannotJudge, missing: "panel.assessors"},
	})
}
