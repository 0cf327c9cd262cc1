package conduct

import (
	"fmt"
	"math"
	"testing"
)

func uniform(t testing.TB) *Material {
	t.Helper()
	m, err := Uniform(0.48, 0.48/1.4e-7)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func solved(t testing.TB, p Problem, o Options) *Course {
	t.Helper()
	c, err := Solve(p, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// plain is a piece of so many millimetres in a bath at 55 °C.
func plain(t testing.TB, shape Shape, mm, seconds float64) Problem {
	return Problem{Shape: shape, Half: mm / 2000, Material: uniform(t), Start: 5, Phases: []Phase{{Seconds: seconds, Outer: Bath(55, 95)}}}
}

func TestComeUpByFiniteVolumes(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).Minutes.Rows {
		p := plain(t, r.Shape.Shape, r.MM, 60*r.Minutes[2]*1.2)
		got, err := solved(t, p, Options{}).Reach(54.5)
		if err != nil {
			t.Fatal(err)
		}
		finer, err := solved(t, p, Options{Halvings: 1}).Reach(54.5)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprint(r.Shape, " ", r.MM, " mm")
		if off := got/finer - 1; math.Abs(off) > 1e-3 {
			t.Errorf("%s: halving changes the come-up by %.3f %%", name, 100*off)
		}
		exact, _ := SecondsTo(body(t, r.Shape.Shape, r.MM, practical), 5, 55, 54.5)
		if off := got/exact - 1; math.Abs(off) > 1e-3 {
			t.Errorf("%s: %.3f %% from the series", name, 100*off)
		}
	}
}

// The default resolution is enough for properties that vary and for a frozen start,
// thin and thick, with slow and fast surfaces.
func TestDefaultResolution(t *testing.T) {
	t.Parallel()
	transfers, halves := []float64{20, 95, 400}, []float64{0.004, 0.0125, 0.03}
	if testing.Short() {
		transfers, halves = []float64{95}, []float64{0.0125}
	}
	for name, m := range map[string]*Material{"varying": varying(t), "frozen": freezing(t)} {
		for _, shape := range []Shape{Slab, Cylinder, Sphere} {
			for _, h := range transfers {
				for _, half := range halves {
					p := Problem{Shape: shape, Half: half, Material: m, Start: -18, Phases: []Phase{{Seconds: 24 * 3600, Outer: Bath(55, h)}}}
					a, err1 := solved(t, p, Options{}).Reach(54.5)
					b, err2 := solved(t, p, Options{Halvings: 1}).Reach(54.5)
					if err1 != nil || err2 != nil {
						t.Fatal(err1, err2)
					}
					if off := a/b - 1; math.Abs(off) > 1e-3 {
						t.Errorf("%s %v of half %v m, h %v: halving changes the come-up by %.3f %%", name, shape, half, h, 100*off)
					}
				}
			}
		}
	}
}

func TestRampByFiniteVolumes(t *testing.T) {
	t.Parallel()
	ref := load(t).Ramp
	p := plain(t, Slab, 25, 7200)
	p.Phases[0].Outer.Ambient = ramp(t, 20, 55, 1200)
	var times []float64
	for _, r := range ref.Rows {
		times = append(times, r.Seconds)
	}
	got, err := Extrapolated(p, Options{Times: times})
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range ref.Rows {
		near(t, "bath", got[i].Bath, r.Bath, 1e-9)
		near(t, "centre", got[i].Centre, r.Centre, 2e-5) // five decimals, and what is left of 30, 60 and 120 cells
		near(t, "mean", got[i].Mean, r.Mean, 2e-5)
		near(t, "surface", got[i].Surface, r.Surface, 2e-5)
	}
	s, err := solved(t, p, Options{}).Reach(54.5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "reached", s/ref.Reached, 1, 1e-3)
}

func TestLoadDip(t *testing.T) {
	t.Parallel()
	ref := load(t).Load
	tank := Tank{Mass: 10, Start: 55, Set: 55, Room: 20, Area: 0.0761905}
	// The area is that of 1 kg: 2/(1050 kg/m³ × 0.025 m).
	tank.Area = 2 / (1050 * 0.025)
	heated := tank
	heated.Gain, heated.Bias, heated.Power, heated.Loss = 500, 105, 1000, 3
	for _, c := range []struct {
		name string
		tank Tank
		rows []loadRow
		tol  float64
	}{
		// Five decimals and four; what is left of three grids comes on top.
		{"no heater", tank, ref.A, 3e-5}, {"heater", heated, ref.B, 1.5e-4},
	} {
		p := plain(t, Slab, 25, 7200)
		p.Phases[0].Tank = &c.tank
		var times []float64
		for _, r := range c.rows {
			times = append(times, r.Seconds)
		}
		got, err := Extrapolated(p, Options{Times: times})
		if err != nil {
			t.Fatal(err)
		}
		for i, r := range c.rows {
			name := fmt.Sprint(c.name, " ", r.Seconds, " s ")
			near(t, name+"core", got[i].Centre, r.Core, c.tol)
			near(t, name+"bath", got[i].Bath, r.Bath, c.tol)
			near(t, name+"surface", got[i].Surface, r.Surface, c.tol)
			near(t, name+"mean", got[i].Mean, r.Mean, c.tol)
		}
		course := solved(t, p, Options{})
		last := course.Points[len(course.Points)-1]
		if c.tank.Power == 0 {
			near(t, "end", course.At(7200).Bath, ref.End, 1e-3)
			// What the water lost is what the food gained.
			lost := c.tank.heat() * (55 - last.Bath)
			near(t, "balance", lost/(course.Gained*c.tank.Area/2), 1, 1e-9)
		} else {
			low, at := math.Inf(1), 0.0
			for _, x := range course.Points {
				if x.Bath < low {
					low, at = x.Bath, x.Seconds
				}
			}
			near(t, "lowest", low, ref.Minimum, 1e-3)
			if at < 130 || at > 190 {
				t.Errorf("the bath is lowest at %v s", at)
			}
		}
	}
}

// A heater that is too weak runs at its limit, and a bath with more water dips less.
func TestWeakHeater(t *testing.T) {
	t.Parallel()
	lowest := func(mass, power float64) float64 {
		p := plain(t, Slab, 25, 7200)
		p.Phases[0].Tank = &Tank{Mass: mass, Start: 55, Set: 55, Gain: 500, Power: power, Room: 20, Area: 2 / (1050 * 0.025)}
		low := math.Inf(1)
		for _, x := range solved(t, p, Options{}).Points {
			low = math.Min(low, x.Bath)
		}
		return low
	}
	last := 0.0
	for _, power := range []float64{0, 20, 50, 100, 150} {
		v := lowest(10, power)
		if v <= last {
			t.Errorf("%v W: down to %v °C, after %v with less", power, v, last)
		}
		last = v
	}
	if a, b := lowest(10, 100), lowest(20, 100); a >= b {
		t.Errorf("10 kg go down to %v °C, 20 kg to %v", a, b)
	}
}

// Heat in is enthalpy gained, whatever the properties, shapes and phases.
func TestEnergyIsConserved(t *testing.T) {
	t.Parallel()
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		for name, m := range map[string]*Material{"uniform": uniform(t), "varying": varying(t), "frozen": freezing(t)} {
			p := Problem{Shape: shape, Half: 0.012, Material: m, Start: -18, Phases: []Phase{
				{Seconds: 3600, Outer: Bath(55, 95)},
				{Seconds: 600, Outer: Bath(20, 10)},
				{Seconds: 900, Outer: Bath(1, 400)},
				{Seconds: 60, Outer: Pan(200)},
			}}
			if shape == Slab {
				pan := Bath(180, 800)
				air := Insulated()
				p.Phases = append(p.Phases, Phase{Seconds: 90, Outer: pan, Inner: &air}, Phase{Seconds: 300, Outer: Bath(20, 10)})
			}
			for _, o := range []Options{{}, {Cells: 10}, {Halvings: 1}} {
				c := solved(t, p, o)
				scale := 0.0
				for _, x := range c.Points {
					scale = math.Max(scale, math.Abs(m.Enthalpy(x.Mean)-m.Enthalpy(-18)))
				}
				scale *= 0.024 // of a square metre, or less
				if math.Abs(c.HeatIn-c.Gained) > 1e-7*scale {
					t.Errorf("%v, %s, %+v: %v J in, %v J gained", shape, name, o, c.HeatIn, c.Gained)
				}
			}
		}
	}
}

// varying is a food whose conductivity and capacity grow with temperature.
func varying(t testing.TB) *Material {
	t.Helper()
	m, err := NewMaterial(Law{
		Conductivity: func(c float64) float64 { return 0.47 + 0.0013*c },
		Capacity:     func(c float64) float64 { return 3.9e6 + 400*c },
		Low:          -20, High: 200,
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// freezing is a food of 80 % water that freezes at -2 °C, in round numbers.
func freezing(t testing.TB) *Material {
	t.Helper()
	const point, water, heat = -2.0, 0.8, 333.6e6
	iced := func(c float64) float64 {
		if c >= point {
			return 0
		}
		return water * (1 - point/c)
	}
	m, err := NewMaterial(Law{
		Conductivity: func(c float64) float64 { return 0.5 + 1.4*iced(c) },
		Capacity: func(c float64) float64 {
			if c >= point {
				return 3.7e6
			}
			return 3.7e6 - 2.1e6*iced(c) - heat*water*point/(c*c)
		},
		Low: -40, High: 100, Freezing: point,
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Where conductivity and capacity grow alike, the integral of the conductivity
// obeys the linear equation: with the surface held it follows the series exactly.
func TestKirchhoff(t *testing.T) {
	t.Parallel()
	const grow = 0.01 // of each per K; far more than any food
	m, err := NewMaterial(Law{
		Conductivity: func(c float64) float64 { return 0.5 * (1 + grow*c) },
		Capacity:     func(c float64) float64 { return 3.5e6 * (1 + grow*c) },
		Low:          0, High: 60,
	})
	if err != nil {
		t.Fatal(err)
	}
	phi := func(c float64) float64 { return c + grow*c*c/2 }
	back := func(v float64) float64 { return (math.Sqrt(1+2*grow*v) - 1) / grow }
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		p := Problem{Shape: shape, Half: 0.0125, Material: m, Start: 5, Phases: []Phase{{Seconds: 1800, Outer: Pan(55)}}}
		times := []float64{200, 600, 1200}
		got, err := Extrapolated(p, Options{Times: times})
		if err != nil {
			t.Fatal(err)
		}
		s := body(t, shape, 25, Solid{Diffusivity: 0.5 / 3.5e6, Conductivity: 0.5, Transfer: math.Inf(1)})
		for i, sec := range times {
			want := back(phi(55) - s.Centre(sec)*(phi(55)-phi(5)))
			// The centre is extrapolated in temperature on three moderate grids.
			near(t, fmt.Sprint(shape, " ", sec, " s"), got[i].Centre, want, 2e-4)
		}
	}
}

// A solid at its melting point whose face is held above it melts behind a front at
// 2λ√(αt) with λ exp(λ²) erf λ = c(Ts-Tm)/(L√π) (Neumann, in Carslaw and Jaeger
// 1959). Melting is spread over a tenth of a kelvin here.
func TestMeltingFront(t *testing.T) {
	t.Parallel()
	const k, c, latent, surface = 0.5, 3.7e6, 2.5e8, 50.0
	m, err := NewMaterial(Law{
		Conductivity: func(float64) float64 { return k },
		Enthalpy: func(x float64) float64 {
			return c*x + latent*math.Max(0, math.Min(1, (x+0.1)/0.1))
		},
		Low: -1, High: 60, Freezing: -1e-9,
	})
	if err != nil {
		t.Fatal(err)
	}
	lambda := bisect(func(x float64) float64 {
		return x*math.Exp(x*x)*math.Erf(x) - c*surface/(latent*math.Sqrt(math.Pi))
	}, 0, 2)
	const half = 0.02
	p := Problem{Shape: Slab, Half: half, Material: m, Start: -0.1, Phases: []Phase{{Seconds: 900, Outer: Pan(surface)}}}
	times := []float64{300, 600, 900}
	got := solved(t, p, Options{Cells: 160, Times: times})
	for i, pr := range got.Profiles {
		front := 0.0
		for j, x := range pr.Place {
			if pr.Celsius[j] > -0.05 {
				front = (1 - x) * half
				break
			}
		}
		want := 2 * lambda * math.Sqrt(k/c*times[i])
		// The front is known to one cell of 0.125 mm, of 5 to 10 mm.
		near(t, fmt.Sprint("front at ", times[i], " s"), front*1000, want*1000, 0.2)
	}
}

// A frozen piece takes longer than a thawed one from just above freezing, its core
// waits at the freezing point, and halving changes the come-up by little.
func TestFrozenStart(t *testing.T) {
	t.Parallel()
	m := freezing(t)
	at := func(start float64, o Options) (*Course, float64) {
		p := Problem{Shape: Slab, Half: 0.0125, Material: m, Start: start, Phases: []Phase{{Seconds: 4 * 3600, Outer: Bath(55, 95)}}}
		c := solved(t, p, o)
		s, err := c.Reach(54.5)
		if err != nil {
			t.Fatal(err)
		}
		return c, s
	}
	c, frozen := at(-18, Options{})
	_, thawed := at(4, Options{})
	if frozen < 1.2*thawed || frozen > 3*thawed {
		t.Errorf("frozen %v s, thawed %v s", frozen, thawed)
	}
	wait := c.Above(-4) - c.Above(-2)
	if wait < 0.05*frozen {
		t.Errorf("the core waits %v s between -4 and -2 °C", wait)
	}
	_, finer := at(-18, Options{Halvings: 1})
	if off := frozen/finer - 1; math.Abs(off) > 1e-3 {
		t.Errorf("halving changes the come-up by %.3f %%", 100*off)
	}
	last := math.Inf(1)
	for _, start := range []float64{-30, -18, -10, -5, -3, -2.1, -2, -1.9, 0, 4} {
		if _, s := at(start, Options{}); s >= last {
			t.Errorf("%v °C: %v s, after %v from colder", start, s, last)
		} else {
			last = s
		}
	}
}

func BenchmarkCook(b *testing.B) {
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		b.Run(shape.String(), func(b *testing.B) {
			p := Problem{Shape: shape, Half: 0.0125, Material: varying(b), Start: 5, Phases: []Phase{{Seconds: 5400, Outer: Bath(55, 95)}}}
			b.ReportAllocs()
			for range b.N {
				solved(b, p, Options{})
			}
		})
	}
	b.Run("frozen", func(b *testing.B) {
		p := Problem{Shape: Slab, Half: 0.0125, Material: freezing(b), Start: -18, Phases: []Phase{{Seconds: 9000, Outer: Bath(55, 95)}}}
		for range b.N {
			solved(b, p, Options{})
		}
	})
}
