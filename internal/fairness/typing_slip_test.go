package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestTypingSlip(t *testing.T) {
	t.Parallel()
	// logged gives the first cook a log that stands at a temperature.
	logged := func(celsius float64) func(testing.TB) *trial.Trial {
		return changed(func(tr *trial.Trial) {
			for m := range 10 {
				tr.Cooks[0].Log = append(tr.Cooks[0].Log, trial.LogPoint{Minutes: float64(m), Bath: trial.Some(quantity.Celsius(celsius))})
			}
		})
	}
	outcomes(t, "typing-slip", []expect{
		{name: "ten times as thick", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[4].Pieces[1].Thickness = trial.Some(quantity.Millimetres(180))
		}), outcome: Fires, severity: Note, value: 180.0 / 19, says: "180 mm at piece C22b is far from the others of its kind (their middle value is"},
		{name: "kilograms", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[4].Pieces[1].Before = trial.Some(quantity.Grams(0.12))
		}), outcome: Fires, severity: Note, value: 1000, says: "but would fit in kg"},
		{name: "ounces", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[4].Pieces[1].Before = trial.Some(quantity.Grams(4.2))
		}), outcome: Fires, severity: Note, says: "but would fit in oz"},
		{name: "seven times is no slip", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[4].Pieces[1].Thickness = trial.Some(quantity.Millimetres(125))
		}), outcome: Clear},
		{name: "hours for minutes", trial: changed(func(tr *trial.Trial) { tr.Cooks[3].Time = trial.Some(quantity.FromHours(45)) }), outcome: Fires, severity: Note, value: 60},
		{name: "an amount at one set point", trial: changed(func(tr *trial.Trial) {
			tr.Measures = append(tr.Measures, trial.Measure{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")})
			for i := range tr.Cooks {
				for j := range tr.Cooks[i].Pieces {
					tr.Cooks[i].Pieces[j].Values = trial.ReadingOf("shear", trial.Reading{V: []float64{20, 2, 0.2}[i%3] * (1 + 0.1*float64(j))})
				}
			}
			tr.Cooks[0].Pieces[0].Values.Set("shear", trial.Reading{V: 200})
		}), outcome: Fires, severity: Note, says: "200 N at piece C11a"},
		{name: "log in °F", trial: logged(114.8), outcome: Fires, severity: Note, says: "The log of cook C11 stands at"},
		{name: "log of a set point in °F", trial: logged(7.8), outcome: Fires, severity: Note},
		{name: "log at the set point", trial: logged(46), outcome: Clear},
		{name: "served before it was out", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[0].Served = trial.Some(trial.Clock{Minute: tr.Cooks[0].Out.V.Minute - 10})
		}), outcome: Fires, severity: Note, says: "is out of order with out"},
		{name: "out before it started", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[0].Out = trial.Some(trial.Clock{Minute: tr.Cooks[0].Started.V.Minute - 10})
			tr.Cooks[0].Served = trial.Opt[trial.Clock]{}
		}), outcome: Fires, severity: Note, says: "is out of order with started"},
		{name: "started before the one before", trial: changed(func(tr *trial.Trial) {
			tr.Cooks[0].Order, tr.Cooks[1].Order = tr.Cooks[1].Order, tr.Cooks[0].Order
		}), outcome: Fires, severity: Note, says: "which comes before it"},
		{name: "a row twice", trial: changed(func(tr *trial.Trial) {
			tr.Panel.V.Scores = append(tr.Panel.V.Scores, tr.Panel.V.Scores[9])
		}), outcome: Fires, severity: Note, says: "has the same scores for"},
		{name: "a true repeat with the same scores", trial: changed(func(tr *trial.Trial) {
			again := tr.Panel.V.Scores[9]
			again.Repeat = trial.Some("2")
			tr.Panel.V.Scores = append(tr.Panel.V.Scores, again)
		}), outcome: Clear},
		{name: "sound", trial: func(t testing.TB) *trial.Trial { return sound(t) }, outcome: Clear},
		{name: "hardly anything", trial: snippet("cooks: [{id: A, set_point: 46 °C, served_at: 40 °C}]"), outcome: CannotJudge, few: "values of one kind"},
	})
}
