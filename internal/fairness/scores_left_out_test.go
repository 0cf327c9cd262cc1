package fairness

import (
	"testing"

	"tamis/internal/trial"
)

func TestScoresLeftOut(t *testing.T) {
	t.Parallel()
	out := func(reason string, which func(row int, s *trial.Score) bool) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			for i := range tr.Panel.V.Scores {
				if s := &tr.Panel.V.Scores[i]; which(i, s) {
					s.LeftOut = trial.Some(reason)
				}
			}
		}
	}
	one := func(row int, _ *trial.Score) bool { return row == 5 }
	outcomes(t, "scores-left-out", []expect{
		{name: "one, with reason and rule", trial: changed(out("sheet unfinished", one)), stage: Scored, outcome: Fires, severity: Note, value: 1, says: "1 score was left out (sheet unfinished)."},
		{name: "no reason", trial: changed(out("yes", one)), stage: Scored, outcome: Fires, severity: Weakens, says: "not all with a reason"},
		{name: "no rule", trial: changed(func(tr *trial.Trial) {
			out("odd", one)(tr)
			tr.LeftOutRule = trial.Opt[string]{}
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "no rule for that was fixed"},
		{name: "another answer", trial: changed(func(tr *trial.Trial) {
			// Half of the panel sees the opposite; without them there is a difference.
			scored(func(who, arm, row int) float64 {
				if who < 3 {
					return 5 - 1.2*float64(arm-1) + chance(row)
				}
				return 5 + 1.2*float64(arm-1) + chance(row)
			})(tr)
			out("sheet unfinished", func(_ int, s *trial.Score) bool { return s.Assessor < "d" })(tr)
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "the answer is another one"},
		{name: "all there", trial: func(t testing.TB) *trial.Trial { return sound(t) }, stage: Scored, outcome: Clear},
		{name: "no key", trial: changed(func(tr *trial.Trial) { tr.Panel.V.Key = nil }), stage: Scored, outcome: CannotJudge, missing: "panel.key"},
		{name: "a code without rows", trial: changed(func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool { return s.Code.V != "104" })
		}), stage: Scored, outcome: CannotJudge, missing: "panel.scores", says: "104"},
		{name: "no panel", trial: snippet(""), stage: Scored, outcome: DoesNotApply},
	})
}
