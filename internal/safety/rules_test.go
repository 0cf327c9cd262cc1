package safety

import (
	"math"
	"testing"

	"tamis/internal/heat"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// sampled is a function of minutes, sampled as a path.
func sampled(minutes float64, f func(float64) float64) []float64 {
	p := make([]float64, 1+int(minutes/heat.Step))
	for i := range p {
		p[i] = f(float64(i) * heat.Step)
	}
	return p
}

// A 25 mm slab from 5 °C in a bath of 60 °C, diffusivity 1.4e-7, conductivity
// 0.48, transfer 95. Computed by series and a fine trapezoid with no floor;
// what lies below 54.4 °C is worth little against z 7.5.
func TestEquivalentOfASlab(t *testing.T) {
	t.Parallel()
	b, err := heat.New(heat.Slab, 0.0125, heat.Material{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: 95})
	if err != nil {
		t.Fatal(err)
	}
	core := func(m float64) float64 { return 60 - 55*b.Centre(60*m) }
	// fine is the trapezoid on 10^((T-ref)/z) in steps of a second, above a floor.
	fine := func(minutes, ref, z, floor float64) (sum float64) {
		rate := func(m float64) float64 {
			if core(m) < floor {
				return 0
			}
			return math.Pow(10, (core(m)-ref)/z)
		}
		for s := 0.0; s < 60*minutes; s++ {
			sum += (rate(s/60) + rate((s+1)/60)) / 2 / 60
		}
		return sum
	}
	for _, c := range []struct{ minutes, core, f70, f60 float64 }{
		{45, 57.153, 0.1811, 2.3707}, {60, 59.000, 0.5913, 9.7887}, {75, 59.649, 1.1678, 21.4425},
		{90, 59.877, 1.8192, 35.1612}, {105, 59.957, 2.4993, 49.6970}, {120, 59.985, 3.1898, 64.5322},
	} {
		near(t, "core", core(c.minutes), c.core, 6e-4) // three decimals are printed
		p := sampled(c.minutes, core)
		for _, x := range []struct{ ref, z, want float64 }{{70, 7.5, c.f70}, {60, 5.59, c.f60}} {
			near(t, "fine integral", fine(c.minutes, x.ref, x.z, -273), x.want, 6e-5+1e-4*x.want) // four decimals are printed, of a core good to a few 1e-4 °C
			// Steps of 15 s against steps of 1 s, above the floor: 5e-5 min is
			// what one second at the floor is worth to the fine sum.
			floored := fine(c.minutes, x.ref, x.z, noCredit)
			near(t, "sampled", equivalent(p, heat.Step, x.ref, x.z), floored, 1e-3*floored)
			near(t, "smooth", rising(core, 0, c.minutes).equivalents([]Row{{At: x.ref, Z: x.z}})[0], floored, 1e-3*floored)
		}
	}
}

// T = 50 + t/2 for 40 min, then 70 °C for 2 min, z 7.5. In closed form
// 8.500382 min; with no credit below the floor the lower limit of the integral
// moves from 50 to 54.44 °C: z/(a ln 10) (1 - 10^(-(70-floor)/z)) + 2.
func TestEquivalentClosedForm(t *testing.T) {
	t.Parallel()
	p := sampled(42, func(m float64) float64 { return math.Min(70, 50+m/2) })
	want := 7.5/(0.5*math.Ln10)*(1-math.Pow(10, -(70-noCredit)/7.5)) + 2
	got := equivalent(p, heat.Step, 70, 7.5)
	// The trapezoid on a convex power is above it by (h ln 10/z)²/12 of the
	// integral, 1.2e-4 for steps of 0.125 °C and z 7.5 °C.
	near(t, "sampled", got, want, 1.5e-4*want)
	// The smooth rule stands on the kink at 40 min only by halving.
	smooth := rising(func(m float64) float64 { return math.Min(70, 50+m/2) }, 0, 42)
	near(t, "smooth", smooth.equivalents([]Row{{At: 70, Z: 7.5}})[0], want, 1e-5*want)
	// Without the floor the closed form is the published check value.
	near(t, "closed form", 7.5/(0.5*math.Ln10)*(1-math.Pow(10, -20/7.5))+2, 8.500382, 1e-6)
}

// Held at one temperature, the time that is asked for: 17.15 min at 63 °C and
// 43.1 min at 60 °C, 9.28 at 65 °C (formula 2 × 10^((70-T)/7.5)).
func TestListeriaRow(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ celsius, minutes float64 }{{63, 17.15}, {60, 43.1}, {65, 9.28}, {70, 2}} {
		at := func(m float64) float64 {
			return equivalent(sampled(m, func(float64) float64 { return c.celsius }), heat.Step, listeriaAt, listeriaZ)
		}
		if at(c.minutes+0.5) < listeriaMinutes || at(c.minutes-0.5) >= listeriaMinutes {
			t.Errorf("at %v °C: %v after %v min", c.celsius, at(c.minutes), c.minutes)
		}
	}
	if f := equivalent(sampled(600, func(float64) float64 { return 54.4 }), heat.Step, listeriaAt, listeriaZ); f != 0 { // below 54.44
		t.Errorf("credit below 130 °F: %v", f)
	}
}

// Core minutes from 10 °C to 52.3 and 54.4 °C in a slab from 5 °C. Computed by
// series with diffusivity 1.4e-7, conductivity 0.48 and transfer 95.
func TestMinutesInTheGrowthRange(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ mm, bath, a, b float64 }{
		{20, 55, 29.2, 44.7}, {25, 55, 40.5, 62.1}, {50, 55, 122.6, 187.7}, {70, 55, 218.9, 335.0},
		{20, 60, 19.5, 22.8}, {40, 60, 56.6, 66.2}, {70, 60, 146.4, 171.0},
	} {
		b, err := heat.New(heat.Slab, c.mm/2000, heat.Material{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: 95})
		if err != nil {
			t.Fatal(err)
		}
		p := sampled(600, func(m float64) float64 { return c.bath - (c.bath-5)*b.Centre(60*m) })
		early := minutesBelow(p, heat.Step, 10)
		// One decimal is printed, and each count is right to a step.
		near(t, "10 to 52.3 °C", minutesBelow(p, heat.Step, 52.3)-early, c.a, 0.3)
		near(t, "10 to 54.4 °C", minutesBelow(p, heat.Step, 54.4)-early, c.b, 0.3)
	}
}

func TestCountsOfAPath(t *testing.T) {
	t.Parallel()
	p := []float64{10, 60, 60, 50, 60, 60, 60, 10}
	if got := minutesAt(p, 0.5, 60); got != 1 {
		t.Errorf("the longest stretch is %v, want 1: two stretches do not add up", got)
	}
	if got := minutesBelow(p, 0.5, 60); got != 2 {
		t.Errorf("minutes below: %v, want 2", got)
	}
	for _, empty := range [][]float64{nil, {60}} {
		if minutesAt(empty, 0.5, 60) != 0 || minutesBelow(empty, 0.5, 70) != 0 || equivalent(empty, 0.5, 60, 7) != 0 {
			t.Errorf("%v counts for something", empty)
		}
	}
	if reaches(nil, 0) || reaches(p, 60.1) || !reaches(p, 60) {
		t.Error("reaches is wrong")
	}
}
