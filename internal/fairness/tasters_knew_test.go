package fairness

import (
	"testing"

	"tamis/internal/trial"
)

// withoutLiking drops the measure that asks liking.
func withoutLiking(tr *trial.Trial) {
	tr.Measures = tr.Measures[:1]
	for i := range tr.Panel.V.Scores {
		delete(tr.Panel.V.Scores[i].Values, "liking")
		delete(tr.Panel.V.Scores[i].Values, "saltiness")
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
				v := s.Values["firmness"]
				v.V = 10 - v.V
				s.Values["firmness"] = v
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

func TestTastersTalked(t *testing.T) {
	t.Parallel()
	alike := func(tr *trial.Trial) {
		tr.Panel.V.Together = trial.Opt[bool]{}
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			s.Values["firmness"] = trial.Reading{V: 4 + float64(s.Cook[2]-'0') + 0.5*float64(i%2)}
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

func TestNotAllTastedAll(t *testing.T) {
	t.Parallel()
	// keeps says which tasters, by place in the alphabet, score a set point.
	keeps := func(of func(who, arm int) bool) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool {
				who := map[string]int{"anna": 0, "ben": 1, "cleo": 2, "dora": 3, "emil": 4, "freya": 5}[s.Assessor]
				return of(who, int(s.Cook[2]-'1'))
			})
		}
	}
	incomplete := func(of func(who, arm int) bool) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			keeps(of)(tr)
			tr.Panel.V.Plan = trial.Some(trial.IncompleteBlocks)
		}
	}
	outcomes(t, "not-all-tasted-all", []expect{
		{name: "two panels", trial: changed(keeps(func(who, arm int) bool { return (who < 3) == (arm < 2) })), outcome: Fires, severity: Blocks, value: 1,
			says: "46 °C and 50 °C, and 54 °C, were scored by different people"},
		{name: "own tasters each", trial: changed(keeps(func(who, arm int) bool { return who/2 == arm })), outcome: Fires, severity: Blocks, value: 2},
		{name: "one misses one", trial: changed(keeps(func(who, arm int) bool { return who != 0 || arm != 0 })), outcome: Fires, severity: Weakens, value: 1, says: "P1 did not taste every set point"},
		{name: "planned and even", trial: changed(incomplete(func(who, arm int) bool { return who%3 != arm })), outcome: Clear},
		{name: "planned and uneven", trial: changed(incomplete(func(who, arm int) bool { return who == 5 && arm < 2 || who < 5 && arm > 0 })), outcome: Fires, severity: Weakens},
		{name: "all", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "nameless", trial: changed(func(tr *trial.Trial) { tr.Panel.V.Scores[3].Assessor = "" }), outcome: CannotJudge, missing: "scores.assessor"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
		{name: "brine has its own tasters", trial: changed(func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool { return (s.Assessor < "d") == (s.Piece.V[3] == 'a') })
		}), factor: "brine", outcome: Fires, severity: Blocks, value: 1},
	})
}
