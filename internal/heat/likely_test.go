package heat

import (
	"math"
	"reflect"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// practicalSlab is the setting of the tables: 5 → 55 °C, α 1.4e-7, k 0.48.
func practicalSlab(mm float64) Setting {
	return Setting{Shape: trial.Slab, Thickness: mm, Bath: 55, Start: same(5), Diffusivity: same(1.4e-7), Transfer: same(95), Conductivity: 0.48}
}

// Minutes to within 0.5 °C of the bath, computed by series and printed to 0.01:
// thickness or diameter, set point, shape, coefficient; and a slab of which one
// end of the range is another coefficient or a diffusivity 10 % off, which is a
// clock that runs at another pace.
func TestComeUpOf(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name           string
		change         func(*Setting)
		low, mid, high float64
	}{
		{"25 mm slab", func(*Setting) {}, 68.56, 68.56, 68.56},
		{"50 mm slab", func(s *Setting) { s.Thickness = 50 }, 208.45, 208.45, 208.45},
		{"45 °C", func(s *Setting) { s.Bath = 45 }, 65.37, 65.37, 65.37},
		{"cylinder", func(s *Setting) { s.Shape = trial.Cylinder }, 31.68, 31.68, 31.68},
		{"sphere", func(s *Setting) { s.Shape = trial.Sphere }, 19.97, 19.97, 19.97},
		{"coefficient 95 to 300", func(s *Setting) { s.Transfer = [3]float64{300, 95, 95} }, 46.25, 68.56, 68.56},
		{"diffusivity ±10 %", func(s *Setting) { s.Diffusivity = around(1.4e-7) }, 68.56 / 1.1, 68.56, 68.56 / 0.9},
		{"there already", func(s *Setting) { s.Start = same(54.6) }, 0, 0, 0},
	} {
		s := practicalSlab(25)
		c.change(&s)
		r := ComeUpOf(s)
		if !r.Known {
			t.Errorf("%s: %v", c.name, r)
			continue
		}
		near(t, c.name+": low", r.Low, c.low, 6e-3) // the tables print 0.01 min
		near(t, c.name+": mid", r.Mid, c.mid, 6e-3)
		near(t, c.name+": high", r.High, c.high, 6e-3)
	}
	// A block of 30 × 60 × 120 mm is at 47.6939 °C as a slab of 30 mm after 40 min
	// and at 50.5021 °C as a block: it is there sooner.
	s := practicalSlab(30)
	slab := ComeUpOf(s)
	s.Shape, s.Sides = trial.Block, [3]float64{30, 60, 120}
	if block := ComeUpOf(s); !(block.Known && block.High < slab.Low) {
		t.Errorf("block %v, slab %v", block, slab)
	}
}

func TestComeUpOfBadNumbers(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*Setting){
		"no thickness":     func(s *Setting) { s.Thickness = 0 },
		"NaN":              func(s *Setting) { s.Thickness = math.NaN() },
		"endless":          func(s *Setting) { s.Thickness = math.Inf(1) },
		"start above bath": func(s *Setting) { s.Start = same(60) },
		"start at bath":    func(s *Setting) { s.Start = same(55) },
		"no diffusivity":   func(s *Setting) { s.Diffusivity = same(0) },
		"no coefficient":   func(s *Setting) { s.Transfer = same(0) },
		"no conductivity":  func(s *Setting) { s.Conductivity = 0 },
		"a missing side":   func(s *Setting) { s.Shape, s.Sides = trial.Block, [3]float64{30, 0, 60} },
		"NaN diffusivity":  func(s *Setting) { s.Diffusivity[1] = math.NaN() },
		"cold for ever":    func(s *Setting) { s.Bath = math.Inf(-1) },
	} {
		s := practicalSlab(25)
		change(&s)
		if r := ComeUpOf(s); r.Known || r.Why == nil || r.Low != 0 || r.Mid != 0 || r.High != 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// The likely range of a trial: what is stated narrows it, what is not widens it.
func TestLikelyOfTrial(t *testing.T) {
	t.Parallel()
	tr := one()
	whole := OfTrial(tr).Cooks[0]
	if !whole.ComeUp().Known || !(whole.ComeUp().Low < whole.ComeUp().Mid && whole.ComeUp().Mid < whole.ComeUp().High) {
		t.Fatalf("come-up %v", whole.ComeUp())
	}
	if h := whole.Hold(); !h.Known || h.High != 60-whole.ComeUp().Low || h.Low != 0 {
		t.Errorf("hold %v of come-up %v", h, whole.ComeUp())
	}
	if !has(whole.Limits(), AssumedShape) || has(whole.Limits(), AssumedStart) {
		t.Errorf("limits %v", whole.Limits())
	}
	for name, forget := range map[string]func(*trial.Trial){
		"start": func(t *trial.Trial) { t.Food.Start.Known = false },
		"kind":  func(t *trial.Trial) { t.Food.Kind.Known = false },
	} {
		tr := one()
		forget(tr)
		got := OfTrial(tr).Cooks[0].ComeUp()
		if !got.Known || got.Low > whole.ComeUp().Low || got.High < whole.ComeUp().High {
			t.Errorf("without the %s: %v is not around %v", name, got, whole.ComeUp())
		}
	}
	tr.Food.Thickness.Known = false
	if got := OfTrial(tr).Cooks[0]; got.ComeUp().Known || got.ComeUp().Why.Field != "food.thickness" {
		t.Errorf("without a thickness: %v", got.ComeUp())
	}
}

func has(ls []Limit, s Slug) bool {
	for _, l := range ls {
		if l.Slug == s {
			return true
		}
	}
	return false
}

// Pieces of unequal thickness: each has its own, and the slowest speaks for the
// cook.
func TestPiecesHaveTheirOwn(t *testing.T) {
	t.Parallel()
	mm := func(x float64) trial.Opt[quantity.Length] { return trial.Some(quantity.Millimetres(x)) }
	tr := one()
	tr.Cooks[0].Pieces = []trial.Piece{{ID: "A1", Thickness: mm(20)}, {ID: "A2", Thickness: mm(30)}, {ID: "A3"}}
	c := OfTrial(tr).Cooks[0]
	if len(c.Pieces()) != 3 || c.ComeUp() != c.Pieces()[1].ComeUp || c.Hold() != c.Pieces()[1].Hold {
		t.Fatalf("pieces %+v, cook %v", c.Pieces(), c.ComeUp())
	}
	for i, want := range []float64{20, 30, 25} {
		if c.Pieces()[i].Thickness != want || !c.Pieces()[i].ComeUp.Known {
			t.Errorf("piece %d: %+v", i, c.Pieces()[i])
		}
	}
	tr.Cooks[0].Started = trial.Some(trial.Clock{Minute: 600})
	tr.Cooks[0].Pieces[1].Out = trial.Some(trial.Clock{Minute: 600 + 200})
	if c := OfTrial(tr).Cooks[0]; c.Hold().High != 200-c.ComeUp().Low {
		t.Errorf("a piece that stayed for 200 min held for %v", c.Hold())
	}
	tr.Food.Thickness.Known = false
	if c := OfTrial(tr).Cooks[0]; c.ComeUp().Known || !c.Pieces()[0].ComeUp.Known {
		t.Errorf("a piece without a thickness decides: %v", c.ComeUp())
	}
}

// Thicker, colder or a slower surface never comes up faster, a hotter bath from
// the same start never faster by the 0.5 °C rule.
func TestComeUpNeverShortens(t *testing.T) {
	t.Parallel()
	for _, shape := range []trial.Shape{trial.Slab, trial.Cylinder, trial.Sphere} {
		base := practicalSlab(20)
		base.Shape, base.Diffusivity, base.Transfer = shape, around(1.4e-7), [3]float64{300, 95, 95}
		was := ComeUpOf(base)
		for name, worse := range map[string]func(*Setting, float64){
			"thicker": func(s *Setting, f float64) { s.Thickness *= f },
			"colder":  func(s *Setting, f float64) { s.Start = same(5 - 3*f) },
			"surface": func(s *Setting, f float64) { s.Transfer = [3]float64{300 / f, 95 / f, 95 / f} },
			"conduct": func(s *Setting, f float64) { s.Diffusivity = around(1.4e-7 / f) },
		} {
			last := was
			for f := 1.02; f < 4; f *= 1.3 {
				s := base
				worse(&s, f)
				got := ComeUpOf(s)
				if !got.Known || got.Low < last.Low || got.Mid < last.Mid || got.High < last.High {
					t.Errorf("%s %s × %.2f: %v after %v", shape, name, f, got, last)
				}
				last = got
			}
		}
	}
}

func TestMedia(t *testing.T) {
	t.Parallel()
	for _, m := range trial.Media {
		tr := one()
		tr.Medium = trial.Some(m)
		c := OfTrial(tr).Cooks[0]
		coefficient, ok := Coefficients(m)
		if ok != c.ComeUp().Known {
			t.Errorf("%s: come-up %v", m, c.ComeUp())
		}
		if (coefficient.Lacks == "") != (m == trial.WaterBath) || ok && coefficient.Source == "" {
			t.Errorf("%s: %+v", m, coefficient)
		}
		if m != trial.WaterBath && !has(c.Limits(), Surface) && !has(c.Limits(), NoBath) {
			t.Errorf("%s: no limit: %v", m, c.Limits())
		}
		own := NewSolver(Given{Transfer: 20}).OfTrial(tr).Cooks[0]
		if !own.ComeUp().Known || !has(own.Limits(), OwnNumber) {
			t.Errorf("%s with a stated coefficient: %v, %v", m, own.ComeUp(), own.Limits())
		}
	}
}

// The user's own numbers count for the range as they are, and not for verdicts.
func TestGiven(t *testing.T) {
	t.Parallel()
	tr := one()
	plain := OfTrial(tr).Cooks[0]
	own := NewSolver(Given{Diffusivity: 2.8e-7, Conductivity: 0.96, Transfer: 190}).OfTrial(tr).Cooks[0]
	near(t, "twice the diffusivity at the same Biot number", own.ComeUp().Mid, plain.ComeUp().Mid/2*1.4e-7/plain.Likely().Diffusivity[1], 0.05*plain.ComeUp().Mid) // the table's k moves Bi a little
	near(t, "the core for verdicts", own.Core(60), plain.Core(60), 0)
}

func TestOfTrialLeavesItsInput(t *testing.T) {
	t.Parallel()
	a, b := one(), one()
	OfTrial(a)
	if !reflect.DeepEqual(a, b) {
		t.Error("OfTrial changed the trial")
	}
}

func TestLimits(t *testing.T) {
	t.Parallel()
	kg := func(x float64) trial.Opt[quantity.Mass] { return trial.Some(quantity.Kilograms(x)) }
	for _, c := range []struct {
		slug   Slug
		voids  bool
		change func(*trial.Trial, *trial.Cook)
	}{
		{Thin, false, func(t *trial.Trial, _ *trial.Cook) { t.Food.Thickness.V = quantity.Millimetres(2) }},
		{Thick, false, func(t *trial.Trial, _ *trial.Cook) { t.Food.Thickness.V = quantity.Millimetres(90) }},
		{Shell, true, func(t *trial.Trial, _ *trial.Cook) { t.Food.Kind.V = "shell egg" }},
		{Opened, true, func(t *trial.Trial, _ *trial.Cook) { t.Food.Form = trial.Some(trial.Rolled) }},
		{Opened, true, func(t *trial.Trial, _ *trial.Cook) { t.Food.Form = trial.Some(trial.Stuffed) }},
		{Frozen, true, func(t *trial.Trial, _ *trial.Cook) { t.Food.Start.V = quantity.Celsius(-18) }},
		{Ramp, true, func(_ *trial.Trial, c *trial.Cook) { c.Ramp = trial.Some(true) }},
		{AirInBag, false, func(_ *trial.Trial, c *trial.Cook) { c.Bag = trial.Some(trial.Bag{Seal: trial.Some(trial.Displaced)}) }},
		{Touching, false, func(_ *trial.Trial, c *trial.Cook) {
			c.Pieces = []trial.Piece{{Bag: trial.Some("b1")}, {Bag: trial.Some("b1")}}
		}},
		{FullBath, false, func(t *trial.Trial, c *trial.Cook) {
			t.Baths[0].Volume, c.Load = trial.Some(quantity.Litres(10)), kg(1.2)
		}},
		{Mishap, true, func(t *trial.Trial, _ *trial.Cook) {
			t.Deviations = []trial.Deviation{{Cook: trial.Some("A"), What: trial.Some("floated")}}
		}},
		{Mishap, false, func(t *trial.Trial, _ *trial.Cook) { t.Deviations = []trial.Deviation{{What: trial.Some("lid off")}} }},
		{AssumedKind, false, func(t *trial.Trial, _ *trial.Cook) { t.Food.Kind.Known = false }},
		{AssumedStart, false, func(t *trial.Trial, _ *trial.Cook) { t.Food.Start.Known = false }},
	} {
		tr := one()
		if has(OfTrial(tr).Cooks[0].Limits(), c.slug) {
			t.Errorf("%s: found in a plain cook", c.slug)
		}
		c.change(tr, &tr.Cooks[0])
		found := false
		for _, l := range OfTrial(tr).Cooks[0].Limits() {
			found = found || l.Slug == c.slug && l.Voids == c.voids
		}
		if !found {
			t.Errorf("%s: not in %v", c.slug, OfTrial(tr).Cooks[0].Limits())
		}
	}
	tr := one()
	tr.Deviations = []trial.Deviation{{Cook: trial.Some("B"), What: trial.Some("floated")}}
	if has(OfTrial(tr).Cooks[0].Limits(), Mishap) {
		t.Error("a mishap of another cook")
	}
}

// 1 kg at 4 °C in 10 l at 50 °C: 3.7 °C; a kilowatt needs 2.8 min for it.
func TestDip(t *testing.T) {
	t.Parallel()
	tr := one()
	tr.Food.Start = trial.Some(quantity.Celsius(4))
	tr.Cooks[0].SetPoint = trial.Some(quantity.Celsius(50))
	if c := OfTrial(tr).Cooks[0]; c.Dip.Known() || c.Dip.Reason() == "" {
		t.Errorf("dip without a mass: %v", c.Dip)
	}
	tr.Cooks[0].Load = trial.Some(quantity.Kilograms(1))
	if c := OfTrial(tr).Cooks[0]; c.Dip.Known() {
		t.Errorf("dip without a volume: %v", c.Dip)
	}
	tr.Baths[0].Volume = trial.Some(quantity.Litres(10))
	c := OfTrial(tr).Cooks[0]
	near(t, "dip", c.Dip.Or(0), 3.7, 0.06) // printed to 0.1
	if c.Recovery.Known() {
		t.Errorf("recovery without a power: %v", c.Recovery)
	}
	tr.Baths[0].Power = trial.Some(quantity.Watts(1000))
	near(t, "recovery", OfTrial(tr).Cooks[0].Recovery.Or(0), 1*3.6*46/60, 1e-9)
	tr.Cooks[0].Load = trial.Opt[quantity.Mass]{}
	tr.Cooks[0].Pieces = []trial.Piece{{Before: trial.Some(quantity.Grams(400))}, {Before: trial.Some(quantity.Grams(500)), Brined: trial.Some(quantity.Grams(600))}}
	near(t, "dip of the pieces", OfTrial(tr).Cooks[0].Dip.Or(0), c.Dip.Or(0), 1e-9)
}

func BenchmarkOfTrial(b *testing.B) {
	tr := one()
	for i := range 17 {
		c := tr.Cooks[0]
		c.SetPoint = trial.Some(quantity.Celsius(46 + float64(2*(i%6))))
		tr.Cooks = append(tr.Cooks, c)
	}
	b.ReportAllocs()
	for b.Loop() {
		OfTrial(tr)
	}
}

// A trade fact, common practice without a source: a piece of fish of 25 mm takes
// about an hour to come up, lean or oily, from the fridge into the baths of fish.
func TestFishTakesAboutAnHour(t *testing.T) {
	t.Parallel()
	for _, kind := range []string{"lean fish", "oily fish"} {
		for _, celsius := range []float64{46, 50, 55, 60} {
			tr := one()
			tr.Food.Kind = trial.Some(kind)
			tr.Food.Start = trial.Some(quantity.Celsius(4))
			tr.Cooks[0].SetPoint = trial.Some(quantity.Celsius(celsius))
			if r := OfTrial(tr).Cooks[0].ComeUp(); !r.Contains(60) || r.Mid < 45 || r.Mid > 80 {
				t.Errorf("%s at %v °C: %v", kind, celsius, r)
			}
		}
	}
}
