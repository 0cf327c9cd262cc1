package conduct_test

import (
	"math"
	"testing"

	"tamis/internal/food"
	"tamis/internal/heat/conduct"
)

func fish(t *testing.T, kind string) (food.Thawing, *conduct.Material) {
	t.Helper()
	k, ok := food.TypicalOf(kind)
	if !ok {
		t.Fatal(kind)
	}
	thawing, err := food.NewThawing(k.Composition, k.Freezing)
	if err != nil {
		t.Fatal(err)
	}
	conductivity, enthalpy := thawing.Fixed()
	m, err := conduct.NewMaterial(conduct.Law{Conductivity: conductivity, Enthalpy: enthalpy, Low: food.Coldest, High: 100, Freezing: k.Freezing})
	if err != nil {
		t.Fatal(err)
	}
	return thawing, m
}

// With properties that follow the temperature a thawed piece comes up as with
// constant ones of half way, to a few per cent, and a frozen one takes longer; the
// heat that it takes is its mass times its enthalpy.
func TestRealFood(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"lean fish", "oily fish", "poultry", "beef pork lamb", "vegetable"} {
		thawing, m := fish(t, kind)
		reach := func(start float64) (float64, *conduct.Course) {
			p := conduct.Problem{Shape: conduct.Slab, Half: 0.0125, Material: m, Start: start, Phases: []conduct.Phase{{Seconds: 6 * 3600, Outer: conduct.Bath(55, 95)}}}
			c, err := conduct.Solve(p, conduct.Options{})
			if err != nil {
				t.Fatal(err)
			}
			s, err := c.Reach(54.5)
			if err != nil {
				t.Fatal(err)
			}
			return s, c
		}
		thawed, _ := reach(5)
		frozen, c := reach(-18)
		mid := thawing.At(30)
		b, err := conduct.NewSeries(conduct.Slab, 0.0125, conduct.Solid{Diffusivity: mid.Diffusivity, Conductivity: mid.Conductivity, Transfer: 95})
		if err != nil {
			t.Fatal(err)
		}
		constant, err := conduct.SecondsTo(b, 5, 55, 54.5)
		if err != nil {
			t.Fatal(err)
		}
		if off := thawed/constant - 1; math.Abs(off) > 0.03 {
			t.Errorf("%s: %.0f s, %.0f s with constant properties", kind, thawed, constant)
		}
		if ratio := frozen / thawed; ratio < 1.15 || ratio > 2 {
			t.Errorf("%s: frozen %.0f s, thawed %.0f s", kind, frozen, thawed)
		}
		_, enthalpy := thawing.Fixed()
		want := 0.025 * (enthalpy(55) - enthalpy(-18))
		if math.Abs(c.Gained/want-1) > 1e-3 || math.Abs(c.HeatIn/c.Gained-1) > 1e-6 {
			t.Errorf("%s: %v J in, %v gained, %v by enthalpy", kind, c.HeatIn, c.Gained, want)
		}
	}
}
