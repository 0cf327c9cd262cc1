package heat

import (
	"math"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// one is a trial of one cook: 25 mm of lean fish from 5 °C into 55 °C for an
// hour, in a bath that was checked and reads true.
func one() *trial.Trial {
	return &trial.Trial{
		Food: trial.Food{Kind: trial.Some("lean fish"), Thickness: trial.Some(quantity.Millimetres(25)), Start: trial.Some(quantity.Celsius(5))},
		Baths: []trial.Bath{{ID: "north", Reads: trial.Some(quantity.Kelvins(0)), Checked: trial.Some(trial.Date{Year: 2026, Month: 2, Day: 9})},
			{ID: "high", Reads: trial.Some(quantity.Kelvins(0.3)), Checked: trial.Some(trial.Date{Year: 2026, Month: 2, Day: 9})},
			{ID: "low", Reads: trial.Some(quantity.Kelvins(-0.3)), Checked: trial.Some(trial.Date{Year: 2026, Month: 2, Day: 9})},
			{ID: "unchecked", Reads: trial.Some(quantity.Kelvins(0.3))}, {ID: "far", Reads: trial.Some(quantity.Kelvins(2))}, {ID: "blank"}},
		Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(55)), Time: trial.Some(quantity.FromMinutes(60)), Bath: trial.Some("north")}},
	}
}

// The core on the unfavourable side against the table of slabs: a diffusivity
// 10 % low is the same slab on a clock that runs 0.9 times as fast, since Bi
// does not change. 25 mm, 55 °C: 68.56 min to 54.5 °C (computed by series).
func TestUnfavourableCore(t *testing.T) {
	t.Parallel()
	c := OfTrial(one()).Cooks[0]
	if c.Cannot != nil {
		t.Fatal(c.Cannot)
	}
	near(t, "core", c.core(68.56/0.9), 54.5, 1e-3) // the time is printed to 0.01 min
	if p := c.Path(10, 5); p == nil || len(p) != 0 {
		t.Errorf("a path backwards: %v", p)
	}
	for _, m := range []float64{-1, math.NaN(), math.Inf(1), 1e6} {
		if c.Path(0, m) != nil || c.Path(m, 10) != nil {
			t.Errorf("a path of %v min", m)
		}
	}
	if c.Longest != 60 || c.Bath != 55 || c.Start != 5 || c.Thickness != 25 || c.Minutes != 60 || !c.Checked || !c.Stated {
		t.Errorf("conditions %+v", c)
	}
	path := c.Path(0, c.Minutes)
	if len(path) != 241 || path[0] != 5 || path[240] != c.core(60) {
		t.Errorf("path of %d samples from %v to %v", len(path), path[0], path[len(path)-1])
	}
}

func TestWhatIsTakenOnTheUnfavourableSide(t *testing.T) {
	t.Parallel()
	mm := func(x float64) trial.Opt[quantity.Length] { return trial.Some(quantity.Millimetres(x)) }
	for _, c := range []struct {
		name                    string
		change                  func(*trial.Trial, *trial.Cook)
		bath, start, mm, minute float64
	}{
		{"as it is", func(*trial.Trial, *trial.Cook) {}, 55, 5, 25, 60},
		{"reads high", func(_ *trial.Trial, c *trial.Cook) { c.Bath.V = "high" }, 54.7, 5, 25, 60},
		{"reads low earns nothing", func(_ *trial.Trial, c *trial.Cook) { c.Bath.V = "low" }, 55, 5, 25, 60},
		{"no day of the check", func(_ *trial.Trial, c *trial.Cook) { c.Bath.V = "unchecked" }, 54, 5, 25, 60},
		{"far off and no day", func(_ *trial.Trial, c *trial.Cook) { c.Bath.V = "far" }, 53, 5, 25, 60},
		{"nothing known of the bath", func(_ *trial.Trial, c *trial.Cook) { c.Bath.V = "blank" }, 54, 5, 25, 60},
		{"a bath that is not listed", func(_ *trial.Trial, c *trial.Cook) { c.Bath.V = "west" }, 54, 5, 25, 60},
		{"no bath", func(_ *trial.Trial, c *trial.Cook) { c.Bath.Known = false }, 54, 5, 25, 60},
		{"start not stated", func(t *trial.Trial, _ *trial.Cook) { t.Food.Start.Known = false }, 55, -1, 25, 60},
		{"a colder piece", func(_ *trial.Trial, c *trial.Cook) {
			c.Pieces = []trial.Piece{{Start: trial.Some(quantity.Celsius(2))}, {}}
		}, 55, 2, 25, 60},
		{"a warmer piece", func(_ *trial.Trial, c *trial.Cook) {
			c.Pieces = []trial.Piece{{Start: trial.Some(quantity.Celsius(8))}}
		}, 55, 5, 25, 60},
		{"one piece without a start", func(t *trial.Trial, c *trial.Cook) {
			t.Food.Start.Known = false
			c.Pieces = []trial.Piece{{Start: trial.Some(quantity.Celsius(8))}, {}}
		}, 55, -1, 25, 60},
		{"a thicker piece", func(_ *trial.Trial, c *trial.Cook) { c.Pieces = []trial.Piece{{Thickness: mm(30)}, {}} }, 55, 5, 30, 60},
		{"thinner pieces", func(_ *trial.Trial, c *trial.Cook) { c.Pieces = []trial.Piece{{Thickness: mm(20)}} }, 55, 5, 25, 60},
		{"pieces alone", func(t *trial.Trial, c *trial.Cook) {
			t.Food.Thickness.Known = false
			c.Pieces = []trial.Piece{{Thickness: mm(20)}, {Thickness: mm(22)}}
		}, 55, 5, 22, 60},
		{"a block is a slab of its shortest side", func(t *trial.Trial, _ *trial.Cook) {
			t.Food.Thickness.Known = false
			t.Food.Sides = []quantity.Length{quantity.Millimetres(60), quantity.Millimetres(12), quantity.Millimetres(120)}
		}, 55, 5, 12, 60},
		{"a piece that came out early", func(_ *trial.Trial, c *trial.Cook) {
			c.Started = trial.Some(trial.Clock{Minute: 600})
			c.Pieces = []trial.Piece{{Out: trial.Some(trial.Clock{Minute: 640})}}
		}, 55, 5, 25, 40},
		{"started and out", func(_ *trial.Trial, c *trial.Cook) {
			c.Time.Known = false
			c.Started, c.Out = trial.Some(trial.Clock{Minute: 1430}), trial.Some(trial.Clock{Minute: 20})
		}, 55, 5, 25, 30},
		{"longer than a week", func(_ *trial.Trial, c *trial.Cook) { c.Time.V = quantity.FromDays(30) }, 55, 5, 25, 10080},
		// 41.48 min: the 46.25 min of the table at 300 W/m²/K and 1.4e-7 m²/s, with the
		// 1.4191e-7 that composition gives at 30 °C, 10 % high.
		{"a hold from the earliest arrival", func(_ *trial.Trial, c *trial.Cook) {
			c.Time.Known, c.Hold = false, trial.Some(quantity.FromMinutes(20))
		}, 55, 5, 25, 20 + 46.25*1.4/(1.4191*1.1)},
		{"a log with a colder bath", func(_ *trial.Trial, c *trial.Cook) {
			c.Log = []trial.LogPoint{{Minutes: 0, Bath: trial.Some(quantity.Celsius(55.2))}, {Minutes: 5, Bath: trial.Some(quantity.Celsius(54.1))}}
		}, 54.1, 5, 25, 60},
		{"a log with a warmer bath", func(_ *trial.Trial, c *trial.Cook) {
			c.Log = []trial.LogPoint{{Minutes: 0, Bath: trial.Some(quantity.Celsius(58))}}
		}, 55, 5, 25, 60},
	} {
		tr := one()
		c.change(tr, &tr.Cooks[0])
		got := OfTrial(tr).Cooks[0]
		if got.Cannot != nil {
			t.Errorf("%s: cannot: %v", c.name, got.Cannot)
			continue
		}
		for _, x := range []struct {
			what      string
			got, want float64
		}{{"bath", got.Bath, c.bath}, {"start", got.Start, c.start}, {"thickness", got.Thickness, c.mm}, {"minutes", got.Minutes, c.minute}} {
			near(t, c.name+": "+x.what, x.got, x.want, 5e-3) // the hold's reference is printed to 0.01 min
		}
	}
}

func TestCannotNamesTheField(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		field  string
		change func(*trial.Trial, *trial.Cook)
	}{
		{"medium", func(t *trial.Trial, _ *trial.Cook) { t.Medium = trial.Some(trial.Oven) }},
		{"cooks.set_point", func(_ *trial.Trial, c *trial.Cook) { c.SetPoint.Known = false }},
		{"cooks.set_point", func(_ *trial.Trial, c *trial.Cook) { c.SetPoint.V = quantity.Celsius(120) }},
		{"cooks.set_point", func(_ *trial.Trial, c *trial.Cook) { c.SetPoint.V = quantity.Celsius(4) }},
		{"cooks.set_point", func(_ *trial.Trial, c *trial.Cook) { c.SetPoint.V = quantity.Celsius(math.NaN()) }},
		{"cooks.ramp", func(_ *trial.Trial, c *trial.Cook) { c.Ramp = trial.Some(true) }},
		{"food.kind", func(t *trial.Trial, _ *trial.Cook) { t.Food.Kind.Known = false }},
		{"food.kind", func(t *trial.Trial, _ *trial.Cook) { t.Food.Kind.V = "cod" }},
		{"food.thickness", func(t *trial.Trial, _ *trial.Cook) { t.Food.Thickness.Known = false }},
		{"food.thickness", func(t *trial.Trial, _ *trial.Cook) { t.Food.Thickness.V = quantity.Millimetres(0) }},
		{"food.thickness", func(t *trial.Trial, _ *trial.Cook) { t.Food.Thickness.V = quantity.Millimetres(math.Inf(1)) }},
		{"food.thickness", func(t *trial.Trial, c *trial.Cook) {
			t.Food.Thickness.Known = false
			c.Pieces = []trial.Piece{{Thickness: trial.Some(quantity.Millimetres(20))}, {}}
		}},
		{"cooks.probe", func(t *trial.Trial, _ *trial.Cook) { t.Food.Start.V = quantity.Celsius(-18) }},
		{"cooks.time", func(_ *trial.Trial, c *trial.Cook) { c.Time.Known = false }},
		{"cooks.time", func(_ *trial.Trial, c *trial.Cook) { c.Time.V = quantity.FromMinutes(0) }},
		{"cooks.hold", func(t *trial.Trial, c *trial.Cook) {
			c.Time.Known, c.Hold = false, trial.Some(quantity.FromMinutes(20))
			t.Food.Start.V = quantity.Celsius(54.8)
		}},
	} {
		tr := one()
		c.change(tr, &tr.Cooks[0])
		got := OfTrial(tr).Cooks[0]
		if got.Cannot == nil || got.Cannot.Field != c.field || got.Cannot.Why == "" || !strings.HasPrefix(got.Cannot.Error(), c.field) {
			t.Errorf("want a cannot on %s, got %v (%+v)", c.field, got.Cannot, got)
		}
		if got.Path(0, 10) != nil {
			t.Errorf("%s: a path without a calculation", c.field)
		}
	}
}

// A probe log only ever lowers the core.
func TestLogOnlyLowers(t *testing.T) {
	t.Parallel()
	tr := one()
	plain := OfTrial(tr).Cooks[0]
	point := func(m, c float64) trial.LogPoint {
		return trial.LogPoint{Minutes: m, Core: trial.Some(quantity.Celsius(c))}
	}
	tr.Cooks[0].Log = []trial.LogPoint{point(40, 30), point(10, 50), point(20, 20), point(20, 25)}
	logged := OfTrial(tr).Cooks[0]
	for m := 0.0; m <= 80; m += 0.5 {
		if logged.core(m) > plain.core(m) {
			t.Errorf("at %v min the log raised the core from %v to %v", m, plain.core(m), logged.core(m))
		}
	}
	near(t, "the colder of two readings at once", logged.core(20), 20, 0)
	near(t, "between two readings", logged.core(35), 25+0.75*5, 1e-12) // from the later of the two at 20 min
	near(t, "after the last", logged.core(60), plain.core(60)-(plain.core(40)-30), 1e-12)
	near(t, "before the first", logged.core(5), plain.core(5), 0)
}

func TestPlannedTakesTheGreatestThicknessOfTheTrial(t *testing.T) {
	t.Parallel()
	tr := one()
	tr.Cooks = append(tr.Cooks, tr.Cooks[0])
	tr.Cooks[1].Pieces = []trial.Piece{{Thickness: trial.Some(quantity.Millimetres(40))}}
	if got := Planned(tr, 0, 58); got.Cannot != nil || got.Thickness != 40 || got.Bath != 58 || got.SetPoint != 58 {
		t.Errorf("planned: %+v", got)
	}
	tr.Food.Thickness.Known = false
	if got := Planned(tr, 1, 58); got.Cannot == nil || got.Cannot.Field != "food.thickness" {
		t.Errorf("the first cook's thickness is not known: %+v", got)
	}
	for _, i := range []int{-1, 2} {
		if got := Planned(tr, i, 58); got.Cannot == nil {
			t.Errorf("cook %d does not exist: %+v", i, got)
		}
	}
	if got := OfTrial(&trial.Trial{}); len(got.Cooks) != 0 {
		t.Errorf("an empty trial: %+v", got)
	}
}
