package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestMissingBySetPoint(t *testing.T) {
	t.Parallel()
	// blank empties the first n firmness scores of each arm; drop takes whole rows.
	blank := func(n ...int) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			have := make([]int, 3)
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				if arm := int(s.Cook[2] - '1'); have[arm] < n[arm] {
					have[arm]++
					s.Values.Set("firmness", trial.Reading{Missing: true})
				}
			}
		}
	}
	// The p-values are of R 4.2.2, fisher.test(rbind(missing, 36 - missing)).
	outcomes(t, "missing-by-set-point", []expect{
		{name: "5, 0, 0 of 36", trial: changed(blank(5, 0, 0)), stage: Scored, outcome: Fires, severity: Note, value: 0.01014609, says: "5 of 36 scores are missing at 46 °C, but 0 of 36 at"},
		{name: "12, 0, 0 of 36", trial: changed(blank(12, 0, 0)), stage: Scored, outcome: Fires, severity: Weakens},
		{name: "1, 1, 1 of 36", trial: changed(blank(1, 1, 1)), stage: Scored, outcome: Clear},
		{name: "the worst would turn it", trial: changed(func(tr *trial.Trial) {
			scored(func(_, arm, row int) float64 { return 5 + 0.2*float64(arm) + 3*chance(row) })(tr)
			blank(0, 0, 14)(tr)
		}), stage: Scored, outcome: Fires, severity: Blocks, says: "would turn round"},
		{name: "rows that are not there", trial: changed(func(tr *trial.Trial) {
			keepScores(tr, func(s trial.Score) bool { return s.Cook != "C13" || s.Assessor > "c" })
		}), stage: Scored, outcome: Fires, severity: Note, value: 0.03297478, says: "4 of 36 scores are missing at 54 °C"},
		{name: "gaps in the places and no layout", trial: changed(func(tr *trial.Trial) {
			tr.Panel.V.Plan = trial.Opt[trial.Layout]{}
			keepScores(tr, func(s trial.Score) bool { return s.Cook != "C13" || s.Assessor > "c" })
		}), stage: Scored, outcome: CannotJudge, missing: "panel.plan"},
		{name: "places count through and no layout", trial: swapped("  plan: complete\n", ""), stage: Scored, outcome: Clear},
		{name: "lost pieces", trial: changed(func(tr *trial.Trial) {
			for i := 0; i < 9; i += 3 {
				for j := range tr.Cooks[i].Pieces {
					tr.Cooks[i].Pieces[j].Lost = trial.Some("bag leaked")
				}
			}
		}), stage: Scored, outcome: Fires, severity: Weakens, says: "6 of 6 pieces are missing at 46 °C"},
		{name: "uneven rows", trial: changed(func(tr *trial.Trial) {
			tr.Panel.V.Plan = trial.Some(trial.IncompleteBlocks)
			keepScores(tr, func(s trial.Score) bool { return s.Cook[2] != '1' || s.Piece.V[3] == 'a' })
			for i := range tr.Panel.V.Scores { // the places count through again
				n := 1
				for j := range tr.Panel.V.Scores {
					a, b := &tr.Panel.V.Scores[i], &tr.Panel.V.Scores[j]
					if a.Assessor == b.Assessor && a.Session.V == b.Session.V && j < i {
						n++
					}
				}
				tr.Panel.V.Scores[i].Position.V = n
			}
		}), stage: Scored, outcome: Fires, severity: Note, value: 2},
		{name: "no measure", trial: func(testing.TB) *trial.Trial {
			return &trial.Trial{Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(46))}, {ID: "B", SetPoint: trial.Some(quantity.Celsius(50))}}}
		}, stage: Scored, outcome: DoesNotApply},
	})
}
