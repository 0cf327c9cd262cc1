package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestScoresAtTheEnd(t *testing.T) {
	t.Parallel()
	// list sets the scores of each arm from a list, round and round.
	list := func(low, high float64, arms ...[]float64) func(testing.TB) *trial.Trial {
		return changed(func(tr *trial.Trial) {
			tr.Measures[0].Scale = trial.Range{Low: low, High: high}
			tr.Aims[0] = trial.Aim{Measure: "firmness", Best: trial.Some(trial.Highest)}
			n := make([]int, 3)
			scored(func(_, arm, _ int) float64 {
				n[arm]++
				return arms[arm][n[arm]%len(arms[arm])]
			})(tr)
		})
	}
	middle := []float64{5, 6, 6, 7, 5, 6, 7, 6}
	outcomes(t, "scores-at-the-end", []expect{
		{name: "five of eight at 0", trial: list(0, 5, []float64{0, 0, 0, 1, 0, 1, 0, 2}, []float64{2, 3}, []float64{2, 3}), stage: Scored, outcome: Fires, severity: Weakens, value: 23.0 / 36,
			says: "% of the firmness scores at 46 °C sit at the low end"},
		{name: "high end", trial: list(0, 10, middle, middle, []float64{10, 9, 10, 8}), stage: Scored, outcome: Fires, severity: Weakens, value: 0.5, says: "at 54 °C sit at the high end"},
		{name: "within an SD of the end", trial: list(0, 10, []float64{0.5, 0.5, 0.5, 3}, []float64{3, 7}, []float64{3, 7}), stage: Scored, outcome: Fires, severity: Weakens, says: "lie within their own scatter of the low end"},
		{name: "high end, a target away from it", trial: func(t testing.TB) *trial.Trial {
			tr := list(0, 10, middle, middle, []float64{10, 9, 10, 8})(t)
			tr.Aims[0] = trial.Aim{Measure: "firmness", Target: trial.Some(trial.Range{Low: 5, High: 6.5})}
			return tr
		}, stage: Scored, outcome: Fires, severity: Note, value: 0.5},
		{name: "high end, a limit at it", trial: func(t testing.TB) *trial.Trial {
			tr := list(0, 10, middle, middle, []float64{10, 9, 10, 8})(t)
			tr.Aims[0] = trial.Aim{Measure: "firmness", AtLeast: trial.Some(9.8)}
			return tr
		}, stage: Scored, outcome: Fires, severity: Weakens, value: 0.5},
		{name: "line scale, outer 5 %", trial: list(0, 10, []float64{0.4, 0.31, 0.2, 2.7}, middle, middle), stage: Scored, outcome: Fires, severity: Weakens, value: 0.75},
		{name: "clear", trial: list(0, 10, []float64{3, 4, 4, 5, 3, 4, 5, 4}, middle, middle), stage: Scored, outcome: Clear},
		{name: "few scores", trial: changed(func(tr *trial.Trial) {
			scored(func(int, int, int) float64 { return 5 })(tr)
			onlyTasters(tr, 2)
			keepScores(tr, func(s trial.Score) bool { return s.Piece.V[3] == 'a' })
		}), stage: Scored, outcome: CannotJudge, few: "scores at a set point"},
		{name: "no panel", trial: snippet("measures: {shear: {unit: N}}\n"), stage: Scored, outcome: DoesNotApply},
	})
}

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
					s.Values["firmness"] = trial.Reading{Missing: true}
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
