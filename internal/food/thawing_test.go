package food

import (
	"math"
	"testing"
)

func thawing(t *testing.T, kind string) Thawing {
	t.Helper()
	k, ok := TypicalOf(kind)
	if !ok {
		t.Fatalf("no %s", kind)
	}
	m, err := NewThawing(k.Composition, k.Freezing)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// The heat capacity is the slope of the enthalpy, on both sides of the freezing
// point and of 0 °C, and the enthalpy has no jump there.
func TestHeatCapacityIsTheSlopeOfTheEnthalpy(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"lean fish", "oily fish", "beef pork lamb", "vegetable", "fruit"} {
		m := thawing(t, kind)
		for _, c := range []float64{-38, -20, -10, -5, -3, 1, 20, 60, 120} {
			const d = 1e-3
			slope := (m.Enthalpy(c+d) - m.Enthalpy(c-d)) / (2 * d)
			// A central difference of step d is good to about d²/6 of the third
			// derivative, and the subtraction to 1e-16 × 3e5/d.
			near(t, kind+" slope", slope/m.At(c).HeatCapacity, 1, 1e-5)
		}
		for _, c := range []float64{m.Point(), 0} {
			near(t, kind+" jump", m.Enthalpy(c+1e-9)-m.Enthalpy(c-1e-9), 0, 1e-2)
		}
	}
}

func TestIce(t *testing.T) {
	t.Parallel()
	m := thawing(t, "lean fish")
	free := 0.81/1.004 - 0.4*0.175/1.004
	near(t, "at -20 °C", m.Ice(-20), free*(1-2.2/20), 1e-12)
	for _, c := range []float64{m.Point(), 0, 50} {
		if m.Ice(c) != 0 {
			t.Errorf("%v ice at %v °C", m.Ice(c), c)
		}
	}
	last := 1.0
	for c := -40.0; c < -2.2; c += 0.1 {
		x := m.Ice(c)
		if !(x < last && x > 0) {
			t.Fatalf("%v of ice at %v °C, %v just below", x, c, last)
		}
		last = x
	}
	// Frozen fish conducts about three times as well as thawed fish.
	if r := m.At(-20).Conductivity / m.At(5).Conductivity; r < 2 || r > 4 {
		t.Errorf("frozen conducts %.2f times as well", r)
	}
	if math.Abs(m.At(10).HeatCapacity-3749) > 2 {
		t.Errorf("thawed: %+v", m.At(10))
	}
	// Outside the polynomials the nearest temperature counts.
	if m.Enthalpy(-60) != m.Enthalpy(-40) || m.At(200) != m.At(150) {
		t.Error("properties run on outside their range")
	}
	if !math.IsNaN(m.Enthalpy(math.NaN())) {
		t.Error("no temperature has an enthalpy")
	}
	// More protein than water can bind: no ice, and nothing negative.
	dry, err := NewThawing(Composition{Water: 0.1, Protein: 0.9}, -5)
	if err != nil || dry.Ice(-30) != 0 {
		t.Errorf("dry food: %v of ice, %v", dry.Ice(-30), err)
	}
}

// The heat to thaw lean fish from -20 to 5 °C: most of it is the ice, so it lies
// between that of its free water alone and that of all its water with the warming.
func TestHeatOfThawing(t *testing.T) {
	t.Parallel()
	m := thawing(t, "lean fish")
	kj := (m.Enthalpy(5) - m.Enthalpy(-20)) / 1000
	if kj < 333.6*m.Ice(-20) || kj > 333.6*0.81+25*3.8 {
		t.Errorf("%.0f kJ/kg", kj)
	}
}
