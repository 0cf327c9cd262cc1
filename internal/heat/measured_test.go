package heat

import (
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/heat/conduct"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// A log that was computed from a known diffusivity and coefficient, with 0.1 K of
// noise, gives them back within its interval: a slab of 30 mm from 5 °C into 55 °C
// with diffusivity 1.35e-7 m²/s and 120 W/m²/K, a reading a minute.
func TestMeasured(t *testing.T) {
	t.Parallel()
	const diffusivity, transfer = 1.35e-7, 120
	tr := one()
	tr.Food.Thickness = trial.Some(quantity.Millimetres(30))
	tr.Food.Shape = trial.Some(trial.Slab)
	k := OfTrial(tr).Cooks[0].Likely().Conductivity
	body, err := New(Slab, 0.015, Material{Diffusivity: diffusivity, Conductivity: k, Transfer: transfer})
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 2))
	c := &tr.Cooks[0]
	c.Time = trial.Some(quantity.FromMinutes(100))
	for m := 0.0; m <= 100; m++ {
		core := 55 - 50*body.Centre(60*m) + 0.1*r.NormFloat64()
		c.Log = append(c.Log, trial.LogPoint{Minutes: m, Core: trial.Some(quantity.Celsius(core)), Bath: trial.Some(quantity.Celsius(55))})
	}
	cook := OfTrial(tr).Cooks[0]
	got := MeasuredOf(tr, &cook)
	low, mid, high := got.Diffusivity[0].Or(0), got.Diffusivity[1].Or(0), got.Diffusivity[2].Or(0)
	if !(low < diffusivity && diffusivity < high && low < mid && mid < high) {
		t.Errorf("diffusivity %v (%v to %v), made from %v", mid, low, high, diffusivity)
	}
	// Joint least squares of a curve like this one leave a standard deviation of
	// 0.9 % of noise; thickness and bath make the interval about a fifth wide.
	if math.Abs(mid/diffusivity-1) > 0.04 || high/low > 1.6 {
		t.Errorf("diffusivity %v (%v to %v) is too far off or too wide", mid, low, high)
	}
	if l, h := got.Transfer[0].Or(0), got.Transfer[2].Or(0); !(l < transfer && transfer < h) {
		t.Errorf("coefficient %v to %v, made from %v", l, h, transfer)
	}
	near(t, "scatter", got.Residual.Or(0), 0.1, 0.03) // a draw of 101
	for name, change := range map[string]func(*trial.Trial){
		"no core":     func(t *trial.Trial) { t.Cooks[0].Log = []trial.LogPoint{{Bath: trial.Some(quantity.Celsius(55))}} },
		"no log":      func(t *trial.Trial) { t.Cooks[0].Log = nil },
		"two lines":   func(t *trial.Trial) { t.Cooks[0].Log = t.Cooks[0].Log[:2] },
		"no start":    func(t *trial.Trial) { t.Food.Start.Known = false },
		"never moved": func(t *trial.Trial) { t.Cooks[0].Log = still(t.Cooks[0].Log) },
		"thickness":   func(t *trial.Trial) { t.Food.Thickness.Known = false },
	} {
		other := *tr
		other.Cooks = append([]trial.Cook(nil), tr.Cooks...)
		change(&other)
		cook := OfTrial(&other).Cooks[0]
		if m := MeasuredOf(&other, &cook); m.Diffusivity[1].Known() || m.Diffusivity[1].Reason() == "" {
			t.Errorf("%s: %v", name, m.Diffusivity)
		}
	}
}

func still(ls []trial.LogPoint) []trial.LogPoint {
	out := append([]trial.LogPoint(nil), ls...)
	for i := range out {
		out[i].Core = trial.Some(quantity.Celsius(5))
	}
	return out
}

func BenchmarkMeasured(b *testing.B) {
	tr := one()
	tr.Food.Shape = trial.Some(trial.Slab)
	for m := 0.0; m <= 60; m += 2 {
		tr.Cooks[0].Log = append(tr.Cooks[0].Log, trial.LogPoint{Minutes: m, Core: trial.Some(quantity.Celsius(55 - 50*math.Exp(-m/15)))})
	}
	c := OfTrial(tr).Cooks[0]
	for b.Loop() {
		MeasuredOf(tr, &c)
	}
}

// The probe's lag and offset come back from a log that was made with them, with
// intervals that hold them; a log of thousands of lines is thinned and says the same.
func TestMeasuredProbe(t *testing.T) {
	t.Parallel()
	for _, every := range []float64{1, 0.05} {
		tr := one()
		tr.Food.Thickness, tr.Food.Shape = trial.Some(quantity.Millimetres(30)), trial.Some(trial.Slab)
		body, err := New(Slab, 0.015, Material{Diffusivity: 1.35e-7, Conductivity: OfTrial(tr).Cooks[0].Likely().Conductivity, Transfer: 120})
		if err != nil {
			t.Fatal(err)
		}
		r := rand.New(rand.NewPCG(3, 4))
		c := &tr.Cooks[0]
		c.Time = trial.Some(quantity.FromMinutes(100))
		const lag, offset = 1.5, 0.6 // min, K
		var seconds, core []float64
		for s := 0.0; s <= 6000; s++ {
			seconds, core = append(seconds, s), append(core, 55-50*body.Centre(s))
		}
		read, err := conduct.Lagged(seconds, core, 60*lag)
		if err != nil {
			t.Fatal(err)
		}
		for s := 0; s <= 6000; s += int(60 * every) {
			c.Log = append(c.Log, trial.LogPoint{Minutes: float64(s) / 60, Core: trial.Some(quantity.Celsius(read[s] + offset + 0.05*r.NormFloat64()))})
		}
		cook := OfTrial(tr).Cooks[0]
		got := MeasuredOf(tr, &cook)
		if low, high := got.Lag[0].Or(-1), got.Lag[2].Or(-1); !(low <= 60*lag && 60*lag <= high) || !(low <= got.Lag[1].Or(-2) && got.Lag[1].Or(-2) <= high) {
			t.Errorf("every %v min: a lag of %v to %v s, made with %v", every, low, high, 60*lag)
		}
		if low, high := got.Offset[0].Or(9), got.Offset[2].Or(-9); !(low <= offset && offset <= high) || high-low < 0.4 || high-low > 1 {
			t.Errorf("every %v min: an offset of %v to %v K, made with %v", every, low, high, offset)
		}
	}
}
