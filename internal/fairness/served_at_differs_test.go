package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// warmer sets the temperature at the bite of each cook by its set point.
func warmer(at ...float64) func(*trial.Trial) {
	return func(tr *trial.Trial) {
		for i := range tr.Cooks {
			tr.Cooks[i].ServedAt = trial.Some(quantity.Celsius(at[i%3]))
		}
	}
}

func TestServedAtDiffers(t *testing.T) {
	t.Parallel()
	outcomes(t, "served-at-differs", []expect{
		{name: "example fires", trial: snippet(servedAtDiffers.FiresOn), outcome: Fires, severity: Weakens, value: 8},
		{name: "example clear", trial: snippet(servedAtDiffers.ClearOn), outcome: Clear},
		{name: "fires", trial: changed(warmer(38, 42, 46)), outcome: Fires, severity: Weakens, value: 8, says: "The 54 °C pieces were eaten 8.0 °C warmer than the 46 °C ones"},
		{name: "note", trial: changed(warmer(40, 41, 43.5)), outcome: Fires, severity: Note, value: 3.5},
		{name: "the step counts", trial: changed(func(tr *trial.Trial) {
			warmer(40, 41, 42.5)(tr) // 2.5 K, and set points 2 K apart
			for i := range tr.Cooks {
				tr.Cooks[i].SetPoint = trial.Some(quantity.Celsius([]float64{50, 52, 54}[i%3]))
			}
		}), outcome: Fires, severity: Weakens, value: 2.5},
		{name: "more than a step, as far as chance goes", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				at := []float64{40, 41, 42.5}[i%3] + []float64{-2, 0, 2}[i/3]
				tr.Cooks[i].ServedAt = trial.Some(quantity.Celsius(at))
				tr.Cooks[i].SetPoint = trial.Some(quantity.Celsius([]float64{50, 52, 54}[i%3]))
			}
		}), outcome: Fires, severity: Note, value: 2.5},
		{name: "clear", trial: changed(warmer(40, 40, 42)), outcome: Clear},
		{name: "one cook lacks it", trial: changed(func(tr *trial.Trial) { tr.Cooks[4].ServedAt = trial.Opt[quantity.Temperature]{} }), outcome: CannotJudge, missing: "cooks.served_at"},
		{name: "the sheet beats the cook", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Panel.V.Scores {
				s := &tr.Panel.V.Scores[i]
				s.ServedAt = trial.Some(quantity.Celsius(map[byte]float64{'1': 38, '2': 42, '3': 46}[s.Cook[2]]))
			}
		}), outcome: Fires, severity: Weakens, value: 8},
		{name: "°F file", trial: swapped("served_at: 40.0 °C", "served_at: 104 °F", "served_at: 40.3 °C", "served_at: 115 °F", "served_at: 40.6 °C", "served_at: 90 °F"), outcome: Clear},
		{name: "one arm", trial: changed(func(tr *trial.Trial) {
			for i := range tr.Cooks {
				tr.Cooks[i].SetPoint = tr.Cooks[0].SetPoint
			}
		}), outcome: DoesNotApply},
	})
}

// TestCostOfTheBite holds that a score which follows the temperature at the bite,
// and not the set point, is put down to it.
func TestCostOfTheBite(t *testing.T) {
	t.Parallel()
	tr := sound(t)
	for i := range tr.Cooks {
		at := []float64{38, 42, 46}[i%3] + []float64{-1.5, 0, 1.5}[i/3]
		tr.Cooks[i].ServedAt = trial.Some(quantity.Celsius(at))
		for j := range tr.Panel.V.Scores {
			if s := &tr.Panel.V.Scores[j]; s.Cook == tr.Cooks[i].ID {
				s.Values.Set("firmness", trial.Reading{V: 0.3*at - 8 + 0.1*float64((j*7)%5-2)})
			}
		}
	}
	f := ask(t, "served-at-differs", "", tr, Scored)
	if f.Cost == nil {
		t.Fatal("no cost")
	}
	low, high, of := f.Cost.Low.Or(0), f.Cost.High.Or(0), f.Cost.Of.Or(0)
	if low > 2.4 || high < 2.4 || high-low > 0.5 || of < 2.3 || of > 2.5 {
		t.Errorf("between %v and %v of %v, want about 8 K × 0.3 a kelvin = 2.4 of 2.4", low, high, of)
	}
	if got := f.Cost.Text.Text(quantity.Metric); got == "" {
		t.Error("no words")
	}
	if len(f.Cost.Measure) == 0 || f.Cost.Measure != "firmness" {
		t.Errorf("measure %q", f.Cost.Measure)
	}
}
