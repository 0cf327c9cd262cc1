package fairness

import (
	"fmt"
	"testing"

	"tamis/internal/trial"
)

// column gives each cook of the sound trial a cell of a column that is no key:
// of its level and its place among the cooks.
func column(text func(level, i int) string) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			tr.Cooks[i].Extra = []trial.Extra{{Name: "seasoning", Text: text(i%3, i)}}
		}
	}
}

// amounts is column for numbers.
func amounts(unit string, number func(level, i int) float64) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			v := number(i%3, i)
			tr.Cooks[i].Extra = []trial.Extra{{Name: "seasoning", Text: fmt.Sprint(v, unit), IsNumber: true, Number: v, Unit: unit}}
		}
	}
}

func TestAnythingElseInColumns(t *testing.T) {
	t.Parallel()
	oneADay := func(minute func(level, i int) int) func(*trial.Trial) {
		return func(tr *trial.Trial) {
			for i := range tr.Cooks {
				k := &tr.Cooks[i]
				k.Session = trial.Some(fmt.Sprintf("day-%d", i))
				k.Order = trial.Opt[int]{}
				k.Started = trial.Some(trial.Clock{Minute: minute(i%3, i)})
				k.Out, k.Served = trial.Opt[trial.Clock]{}, trial.Opt[trial.Clock]{}
			}
		}
	}
	outcomes(t, "anything-else-moves", []expect{
		{name: "a word for each set point", trial: changed(column(func(l, _ int) string { return []string{"dill", "mace", "none"}[l] })), outcome: Fires, severity: Blocks, says: "The seasoning moved along with the set point: 46 °C: dill; 50 °C: mace; 54 °C: none."},
		{name: "a number that follows", trial: changed(amounts("g", func(l, i int) float64 { return float64(2+3*l) + float64(i%2)/10 })), outcome: Fires, severity: Weakens, says: "46 °C: 2.0 g"},
		{name: "a number that leans by chance", trial: changed(amounts("", func(_, i int) float64 { return []float64{5, 6, 8, 6, 7, 6, 4, 8, 9}[i] })), outcome: Fires, severity: Note},
		{name: "a number that does not", trial: changed(amounts("", func(_, i int) float64 { return float64(40 + (i*7)%9) })), outcome: Clear},
		{name: "words dealt out", trial: changed(column(func(l, i int) string { return []string{"dill", "mace", "none"}[(l+i/3)%3] })), outcome: Clear},
		{name: "words that lean by chance", trial: changed(column(func(_, i int) string {
			return []string{"dill", "mace", "none", "dill", "mace", "mace", "mace", "none", "none"}[i]
		})), outcome: Fires, severity: Note, value: 0.3849001794597506},
		{name: "the same word for all", trial: changed(column(func(_, _ int) string { return "dill" })), outcome: Clear},
		{name: "by piece", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				for j := range tr.Cooks[i].Pieces {
					tr.Cooks[i].Pieces[j].Extra = []trial.Extra{{Name: "cut", Text: []string{"along", "across", "across"}[i%3]}}
				}
			}
		}), outcome: Fires, severity: Weakens, says: "The cut moved along"},
		{name: "floated when hot", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				if i%3 == 2 {
					tr.Deviations = append(tr.Deviations, trial.Deviation{Cook: trial.Some(tr.Cooks[i].ID), What: trial.Some("floated")})
				}
			}
		}), outcome: Fires, severity: Weakens, says: "What did not go to plan moved along with the set point: 46 °C: nothing; 50 °C: nothing; 54 °C: floated."},
		{name: "floated once", trial: changed(func(tr *trial.Trial) {
			tr.Deviations = []trial.Deviation{{Cook: trial.Some(tr.Cooks[4].ID), What: trial.Some("floated")}}
		}), outcome: Clear},
		{name: "later in the day when hotter", trial: changed(oneADay(func(l, i int) int { return 540 + 90*l + i })), outcome: Fires, severity: Weakens, says: "The hour of the day moved along with the set point: 46 °C: 09:03"},
		{name: "at any hour", trial: changed(oneADay(func(_, i int) int { return 540 + 40*((i*7)%9) })), outcome: Clear},
	})
	// Remarks are no category: nearly each of them stands there once.
	said := ask(t, "anything-else-moves", "", changed(column(func(_, i int) string { return fmt.Sprint("remark ", i) }))(t), Cooked)
	if said.Outcome == Fires {
		t.Errorf("remarks: %v", said)
	}
}
