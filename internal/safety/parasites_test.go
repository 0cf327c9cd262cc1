package safety

import (
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func frozen(celsius, days float64) trial.Opt[trial.Frozen] {
	return trial.Some(trial.Frozen{Is: true, Tmp: trial.Some(quantity.Celsius(celsius)), For: trial.Some(quantity.FromDays(days)), By: trial.Some("supplier")})
}

// Rows of freezing: European Union -20 °C for 24 h or -35 °C for 15 h; United
// States -20 °C for 7 d or -35 °C for 15 h; without rules the stricter.
func TestFreezingRows(t *testing.T) {
	t.Parallel()
	eu, uk, us, other, none := trial.Some(trial.RulesEU), trial.Some(trial.RulesUK), trial.Some(trial.RulesUS), trial.Some(trial.RulesOther), trial.Opt[trial.Rules]{}
	for _, c := range []struct {
		celsius, days float64
		rules         trial.Opt[trial.Rules]
		want          bool
	}{
		{-20, 1, eu, true}, {-20, 1, uk, true}, {-20, 1, us, false}, {-20, 1, other, false}, {-20, 1, none, false},
		{-20, 0.99, eu, false}, {-19.9, 30, eu, false}, {-18, 365, eu, false}, {-18, 365, us, false},
		{-20, 7, us, true}, {-20, 7, none, true}, {-20, 6.9, us, false}, {-25, 7, us, true},
		{-35, 0.625, us, true}, {-35, 0.62, us, false}, {-34, 1, us, false}, {-40, 0.625, eu, true},
		{quantity.Fahrenheit(-4).Celsius(), 7, us, true},
	} {
		if got := freezingMeets(frozen(c.celsius, c.days).V, c.rules); got != c.want {
			t.Errorf("%v °C for %v d by %q: %v, want %v", c.celsius, c.days, c.rules.V, got, c.want)
		}
	}
	for _, f := range []trial.Frozen{{}, {Is: true}, {Is: true, Tmp: trial.Some(quantity.Celsius(-40))}, {Is: true, For: trial.Some(quantity.FromDays(40))}} {
		if freezingMeets(f, eu) {
			t.Errorf("%+v meets a row", f)
		}
	}
}

func TestParasites(t *testing.T) {
	t.Parallel()
	control := func(c trial.ParasiteControl, record string) trial.Opt[trial.Parasites] {
		p := trial.Parasites{Control: trial.Some(c)}
		if record != "" {
			p.Record = trial.Some(record)
		}
		return trial.Some(p)
	}
	src := func(s trial.Source) func(*trial.Trial) {
		s.ID = "fish-1"
		return func(t *trial.Trial) {
			t.Food.Frozen = trial.Opt[trial.Frozen]{}
			t.Sources = []trial.Source{s}
			t.Cooks[0].Pieces = []trial.Piece{{ID: "A1", Source: trial.Some("fish-1")}}
		}
	}
	day := func(d int) trial.Opt[trial.Date] { return trial.Some(trial.Date{Year: 2026, Month: 2, Day: d}) }
	noName := frozen(-20, 8)
	noName.V.By = trial.Opt[string]{}
	for _, c := range []struct {
		name    string
		celsius float64
		change  func(*trial.Trial)
		want    Parasites
	}{
		{"frozen, for the food", 50, func(*trial.Trial) {}, ParasitesFrozen},
		{"hot at the core", 62, func(t *trial.Trial) { t.Food.Frozen.Known = false }, ParasitesCooked},
		{"hot, and leaked", 62, func(t *trial.Trial) {
			t.Food.Frozen.Known = false
			t.Deviations = []trial.Deviation{{What: trial.Some("leaked")}}
		}, ParasitesUnknown},
		{"not stated", 50, func(t *trial.Trial) { t.Food.Frozen.Known = false }, ParasitesUnknown},
		{"said not to be frozen", 50, func(t *trial.Trial) { t.Food.Frozen = trial.Some(trial.Frozen{}) }, ParasitesNotControlled},
		{"frozen, no more", 50, func(t *trial.Trial) { t.Food.Frozen = trial.Some(trial.Frozen{Is: true}) }, ParasitesUnknown},
		{"home freezer", 50, func(t *trial.Trial) { t.Food.Frozen = frozen(-18, 60) }, ParasitesNotControlled},
		{"by nobody", 50, func(t *trial.Trial) { t.Food.Frozen = noName }, ParasitesUnknown},
		{"source frozen", 50, src(trial.Source{Frozen: frozen(-20, 7)}), ParasitesFrozen},
		{"source by record", 50, src(trial.Source{Frozen: noName, Parasites: control(trial.ByFreezing, "note")}), ParasitesFrozen},
		{"called frozen, without how", 50, src(trial.Source{Parasites: control(trial.ByFreezing, "note")}), ParasitesUnknown},
		{"feed with record", 50, src(trial.Source{Parasites: control(trial.ByFeed, "farm statement")}), ParasitesExempt},
		{"exempt with record", 50, src(trial.Source{Parasites: control(trial.Exempt, "farm statement")}), ParasitesExempt},
		{"exempt without", 50, src(trial.Source{Parasites: control(trial.Exempt, "")}), ParasitesUnknown},
		{"none beats frozen", 50, src(trial.Source{Frozen: frozen(-20, 7), Parasites: control(trial.NoControl, "")}), ParasitesNotControlled},
		{"a source that is not listed", 50, func(t *trial.Trial) {
			t.Food.Frozen.Known = false
			t.Cooks[0].Pieces = []trial.Piece{{Source: trial.Some("fish-9")}}
		}, ParasitesUnknown},
		{"caught 15 days before", 50, src(trial.Source{Caught: trial.Some(trial.Date{Year: 2026, Month: 1, Day: 28}), Frozen: frozen(-20, 7)}), ParasitesFrozen},
		{"frozen longer than since the catch", 50, src(trial.Source{Caught: day(6), Frozen: frozen(-20, 8)}), ParasitesUnknown},
		{"frozen just since the catch", 50, src(trial.Source{Caught: day(5), Frozen: frozen(-20, 7)}), ParasitesFrozen},
		{"the worst of two sources", 50, func(t *trial.Trial) {
			t.Food.Frozen.Known = false
			t.Sources = []trial.Source{{ID: "a", Frozen: frozen(-20, 7)}, {ID: "b", Frozen: frozen(-10, 7)}}
			t.Cooks[0].Pieces = []trial.Piece{{Source: trial.Some("a")}, {Source: trial.Some("b")}}
		}, ParasitesNotControlled},
		{"pieces without a source take the worst of all", 50, func(t *trial.Trial) {
			t.Food.Frozen.Known = false
			t.Sources = []trial.Source{{ID: "a", Frozen: frozen(-20, 7)}, {ID: "b"}}
			t.Cooks[0].Pieces = []trial.Piece{{ID: "A1"}}
		}, ParasitesUnknown},
		{"a cook without pieces takes the worst of all", 50, func(t *trial.Trial) {
			t.Food.Frozen.Known = false
			t.Sources = []trial.Source{{ID: "a", Frozen: frozen(-20, 7)}, {ID: "b"}}
		}, ParasitesUnknown},
	} {
		for _, kind := range []string{"lean fish", "oily fish", "cephalopod"} {
			tr := cooked(kind, c.celsius, 90)
			c.change(tr)
			v := judged(tr)
			if v.Parasites != c.want {
				t.Errorf("%s, %s: %v, want %v", kind, c.name, v.Parasites, c.want)
			}
			if (v.Verdict == DoNotEat) == v.Parasites.Controlled() {
				t.Errorf("%s, %s: parasites %v and yet %v", kind, c.name, v.Parasites, v.Verdict)
			}
		}
	}
	if v := judged(cooked("beef pork lamb", 50, 90)); v.Parasites != ParasitesNotAsked {
		t.Errorf("beef: %v", v.Parasites)
	}
}

// The rows of freezing, one by one: frozen solid and held at one temperature, or
// frozen solid at one and held at another, which only the US rules know.
func TestFreezingInTwoSteps(t *testing.T) {
	t.Parallel()
	c := func(v float64) trial.Opt[quantity.Temperature] { return trial.Some(quantity.Celsius(v)) }
	for _, x := range []struct {
		at, then   trial.Opt[quantity.Temperature]
		hours      float64
		us, eu     bool
		unstatedUS bool
	}{
		{c(-20), trial.Opt[quantity.Temperature]{}, 168, true, true, true},
		{c(-20), trial.Opt[quantity.Temperature]{}, 167, false, true, false},
		{c(-20), trial.Opt[quantity.Temperature]{}, 23, false, false, false},
		{c(-35), trial.Opt[quantity.Temperature]{}, 15, true, true, true},
		{c(-35), trial.Opt[quantity.Temperature]{}, 14, false, false, false},
		{c(-35), c(-20), 24, true, true, true},
		{c(-35), c(-20), 23, false, false, false},
		{c(-34), c(-20), 24, false, true, false},
		{c(-40), c(-35), 15, true, true, true},
		{c(-20), c(-35), 15, false, false, false}, // colder afterwards: its first cold counts
		{c(-35), c(-18), 240, false, false, false},
		{c(-18), trial.Opt[quantity.Temperature]{}, 24000, false, false, false},
	} {
		f := trial.Frozen{Is: true, Tmp: x.at, Then: x.then, For: trial.Some(quantity.FromHours(x.hours))}
		for rules, want := range map[trial.Rules]bool{trial.RulesUS: x.us, trial.RulesEU: x.eu, trial.RulesUK: x.eu, trial.RulesOther: x.unstatedUS, "": x.unstatedUS} {
			if got := freezingMeets(f, trial.Opt[trial.Rules]{V: rules, Known: rules != ""}); got != want {
				t.Errorf("%v, then %v, %v h, rules %q: %v, want %v", x.at.V, x.then, x.hours, rules, got, want)
			}
		}
	}
}

// What is not a fish is not called one, and what is not covered is said.
func TestKindsWithoutRules(t *testing.T) {
	t.Parallel()
	for kind, want := range map[string]string{"crustacean": "for a crustacean is confirmed here", "cephalopod": "how long the cephalopod was frozen", "other": "no rule for this kind"} {
		v := judged(cooked(kind, 62, 120))
		lead, rest := Cautions(cooked(kind, 62, 120), v)
		text := ""
		for _, c := range append(lead, rest...) {
			for _, p := range c.Text {
				text += p.Text
			}
		}
		if v.Verdict > NoVerdict || v.Vulnerable {
			t.Errorf("%s: %v", kind, v.Verdict)
		}
		if why := v.Why[0].Text[0].Text; kind != "cephalopod" && !strings.Contains(why, want) {
			t.Errorf("%s: %q", kind, why)
		}
		if kind == "cephalopod" && strings.Contains(text, "the fish was") {
			t.Errorf("a cephalopod is called a fish: %s", text)
		}
	}
	short := cooked("cephalopod", 50, 60)
	short.Food.Frozen = trial.Opt[trial.Frozen]{}
	if v := judged(short); v.Verdict != DoNotEat || !strings.Contains(v.Why[0].Text[0].Text, "the cephalopod") {
		t.Errorf("%v %v", v.Verdict, v.Why)
	}
}
