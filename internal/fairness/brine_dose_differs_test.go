package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// taken sets the uptake, in percent, of each brined piece.
func taken(percent func(cook int) float64) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			p := &tr.Cooks[i].Pieces[1]
			p.Brined = trial.Some(quantity.Grams(p.Before.V.Grams() * (1 + percent(i)/100)))
		}
	}
}

func TestBrineDoseDiffers(t *testing.T) {
	t.Parallel()
	cv := func(cook int) float64 { return []float64{1, 3, 2}[cook/3] } // mean 2, SD √(9·(2/3)/8) = 0.866
	outcomes(t, "brine-dose-differs", []expect{
		{name: "example fires", trial: snippet(brineDoseDiffers.FiresOn), outcome: Fires, severity: Weakens, value: 0.7921, says: "between 0.8 % and 4.2 %"},
		{name: "example clear", trial: snippet(brineDoseDiffers.ClearOn), outcome: Clear},
		{name: "scatter", trial: changed(taken(cv)), outcome: Fires, severity: Weakens, value: 0.866 / 2, about: AboutBrine},
		{name: "small uptakes scatter", trial: changed(taken(func(cook int) float64 { return []float64{-0.6, 0.6, 0}[cook/3] })), outcome: Fires, severity: Weakens, value: 0.5196},
		{name: "by set point", trial: changed(taken(func(cook int) float64 { return []float64{2, 2.6, 3.2}[cook%3] })), outcome: Fires, severity: Weakens, value: 1.2,
			about: AboutSetPoint, says: "The 54 °C pieces took up 1.2 points more in the brine than the 46 °C ones"},
		{name: "soaked longer", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				if i%3 == 2 {
					tr.Cooks[i].Pieces[1].Brine.V.For = trial.Some(quantity.FromMinutes(25))
				}
			}
		}), outcome: Fires, severity: Weakens, value: 0.2, says: "The 54 °C pieces soaked for 25 min"},
		{name: "stronger", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				if i%3 == 0 {
					share, err := quantity.ParseShare("4 %")
					if err != nil {
						panic(err)
					}
					tr.Cooks[i].Pieces[1].Brine.V.Salt = trial.Some(share)
				}
			}
		}), outcome: Fires, severity: Weakens, value: 0.2, says: "had a brine of 5 %"},
		{name: "clear", trial: changed(taken(func(cook int) float64 { return 2 + 0.1*float64(cook%2) })), outcome: Clear},
		{name: "not weighed", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].Pieces[1].Brined = trial.Opt[quantity.Mass]{}
			}
		}), outcome: CannotJudge, missing: "pieces.brined"},
		{name: "mass 0", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].Pieces[1].Before = trial.Some(quantity.Grams(0))
			}
		}), outcome: CannotJudge},
		{name: "two pieces", trial: snippet("cooks: [{id: A, set_point: 46 °C, brine: {salt: 5 %, for: 20 min}, pieces: [{before: 100 g, brined: 102 g}, {before: 100 g, brined: 102 g}]}]"),
			outcome: CannotJudge, few: "weighed before and after"},
		{name: "no brine", trial: func(testing.TB) *trial.Trial { return &trial.Trial{} }, outcome: DoesNotApply},
	})
}
