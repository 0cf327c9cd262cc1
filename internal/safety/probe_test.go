package safety

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// probed is beef of one piece that the calculation does not call pasteurised at
// 58 °C for 100 min, with a log of a checked probe that shows it hot early.
func probed() *trial.Trial {
	tr := cooked("beef pork lamb", 58, 100)
	c := &tr.Cooks[0]
	c.Pieces = []trial.Piece{{ID: "A1", Thickness: trial.Some(quantity.Millimetres(20))}}
	c.Probe = trial.Some(trial.Probe{Piece: trial.Some("A1"), At: trial.Some(trial.ProbeCentre), Reads: trial.Some(quantity.Kelvins(0.1)), Checked: trial.Some(checkDay)})
	for m := 0.0; m <= 100; m += 5 {
		core := 58.0
		if m < 15 {
			core = 4 + 54*m/15
		}
		c.Log = append(c.Log, trial.LogPoint{Minutes: m, Core: trial.Some(quantity.Celsius(core))})
	}
	return tr
}

func TestWhatAProbeMayImprove(t *testing.T) {
	t.Parallel()
	plain := probed()
	plain.Cooks[0].Log, plain.Cooks[0].Probe = nil, trial.Opt[trial.Probe]{}
	if v := judged(plain); v.Verdict != NotPasteurised {
		t.Fatalf("by calculation: %v", v.Verdict)
	}
	for _, c := range []struct {
		name   string
		change func(t *trial.Trial, c *trial.Cook)
		want   Verdict
	}{
		{"as it is", func(*trial.Trial, *trial.Cook) {}, Pasteurised},
		{"probe not described", func(_ *trial.Trial, c *trial.Cook) { c.Probe = trial.Opt[trial.Probe]{} }, NotPasteurised},
		{"probe not checked", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.Checked.Known = false }, NotPasteurised},
		{"probe checked 31 days before", func(_ *trial.Trial, c *trial.Cook) {
			c.Probe.V.Checked.V = trial.Date{Year: 2026, Month: 1, Day: 12}
		}, NotPasteurised},
		{"probe checked 30 days before", func(_ *trial.Trial, c *trial.Cook) {
			c.Probe.V.Checked.V = trial.Date{Year: 2026, Month: 1, Day: 13}
		}, Pasteurised},
		{"probe checked afterwards", func(_ *trial.Trial, c *trial.Cook) {
			c.Probe.V.Checked.V = trial.Date{Year: 2026, Month: 2, Day: 13}
		}, NotPasteurised},
		{"bath checked long ago", func(t *trial.Trial, _ *trial.Cook) {
			t.Baths[0].Checked.V = trial.Date{Year: 2025, Month: 12, Day: 1}
		}, NotPasteurised},
		{"bath not checked", func(t *trial.Trial, _ *trial.Cook) { t.Baths[0].Checked.Known = false }, NotPasteurised},
		{"no date of the cook", func(t *trial.Trial, _ *trial.Cook) { t.Date.Known, t.Date.V = false, trial.Date{} }, NotPasteurised},
		{"error of the probe not stated", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.Reads.Known = false }, NotPasteurised},
		{"probe reads 2 K high", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.Reads.V = quantity.Kelvins(2) }, NotPasteurised},
		{"probe reads low", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.Reads.V = quantity.Kelvins(-2) }, Pasteurised},
		{"not at the centre", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.At.V = trial.ProbeElsewhere }, NotPasteurised},
		{"place not stated", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.At = trial.Opt[trial.ProbePlace]{} }, NotPasteurised},
		{"a gap", func(_ *trial.Trial, c *trial.Cook) { c.Log = append(c.Log[:5:5], c.Log[7:]...) }, NotPasteurised},
		{"it ends early", func(_ *trial.Trial, c *trial.Cook) { c.Log = c.Log[:19] }, NotPasteurised},
		{"it begins late", func(_ *trial.Trial, c *trial.Cook) { c.Log = c.Log[2:] }, NotPasteurised},
		{"in another piece", func(_ *trial.Trial, c *trial.Cook) { c.Probe.V.Piece.V = "A2" }, NotPasteurised},
		{"a thinner piece beside it, by calculation", func(_ *trial.Trial, c *trial.Cook) {
			c.Pieces = append(c.Pieces, trial.Piece{ID: "A2", Thickness: trial.Some(quantity.Millimetres(19))})
		}, NotPasteurised},
		{"a thicker piece beside it", func(_ *trial.Trial, c *trial.Cook) {
			c.Pieces = append(c.Pieces, trial.Piece{ID: "A2", Thickness: trial.Some(quantity.Millimetres(21))})
		}, NotPasteurised},
		{"floated, and logged through", func(t *trial.Trial, _ *trial.Cook) {
			t.Deviations = []trial.Deviation{{What: trial.Some("floated")}}
		}, Pasteurised},
		{"floated, and not logged through", func(t *trial.Trial, c *trial.Cook) {
			t.Deviations = []trial.Deviation{{What: trial.Some("floated")}}
			c.Log = c.Log[:10]
		}, NotPasteurised},
		{"°F under a heading of °C", func(_ *trial.Trial, c *trial.Cook) {
			for i := range c.Log {
				c.Log[i].Core.V = quantity.Celsius(c.Log[i].Core.V.Fahrenheit())
			}
		}, NotPasteurised},
		{"stuffed, logged, but not hot enough", func(t *trial.Trial, _ *trial.Cook) { t.Food.Form.V = trial.Stuffed }, DoNotEat},
		{"stuffed, logged and hot", func(t *trial.Trial, c *trial.Cook) {
			t.Food.Form.V, c.SetPoint.V = trial.Stuffed, quantity.Celsius(72)
			for i := range c.Log {
				c.Log[i].Core.V = quantity.Celsius(c.Log[i].Core.V.Celsius() + 14)
			}
		}, Pasteurised},
		{"stuffed, not logged", func(t *trial.Trial, c *trial.Cook) {
			t.Food.Form.V, c.SetPoint.V, c.Log = trial.Stuffed, quantity.Celsius(80), nil
		}, DoNotEat},
		{"crowded", func(t *trial.Trial, c *trial.Cook) {
			t.Baths[0].Volume, c.Load, c.Log = trial.Some(quantity.Litres(5)), trial.Some(quantity.Grams(600)), nil
			c.SetPoint.V, c.Time.V = quantity.Celsius(66), quantity.FromMinutes(100)
		}, NoVerdict},
		{"roomy", func(t *trial.Trial, c *trial.Cook) {
			t.Baths[0].Volume, c.Load, c.Log = trial.Some(quantity.Litres(5)), trial.Some(quantity.Grams(400)), nil
			c.SetPoint.V, c.Time.V = quantity.Celsius(66), quantity.FromMinutes(100)
		}, Pasteurised},
		{"an oven, logged", func(t *trial.Trial, _ *trial.Cook) { t.Medium = trial.Some(trial.Oven) }, Pasteurised},
		{"an oven, not logged", func(t *trial.Trial, c *trial.Cook) { t.Medium, c.Log = trial.Some(trial.Oven), nil }, NoVerdict},
	} {
		tr := probed()
		c.change(tr, &tr.Cooks[0])
		if v := judged(tr); v.Verdict != c.want {
			t.Errorf("%s: %v (%v), want %v", c.name, v.Verdict, v.Why, c.want)
		}
	}
	// A thin piece beside the probe that the calculation clears by itself.
	tr := probed()
	tr.Cooks[0].Pieces = append(tr.Cooks[0].Pieces, trial.Piece{ID: "A2", Thickness: trial.Some(quantity.Millimetres(4))})
	tr.Food.Thickness.Known = false
	if v := judged(tr); v.Verdict != Pasteurised || v.Cook != "" && v.Cook != "A" {
		t.Errorf("a thin piece beside it: %v (%v)", v.Verdict, v.Why)
	}
}

func TestChilling(t *testing.T) {
	t.Parallel()
	clock := func(h, m int) trial.Opt[trial.Clock] { return trial.Some(trial.Clock{Minute: 60*h + m}) }
	at := func(c float64) trial.Opt[quantity.Temperature] { return trial.Some(quantity.Celsius(c)) }
	coldLog := func(points ...float64) []trial.LogPoint {
		var out []trial.LogPoint
		for i := 0; i < len(points); i += 2 {
			out = append(out, trial.LogPoint{Minutes: points[i], Core: at(points[i+1])})
		}
		return out
	}
	for _, c := range []struct {
		name  string
		chill trial.Chill
		out   trial.Opt[trial.Clock]
		log   []trial.LogPoint
		want  Verdict
		slug  string
	}{
		{"5 °C after an hour", trial.Chill{Into: clock(10, 0), AtTime: clock(11, 0), Core: at(5), KeptAt: at(3)}, trial.Opt[trial.Clock]{}, nil, Pasteurised, "core-equivalent"},
		{"5 °C after 3 h, the first step not seen", trial.Chill{Into: clock(10, 0), AtTime: clock(13, 0), Core: at(5), KeptAt: at(3)}, trial.Opt[trial.Clock]{}, nil, NoVerdict, "chill-unknown"},
		{"5 °C after 3 h, 21 °C seen after 1 h", trial.Chill{Into: clock(10, 0), AtTime: clock(13, 0), Core: at(5), KeptAt: at(3)}, trial.Opt[trial.Clock]{},
			coldLog(0, 60, 90, 66, 100, 57, 160, 20.9, 300, 5), Pasteurised, "core-equivalent"},
		{"21 °C only after 3 h", trial.Chill{Into: clock(10, 0), AtTime: clock(15, 0), Core: at(5), KeptAt: at(3)}, trial.Opt[trial.Clock]{},
			coldLog(0, 60, 90, 66, 100, 57, 280, 20.9, 400, 5), DoNotEat, "chill-slow"},
		{"5 °C after 7 h", trial.Chill{Into: clock(10, 0), AtTime: clock(17, 0), Core: at(5), KeptAt: at(3)}, trial.Opt[trial.Clock]{}, nil, DoNotEat, "chill-slow"},
		{"30 °C after 3 h", trial.Chill{Into: clock(10, 0), AtTime: clock(13, 0), Core: at(30), KeptAt: at(3)}, trial.Opt[trial.Clock]{}, nil, DoNotEat, "chill-slow"},
		{"20 °C after 1 h, no more", trial.Chill{Into: clock(10, 0), AtTime: clock(11, 0), Core: at(20), KeptAt: at(3)}, trial.Opt[trial.Clock]{}, nil, NoVerdict, "chill-unknown"},
		{"on the counter for two hours first", trial.Chill{Into: clock(10, 0), AtTime: clock(11, 0), Core: at(5), KeptAt: at(3)}, clock(8, 0), nil, NoVerdict, "chill-unknown"},
		{"kept at 8 °C", trial.Chill{Into: clock(10, 0), AtTime: clock(11, 0), Core: at(5), KeptAt: at(8)}, trial.Opt[trial.Clock]{}, nil, DoNotEat, "chill-warm"},
		{"kept nobody knows how", trial.Chill{Into: clock(10, 0), AtTime: clock(11, 0), Core: at(5)}, trial.Opt[trial.Clock]{}, nil, NoVerdict, "chill-unknown"},
		{"no more than chilled", trial.Chill{}, trial.Opt[trial.Clock]{}, nil, NoVerdict, "chill-unknown"},
	} {
		tr := cooked("beef pork lamb", 66, 90)
		c.chill.Is = true
		tr.Cooks[0].Chill, tr.Cooks[0].Out = trial.Some(c.chill), c.out
		v := CookVerdict{Verdict: Pasteurised, Why: []Reason{{Slug: "core-equivalent"}}}
		cook := tr.Cooks[0]
		cook.Log = c.log
		v.chilled(&cook)
		if v.Verdict != c.want || v.Why[0].Slug != c.slug {
			t.Errorf("%s: %v (%s), want %v (%s)", c.name, v.Verdict, v.Why[0].Slug, c.want, c.slug)
		}
		tr.Cooks[0].SetPoint.V = quantity.Celsius(56)
		if w := judged(tr); w.Verdict != DoNotEat || w.Why[0].Slug != "chilled" {
			t.Errorf("%s, not pasteurised: %v (%v)", c.name, w.Verdict, w.Why)
		}
	}
}

// Reheating does not start the clock anew.
func TestReheating(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		minutes float64
		known   bool
		want    Verdict
	}{{0, true, NotPasteurised}, {50, true, NotPasteurised}, {70, true, DoNotEat}, {0, false, NoVerdict}} {
		tr := cooked("beef pork lamb", 50, 60)
		tr.Cooks[0].Reheat = trial.Some(trial.Reheat{AtTmp: trial.Some(quantity.Celsius(50)), For: trial.Opt[quantity.Duration]{V: quantity.FromMinutes(c.minutes), Known: c.known}})
		if v := judged(tr); v.Verdict != c.want {
			t.Errorf("reheated for %v min (%v): %v, want %v", c.minutes, c.known, v.Verdict, c.want)
		}
	}
}
