package heat

import (
	"math"
	"testing"

	"tamis/internal/trial"
)

// The surface of a slab of 25 mm in a bath that climbs is tabulated; at constant
// bath the surface follows from the mean, by the balance of heat:
// dθmean/dFo = -Bi θsurface × (1, 2, 3 for slab, cylinder, sphere).
func TestSurfaceBalancesTheMean(t *testing.T) {
	t.Parallel()
	faces := map[Shape]float64{Slab: 1, Cylinder: 2, Sphere: 3}
	for shape, n := range faces {
		for _, h := range []float64{20, 95, 300, 2000} {
			m := Material{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: h}
			b, err := New(shape, 0.0125, m)
			if err != nil {
				t.Fatal(err)
			}
			bi := h * 0.0125 / 0.48
			for _, s := range []float64{120, 600, 1800, 3600} {
				const step = 0.5 // s; the central difference is off by its square
				slope := (b.Mean(s+step) - b.Mean(s-step)) / (2 * step * b.rate)
				near(t, "balance", -slope, n*bi*b.Surface(s), 2e-6*n*bi) // finite difference
				if f := b.Surface(s); f > b.Centre(s) || f < 0 {
					t.Errorf("%v h %v after %v s: surface %v, centre %v", shape, h, s, f, b.Centre(s))
				}
			}
		}
	}
	b, err := New(Slab, 0.0125, practical)
	if err != nil {
		t.Fatal(err)
	}
	if b.Surface(0) != 1 || b.Surface(math.Inf(1)) != 0 {
		t.Error("surface at the ends of time")
	}
}

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
	}{{c.ComeUp.Low, func(s Sample) float64 { return s.High }}, {c.ComeUp.Mid, func(s Sample) float64 { return s.Mid }}, {c.ComeUp.High, func(s Sample) float64 { return s.Low }}} {
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
