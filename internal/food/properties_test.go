package food

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"
)

type reference struct {
	Source       string
	Compositions map[string]Composition
	Foods        []struct {
		Food                           string
		Celsius, Conductivity, Density float64
		HeatCapacity                   float64 `json:"heat_capacity"`
		Diffusivity                    float64 `json:"diffusivity_e7"`
		Series                         float64
		ByVolume                       float64 `json:"by_volume_e7"`
	}
	Parts []struct {
		Part                               string
		Conductivity, Density, Diffusivity float64
		HeatCapacity                       float64 `json:"heat_capacity_kj"`
		FromOthers                         float64 `json:"from_others"`
	} `json:"parts_at_20"`
	Measured struct {
		Source string
		Rows   []struct {
			Food, Name  string
			Celsius     float64
			Diffusivity float64 `json:"diffusivity_e7"`
		}
	}
}

func load(t *testing.T) reference {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("testdata", "properties.json"))
	if err != nil {
		t.Fatal(err)
	}
	var r reference
	if err := json.Unmarshal(raw, &r); err != nil {
		t.Fatal(err)
	}
	if r.Source == "" || len(r.Foods) != 18 || len(r.Parts) != 7 {
		t.Fatalf("%d foods and %d parts", len(r.Foods), len(r.Parts))
	}
	return r
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g within %g", what, got, want, tol)
	}
}

func TestWorkedProperties(t *testing.T) {
	t.Parallel()
	r := load(t)
	for _, w := range r.Foods {
		got, err := Properties(r.Compositions[w.Food], w.Celsius)
		if err != nil {
			t.Fatal(err)
		}
		// Tolerances are one unit in the last printed digit.
		near(t, w.Food+" conductivity", got.Conductivity, w.Conductivity, 1e-4)
		near(t, w.Food+" density", got.Density, w.Density, 0.01)
		near(t, w.Food+" heat capacity", got.HeatCapacity, w.HeatCapacity, 0.1)
		near(t, w.Food+" diffusivity", 1e7*got.Diffusivity, w.Diffusivity, 1e-4)
		near(t, w.Food+" series", got.Series, w.Series, 1e-4)
		near(t, w.Food+" by volume", 1e7*got.ByVolume, w.ByVolume, 1e-4)
	}
}

func TestPartsAt20(t *testing.T) {
	t.Parallel()
	byName := map[string]*part{"water": &water, "protein": &protein, "fat": &fat, "carb": &carbohydrate, "fibre": &fibre, "ash": &ash, "ice": &ice}
	for _, w := range load(t).Parts {
		p := byName[w.Part]
		// Five significant digits are printed.
		near(t, w.Part+" conductivity", p.conductivity.at(20), w.Conductivity, 1e-4*w.Conductivity)
		near(t, w.Part+" density", p.density.at(20), w.Density, 1e-4*w.Density)
		near(t, w.Part+" heat", p.heat.at(20), w.HeatCapacity, 1e-4*w.HeatCapacity)
		near(t, w.Part+" diffusivity", p.diffusivity.at(20), w.Diffusivity, 1e-4*w.Diffusivity)
		alone := p.conductivity.at(20) / p.density.at(20) / p.heat.at(20) / 1000
		near(t, w.Part+" k/(ρ cp)", alone, w.FromOthers, 1e-4*w.FromOthers)
		// The columns of one part agree with each other; a misprinted sign or power
		// of ten, as the conductivity of fat has in some copies, would not.
		if math.Abs(alone/w.Diffusivity-1) > 0.04 {
			t.Errorf("%s: k/(ρ cp) = %.4g, its own diffusivity %.4g", w.Part, alone, w.Diffusivity)
		}
	}
}

// What was measured lies within the spread that is carried.
func TestMeasuredDiffusivitiesLieInTheSpread(t *testing.T) {
	t.Parallel()
	r := load(t)
	for _, m := range r.Measured.Rows {
		got, err := Properties(r.Compositions[m.Food], m.Celsius)
		if err != nil {
			t.Fatal(err)
		}
		if off := got.Diffusivity*1e7/m.Diffusivity - 1; math.Abs(off) > Spread {
			t.Errorf("%s: %+.1f %% from what was measured", m.Name, 100*off)
		}
	}
}

func TestCompositionsThatAreRefused(t *testing.T) {
	t.Parallel()
	good := Composition{Water: 0.8, Protein: 0.2}
	for name, c := range map[string]Composition{
		"nothing":   {},
		"half":      {Water: 0.5},
		"per cent":  {Water: 80, Protein: 20},
		"negative":  {Water: 1.1, Protein: -0.1},
		"NaN":       {Water: math.NaN(), Protein: 0.2},
		"infinite":  {Water: math.Inf(1)},
		"far above": {Water: 0.8, Protein: 0.3},
	} {
		if _, err := Properties(c, 20); !errors.Is(err, ErrComposition) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := NewThawing(c, -2); !errors.Is(err, ErrComposition) {
			t.Errorf("thawing %s: %v", name, err)
		}
	}
	for _, celsius := range []float64{-40.1, 150.1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, err := Properties(good, celsius); !errors.Is(err, ErrTemperature) {
			t.Errorf("%v °C: %v", celsius, err)
		}
	}
	for _, point := range []float64{0, 1, -10.1, math.NaN(), math.Inf(-1)} {
		if _, err := NewThawing(good, point); !errors.Is(err, ErrTemperature) {
			t.Errorf("freezing point %v °C: %v", point, err)
		}
	}
	// Every part scaled alike changes nothing.
	a, _ := Properties(good, 30)
	b, err := Properties(Composition{Water: 0.8 * 0.97, Protein: 0.2 * 0.97}, 30)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "scaled", b.Diffusivity/a.Diffusivity, 1, 1e-14)
}

// The bounds hold for every kind at every temperature: the series rule is below
// the parallel one, and both are moist food.
func TestEveryKindIsFood(t *testing.T) {
	t.Parallel()
	for _, name := range Kinds() {
		k, ok := TypicalOf(name)
		if name == "other" {
			if ok {
				t.Error("anything has a typical composition")
			}
			continue
		}
		if !ok || k.Source == "" || k.FreezingSource == "" || math.Abs(k.Sum()-1) > 0.01 {
			t.Errorf("%s: %+v sums to %v", name, k, k.Sum())
		}
		for c := 0.0; c <= 100; c += 5 {
			p, err := Properties(k.Composition, c)
			if err != nil {
				t.Fatal(err)
			}
			if !(p.Series < p.Conductivity && p.Diffusivity > 1.15e-7 && p.Diffusivity < 1.75e-7 && p.Density > 950 && p.Density < 1200 && p.HeatCapacity > 3200 && p.HeatCapacity < 4100) {
				t.Errorf("%s at %v °C: %+v", name, c, p)
			}
			// The two rules for the diffusivity differ by a few per cent.
			if math.Abs(p.ByVolume/p.Diffusivity-1) > 0.08 {
				t.Errorf("%s at %v °C: the rules give %v and %v", name, c, p.Diffusivity, p.ByVolume)
			}
		}
	}
}

func FuzzProperties(f *testing.F) {
	f.Add(0.8, 0.2, 0.0, 0.0, 0.0, 0.0, 20.0, -2.0)
	f.Add(0.1, 0.9, 0.0, 0.0, 0.0, 0.0, -30.0, -5.0)
	f.Add(math.NaN(), 1.0, -1.0, math.Inf(1), 0.0, 0.0, 200.0, 0.0)
	f.Fuzz(func(t *testing.T, w, p, fat, c, fib, a, celsius, point float64) {
		x := Composition{w, p, fat, c, fib, a}
		if got, err := Properties(x, celsius); err == nil {
			if !(got.Density > 0 && got.HeatCapacity > 0 && got.Conductivity > 0 && got.Diffusivity > 0 && got.Series <= got.Conductivity*(1+1e-12)) {
				t.Fatalf("%+v at %v °C: %+v", x, celsius, got)
			}
		}
		if m, err := NewThawing(x, point); err == nil && !math.IsNaN(celsius) {
			got := m.At(celsius)
			if ice := m.Ice(celsius); !(ice >= 0 && ice <= 1 && got.HeatCapacity > 0 && got.Conductivity > 0) {
				t.Fatalf("%+v at %v °C: %v of ice, %+v", x, celsius, ice, got)
			}
		}
	})
}
