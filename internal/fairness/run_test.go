package fairness

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestRunOneCookEach(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Cooks: []trial.Cook{
		{ID: "A", SetPoint: trial.Some(quantity.Celsius(46))},
		{ID: "B", SetPoint: trial.Some(quantity.Celsius(54))},
	}}
	r, err := Run(Inputs{Trial: tr})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	if f.Outcome != Fires || f.Severity != Blocks || f.Kind != Mixed {
		t.Errorf("%+v", f)
	}
	if got, want := f.Text.Text(quantity.Metric), "46 °C and 54 °C were cooked once each. Whatever else was special about that run looks exactly like the set point. More pieces or tasters of that run would not change this."; got != want {
		t.Errorf("%q", got)
	}
}
