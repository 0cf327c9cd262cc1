package fairness

import (
	"testing"

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
