package heat

import (
	"math"
	"testing"

	"tamis/internal/heat/conduct"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// tables are the constants of the check values of ramps and of load dips.
var tables = Given{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: 95}

// bathLog puts a bath into the log of the first cook: pairs of minutes and °C.
func bathLog(t *trial.Trial, pairs ...float64) {
	for i := 0; i < len(pairs); i += 2 {
		t.Cooks[0].Log = append(t.Cooks[0].Log, trial.LogPoint{Minutes: pairs[i], Bath: trial.Some(quantity.Celsius(pairs[i+1]))})
	}
}

// A bath that warms up from 20 to 55 °C in 20 min with a slab of 25 mm from 5 °C in
// it: the core is at 54.5 °C after 4630.37 s, and 4113.82 s in a bath that has 55 °C
// (computed by series and by finite volumes, which agree).
func TestComeUpFollowsTheLoggedBath(t *testing.T) {
	t.Parallel()
	tr := one()
	tr.Cooks[0].Time = trial.Some(quantity.FromMinutes(120))
	near(t, "steady", NewSolver(tables).OfTrial(tr).Cooks[0].ComeUp().Mid, 4113.82/60, 1e-3)
	ramped := one()
	ramped.Cooks[0].Time, ramped.Cooks[0].Ramp = trial.Some(quantity.FromMinutes(120)), trial.Some(true)
	if c := OfTrial(ramped).Cooks[0]; c.ComeUp().Known || !has(c.Limits(), Ramp) {
		t.Errorf("a ramp that nobody logged: %v %v", c.ComeUp(), c.Limits())
	}
	bathLog(ramped, 0, 20, 20, 55, 60, 55, 120, 55)
	c := NewSolver(tables).OfTrial(ramped).Cooks[0]
	if c.Around() != Logged || has(c.Limits(), Ramp) {
		t.Errorf("around %q, %v", c.Around(), c.Limits())
	}
	near(t, "ramp", c.ComeUp().Mid, 4630.37/60, 0.01) // found to a 160 000th of the time looked at
	// The course of the table, 5 decimals: the core at 10, 20, 40 and 60 min, out of order.
	for i, s := range c.Trace([]float64{60, 10, 40, 20}) {
		near(t, "core in the ramp", s.Mid, []float64{53.34290, 14.06768, 48.31037, 28.55216}[i], 2e-5)
	}
	// A bath that was switched off half-way never lets the core arrive.
	off := one()
	bathLog(off, 0, 55, 30, 55, 31, 40, 60, 30)
	if r := OfTrial(off).Cooks[0].ComeUp(); r.Known {
		t.Errorf("the bath went cold: %v", r)
	}
	// Steps: a bath that begins lower is later, one that begins higher is earlier.
	at := func(pairs ...float64) float64 {
		tr := one()
		tr.Cooks[0].Time = trial.Some(quantity.FromMinutes(200))
		bathLog(tr, pairs...)
		r := OfTrial(tr).Cooks[0].ComeUp()
		if !r.Known || !(r.Low <= r.Mid && r.Mid <= r.High) {
			t.Errorf("%v: %v", pairs, r)
		}
		return r.Mid
	}
	level := at(0, 55, 200, 55)
	low, high := at(0, 50, 30, 50, 30, 55, 200, 55), at(0, 60, 15, 60, 15, 55, 200, 55)
	if !(high < level && level < low) {
		t.Errorf("begun higher %v, level %v, begun lower %v", high, level, low)
	}
}

// loaded is a trial with a weighed load in a known bath.
func loaded(kilograms, litres, watts float64) *trial.Trial {
	tr := one()
	tr.Cooks[0].Load = trial.Some(quantity.Kilograms(kilograms))
	tr.Baths[0].Volume, tr.Baths[0].Power = trial.Some(quantity.Litres(litres)), trial.Some(quantity.Watts(watts))
	return tr
}

// 1 kg of food in 10 kg of water: a heater that is strong brings the core there as
// fast as in a steady bath, and every load that is heavier or heater that is weaker
// makes it later, at each end of the range.
func TestComeUpKnowsItsLoad(t *testing.T) {
	t.Parallel()
	steady := OfTrial(one()).Cooks[0].ComeUp()
	strong := OfTrial(loaded(0.1, 100, 5000)).Cooks[0]
	if strong.Around() != Loaded {
		t.Errorf("around %q", strong.Around())
	}
	near(t, "a strong heater", strong.ComeUp().Mid, steady.Mid, 0.02*steady.Mid)
	later := func(name string, trials ...*trial.Trial) {
		last := steady
		for i, tr := range trials {
			r := OfTrial(tr).Cooks[0].ComeUp()
			if !r.Known || r.Low < last.Low-0.05 || r.Mid < last.Mid-0.05 || r.High < last.High-0.05 {
				t.Errorf("%s %d: %v after %v", name, i, r, last)
			}
			last = r
		}
	}
	later("heavier", loaded(0.2, 10, 1000), loaded(0.5, 10, 1000), loaded(1, 10, 1000), loaded(2, 10, 1000))
	later("weaker", loaded(1, 10, 2000), loaded(1, 10, 1000), loaded(1, 10, 500), loaded(1, 10, 300))
	// What is not known of a bath leaves it steady, and the dip is then only told.
	for name, forget := range map[string]func(*trial.Trial){
		"load":   func(t *trial.Trial) { t.Cooks[0].Load.Known = false },
		"volume": func(t *trial.Trial) { t.Baths[0].Volume.Known = false },
		"power":  func(t *trial.Trial) { t.Baths[0].Power.Known = false },
	} {
		tr := loaded(1, 10, 500)
		forget(tr)
		if c := OfTrial(tr).Cooks[0]; c.Around() != Steady || c.ComeUp() != steady {
			t.Errorf("without %s: %q, %v", name, c.Around(), c.ComeUp())
		}
	}
	for _, shape := range []trial.Shape{trial.Cylinder, trial.Sphere, trial.Block} {
		tr := loaded(1, 10, 500)
		tr.Food.Shape = trial.Some(shape)
		if shape == trial.Block {
			tr.Food.Sides = []quantity.Length{quantity.Millimetres(25), quantity.Millimetres(40), quantity.Millimetres(80)}
		}
		c := OfTrial(tr).Cooks[0]
		alone := *tr
		alone.Baths = one().Baths
		if r := OfTrial(&alone).Cooks[0].ComeUp(); c.Around() != Loaded || !(c.ComeUp().Mid > r.Mid) {
			t.Errorf("%s: %q, %v, steady %v", shape, c.Around(), c.ComeUp(), r)
		}
	}
}

// The load dip of the check values: 10 kg of water at 55 °C, 1 kg of food at 5 °C in
// slabs of 25 mm, a heater of 1000 W at 500 W/K and walls of 3 W/K. Their bath falls
// to 54.681 °C and their core is at 54.0624 °C after an hour; here the heater is
// taken to answer twice as fast.
func TestLoadedBathIsThatOfTheCheckValues(t *testing.T) {
	t.Parallel()
	x := Setting{Shape: trial.Slab, Thickness: 25, Bath: 55, Start: same(5), Diffusivity: same(1.4e-7), Transfer: same(95), Conductivity: 0.48}
	p, ok := solveLoad(x, load{kilograms: 3265.31 / 3600, litres: 10, watts: 1000}, Exactly(70))
	if !ok {
		t.Fatal("not solved")
	}
	lowest := math.Inf(1)
	for _, at := range p.Times() {
		lowest = math.Min(lowest, p.At(at))
	}
	if lowest < 54.681 || lowest > 54.681+0.19 {
		t.Errorf("the bath falls to %v °C", lowest)
	}
	near(t, "the bath after two hours", p.At(7200), 55, 1e-2)
	body, err := New(Slab, 0.0125, Material{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: 95})
	if err != nil {
		t.Fatal(err)
	}
	d, err := conduct.NewDriven(body, 5, p)
	if err != nil {
		t.Fatal(err)
	}
	r, err := d.Along([]float64{3600})
	if err != nil {
		t.Fatal(err)
	}
	if core := r[0].Centre; core < 54.0624 || core > 54.0624+0.15 {
		t.Errorf("the core is at %v °C after an hour", core)
	}
}

// Verdicts do not see any of it: a log of the bath lowers them, never the reverse.
func TestSurroundingsAreLikelyOnly(t *testing.T) {
	t.Parallel()
	a, b := OfTrial(one()).Cooks[0], OfTrial(loaded(1, 20, 500)).Cooks[0]
	for _, m := range []float64{10, 30, 60} {
		if a.Core(m) != b.Core(m) {
			t.Errorf("after %v min the unfavourable core is at %v and %v °C", m, a.Core(m), b.Core(m))
		}
	}
	if s, _ := conduct.SurfaceOf("stirred-bath"); s.Low != Transfer {
		t.Errorf("verdicts use %v W/m²/K, the table begins at %v", Transfer, s.Low)
	}
}
