package reporttest

import (
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// PollackTrial is what a trial file says of Pollack: three of its cooks, one
// taster, one score each.
func PollackTrial() *trial.Trial { return cooked("pollack loin", 48, 52, 56) }

// TroutTrial is what a trial file says of Trout.
func TroutTrial() *trial.Trial { return cooked("trout fillet", 46, 50, 54) }

func cooked(food string, setPoints ...float64) *trial.Trial {
	t := &trial.Trial{
		Title: trial.Some(food), Food: trial.Food{Name: trial.Some(food), Thickness: trial.Some(quantity.Millimetres(18))},
		Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}}},
		Panel:    trial.Some(trial.Panel{}),
	}
	p := trial.Panel{}
	for i, x := range setPoints {
		id := string(rune('A' + i))
		t.Cooks = append(t.Cooks, trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(x)), Time: trial.Some(quantity.FromMinutes(60)),
			Pieces: []trial.Piece{{ID: id + "1"}}})
		p.Scores = append(p.Scores, trial.Score{Assessor: "anna", Cook: id, Values: trial.ReadingOf("firmness", trial.Reading{V: float64(4 + i)})})
	}
	t.Panel = trial.Some(p)
	return t
}
