package conduct

import (
	"errors"
	"math"
	"reflect"
	"testing"
)

func TestBadProblems(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	good := func() Problem { return plain(t, Slab, 25, 600) }
	tank := Tank{Mass: 10, Start: 55, Set: 55, Room: 20, Area: 0.1}
	for name, change := range map[string]func(*Problem, *Options){
		"no shape":           func(p *Problem, _ *Options) { p.Shape = 9 },
		"no thickness":       func(p *Problem, _ *Options) { p.Half = 0 },
		"NaN thickness":      func(p *Problem, _ *Options) { p.Half = nan },
		"no material":        func(p *Problem, _ *Options) { p.Material = nil },
		"empty material":     func(p *Problem, _ *Options) { p.Material = &Material{} },
		"NaN start":          func(p *Problem, _ *Options) { p.Start = nan },
		"no phase":           func(p *Problem, _ *Options) { p.Phases = nil },
		"phase of no time":   func(p *Problem, _ *Options) { p.Phases[0].Seconds = 0 },
		"phase of a year":    func(p *Problem, _ *Options) { p.Phases[0].Seconds = 3e7 },
		"NaN phase":          func(p *Problem, _ *Options) { p.Phases[0].Seconds = nan },
		"no ambient":         func(p *Problem, _ *Options) { p.Phases[0].Outer.Ambient = Profile{} },
		"no coefficient":     func(p *Problem, _ *Options) { p.Phases[0].Outer.Transfer = Profile{} },
		"negative h":         func(p *Problem, _ *Options) { p.Phases[0].Outer = Bath(55, -1) },
		"infinite h":         func(p *Problem, _ *Options) { p.Phases[0].Outer = Bath(55, inf) },
		"a sphere's inside":  func(p *Problem, _ *Options) { p.Shape = Sphere; f := Insulated(); p.Phases[0].Inner = &f },
		"empty inner":        func(p *Problem, _ *Options) { p.Phases[0].Inner = &Face{} },
		"tank of no water":   func(p *Problem, _ *Options) { x := tank; x.Mass = 0; p.Phases[0].Tank = &x },
		"tank of no food":    func(p *Problem, _ *Options) { x := tank; x.Area = nan; p.Phases[0].Tank = &x },
		"tank that cools":    func(p *Problem, _ *Options) { x := tank; x.Power = -1; p.Phases[0].Tank = &x },
		"tank and pan":       func(p *Problem, _ *Options) { p.Phases[0].Tank = &tank; p.Phases[0].Outer = Pan(55) },
		"tank with one face": func(p *Problem, _ *Options) { p.Phases[0].Tank = &tank; f := Insulated(); p.Phases[0].Inner = &f },
		"too few cells":      func(_ *Problem, o *Options) { o.Cells = 2 },
		"too many cells":     func(_ *Problem, o *Options) { o.Cells = 1500; o.Halvings = 2 },
		"negative cells":     func(_ *Problem, o *Options) { o.Cells = -1 },
		"halved too often":   func(_ *Problem, o *Options) { o.Halvings = 9 },
		"NaN time":           func(_ *Problem, o *Options) { o.Times = []float64{nan} },
	} {
		p, o := good(), Options{}
		change(&p, &o)
		if c, err := Solve(p, o); !errors.Is(err, ErrInput) || c != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	// A film for days is quick, for the steps grow once nothing happens; in a tank
	// that breathes it is refused.
	film := good()
	film.Half, film.Phases[0].Seconds = 1e-5, 40*86400
	if c, err := Solve(film, Options{}); err != nil || len(c.Points) > 1000 {
		t.Errorf("a film: %v", err)
	}
	film.Phases[0].Tank = &tank
	if _, err := Solve(film, Options{}); !errors.Is(err, ErrInput) {
		t.Errorf("a film in a tank: %v", err)
	}
	if _, err := SolveBlock([3]float64{1e-4, 0.1, 0.1}, good(), Options{}); !errors.Is(err, ErrInput) {
		t.Errorf("a film in three dimensions: %v", err)
	}
	if _, err := Extrapolated(good(), Options{}); !errors.Is(err, ErrInput) {
		t.Errorf("no times: %v", err)
	}
}

func TestBadMaterials(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	one := func(float64) float64 { return 1 }
	for name, l := range map[string]Law{
		"nothing":            {},
		"no capacity":        {Conductivity: one, High: 1},
		"both":               {Conductivity: one, Capacity: one, Enthalpy: one, High: 1},
		"empty range":        {Conductivity: one, Capacity: one},
		"NaN range":          {Conductivity: one, Capacity: one, High: nan},
		"NaN freezing":       {Conductivity: one, Capacity: one, High: 1, Freezing: nan},
		"huge range":         {Conductivity: one, Capacity: one, High: 1e9},
		"zero conductivity":  {Conductivity: func(float64) float64 { return 0 }, Capacity: one, High: 1},
		"negative capacity":  {Conductivity: one, Capacity: func(c float64) float64 { return 0.5 - c }, High: 1},
		"enthalpy that ends": {Conductivity: one, Enthalpy: one, High: 1},
	} {
		if m, err := NewMaterial(l); !errors.Is(err, ErrInput) {
			t.Errorf("%s: %+v, %v", name, m, err)
		}
	}
	for _, v := range []float64{0, -1, nan, math.Inf(1)} {
		if _, err := Uniform(v, 1); !errors.Is(err, ErrInput) {
			t.Errorf("conductivity %v: %v", v, err)
		}
		if _, err := Uniform(1, v); !errors.Is(err, ErrInput) {
			t.Errorf("capacity %v: %v", v, err)
		}
	}
}

// The table is the law: enthalpy is the integral of the capacity across the
// freezing point, and an enthalpy curve gives back its own values.
func TestMaterialIsItsLaw(t *testing.T) {
	t.Parallel()
	m := freezing(t)
	for _, c := range []float64{-30, -10, -3, -2.01, -1.99, 0, 20, 70} {
		const n = 20000
		var sum float64
		for i := range n { // midpoints from -35 °C
			x := -35 + (c+35)*(float64(i)+0.5)/n
			_, cap, _, _ := m.look(x)
			sum += cap * (c + 35) / n
		}
		near(t, "enthalpy", (m.Enthalpy(c)-m.Enthalpy(-35))/sum, 1, 1e-3) // midpoints of 2 mK across a jump of thirty times
	}
	curve := func(c float64) float64 { return 3.5e6*c + 1e4*c*c }
	e, err := NewMaterial(Law{Conductivity: func(float64) float64 { return 0.5 }, Enthalpy: curve, Low: 0, High: 50})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []float64{0, 0.5, 10, 50} {
		near(t, "curve", e.Enthalpy(c), curve(c), 1e-6*curve(50))
	}
	near(t, "diffusivity", e.Diffusivity(25), 0.5/(3.5e6+2e4*25), 1e-9) // constant within half a kelvin
	// Outside, the ends go on.
	u := uniform(t)
	near(t, "below", u.Enthalpy(-100)-u.Enthalpy(-99), -0.48/1.4e-7, 1e-3)
	near(t, "conductivity", u.Conductivity(1e4), 0.48, 0)
}

func TestReadingACourse(t *testing.T) {
	t.Parallel()
	b := body(t, Slab, 25, practical)
	p := plain(t, Slab, 25, 7200)
	before := plain(t, Slab, 25, 7200)
	c := solved(t, p, Options{})
	if !reflect.DeepEqual(p.Phases, before.Phases) {
		t.Error("the problem changed")
	}
	if again := solved(t, p, Options{}); !reflect.DeepEqual(c, again) {
		t.Error("the same problem gives another course")
	}
	for _, s := range []float64{100, 777, 2000, 5000} {
		near(t, "core", c.At(s).Core, 55-50*b.Centre(s), 0.01)
		near(t, "mean", c.At(s).Mean, 55-50*b.Mean(s), 0.01)
	}
	first, last := c.Points[0], c.Points[len(c.Points)-1]
	if c.At(-1) != first || c.At(math.NaN()) != first || c.At(1e9) != last {
		t.Error("outside the course its ends count")
	}
	from, err1 := SecondsTo(b, 5, 55, 10)
	to, err2 := SecondsTo(b, 5, 55, 52.3)
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	near(t, "in range", (c.Above(10)-c.Above(52.3))/(to-from), 1, 1e-3)
	if c.Above(5) != 7200 || c.Above(56) != 0 {
		t.Errorf("above 5 °C for %v s, above 56 for %v", c.Above(5), c.Above(56))
	}
	if s, err := c.Reach(5); s != 0 || err != nil {
		t.Errorf("there already: %v, %v", s, err)
	}
	for _, target := range []float64{56, 4, math.NaN(), math.Inf(1)} {
		if _, err := c.Reach(target); !errors.Is(err, ErrNever) {
			t.Errorf("%v °C: %v", target, err)
		}
	}
	var empty Course
	if _, err := empty.Reach(1); !errors.Is(err, ErrNever) || empty.At(3) != (Point{}) || empty.Above(1) != 0 {
		t.Errorf("an empty course: %v", err)
	}
}

// Thicker, colder and slower at the surface never comes up sooner, and a step of
// the bath never loses to a bath that is never warmer.
func TestNeverSooner(t *testing.T) {
	t.Parallel()
	m := freezing(t)
	at := func(half, start, h float64, bath Profile) float64 {
		p := Problem{Shape: Slab, Half: half, Material: m, Start: start, Phases: []Phase{{Seconds: 12 * 3600, Outer: Face{Ambient: bath, Transfer: Constant(h)}}}}
		s, err := solved(t, p, Options{Cells: 20}).Reach(54)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	base := at(0.0125, 4, 95, Constant(55))
	for name, s := range map[string]float64{
		"thicker": at(0.014, 4, 95, Constant(55)),
		"colder":  at(0.0125, 2, 95, Constant(55)),
		"frozen":  at(0.0125, -10, 95, Constant(55)),
		"slower":  at(0.0125, 4, 80, Constant(55)),
		"ramp":    at(0.0125, 4, 95, ramp(t, 20, 55, 600)),
		"cooler":  at(0.0125, 4, 95, Constant(54.8)),
	} {
		if s <= base {
			t.Errorf("%s: %v s, not after %v", name, s, base)
		}
	}
}

func FuzzSolve(f *testing.F) {
	f.Add(0.0125, 5.0, 55.0, 95.0, 3600.0, 20.0, uint8(0))
	f.Add(0.0125, -18.0, 55.0, 95.0, 3600.0, 20.0, uint8(1))
	f.Add(1e-4, 200.0, -40.0, 1e6, 1.0, 0.0, uint8(2))
	f.Add(math.Inf(1), math.NaN(), 0.0, -1.0, 1e300, 1e300, uint8(3))
	m := freezing(f)
	f.Fuzz(func(t *testing.T, half, start, bath, h, seconds, next float64, shape uint8) {
		// A day of a film takes a million steps; that is slow, not wrong.
		if seconds*1.4e-7 > 1e3*half*half || math.Abs(start) > 1e4 || math.Abs(bath) > 1e4 || math.Abs(next) > 1e4 {
			return
		}
		p := Problem{Shape: Shape(shape % 4), Half: half, Material: m, Start: start, Phases: []Phase{{Seconds: seconds, Outer: Bath(bath, h)}, {Seconds: 60, Outer: Pan(next)}}}
		c, err := Solve(p, Options{Cells: 8})
		if err != nil {
			return
		}
		low, high := math.Min(start, math.Min(bath, next)), math.Max(start, math.Max(bath, next))
		for _, x := range c.Points {
			if !(x.Mean >= low-0.05*(high-low)-1e-6 && x.Mean <= high+0.05*(high-low)+1e-6) {
				t.Fatalf("mean %v °C between %v and %v", x.Mean, low, high)
			}
		}
	})
}
