package safety

import (
	"strings"
	"testing"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var checkDay = trial.Date{Year: 2026, Month: 2, Day: 9}

// cooked is a sound trial of one cook: whole pieces 20 mm thick, from 4 °C, in
// a checked bath that reads true, frozen by a supplier at -20 °C for 8 d.
func cooked(kind string, celsius, minutes float64) *trial.Trial {
	return &trial.Trial{
		Date: trial.Some(trial.Date{Year: 2026, Month: 2, Day: 12}),
		Food: trial.Food{
			Kind: trial.Some(kind), Form: trial.Some(trial.Whole), Thickness: trial.Some(quantity.Millimetres(20)), Start: trial.Some(quantity.Celsius(4)),
			Composition: trial.Some(trial.Composition{Fat: trial.Some(quantity.Percent(2))}),
			Frozen:      trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(-20)), For: trial.Some(quantity.FromDays(8)), By: trial.Some("supplier")}),
		},
		Baths: []trial.Bath{{ID: "north", Reads: trial.Some(quantity.Kelvins(0)), Checked: trial.Some(checkDay)}},
		Cooks: []trial.Cook{{ID: "A", SetPoint: trial.Some(quantity.Celsius(celsius)), Time: trial.Some(quantity.FromMinutes(minutes)), Bath: trial.Some("north")}},
	}
}

func judged(t *trial.Trial) CookVerdict { return OfTrial(t, heat.OfTrial(t)).Overall }

func TestVerdicts(t *testing.T) {
	t.Parallel()
	form := func(f trial.Form) func(*trial.Trial) { return func(t *trial.Trial) { t.Food.Form.V = f } }
	fat := func(p float64) func(*trial.Trial) {
		return func(t *trial.Trial) { t.Food.Composition.V.Fat = trial.Some(quantity.Percent(p)) }
	}
	with := func(f func(*trial.Trial, *trial.Cook)) func(*trial.Trial) {
		return func(t *trial.Trial) { f(t, &t.Cooks[0]) }
	}
	nothing := func(*trial.Trial) {}
	deviation := func(what string) func(*trial.Trial) {
		return func(t *trial.Trial) {
			t.Deviations = []trial.Deviation{{Cook: trial.Some("A"), What: trial.Some(what)}}
		}
	}
	for _, c := range []struct {
		kind             string
		celsius, minutes float64
		change           func(*trial.Trial)
		want             Verdict
		slug             string // of the reason that decided
	}{
		{"lean fish", 50, 60, nothing, NotPasteurised, "below-equivalent"},
		{"lean fish", 60, 120, nothing, Pasteurised, "core-equivalent"},
		{"lean fish", 54.4, 200, nothing, NotPasteurised, "below-equivalent"},
		{"oily fish", 50, 60, nothing, NotPasteurised, "below-equivalent"},
		// At 55.0 °C 200 min of the general row are not enough for oily fish, 246 are.
		{"lean fish", 55.5, 330, nothing, Pasteurised, "core-equivalent"},
		{"oily fish", 60, 120, nothing, Pasteurised, "core-equivalent"},
		{"beef pork lamb", 54, 60, nothing, NotPasteurised, "below-equivalent"},
		{"beef pork lamb", 63, 90, nothing, Pasteurised, "core-equivalent"},
		{"shell egg", 63, 90, nothing, NotPasteurised, "below-core-70"},
		{"shell egg", 72, 90, nothing, Pasteurised, "core-70"},
		{"poultry", 60, 150, nothing, Pasteurised, "poultry-58"},
		{"poultry", 60, 90, nothing, DoNotEat, "poultry-short"},
		{"poultry", 58, 600, nothing, DoNotEat, "poultry-short"},
		{"poultry", 60, 150, fat(9), Pasteurised, "poultry-58"},
		{"poultry", 60, 150, fat(9.1), DoNotEat, "poultry-fatty"},
		{"poultry", 60, 150, func(t *trial.Trial) { t.Food.Composition.Known = false; t.Food.Composition.V = trial.Composition{} }, DoNotEat, "poultry-fat"},
		{"poultry", 72, 60, fat(20), Pasteurised, "core-70"},
		{"poultry", 80, 40, fat(20), Pasteurised, "poultry-74"},
		{"poultry", 60, 150, func(t *trial.Trial) { t.Food.Form.Known = false }, DoNotEat, "form-unknown"},
		{"poultry", 60, 150, form(trial.Stuffed), DoNotEat, "below-core-70"},
		{"poultry", 60, 150, func(t *trial.Trial) { t.Medium = trial.Some(trial.Oven) }, DoNotEat, "no-heat"},
		{"game", 60, 300, nothing, DoNotEat, "below-core-70"},
		{"game", 72, 60, nothing, Pasteurised, "core-70"},
		{"bivalve", 85, 60, nothing, DoNotEat, "bivalve-short"},
		{"bivalve", 93, 60, nothing, Pasteurised, "bivalve"},
		{"pulse", 90, 600, nothing, DoNotEat, "pulse-not-boiled"},
		{"pulse", 100, 120, nothing, NotAsked, "pulse"},
		{"crustacean", 60, 60, nothing, NoVerdict, "kind-unsupported"},
		{"other", 60, 60, nothing, NoVerdict, "kind-unsupported"},
		{"other", 60, 60, form(trial.Minced), DoNotEat, "kind-unsupported"},
		{"vegetable", 85, 60, nothing, NotAsked, "plant"},
		{"vegetable", 45, 300, nothing, DoNotEat, "growth-clock"},
		{"fruit", 65, 20, func(t *trial.Trial) { *t = trial.Trial{Food: trial.Food{Kind: t.Food.Kind}, Cooks: t.Cooks} }, NotAsked, "plant"},
		{"lean fish", 60, 120, func(t *trial.Trial) { t.Food.Kind.Known = false }, NoVerdict, "kind-unknown"},
		{"lean fish", 60, 120, func(t *trial.Trial) { t.Food.Form.Known = false }, NoVerdict, "form-unknown"},
		{"beef pork lamb", 60, 120, func(t *trial.Trial) { t.Food.Thickness.Known = false }, NoVerdict, "no-heat"},
		{"beef pork lamb", 60, 120, func(t *trial.Trial) { t.Medium = trial.Some(trial.Pan) }, NoVerdict, "no-heat"},
		{"beef pork lamb", 63, 90, form(trial.Minced), DoNotEat, "below-core-70"},
		{"beef pork lamb", 63, 90, form(trial.Tenderised), DoNotEat, "below-core-70"},
		{"beef pork lamb", 63, 90, form(trial.Injected), DoNotEat, "below-core-70"},
		{"beef pork lamb", 63, 90, form(trial.Rolled), DoNotEat, "below-core-70"},
		{"beef pork lamb", 72, 90, form(trial.Minced), Pasteurised, "core-70"},
		{"beef pork lamb", 52, 121, nothing, DoNotEat, "growth-clock"},
		{"beef pork lamb", 52, 119, nothing, NotPasteurised, "below-equivalent"},
		{"beef pork lamb", 54, 235, nothing, NotPasteurised, "below-equivalent"},
		{"beef pork lamb", 54, 245, nothing, DoNotEat, "growth-clock"},
		{"beef pork lamb", 57, 600, func(t *trial.Trial) { t.Food.Thickness.V = quantity.Millimetres(90) }, DoNotEat, "growth-clock"},
		{"beef pork lamb", 63, 90, deviation("floated"), NotPasteurised, "deviation"},
		{"beef pork lamb", 63, 90, deviation("bag leaked"), NotPasteurised, "deviation"},
		{"beef pork lamb", 63, 90, deviation("Power lost"), NoVerdict, "deviation"},
		{"beef pork lamb", 63, 90, deviation("lid off"), NotPasteurised, "deviation"},
		{"beef pork lamb", 63, 90, deviation("a taster came late"), Pasteurised, "core-equivalent"},
		{"poultry", 60, 150, deviation("leaked"), DoNotEat, "deviation"},
		{"beef pork lamb", 63, 90, with(func(t *trial.Trial, _ *trial.Cook) {
			t.Deviations = []trial.Deviation{{Cook: trial.Some("B"), What: trial.Some("floated")}}
		}), Pasteurised, "core-equivalent"},
		{"beef pork lamb", 54, 60, with(func(_ *trial.Trial, c *trial.Cook) { c.Chill = trial.Some(trial.Chill{Is: true}) }), DoNotEat, "chilled"},
		{"beef pork lamb", 63, 90, with(func(_ *trial.Trial, c *trial.Cook) { c.Chill = trial.Some(trial.Chill{Is: true}) }), NoVerdict, "chill-unknown"},
		{"beef pork lamb", 63, 90, with(func(_ *trial.Trial, c *trial.Cook) {
			c.Chill = trial.Some(trial.Chill{Is: true, Into: trial.Some(trial.Clock{Minute: 600}), AtTime: trial.Some(trial.Clock{Minute: 660}),
				Core: trial.Some(quantity.Celsius(5)), KeptAt: trial.Some(quantity.Celsius(3))})
		}), Pasteurised, "core-equivalent"},
		{"beef pork lamb", 54, 60, with(func(_ *trial.Trial, c *trial.Cook) {
			c.Started, c.Served = trial.Some(trial.Clock{Minute: 600}), trial.Some(trial.Clock{Minute: 860})
		}), DoNotEat, "served-late"},
		{"beef pork lamb", 54, 60, with(func(t *trial.Trial, _ *trial.Cook) { t.Food.Start.V = quantity.Celsius(12) }), NoVerdict, "warm-start"},
		{"beef pork lamb", 50, 100, with(func(_ *trial.Trial, c *trial.Cook) {
			c.Brine = trial.Some(trial.Brine{Kind: trial.DryBrine, For: trial.Some(quantity.FromMinutes(30))})
		}), DoNotEat, "growth-clock"},
		{"beef pork lamb", 50, 100, with(func(_ *trial.Trial, c *trial.Cook) {
			c.Brine = trial.Some(trial.Brine{Kind: trial.DryBrine, For: trial.Some(quantity.FromMinutes(30)), AtTmp: trial.Some(quantity.Celsius(3))})
		}), NotPasteurised, "below-equivalent"},
		{"beef pork lamb", 50, 100, with(func(_ *trial.Trial, c *trial.Cook) { c.Brine = trial.Some(trial.Brine{Kind: trial.WetBrine}) }), NoVerdict, "brine-time"},
		{"lean fish", 50, 60, with(func(t *trial.Trial, _ *trial.Cook) {
			t.Sources = []trial.Source{{ID: "f", KeptAt: trial.Some(quantity.Celsius(7))}}
		}), DoNotEat, "kept-warm"},
		{"lean fish", 60, 120, func(t *trial.Trial) { t.Serve = []trial.Group{trial.Vulnerable} }, DoNotEat, "vulnerable"},
		{"lean fish", 65, 120, func(t *trial.Trial) { t.Serve = []trial.Group{trial.Vulnerable} }, Pasteurised, "core-equivalent"},
		{"lean fish", 60, 120, func(t *trial.Trial) { t.Serve = trial.Eaters }, Pasteurised, "core-equivalent"},
	} {
		tr := cooked(c.kind, c.celsius, c.minutes)
		c.change(tr)
		got := judged(tr)
		slug := ""
		if len(got.Why) > 0 {
			slug = got.Why[0].Slug
		}
		if got.Verdict != c.want || slug != c.slug {
			t.Errorf("%s %v °C %v min: %v (%s), want %v (%s)", c.kind, c.celsius, c.minutes, got.Verdict, slug, c.want, c.slug)
		}
	}
}

// Oily fish protects Listeria: between 200 and 246 min at 55 °C lean fish is
// pasteurised by the general row, oily fish is not.
func TestOilyFishNeedsLonger(t *testing.T) {
	t.Parallel()
	hold := func(kind string, minutes float64) Verdict {
		tr := cooked(kind, 55, minutes)
		tr.Food.Thickness.V = quantity.Millimetres(1) // so that the core is the bath
		return judged(tr).Verdict
	}
	for _, c := range []struct {
		kind    string
		minutes float64
		want    Verdict
	}{{"lean fish", 195, NotPasteurised}, {"lean fish", 215, Pasteurised}, {"oily fish", 215, NotPasteurised}, {"oily fish", 255, Pasteurised}} {
		if got := hold(c.kind, c.minutes); got != c.want {
			t.Errorf("%s, %v min at 55 °C: %v, want %v", c.kind, c.minutes, got, c.want)
		}
	}
}

func TestVulnerablePeople(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind             string
		celsius, minutes float64
		want             bool
	}{
		{"lean fish", 50, 60, false}, {"lean fish", 60, 300, false}, {"lean fish", 62.9, 300, false}, {"lean fish", 65, 120, true},
		{"beef pork lamb", 65, 120, true}, {"poultry", 60, 300, false}, {"poultry", 72, 300, false}, {"poultry", 78, 300, true},
		{"shell egg", 72, 90, true}, {"other", 80, 90, false}, {"vegetable", 85, 60, true}, {"pulse", 90, 60, false}, {"pulse", 100, 120, true},
	} {
		if got := judged(cooked(c.kind, c.celsius, c.minutes)); got.Vulnerable != c.want {
			t.Errorf("%s %v °C %v min: cleared %v, want %v (%v)", c.kind, c.celsius, c.minutes, got.Vulnerable, c.want, got.Verdict)
		}
	}
}

func TestDiscardTimes(t *testing.T) {
	t.Parallel()
	// Never warm enough at the core: 2 h from the bath on.
	tr := cooked("lean fish", 50, 60)
	tr.Cooks[0].Started = trial.Some(trial.Clock{Minute: 605})
	v := judged(tr)
	if v.Discard != 120 || v.DiscardAt != "12:05" {
		t.Errorf("50 °C: %v min, at %q; want 120 min, 12:05", v.Discard, v.DiscardAt)
	}
	// A brine at an unknown temperature has used 20 min of them.
	tr.Cooks[0].Brine = trial.Some(trial.Brine{Kind: trial.DryBrine, For: trial.Some(quantity.FromMinutes(20))})
	if v = judged(tr); v.Discard != 100 || v.DiscardAt != "11:45" {
		t.Errorf("brined: %v min, at %q; want 100 min, 11:45", v.Discard, v.DiscardAt)
	}
	// Late in the evening it is on the next day.
	tr.Cooks[0].Started = trial.Some(trial.Clock{Minute: 23 * 60})
	if v = judged(tr); v.DiscardAt != "00:40 on the next day" {
		t.Errorf("late: %q", v.DiscardAt)
	}
	// Hot at the core: what is left of 2 h runs on after the bath. 20 mm from
	// 4 °C is 22 min below 52.3 °C at 60 °C with the diffusivity 10 % low.
	if v = judged(cooked("lean fish", 60, 120)); v.Discard < 120+90 || v.Discard > 120+100 {
		t.Errorf("60 °C: %v min", v.Discard)
	}
	if got := judged(cooked("other", 60, 120)); got.Verdict != NoVerdict {
		t.Errorf("other: %v", got.Verdict)
	}
}

func TestTextForms(t *testing.T) {
	t.Parallel()
	for v, want := range map[Verdict]string{
		DoNotEat: "do not eat, do not taste", NoVerdict: "no verdict: treat as not pasteurised", NotPasteurised: "not pasteurised",
		Pasteurised: "pasteurised at the core, by calculation, if eaten at once", NotAsked: "no verdict applies", 99: "do not eat, do not taste",
	} {
		b, err := v.MarshalText()
		if err != nil || string(b) != want {
			t.Errorf("%d is %q (%v), want %q", v, b, err, want)
		}
	}
	if s := Parasites(99).String(); s != "no verdict applies" {
		t.Errorf("parasites 99: %q", s)
	}
}

// Every kind at every level has a first sentence that says the verdict, and
// nothing is said twice.
func TestCautionsOfEveryKind(t *testing.T) {
	t.Parallel()
	for _, kind := range append(food.Kinds(), "") {
		for _, celsius := range []float64{45, 55, 65, 95} {
			tr := cooked(kind, celsius, 90)
			tr.Cooks[0].Finish = trial.Some(trial.Finish{Sear: trial.Some(quantity.FromSeconds(60))})
			tr.Cooks[0].Bag = trial.Some(trial.Bag{With: []string{"garlic"}})
			r := OfTrial(tr, heat.OfTrial(tr))
			seen := map[string]bool{}
			for i, c := range append(append([]Caution{}, r.Lead...), r.Rest...) {
				text := plain(c.Text)
				if (i == 0) != (c.Slug == "verdict") {
					t.Errorf("%s %v: %q stands at %d", kind, celsius, c.Slug, i)
				}
				if seen[c.Slug] || c.Beside == "" || !strings.HasSuffix(text, ".") || strings.Contains(text, "!") {
					t.Errorf("%s %v: %q is said twice, has no place or no full stop: %q", kind, celsius, c.Slug, text)
				}
				seen[c.Slug] = true
			}
			for _, slug := range []string{"hot-pan", "raw-in-bag", "allergies"} {
				if !seen[slug] {
					t.Errorf("%s %v: %s is missing", kind, celsius, slug)
				}
			}
			v := r.Overall
			if v.Verdict < Pasteurised && v.Verdict != DoNotEat && kind != "other" && !seen["not-for-vulnerable"] {
				t.Errorf("%s %v: %v and nothing on vulnerable people", kind, celsius, v.Verdict)
			}
			if v.Verdict == NotPasteurised && (!seen["tell-guests"] || !seen["discard"]) {
				t.Errorf("%s %v: not pasteurised without notice or discard time", kind, celsius)
			}
		}
	}
}

// Who it is for is said by what serve asks for, and never left out where it is
// not for vulnerable people.
func TestServePicksWhatIsSaid(t *testing.T) {
	t.Parallel()
	public, both := []trial.Group{trial.Public}, []trial.Group{trial.Public, trial.Vulnerable}
	for _, c := range []struct {
		celsius float64
		serve   []trial.Group
		want    string
	}{
		{50, nil, "not-for-vulnerable"}, {50, public, "not-for-vulnerable"}, {50, both, "not-for-vulnerable"}, {50, both[1:], ""},
		{66, nil, "vulnerable-too"}, {66, public, ""}, {66, both, "vulnerable-too"}, {66, both[1:], "vulnerable-too"},
	} {
		tr := cooked("lean fish", c.celsius, 100)
		tr.Serve = c.serve
		got := ""
		for _, l := range OfTrial(tr, heat.OfTrial(tr)).Lead {
			if strings.Contains(l.Slug, "vulnerable") {
				got += l.Slug
			}
		}
		if got != c.want {
			t.Errorf("%v °C for %v: %q, want %q", c.celsius, c.serve, got, c.want)
		}
	}
}

func plain(w Words) string {
	var b strings.Builder
	for _, p := range w {
		switch p.Kind {
		case Temperature:
			b.WriteString(quantity.Celsius(p.Value).FormatDigits(quantity.Metric, p.Digits))
		case Difference:
			b.WriteString(number(p.Value) + " K")
		case Minutes:
			b.WriteString(quantity.FromMinutes(p.Value).Format(quantity.Metric))
		case Percent:
			b.WriteString(quantity.Percent(p.Value).String())
		default:
			b.WriteString(p.Text)
		}
	}
	return b.String()
}
