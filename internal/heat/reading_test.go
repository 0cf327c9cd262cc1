package heat

import (
	"math"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// logged is a cook at 52 °C for 60 min with a log every five minutes.
func logged(bath, core func(minutes float64) float64) *trial.Trial {
	tr := one()
	c := &tr.Cooks[0]
	c.SetPoint = trial.Some(quantity.Celsius(52))
	for m := 0.0; m <= 70; m += 5 { // it went on after the food was out
		p := trial.LogPoint{Minutes: m}
		if bath != nil {
			p.Bath = trial.Some(quantity.Celsius(bath(m)))
		}
		if core != nil {
			p.Core = trial.Some(quantity.Celsius(core(m)))
		}
		c.Log = append(c.Log, p)
	}
	return tr
}

func TestReadLog(t *testing.T) {
	t.Parallel()
	// 52, then 50.5 and 51 after the food went in, back at 10 min with 51.9 and
	// 52.1 in turn; the core climbs a degree a minute from 5 and stays at 51.8.
	bath := func(m float64) float64 {
		switch {
		case m == 0:
			return 52
		case m == 5:
			return 50.5
		case m > 60:
			return 20 // switched off
		case math.Mod(m, 10) == 0:
			return 51.9
		}
		return 52.1
	}
	core := func(m float64) float64 { return math.Min(5+m, 51.8) }
	tr := logged(bath, core)
	r := OfTrial(tr).Cooks[0].Log
	if r == nil {
		t.Fatal("no reading")
	}
	// From 10 to 60 min: eleven lines, the two at the ends weigh half.
	near(t, "mean", r.BathMean.Or(0), (51.9/2+52.1+51.9+52.1+51.9+52.1+51.9+52.1+51.9+52.1+51.9/2)/10, 1e-12)
	near(t, "sd", r.BathSD.Or(0), 0.1, 1e-12)
	near(t, "back at", r.Returned.Or(-1), 10, 0)
	near(t, "coldest", r.BathLow.Or(0), 50.5, 0)
	near(t, "core", r.CoreMax.Or(0), 51.8, 0)
	if !r.Reached || len(r.Core) != 13 || len(r.Bath) != 13 || r.Points != 26 {
		t.Errorf("reading %+v", r)
	}
	near(t, "arrived", r.Arrived.Or(0), 45+5*(51.5-50)/(51.8-50), 1e-8) // the reading counts as there 1e-9 K early; on the line between 45 min, 50 °C, and 50 min, 51.8 °C
	near(t, "offset", r.Offset.Or(9), 51.8-52, 1e-9)
	if h := OfTrial(tr).Cooks[0].Hold(); h != Exactly(60-r.Arrived.Or(0)) {
		t.Errorf("hold %v", h)
	}
	// A thermometer that reads 0.3 °C high.
	tr.Cooks[0].Bath.V = "high"
	near(t, "corrected", OfTrial(tr).Cooks[0].Log.BathMean.Or(0), 52-0.3, 1e-9)
}

func TestReadLogEdges(t *testing.T) {
	t.Parallel()
	flatAt := func(v float64) func(float64) float64 { return func(float64) float64 { return v } }
	for _, c := range []struct {
		name       string
		bath, core func(float64) float64
		mean, sd   float64 // NaN: absent
		reached    bool
	}{
		{"a steady bath that is off is seen to be off", flatAt(50.6), nil, 50.6, 0, false},
		{"a bath that dips and settles elsewhere", func(m float64) float64 { return map[bool]float64{true: 48, false: 50.9}[m < 12] }, nil, 50.9, 0, false},
		{"no bath", nil, flatAt(51.6), math.NaN(), math.NaN(), true},
		{"a core that never arrives", flatAt(52), flatAt(40), 52, 0, false},
		{"exactly at the edge", flatAt(52.3), flatAt(51.8), 52.3, 0, true},
	} {
		r := OfTrial(logged(c.bath, c.core)).Cooks[0].Log
		for _, x := range []struct {
			what string
			got  quantity.Number
			want float64
		}{{"mean", r.BathMean, c.mean}, {"sd", r.BathSD, c.sd}} {
			if math.IsNaN(c.mean) {
				if x.got.Known() {
					t.Errorf("%s: %s is %v", c.name, x.what, x.got)
				}
				continue
			}
			near(t, c.name+": "+x.what, x.got.Or(-99), x.want, 1e-9)
		}
		if r.Reached != c.reached || r.Arrived.Known() != c.reached || r.CoreMax.Known() != (c.core != nil) {
			t.Errorf("%s: %+v", c.name, r)
		}
	}
	// A bath that climbs all the time settles nowhere near the set point.
	climb := OfTrial(logged(func(m float64) float64 { return 20 + m/4 }, nil)).Cooks[0].Log
	if m := climb.BathMean; m.Known() && math.Abs(m.Or(0)-52) < 10 {
		t.Errorf("a climbing bath: %v", m)
	}
	tr := one()
	if OfTrial(tr).Cooks[0].Log != nil {
		t.Error("a reading without a log")
	}
	tr.Cooks[0].LogFile = trial.Some("logs/a.csv")
	r := OfTrial(tr).Cooks[0].Log
	if r == nil || r.Points != 0 || r.BathMean.Known() || r.CoreMax.Known() || r.BathMean.Reason() == "" {
		t.Errorf("an empty log: %+v", r)
	}
	// One line.
	tr.Cooks[0].Log = []trial.LogPoint{{Minutes: 3, Bath: trial.Some(quantity.Celsius(55)), Core: trial.Some(quantity.Celsius(54.5))}}
	r = OfTrial(tr).Cooks[0].Log
	near(t, "one line", r.BathMean.Or(0), 55, 0)
	if r.BathSD.Known() || !r.Reached || r.Arrived.Or(0) != 3 || r.Offset.Known() {
		t.Errorf("one line: %+v", r)
	}
}

// A log in °F under a heading of °C is seen; one that is merely hot is not.
func TestFahrenheitLog(t *testing.T) {
	t.Parallel()
	f := logged(func(float64) float64 { return 125.6 }, nil)
	if !has(OfTrial(f).Cooks[0].Limits(), WrongLog) {
		t.Error("125.6 in a bath of 52 °C is °F")
	}
	for _, v := range []float64{52, 60, 75, 90} {
		if has(OfTrial(logged(func(float64) float64 { return v }, nil)).Cooks[0].Limits(), WrongLog) {
			t.Errorf("%v in a bath of 52 °C is not °F", v)
		}
	}
}

// Logging faster for a while does not move the mean of a steady stretch.
func TestSpreadWeighsByTime(t *testing.T) {
	t.Parallel()
	slow := []LogLine{{0, 50}, {10, 50}, {20, 52}, {30, 52}}
	fast := []LogLine{{0, 50}, {1, 50}, {2, 50}, {3, 50}, {10, 50}, {20, 52}, {30, 52}}
	a, _ := spread(slow)
	b, _ := spread(fast)
	near(t, "mean", b, a, 1e-12)
}
