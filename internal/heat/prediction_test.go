package heat

import (
	"sync"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// What a log shows of the hold is the same whether anything was predicted before, and
// where the pieces came out one by one it is that of the slowest.
func TestHoldByLogNeedsNoPrediction(t *testing.T) {
	for name, change := range map[string]func(tr *trial.Trial){
		"together":    func(*trial.Trial) {},
		"hold stated": func(tr *trial.Trial) { tr.Cooks[0].Hold = trial.Some(quantity.FromMinutes(20)) },
		"never there": func(tr *trial.Trial) { tr.Cooks[0].SetPoint = trial.Some(quantity.Celsius(70)) },
		"one by one": func(tr *trial.Trial) {
			c := &tr.Cooks[0]
			c.Started = trial.Some(trial.Clock{Minute: 600})
			c.Pieces = []trial.Piece{{ID: "a"}, {ID: "b"}}
			c.Pieces[0].Thickness, c.Pieces[1].Thickness = trial.Some(quantity.Millimetres(20)), trial.Some(quantity.Millimetres(35))
			c.Pieces[0].Out, c.Pieces[1].Out = trial.Some(trial.Clock{Minute: 640}), trial.Some(trial.Clock{Minute: 655})
		},
	} {
		tr := logged(func(m float64) float64 { return 55 }, func(m float64) float64 { return min(54.8, 5+2*m) })
		change(tr)
		first := OfTrial(tr).Cooks[0].Hold()
		c := OfTrial(tr).Cooks[0]
		predicted := *c.Predicted()
		if first != predicted.Hold || c.Hold() != predicted.Hold {
			t.Errorf("%s: hold %v before, %v in the prediction, %v after", name, first, predicted.Hold, c.Hold())
		}
	}
}

// Several may ask for the predictions of one trial at once, and are told the same.
func TestPredictedByManyAtOnce(t *testing.T) {
	tr := one()
	for range 5 {
		tr.Cooks = append(tr.Cooks, tr.Cooks[0])
	}
	want := OfTrial(one()).Cooks[0].ComeUp()
	h := OfTrial(tr)
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			for i := range h.Cooks {
				if got := h.Cooks[i].ComeUp(); got != want {
					t.Errorf("cook %d: %v, alone %v", i, got, want)
				}
			}
		})
	}
	wg.Wait()
}
