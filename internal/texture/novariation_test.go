package texture

import (
	"fmt"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// degenerate is arms × sessions cooks, one number each.
func degenerate(arms, sessions int, value func(arm, session int) float64) *trial.Trial {
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: -20, High: 40}}}}
	for i := range arms {
		for s := range sessions {
			tr.Cooks = append(tr.Cooks, trial.Cook{ID: fmt.Sprintf("c%ds%d", i, s), Session: trial.Some(fmt.Sprint("s", s)),
				SetPoint: trial.Some(quantity.Celsius(float64(48 + 4*i))), Values: map[string]trial.Reading{"firmness": {V: value(i, s)}}})
		}
	}
	return tr
}
