package heat

import (
	"math"
	"testing"

	"tamis/internal/trial"
)

func TestTrace(t *testing.T) {
	t.Parallel()
	c := OfTrial(one()).Cooks[0]
	got := c.Trace([]float64{0, 15, 30, 60, 120, -1, math.NaN(), 1e9})
	if len(got) != 5 {
		t.Fatalf("%d samples", len(got))
	}
	for i, s := range got {
		if !(s.Low <= s.Mid && s.Mid <= s.High && s.Mid <= s.Surface+1e-9 && s.Surface <= 55) {
			t.Errorf("sample %+v", s)
		}
		if i > 0 && !(s.Low >= got[i-1].Low && s.High >= got[i-1].High && s.Surface > got[i-1].Surface) {
			t.Errorf("%+v after %+v", s, got[i-1])
		}
	}
	// At the ends of the come-up the core is where it should be.
	for _, x := range []struct {
		m  float64
		of func(Sample) float64
	}{{c.ComeUp().Low, func(s Sample) float64 { return s.High }}, {c.ComeUp().Mid, func(s Sample) float64 { return s.Mid }}, {c.ComeUp().High, func(s Sample) float64 { return s.Low }}} {
		near(t, "core at arrival", x.of(c.Trace([]float64{x.m})[0]), 54.5, 1e-6) // the time is found by halving
	}
	tr := one()
	tr.Food.Thickness.Known = false
	if OfTrial(tr).Cooks[0].Trace([]float64{1}) != nil {
		t.Error("a trace without a prediction")
	}
	tr = one()
	tr.Medium = trial.Some(trial.Oven)
	if OfTrial(tr).Cooks[0].Trace([]float64{1}) != nil {
		t.Error("a trace of an oven")
	}
}
