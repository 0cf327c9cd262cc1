package fairness

import (
	"testing"

	"tamis/internal/trial"
)

func TestTastersTalked(t *testing.T) {
	t.Parallel()
	alike := func(tr *trial.Trial) {
		tr.Panel.V.Together = trial.Opt[bool]{}
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			s.Values.Set("firmness", trial.Reading{V: 4 + float64(s.Cook[2]-'0') + 0.5*float64(i%2)})
		}
	}
	outcomes(t, "tasters-talked", []expect{
		{name: "together", trial: swapped("together: no", "together: yes"), outcome: Fires, severity: Weakens, says: "The 6 sheets then hold little more than one opinion"},
		{name: "apart", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "not stated, all alike", trial: changed(alike), outcome: Fires, severity: Note, value: 1, says: "On 100 % of the samples all tasters agree on firmness"},
		{name: "not stated, three tasters alike", trial: changed(func(tr *trial.Trial) {
			alike(tr)
			onlyTasters(tr, 3)
		}), outcome: CannotJudge, missing: "panel.together"},
		{name: "not stated, a short scale", trial: changed(func(tr *trial.Trial) {
			alike(tr)
			tr.Measures[0].Scale.High = 7
			tr.Measures = tr.Measures[:1]
		}), outcome: CannotJudge, missing: "panel.together"},
		{name: "not stated", trial: swapped("  together: no\n", ""), outcome: CannotJudge, missing: "panel.together"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
	})
}
