package answer

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func celsius(v ...float64) []quantity.Temperature {
	var out []quantity.Temperature
	for _, c := range v {
		out = append(out, quantity.Celsius(c))
	}
	return out
}

// beef is a trial of beef in cooks of an hour at the set points given.
func beef(points ...float64) *trial.Trial {
	t := &trial.Trial{Food: trial.Food{Kind: trial.Some("beef pork lamb"), Form: trial.Some(trial.Whole), Shape: trial.Some(trial.Slab),
		Thickness: trial.Some(quantity.Millimetres(25)), Start: trial.Some(quantity.Celsius(4))}}
	for i, c := range points {
		t.Cooks = append(t.Cooks, trial.Cook{ID: string(rune('A' + i)), SetPoint: trial.Some(quantity.Celsius(c)), Time: trial.Some(quantity.FromHours(3))})
	}
	return t
}

// check says who may eat what, by set point: of cooks, of a design that nobody
// has laid out yet, and of cooks without a set point.
func TestVerdictsByArm(t *testing.T) {
	t.Parallel()
	got := verdictsBefore(beef(60, 50, 62))
	if len(got) != 2 || !reflect.DeepEqual(got[0].SetPoints, []float64{50}) || !reflect.DeepEqual(got[1].SetPoints, []float64{60, 62}) || got[0].All {
		t.Fatalf("%+v", got)
	}
	if got[0].Verdict != VerdictDoNotEat || got[1].Verdict != VerdictPasteurised {
		t.Errorf("50 °C for 3 h is %s, 60 °C %s", got[0].Verdict, got[1].Verdict)
	}
	design := beef()
	design.Design = trial.Some(trial.Design{SetPoints: celsius(50, 60, 62), Times: []quantity.Duration{quantity.FromHours(3)}})
	if planned := verdictsBefore(design); !reflect.DeepEqual(planned, got) {
		t.Errorf("planned %+v, cooked %+v", planned, got)
	}
	if len(design.Cooks) != 0 {
		t.Error("the design was altered")
	}
	mixed := beef(50, 62)
	mixed.Cooks[0].SetPoint.Known = false
	mixed.Cooks[0].Time = trial.Some(quantity.FromHours(1))
	if got := verdictsBefore(mixed); len(got) != 2 || got[1].Cooks[0] != "A" || got[1].Verdict != VerdictNone {
		t.Errorf("a cook without a set point: %+v", got)
	}
	if got := verdictsBefore(&trial.Trial{}); len(got) != 0 {
		t.Errorf("an empty trial: %+v", got)
	}
}

// The worst cook of an arm speaks for it.
func TestVerdictOfAnArmIsItsWorst(t *testing.T) {
	t.Parallel()
	tr := beef(60, 60)
	tr.Cooks[1].Time = trial.Some(quantity.FromMinutes(70))
	got := verdictsBefore(tr)
	if len(got) != 1 || got[0].Verdict != VerdictNotPasteurised {
		t.Errorf("%+v", got)
	}
}

// Nothing a trial can lack breaks it, nothing is altered, and no number is a NaN.
func TestHeatOfDegenerateTrials(t *testing.T) {
	t.Parallel()
	grid := &HeatGrid{Thicknesses: []quantity.Length{quantity.Millimetres(20)}, SetPoints: celsius(55)}
	for name, tr := range map[string]*trial.Trial{
		"empty":         {},
		"bare cook":     {Cooks: []trial.Cook{{ID: "A"}}},
		"no set point":  {Food: beef().Food, Cooks: []trial.Cook{{ID: "A", Time: trial.Some(quantity.FromHours(1))}}},
		"no time":       {Food: beef().Food, Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(55))}}},
		"NaN set point": {Food: beef().Food, Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(math.NaN())), Time: trial.Some(quantity.FromHours(1))}}},
		"boiling oil":   {Food: beef().Food, Medium: trial.Some(trial.Oil), Cooks: beef(180).Cooks},
		"sound":         beef(50, 60),
	} {
		for _, opt := range []HeatOptions{{}, {Assume: true, Table: grid}} {
			before, err := json.Marshal(tr.Food)
			if err != nil {
				t.Fatal(err)
			}
			h := HeatOf(tr, opt)
			b, err := json.Marshal(h)
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if strings.Contains(string(b), "NaN") {
				t.Errorf("%s: a NaN in %s", name, b)
			}
			if len(h.Cooks) != len(tr.Cooks) {
				t.Errorf("%s: %d cooks of %d", name, len(h.Cooks), len(tr.Cooks))
			}
			for _, c := range h.Cooks {
				if c.Safety.Verdict == "" || len(c.Safety.Lead) == 0 || len(c.Text) == 0 {
					t.Errorf("%s: a cook without a verdict or without words: %+v", name, c)
				}
			}
			if after, _ := json.Marshal(tr.Food); string(after) != string(before) {
				t.Errorf("%s: the trial was altered", name)
			}
		}
	}
}

// Minutes are told to the safe side in steps that the prediction deserves.
func TestSpanOf(t *testing.T) {
	t.Parallel()
	n := quantity.Num
	for _, c := range []struct{ low, mid, high, wantLow, wantHigh float64 }{
		{41.2, 67, 76.1, 40, 80}, {5, 6.2, 7.001, 5, 8}, {20, 25, 30, 20, 30}, {0, 0, 0, 0, 0}, {18.4, 18.4, 18.4, 18, 18}, {0.2, 1, 19.5, 0, 20},
	} {
		low, high := SpanOf(HeatRange{n(c.low), n(c.mid), n(c.high)})
		if low != c.wantLow || high != c.wantHigh {
			t.Errorf("%v to %v is told as %v to %v", c.low, c.high, low, high)
		}
	}
}

// A table of 20 thicknesses and 12 set points, which a person waits for.
func BenchmarkTable(b *testing.B) {
	grid := &HeatGrid{SetPoints: celsius(50, 52, 54, 55, 56, 57, 58, 59, 60, 62, 64, 66)}
	for i := range 20 {
		grid.Thicknesses = append(grid.Thicknesses, quantity.Millimetres(5+3*float64(i)))
	}
	t := beef()
	for b.Loop() {
		HeatOf(t, HeatOptions{Table: grid})
	}
}

// verdictsBefore is what check asks for.
func verdictsBefore(t *trial.Trial) []HeatVerdict {
	laid := design.AsCooked(t)
	judged, _ := Before(laid, nil)
	return verdictsByArm(laid, judged)
}
