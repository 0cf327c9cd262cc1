package schedule

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

func clock(h, m int) trial.Opt[trial.Clock] { return trial.Some(trial.Clock{Minute: 60*h + m}) }

// fish is a planned trial of whole fish that was frozen against parasites.
func fish(points []float64, mins float64, baths int) *trial.Trial {
	t := &trial.Trial{Title: trial.Some("T"), Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{High: 10}}}}
	t.Food = trial.Food{Kind: trial.Some("lean fish"), Form: trial.Some(trial.Whole), Shape: trial.Some(trial.Slab),
		Thickness: trial.Some(quantity.Millimetres(20)), Start: trial.Some(quantity.Celsius(4))}
	t.Sources = []trial.Source{{ID: "f", Frozen: trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-20)), For: trial.Some(quantity.FromDays(7)), By: trial.Some("supplier")}),
		Parasites: trial.Some(trial.Parasites{Control: trial.Some(trial.ByFreezing), Record: trial.Some("note")})}}
	for b := range baths {
		t.Baths = append(t.Baths, trial.Bath{ID: fmt.Sprintf("b%d", b+1), Volume: trial.Some(quantity.Litres(20)), Power: trial.Some(quantity.Watts(1500)),
			Reads: trial.Some(quantity.CelsiusDegrees(0)), Checked: trial.Some(trial.Date{Year: 2026, Month: 3, Day: 1})})
	}
	for i, p := range points {
		id := fmt.Sprintf("C%d", i+1)
		c := trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(p)), Time: trial.Some(quantity.FromMinutes(mins)), Bath: trial.Some(t.Baths[i%baths].ID),
			Session: trial.Some("first"), Order: trial.Some(i + 1)}
		for k := range 2 {
			piece := trial.Piece{ID: fmt.Sprintf("%s-%d", id, k+1), Source: trial.Some("f")}
			if k == 1 {
				piece.Brine = trial.Some(trial.Brine{Kind: trial.DryBrine, Salt: trial.Some(quantity.Percent(1)), AtTmp: trial.Some(quantity.Celsius(3)), For: trial.Some(quantity.FromMinutes(20))})
			}
			c.Pieces = append(c.Pieces, piece)
		}
		t.Cooks = append(t.Cooks, c)
	}
	t.Sessions = []trial.Session{{ID: "first", Date: trial.Some(trial.Date{Year: 2026, Month: 3, Day: 10})}}
	return t
}

// unsound checks a day by what it says of itself.
func unsound(t *trial.Trial, s *Schedule, o Options) string {
	cooks := map[string]*trial.Cook{}
	for i := range t.Cooks {
		cooks[t.Cooks[i].ID] = &t.Cooks[i]
	}
	for _, d := range s.Days {
		busy := map[string][]Step{}
		use := func(key string, x Step) string {
			for _, y := range busy[key] {
				if x.From < y.To && y.From < x.To {
					return fmt.Sprintf("%s twice: %s and %s", key, x.Text.Text(quantity.Metric), y.Text.Text(quantity.Metric))
				}
			}
			busy[key] = append(busy[key], x)
			return ""
		}
		for _, x := range d.Steps {
			if x.Hand > 0 {
				if why := use(fmt.Sprint("hand ", x.Hand), x); why != "" {
					return why
				}
			}
			if x.Pan != "" {
				if why := use("pan "+x.Pan, x); why != "" {
					return why
				}
			}
			if x.What == Cooking || x.What == Heating || x.What == Water {
				if why := use("bath "+x.Bath, x); why != "" {
					return why
				}
			}
		}
		for _, c := range d.Cooks {
			f := d.Flights[c.Flight-1]
			in := cooks[c.Cook]
			if m, ok := in.BathTime(); ok && math.Abs(float64(c.Out-c.In)/60-m.Minutes()) > 1.0/60 {
				return fmt.Sprintf("%s is in the bath for %v min", c.Cook, float64(c.Out-c.In)/60)
			}
			if c.Plated > f.Served || float64(f.Served-c.Plated)/60 > o.Within || c.Waits > o.Wait+1e-9 {
				return fmt.Sprintf("%s is plated at %v and served at %v, and waits %v min", c.Cook, c.Plated, f.Served, c.Waits)
			}
			if c.Discard != nil && *c.LastBite > *c.Discard {
				return fmt.Sprintf("the last bite of %s is at %v and its discard time %v", c.Cook, *c.LastBite, *c.Discard)
			}
			if c.Verdict == safety.DoNotEat && !s.NotTasted {
				return c.Cook + " must not be eaten"
			}
		}
	}
	return ""
}

// Random designs, laid out and scheduled: nothing twice, everything in time,
// nothing that must not be eaten; else two steps and the minute.
func TestRandomTrials(t *testing.T) {
	t.Parallel()
	n := 200
	if testing.Short() {
		n = 40
	}
	found := 0
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 3))
		tr := fish(nil, 0, 1+r.IntN(4))
		tr.Food.Thickness = trial.Some(quantity.Millimetres(12 + float64(r.IntN(20))))
		tr.Food.Kind = trial.Some([]string{"lean fish", "beef pork lamb", "poultry", "vegetable"}[r.IntN(4)])
		d := trial.Design{Times: []quantity.Duration{quantity.FromMinutes(float64(20 + r.IntN(150)))}, CooksEach: trial.Some(1 + r.IntN(2)), PiecesPerCook: trial.Some(1 + r.IntN(3))}
		if r.IntN(3) == 0 {
			d.Times, d.Holds = nil, []quantity.Duration{quantity.FromMinutes(float64(5 + r.IntN(60)))}
		}
		for i := range 1 + r.IntN(4) {
			d.SetPoints = append(d.SetPoints, quantity.Celsius(48+7*float64(i)))
		}
		if r.IntN(2) == 0 {
			d.Brine = []trial.Brine{{Kind: trial.NoBrine}, {Kind: trial.DryBrine, AtTmp: trial.Some(quantity.Celsius(4)), Salt: trial.Some(quantity.Percent(1)), For: trial.Some(quantity.FromMinutes(20))}}
		}
		if r.IntN(2) == 0 {
			d.Finish = []trial.Finish{{Sear: trial.Some(quantity.FromSeconds(60)), PerSide: r.IntN(2) == 0}}
		}
		for i := range 1 + r.IntN(6) {
			d.Assessors = append(d.Assessors, fmt.Sprint("p", i))
		}
		tr.Design = trial.Some(d)
		tr.Sources = nil
		if tr.Food.Kind.V == "lean fish" {
			tr.Food.Frozen = trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-20)), For: trial.Some(quantity.FromDays(7)), By: trial.Some("supplier")})
		}
		p, err := design.Of(tr, design.Options{Seed: uint64(seed + 1)})
		if err != nil {
			continue // a refusal of the layout, tested there
		}
		o := Options{ServeAt: clock(20, 0), Hands: 1 + r.IntN(3), Within: float64(5 + r.IntN(30)), Wait: float64(5 + r.IntN(25)), PerSample: 2}
		before := fmt.Sprintf("%+v", *p.Trial)
		s, conflicts := Of(p.Trial, o)
		if fmt.Sprintf("%+v", *p.Trial) != before {
			t.Fatalf("seed %d: the trial was altered", seed)
		}
		if s == nil && len(conflicts) == 0 {
			t.Fatalf("seed %d: neither a schedule nor a conflict", seed)
		}
		for _, c := range conflicts {
			if text := c.Text.Text(quantity.Metric); c.At == nil && c.Slug != DoNotEat && c.Slug != ColdBath && c.Slug != CannotTime || strings.Contains(text, "NaN") || c.First == "" {
				t.Fatalf("seed %d: %+v", seed, c)
			}
		}
		if s == nil {
			continue
		}
		found++
		if why := unsound(p.Trial, s, o); why != "" {
			t.Fatalf("seed %d: %s", seed, why)
		}
		again, _ := Of(p.Trial, o)
		a, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		if b, err := json.Marshal(again); err != nil || string(a) != string(b) {
			t.Fatalf("seed %d: another schedule the second time: %v", seed, err)
		}
	}
	if found < n/8 {
		t.Errorf("only %d of %d trials have a schedule", found, n)
	}
}

// Each thing that is impossible names its two steps and its minute.
func TestConflicts(t *testing.T) {
	t.Parallel()
	base := Options{ServeAt: clock(19, 30), Flights: 1}
	for _, c := range []struct {
		name, slug, first, second, at string
		tr                            *trial.Trial
		o                             func(o *Options)
	}{
		{name: "one bath, two set points", slug: BathBusy, first: "cook C2", second: "cook C1", tr: fish([]float64{52, 56}, 60, 1)},
		{name: "the kitchen opens", slug: TooEarly, second: "the opening of the kitchen", tr: fish([]float64{52, 56}, 60, 2), o: func(o *Options) { o.Opens = clock(18, 0) }},
		{name: "no hands", slug: HandsBusy, tr: fish([]float64{50, 52, 54, 56}, 60, 4), o: func(o *Options) { o.Hands, o.Within, o.Wait = 1, 3, 8 }},
		{name: "the growth clock", slug: GrowthLate, first: "the last bite of cook C1", second: "cook C1", tr: fish([]float64{50}, 100, 1), o: func(o *Options) { o.PerSample = 120 }},
	} {
		o := base
		if c.o != nil {
			c.o(&o)
		}
		s, got := Of(c.tr, o)
		if s != nil || len(got) == 0 {
			t.Errorf("%s: a schedule, or no reason: %+v", c.name, got)
			continue
		}
		g := got[0]
		if g.Slug != c.slug || g.At == nil || g.First == "" || g.Second == "" || c.first != "" && g.First != c.first || c.second != "" && g.Second != c.second {
			t.Errorf("%s: %s, %q against %q: %s", c.name, g.Slug, g.First, g.Second, g.Text.Text(quantity.Metric))
			continue
		}
		if text := g.Text.Text(quantity.Metric); !strings.Contains(text, g.At.Clock()) {
			t.Errorf("%s: the minute is not in the text: %s", c.name, text)
		}
	}
}

// What must not be eaten is refused; what nobody tastes is weighed and sheared.
func TestNothingDangerous(t *testing.T) {
	t.Parallel()
	tr := fish([]float64{55}, 60, 1)
	tr.Food.Kind = trial.Some("poultry")
	s, c := Of(tr, Options{ServeAt: clock(19, 30)})
	if s != nil || len(c) == 0 || c[0].Slug != DoNotEat {
		t.Errorf("poultry at 55 °C is scheduled: %+v", c)
	}
	tr.Measures = []trial.Measure{{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")}}
	s, c = Of(tr, Options{ServeAt: clock(19, 30)})
	if s == nil || !s.NotTasted || len(c) > 0 {
		t.Fatalf("poultry to be sheared has no schedule: %+v", c)
	}
	for _, x := range s.Days[0].Steps {
		if text := x.Text.Text(quantity.Metric); strings.Contains(text, "serve") || strings.Contains(text, "bite") {
			t.Errorf("it is served: %s", text)
		}
	}
}

// Only what is pasteurised is chilled, for all alike, and warmed up at or below the
// lowest set point.
func TestChill(t *testing.T) {
	t.Parallel()
	o := Options{ServeAt: clock(19, 30), Chill: true}
	if s, c := Of(fish([]float64{50, 62}, 120, 2), o); s != nil || len(c) == 0 || c[0].Slug != BadChill {
		t.Errorf("an unpasteurised cook is chilled: %+v", c)
	}
	hot := fish([]float64{60, 62, 64}, 120, 1)
	s, c := Of(hot, o)
	if s == nil {
		t.Fatalf("three pasteurised cooks in one bath are not chilled: %s", c[0].Text.Text(quantity.Metric))
	}
	if why := unsound(hot, s, Options{Within: Within, Wait: Wait}); why != "" {
		t.Error(why)
	}
	for _, l := range s.Lead {
		if text := l.Text(quantity.Metric); strings.Contains(text, "after it went into the bath") {
			t.Errorf("a discard time that counts from the first bath: %s", text)
		}
	}
	if len(s.Days[0].Flights) != 1 {
		t.Errorf("%d flights, and chilling is there to need one", len(s.Days[0].Flights))
	}
	for _, x := range s.Days[0].Steps {
		if v, ok := x.SetPoint.Get(); x.What == Rewarming && (!ok || v > 60) {
			t.Errorf("warmed up at %v", v)
		}
	}
	hot.Cooks[0].Reheat = trial.Some(trial.Reheat{AtTmp: trial.Some(quantity.Celsius(61)), For: trial.Some(quantity.FromMinutes(20))})
	if s, c := Of(hot, o); s != nil || c[0].Slug != BadChill {
		t.Errorf("warmed up above the lowest set point: %+v", c)
	}
	hot.Cooks[0].Reheat = trial.Opt[trial.Reheat]{}
	hot.Cooks[0].Chill = trial.Some(trial.Chill{Is: true})
	if s, c := Of(hot, Options{ServeAt: clock(19, 30)}); s != nil || c[0].Slug != BadChill {
		t.Errorf("one of three is chilled: %+v", c)
	}
}

// A trial that was cooked is scheduled again as it was laid out, whatever happened.
func TestCookedAgain(t *testing.T) {
	t.Parallel()
	plan := fish([]float64{52, 56}, 60, 2)
	cooked := fish([]float64{52, 56}, 60, 2)
	for i := range cooked.Cooks {
		cooked.Cooks[i].Time = trial.Opt[quantity.Duration]{}
		cooked.Cooks[i].Started, cooked.Cooks[i].Out, cooked.Cooks[i].Served = clock(9, 0), clock(10, 0), clock(14, 0)
	}
	o := Options{ServeAt: clock(19, 30)}
	a, _ := Of(plan, o)
	b, c := Of(cooked, o)
	if a == nil || b == nil {
		t.Fatalf("no schedule: %+v", c)
	}
	x, _ := json.Marshal(a)
	y, _ := json.Marshal(b)
	if d := cmp.Diff(string(x), string(y)); d != "" {
		t.Error(d)
	}
}

func TestOptions(t *testing.T) {
	t.Parallel()
	tr := fish([]float64{52}, 60, 1)
	for name, o := range map[string]Options{
		"no time":      {},
		"minute":       {ServeAt: trial.Some(trial.Clock{Minute: 2000})},
		"hands":        {ServeAt: clock(19, 0), Hands: -1},
		"flights":      {ServeAt: clock(19, 0), Flights: 9},
		"within":       {ServeAt: clock(19, 0), Within: math.NaN()},
		"wait":         {ServeAt: clock(19, 0), Wait: math.Inf(1)},
		"tap":          {ServeAt: clock(19, 0), Tap: trial.Some(math.NaN())},
		"many flights": {ServeAt: clock(19, 0), Flights: 501},
	} {
		if s, c := Of(tr, o); s != nil || len(c) != 1 {
			t.Errorf("%s: %v", name, c)
		}
	}
	if _, c := Of(&trial.Trial{}, Options{ServeAt: clock(1, 0)}); len(c) != 1 || c[0].Slug != NoCooks {
		t.Errorf("no cooks: %+v", c)
	}
	if _, c := Of(&trial.Trial{Cooks: []trial.Cook{{ID: "A"}}}, Options{ServeAt: clock(1, 0)}); len(c) != 1 || c[0].Slug != CannotTime {
		t.Errorf("a cook of which nothing is known: %+v", c)
	}
}

// The closed form of a bath that heats up, against small steps of its balance.
func TestHeatTime(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ litres, watts, from, to float64 }{{20, 1100, 15, 52}, {12, 800, 40, 60}, {50, 2000, 10, 85}} {
		got, ok := heatTime(c.litres, c.watts, c.from, c.to)
		const step = 0.01 // seconds
		at, sec := c.from, 0.0
		for at < c.to {
			at += step * (c.watts - lossWatts*(at-kitchenAir)) / (c.litres * waterHeat)
			sec += step
		}
		if !ok || math.Abs(got-sec/60) > 1e-4*got { // Euler steps of 0.01 s
			t.Errorf("%v: %v min, by steps %v", c, got, sec/60)
		}
	}
	if _, ok := heatTime(20, 200, 15, 90); ok {
		t.Error("200 W hold a bath at 90 °C")
	}
	if m, ok := heatTime(20, 1000, 60, 50); m != 0 || !ok {
		t.Error("a bath that is hotter needs heating")
	}
	// From 60 to 50 °C with water of 15 °C: 10 of 45 parts are replaced, 4.4 of 20 l,
	// out and in again at 6 l a minute, and two minutes of hands.
	if m := coolTime(20, 60, 50, 15); m != 4 {
		t.Errorf("cooling takes %v min", m)
	}
}

func TestMoment(t *testing.T) {
	t.Parallel()
	for m, want := range map[Moment]string{0: "00:00", 66300: "18:25", 66330: "18:25:30", -60: "23:59 the day before", -90000: "23:00, 2 days before", 86400: "00:00 the day after"} {
		if m.String() != want {
			t.Errorf("%d: %s, want %s", m, m, want)
		}
	}
}
