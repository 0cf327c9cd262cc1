package safety

import (
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/heat"
)

// A crossing is that of plain halving to the bit, with a fraction of the looks at the
// core, on smooth curves as on steps for which no guess is any good.
func TestCrossingIsThatOfHalving(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	looks, plain := 0, 0
	for range 400 {
		bath, start, to := 50+30*rng.Float64(), -1+20*rng.Float64(), 5+300*rng.Float64()
		body, err := heat.New(heat.Slab, (5+30*rng.Float64())/1000, heat.Material{Diffusivity: 1.3e-7, Conductivity: 0.5, Transfer: 95})
		if err != nil {
			t.Fatal(err)
		}
		at := func(m float64) float64 { return bath - (bath-start)*body.Centre(60*m) }
		if rng.IntN(10) == 0 {
			step := to * rng.Float64()
			at = func(m float64) float64 { return start + (bath-start)*math.Floor(m/step)*step/to }
		}
		celsius := start + (at(to)-start)*rng.Float64()
		if !(at(0) < celsius && at(to) >= celsius) {
			continue
		}
		_, want := halved(0, to, func(m float64) bool { plain++; return at(m) >= celsius })
		got := crossing(func(m float64) float64 { looks++; return at(m) }, celsius, 0, to)
		if got != want {
			t.Fatalf("%v °C between %v and %v °C: %v min, by halving %v", celsius, start, bath, got, want)
		}
		if at(got) < celsius {
			t.Fatalf("%v °C at %v min, before %v °C is reached", at(got), got, celsius)
		}
	}
	if looks > plain/2 {
		t.Errorf("%d looks at the core, plain halving has %d", looks, plain)
	}
}
