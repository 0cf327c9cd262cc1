package fairness

import (
	"testing"

	"tamis/internal/trial"
)

// withoutLiking drops the measure that asks liking.
func withoutLiking(tr *trial.Trial) {
	tr.Measures = tr.Measures[:1]
	for i := range tr.Panel.V.Scores {
		tr.Panel.V.Scores[i].Values.Delete("liking")
		tr.Panel.V.Scores[i].Values.Delete("saltiness")
	}
}

func TestTastersKnew(t *testing.T) {
	t.Parallel()
	guessed := func(correct int) func(testing.TB) *trial.Trial {
		return changed(func(tr *trial.Trial) { tr.Panel.V.Guessed.V.Correct = correct })
	}
	outcomes(t, "tasters-knew", []expect{
		{name: "not blind, liking", trial: swapped("blind: yes", "blind: no"), outcome: Fires, severity: Blocks, about: AboutLiking, says: "Tasters knew which piece was which"},
		{name: "not blind, firmness alone", trial: changed(func(tr *trial.Trial) {
			withoutLiking(tr)
			tr.Panel.V.Blind.V = false
		}), outcome: Fires, severity: Weakens, about: AboutTasted},
		// P(X ≥ 8) for 12 guesses at 1/3 is 0.0188, P(X ≥ 9) is 0.0039 (binomial sums by hand).
		{name: "8 of 12 at a third", trial: guessed(8), outcome: Fires, severity: Note, value: 0.0188, says: "8 of 12 guesses were right where luck gives 4"},
		{name: "9 of 12 at a third", trial: guessed(9), outcome: Fires, severity: Blocks, value: 0.00386},
		{name: "5 of 12 at a third", trial: guessed(5), outcome: Clear},
		{name: "looks not masked", trial: swapped("looks_masked: red light", "looks_masked: no"), outcome: Fires, severity: Note, says: "Codes were hidden, looks were not"},
		{name: "looks not stated", trial: swapped("  looks_masked: red light\n", ""), outcome: Clear, says: "blind as stated"},
		{name: "blind not stated", trial: swapped("  blind: yes\n", ""), outcome: CannotJudge, missing: "panel.blind"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
		{name: "readings in a unit only", trial: snippet("measures: {shear: {unit: N}}\npanel: {blind: no}\n"), outcome: DoesNotApply},
	})
}
