package conduct

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

func TestBlockInThreeDimensions(t *testing.T) {
	t.Parallel()
	sides := [3]float64{0.03, 0.06, 0.12}
	p := plain(t, Slab, 30, 3600)
	rows := load(t).Block
	var times []float64
	for _, r := range rows {
		times = append(times, r.Seconds)
	}
	// Two grids and one extrapolation of the second order.
	coarse, err1 := SolveBlock(sides, p, Options{Cells: 8, Times: times})
	fine, err2 := SolveBlock(sides, p, Options{Cells: 8, Halvings: 1, Times: times})
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	for _, r := range rows {
		a, b := coarse.At(r.Seconds), fine.At(r.Seconds)
		near(t, fmt.Sprint("core at ", r.Seconds), b.Core+(b.Core-a.Core)/3, r.Core, 0.002)
		near(t, fmt.Sprint("mean at ", r.Seconds), b.Mean+(b.Mean-a.Mean)/3, 55-50*r.Mean, 0.002)
		near(t, fmt.Sprint("core at ", r.Seconds, ", one grid"), b.Core, r.Core, 0.05)
	}
	near(t, "heat", fine.HeatIn/fine.Gained, 1, 1e-9)
	block, _ := NewBlock(sides, practical)
	x := fine.At(1200)
	near(t, "surface", x.Surface, 55-50*block.Surface(1200), 0.1)
	got, err := fine.Reach(53.9)
	if err != nil {
		t.Fatal(err)
	}
	want, _ := SecondsTo(block, 5, 55, 53.9)
	near(t, "reached", got/want, 1, 5e-3)
	if len(fine.Profiles) != len(times) || fine.Profiles[0].Place[0] != 0 {
		t.Errorf("%d profiles", len(fine.Profiles))
	}
}

// A block that is very wide and long is the slab, frozen or not, and its tank is
// cooled alike.
func TestWideBlockIsASlab(t *testing.T) {
	t.Parallel()
	for name, m := range map[string]*Material{"uniform": uniform(t), "frozen": freezing(t)} {
		p := Problem{Shape: Slab, Half: 0.0125, Material: m, Start: -10, Phases: []Phase{{Seconds: 3600, Outer: Bath(55, 95)}, {Seconds: 300, Outer: Bath(20, 10)}}}
		// Of a wide block nearly all of the area is its two large faces.
		p.Phases[0].Tank = &Tank{Mass: 10, Start: 55, Set: 55, Gain: 500, Power: 300, Room: 20, Area: 0.08}
		slab := solved(t, p, Options{Cells: 10})
		wide, err := SolveBlock([3]float64{0.025, 50, 50}, p, Options{Cells: 10})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []float64{300, 1200, 3599, 3900} {
			near(t, fmt.Sprint(name, " core at ", s), wide.At(s).Core, slab.At(s).Core, 0.15)
			near(t, fmt.Sprint(name, " bath at ", s), wide.At(s).Bath, slab.At(s).Bath, 0.02)
		}
		near(t, "heat", wide.HeatIn/wide.Gained, 1, 1e-9)
	}
}

func TestEnthalpyBackwards(t *testing.T) {
	t.Parallel()
	for _, m := range []*Material{freezing(t), varying(t), uniform(t)} {
		for c := -60.0; c < 240; c += 0.37 {
			for _, guess := range []float64{-1e3, -2, c, 1e3} {
				near(t, "temperature", m.celsius(m.Enthalpy(c), guess), c, 1e-7)
			}
		}
	}
}

func TestBadBlocks(t *testing.T) {
	t.Parallel()
	p := plain(t, Slab, 30, 600)
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := SolveBlock([3]float64{0.03, v, 0.03}, p, Options{}); !errors.Is(err, ErrInput) {
			t.Errorf("side %v: %v", v, err)
		}
	}
	good := [3]float64{0.03, 0.03, 0.03}
	if _, err := SolveBlock(good, p, Options{Cells: 60, Halvings: 1}); !errors.Is(err, ErrInput) {
		t.Errorf("a million cells: %v", err)
	}
	f := Insulated()
	p.Phases[0].Inner = &f
	if _, err := SolveBlock(good, p, Options{}); !errors.Is(err, ErrInput) {
		t.Errorf("an inner face: %v", err)
	}
	p.Phases = nil
	if _, err := SolveBlock(good, p, Options{}); !errors.Is(err, ErrInput) {
		t.Errorf("no phase: %v", err)
	}
}

func BenchmarkBlock(b *testing.B) {
	p := plain(b, Slab, 30, 3600)
	for range b.N {
		if _, err := SolveBlock([3]float64{0.03, 0.06, 0.12}, p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
