package safety

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestPasteurisedAfter(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind        string
		celsius, mm float64
		never       string
		verdict     Verdict
	}{
		{"lean fish", 60, 25, "", Pasteurised},
		{"lean fish", 50, 25, "too-cold", NotPasteurised},
		{"lean fish", 54.4, 25, "too-cold", NotPasteurised},
		{"beef pork lamb", 55, 70, "too-thick", DoNotEat},
		{"poultry", 60, 25, "", Pasteurised},
		{"poultry", 58, 25, "too-cold", DoNotEat},
		{"bivalve", 60, 20, "too-cold", DoNotEat},
		{"bivalve", 92, 20, "", Pasteurised},
		{"pulse", 100, 8, "", NotAsked},
		{"vegetable", 85, 20, "no-row", NotAsked},
		{"crustacean", 65, 20, "no-row", NoVerdict},
		{"beef pork lamb", 2, 20, "no-heat", NoVerdict},
		{"beef pork lamb", 120, 20, "no-heat", NoVerdict},
	} {
		after := NewPlanner(cooked(c.kind, 50, 60), Override{}).PasteurisedAfter(0, c.celsius, c.mm)
		slug := ""
		if after.Never != nil {
			slug = after.Never.Slug
		}
		if c.kind == "pulse" {
			c.never, slug = "", "" // boiling is no pasteurising, but the time is one
		}
		if slug != c.never || after.Verdict.Verdict != c.verdict {
			t.Errorf("%s %v mm at %v °C: %q %v (%v), want %q %v", c.kind, c.mm, c.celsius, slug, after.Verdict.Verdict, after.Verdict.Why, c.never, c.verdict)
		}
		switch multiple := math.Mod(after.Minutes, 5) == 0; {
		case !multiple || after.Never != nil && after.Minutes != 0, after.Never == nil && !(after.Minutes >= after.Exact && after.Minutes < after.Exact+5.01):
			t.Errorf("%s %v mm at %v °C: %v min, exactly %v", c.kind, c.mm, c.celsius, after.Minutes, after.Exact)
		}
	}
	for _, cook := range []int{-1, 1} {
		p := NewPlanner(cooked("lean fish", 50, 60), Override{})
		if a := p.PasteurisedAfter(cook, 60, 20); a.Never == nil || a.Verdict.Verdict != NoVerdict {
			t.Errorf("no such cook: %+v", a)
		}
		if v := p.At(cook, 60, 20, 60); v.Verdict != NoVerdict {
			t.Errorf("no such cook: %+v", v)
		}
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -5} {
		p := NewPlanner(cooked("lean fish", 50, 60), Override{})
		if a := p.PasteurisedAfter(0, bad, 20); a.Never == nil {
			t.Errorf("at %v °C: %+v", bad, a)
		}
		if v := p.At(0, 60, 20, bad); v.Verdict == Pasteurised {
			t.Errorf("%v min: %+v", bad, v)
		}
	}
}

// Before the time that a planner gives, the verdict is not yet there; at it, it is.
func TestTheTimeIsTheTime(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(21, 22))
	for range 150 {
		kind := []string{"lean fish", "oily fish", "beef pork lamb", "poultry", "game", "shell egg", "bivalve"}[r.IntN(7)]
		celsius, mm := 55+40*r.Float64()*r.Float64(), 3+40*r.Float64()
		if kind == "bivalve" {
			celsius = 91 + 8*r.Float64()
		}
		p := NewPlanner(cooked(kind, 50, 60), Override{})
		a := p.PasteurisedAfter(0, celsius, mm)
		if a.Never != nil {
			continue
		}
		if v := p.At(0, celsius, mm, a.Minutes); v.Verdict != Pasteurised {
			t.Fatalf("%s %v mm at %v °C after %v min: %v (%v)", kind, mm, celsius, a.Minutes, v.Verdict, v.Why)
		}
		if v := p.At(0, celsius, mm, a.Exact-0.1); v.Verdict == Pasteurised {
			t.Fatalf("%s %v mm at %v °C: %v min are enough, the time given is %v", kind, mm, celsius, a.Exact-0.1, a.Exact)
		}
	}
}

// Thicker, colder, from a colder start, in a bath that is known less well or with
// a lower diffusivity or coefficient never makes it sooner.
func TestNothingWorseIsSooner(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(31, 32))
	n := 60
	if testing.Short() {
		n = 25
	}
	cases := 0
	for range n {
		kind := food.Kinds()[r.IntN(7)]
		tr := cooked(kind, 50, 60)
		celsius, mm := 54+14*r.Float64(), 3+50*r.Float64()
		if kind == "bivalve" {
			celsius += 28
		}
		o := Override{}
		if r.Float64() < 0.5 {
			o = Override{Diffusivity: trial.Some((1 + r.Float64()) * 1e-7), Coefficient: trial.Some(50 + 200*r.Float64()), Conductivity: trial.Some(0.48)}
		}
		time := func(tr *trial.Trial, o Override, celsius, mm float64) float64 {
			if a := NewPlanner(tr, o).PasteurisedAfter(0, celsius, mm); a.Never == nil {
				return a.Exact
			}
			return math.Inf(1)
		}
		base := time(tr, o, celsius, mm)
		worse := map[string]float64{
			"thicker": time(tr, o, celsius, mm*(1+r.Float64())),
			"colder":  time(tr, o, celsius-3*r.Float64(), mm),
		}
		unchecked, cold := clone(tr), clone(tr)
		unchecked.Baths[0].Checked.Known = false
		cold.Food.Start.V = quantity.Celsius(4 - 5*r.Float64())
		worse["unchecked"], worse["from colder"] = time(unchecked, o, celsius, mm), time(cold, o, celsius, mm)
		if o.Any() {
			slow, thin := o, o
			slow.Diffusivity.V *= 0.7 + 0.3*r.Float64()
			thin.Coefficient.V *= 0.3 + 0.7*r.Float64()
			worse["less diffusivity"], worse["less coefficient"] = time(tr, slow, celsius, mm), time(tr, thin, celsius, mm)
		}
		for name, m := range worse {
			cases++
			if m < base-0.02 { // twice the width of the halving
				t.Errorf("%s, %s %v mm at %v °C: %v min became %v", name, kind, mm, celsius, base, m)
			}
		}
	}
	if cases < 100 {
		t.Errorf("only %d cases", cases)
	}
}

func TestOverrides(t *testing.T) {
	t.Parallel()
	tr := cooked("lean fish", 56, 90)
	if v := judged(tr); v.Verdict != NotPasteurised || v.Users != nil {
		t.Fatalf("by the table: %v", v.Verdict)
	}
	h := heat.OfTrial(tr)
	o := Override{D: trial.Some(Reduction{1, 60}), Z: trial.Some(5.59), Decades: trial.Some(6.0)}
	r := o.OfTrial(tr, h)
	lead := plain(r.Lead[0].Text)
	for _, want := range []string{"by your own values (D 1 min at 60 °C, z 5.59 K and 6 decades)", "not by the tables of this program, which say: not pasteurised"} {
		if !strings.Contains(lead, want) {
			t.Errorf("missing %q in %q", want, lead)
		}
	}
	if v := r.Overall; v.Verdict != Pasteurised || plain(v.Users) == "" || len(v.Kills) != 1 || v.Kills[0].Source != "the user's value" {
		t.Errorf("by the user's D: %v, %+v", v.Verdict, v.Kills)
	}
	// Also where nothing gets better, and where it gets worse.
	for _, o := range []Override{{D: trial.Some(Reduction{90, 60})}, {Diffusivity: trial.Some(1e-8)}, {Coefficient: trial.Some(4.0)}, {Shape: trial.Some(heat.Slab)}} {
		r := o.OfTrial(tr, h)
		if v := r.Overall; v.Verdict != NotPasteurised && v.Verdict != DoNotEat || v.Users == nil || !strings.Contains(plain(r.Lead[0].Text), "by your own values") {
			t.Errorf("%+v: %v: %s", o, v.Verdict, plain(r.Lead[0].Text))
		}
		if v := o.For(tr, 56, nil); v.Users == nil || !strings.Contains(plain(v.Why[0].Text), "by your own values") {
			t.Errorf("%+v, named: %v", o, v.Why)
		}
	}
	// A sphere of the thickness as diameter comes up sooner than a slab.
	slab := NewPlanner(tr, Override{}).PasteurisedAfter(0, 60, 40)
	ball := NewPlanner(tr, Override{Shape: trial.Some(heat.Sphere)}).PasteurisedAfter(0, 60, 40)
	if !(ball.Exact < slab.Exact) {
		t.Errorf("slab %v min, sphere %v min", slab.Exact, ball.Exact)
	}
	// The fixed rows of poultry are not the user's to change.
	chicken := cooked("poultry", 55, 120)
	if v := (Override{D: trial.Some(Reduction{0.01, 60})}).OfTrial(chicken, heat.OfTrial(chicken)).Overall; v.Verdict != DoNotEat {
		t.Errorf("chicken at 55 °C by the user's D: %v", v.Verdict)
	}
	for _, bad := range []Override{{D: trial.Some(Reduction{0, 60})}, {D: trial.Some(Reduction{1, 900})}, {Z: trial.Some(math.NaN())}, {Decades: trial.Some(-1.0)},
		{Diffusivity: trial.Some(math.Inf(1))}, {Conductivity: trial.Some(0.0)}, {Coefficient: trial.Some(-3.0)}, {Shape: trial.Some(heat.Shape(9))}} {
		if err := bad.Check(); !errors.Is(err, ErrOverride) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
	if err := o.Check(); err != nil {
		t.Error(err)
	}
}

// No override ever makes something better without saying so first.
func TestOverridesAreNeverSilent(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(41, 42))
	better := 0
	for range 60 {
		tr := drawn(r)
		o := Override{}
		if r.Float64() < 0.6 {
			o.D = trial.Some(Reduction{3 * r.Float64(), 60})
		}
		if r.Float64() < 0.6 {
			o.Diffusivity = trial.Some((0.5 + 4*r.Float64()) * 1e-7)
		}
		if !o.Any() {
			continue
		}
		h := heat.OfTrial(tr)
		table, user := OfTrial(tr, h), o.OfTrial(tr, h)
		for i := range user.Cooks {
			if v := user.Cooks[i]; v.Why[0].Slug != "user-values" || v.Users == nil {
				t.Errorf("not said: %+v", v)
			} else if v.Verdict > table.Cooks[i].Verdict {
				better++
				if !strings.Contains(plain(v.Why[0].Text), "which say: "+table.Cooks[i].Verdict.String()) {
					t.Errorf("what the tables say is not said: %s", plain(v.Why[0].Text))
				}
			}
		}
	}
	if better == 0 {
		t.Error("no override made anything better")
	}
}
