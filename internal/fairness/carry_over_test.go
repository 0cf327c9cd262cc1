package fairness

import (
	"testing"

	"tamis/internal/trial"
)

func TestCarryOver(t *testing.T) {
	t.Parallel()
	// coloured adds to each firmness by the arm of the sample before.
	coloured := func(tr *trial.Trial, by func(before int) float64) {
		type seat struct {
			who, session string
			place        int
		}
		arm := map[seat]int{}
		for _, s := range tr.Panel.V.Scores {
			arm[seat{s.Assessor, s.Session.V, s.Position.V}] = int(s.Cook[2] - '1')
		}
		for i := range tr.Panel.V.Scores {
			s := &tr.Panel.V.Scores[i]
			if before, ok := arm[seat{s.Assessor, s.Session.V, s.Position.V - 1}]; ok {
				v := s.Values.Of("firmness")
				v.V += by(before)
				s.Values.Set("firmness", v)
			}
		}
	}
	contrast := func(before int) float64 { return 1.2 * float64(before-1) }
	// One piece a cook in round orders: 50 after 46, 54 after 50, 46 after 54.
	round := func(tr *trial.Trial) {
		keepScores(tr, func(s trial.Score) bool { return s.Piece.V[3] == 'a' })
		served(func(who, session, arm, _ int) int { return 1 + (arm+who+session)%3 })(tr)
	}
	fewTasters := func(tr *trial.Trial) {
		keepScores(tr, func(s trial.Score) bool { return s.Assessor < "d" && s.Session.V != tr.Panel.V.Scores[0].Session.V })
	}
	outcomes(t, "carry-over", []expect{
		{name: "coloured, even order", trial: changed(func(tr *trial.Trial) { coloured(tr, contrast) }), stage: Scored, outcome: Fires, severity: Note, says: "about equally often"},
		{name: "round orders", trial: changed(round), outcome: Fires, severity: Note, value: 12, says: "came right after"},
		{name: "uneven orders, coloured", trial: changed(func(tr *trial.Trial) {
			// Three tasters get the orders of the first.
			type seat struct{ session, code string }
			anna := map[seat]int{}
			for _, s := range tr.Panel.V.Scores {
				if s.Assessor == "anna" {
					anna[seat{s.Session.V, s.Code.V}] = s.Position.V
				}
			}
			for i := range tr.Panel.V.Scores {
				if s := &tr.Panel.V.Scores[i]; s.Assessor < "d" {
					s.Position = trial.Some(anna[seat{s.Session.V, s.Code.V}])
				}
			}
			coloured(tr, func(before int) float64 { return 3 * contrast(before) })
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "What came before seems to have changed the score of firmness"},
		// Three tasters leave too few degrees of freedom to call it absent, and enough to
		// see what is plain.
		{name: "three tasters", trial: changed(fewTasters), stage: Scored, outcome: CannotJudge, few: "residual degrees of freedom"},
		{name: "three tasters, plainly coloured", trial: changed(func(tr *trial.Trial) {
			fewTasters(tr)
			coloured(tr, func(before int) float64 { return 3 * contrast(before) })
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "What came before seems to have changed"},
		{name: "even and not coloured", trial: func(t testing.TB) *trial.Trial { return sound(t) }, stage: Scored, outcome: Clear},
		{name: "even, before the scores", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "two set points", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				if i%3 == 2 {
					tr.Cooks[i].SetPoint = tr.Cooks[0].SetPoint
				}
			}
		}), outcome: CannotJudge, few: "set points"},
		{name: "a row without a place", trial: changed(func(tr *trial.Trial) { tr.Panel.V.Scores[7].Position = trial.Opt[int]{} }), outcome: CannotJudge, missing: "scores.position"},
		{name: "no panel", trial: snippet(""), outcome: DoesNotApply},
	})
}
