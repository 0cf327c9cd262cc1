package safety

import (
	"slices"
	"strings"
	"testing"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// said is everything that stands right under the answer.
func said(t *trial.Trial) string {
	var all []string
	for _, c := range OfTrial(t, heat.OfTrial(t)).Lead {
		all = append(all, plain(c.Text))
	}
	return strings.Join(all, " ")
}

// What must be said where somebody could be hurt.
func TestWordsOfRefusals(t *testing.T) {
	t.Parallel()
	const refusal, open = "Do not eat it and do not taste it: ", " The pieces may still be weighed, sheared and photographed."
	notFrozen := func(t *trial.Trial) { t.Food.Frozen = trial.Some(trial.Frozen{}) }
	unknown := func(t *trial.Trial) { t.Food.Frozen.Known = false }
	minced := func(t *trial.Trial) { t.Food.Form.V = trial.Minced }
	const parasites = " Parasites are not controlled: below 60 °C at the core it is eaten only if it was frozen for that beforehand, with a record. A home freezer is not cold enough."
	for _, c := range []struct {
		name, kind       string
		celsius, minutes float64
		change           func(*trial.Trial)
		want             string
	}{
		{"chicken at 54 °C", "poultry", 54, 120, nil, refusal + "poultry needs 58.3 °C at the core for 60 min, or 70 °C for 2 min." + open},
		{"chicken at 58 °C", "poultry", 58, 600, nil, refusal + "poultry needs 58.3 °C at the core for 60 min, or 70 °C for 2 min." + open},
		{"minced beef at 52 °C", "beef pork lamb", 52, 60, minced, refusal + "the core does not stay at 70 °C for 2 min, which pieces that are not whole need." + open},
		{"minced beef at 63 °C", "beef pork lamb", 63, 120, minced, refusal + "the core does not stay at 70 °C for 2 min, which pieces that are not whole need." + open},
		{"mussels at 60 °C", "bivalve", 60, 60, nil, refusal + "bivalves need 90 °C at the core for 90 s." + open},
		{"beans at 85 °C", "pulse", 85, 600, nil, refusal + "pulses need to boil for 10 min." + open},
		{"wild fish at 48 °C, not frozen", "lean fish", 48, 40, notFrozen, refusal + "the fish was not frozen beforehand." + open + parasites},
		{"fish, nobody knows", "lean fish", 48, 40, unknown, refusal + "it is not stated how cold and how long the fish was frozen against parasites." + open + parasites},
		{"fish from a home freezer", "oily fish", 50, 40, func(t *trial.Trial) { t.Food.Frozen = frozen(-18, 60) }, refusal + "the freezing meets no rule: −20 °C for 7 d is needed." + open + parasites},
	} {
		tr := cooked(c.kind, c.celsius, c.minutes)
		if c.change != nil {
			c.change(tr)
		}
		if got := strings.ReplaceAll(said(tr), "-20 °C", "−20 °C"); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}

// Pathogens and decades are named where something counts as pasteurised.
func TestWordsOfPasteurised(t *testing.T) {
	t.Parallel()
	if got := said(cooked("beef pork lamb", 60, 150)); !strings.HasPrefix(got, "Pasteurised at the core, by calculation, if eaten at once: the core gets six decades of Listeria, six and a half of Salmonella and five of E. coli. "+
		"Not for young children, pregnant women, older people or anyone with weakened immunity.") {
		t.Errorf("beef: %s", got)
	}
	r := OfTrial(cooked("oily fish", 58, 240), nil)
	if r.Overall.Verdict != NoVerdict {
		t.Errorf("without heat: %v", r.Overall.Verdict)
	}
	tr := cooked("oily fish", 58, 240)
	rest := ""
	for _, c := range OfTrial(tr, heat.OfTrial(tr)).Rest {
		rest += plain(c.Text) + "\n"
	}
	for _, want := range []string{"Counted by: Mackey and Bratchell 1989; salmon: Ben Embarek and Huss 1993;", "From memory, to be confirmed: its z, from the fish hazards guidance of the US FDA, appendix 4; D and z, as a review of 2012 gives them",
		"that part is an extrapolation"} {
		if !strings.Contains(rest, want) {
			t.Errorf("missing %q in\n%s", want, rest)
		}
	}
}

// Minimums are chosen by the rules that the trial names, quoted with authority,
// edition and place, and never mixed.
func TestMinimumsByRules(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind    string
		form    trial.Form
		rules   trial.Rules
		celsius float64
		minutes float64
		verdict Verdict
		quoted  []string // slug, + where it is met
	}{
		{"beef pork lamb", trial.Whole, trial.RulesUS, 60, 150, Pasteurised, []string{"us-whole", "us-roast+"}},
		{"beef pork lamb", trial.Whole, trial.RulesUK, 60, 150, Pasteurised, []string{"uk-cooking"}},
		{"beef pork lamb", trial.Whole, trial.RulesUK, 61, 150, Pasteurised, []string{"uk-cooking+"}},
		{"beef pork lamb", trial.Whole, trial.RulesEU, 60, 150, Pasteurised, nil},
		{"beef pork lamb", trial.Whole, "", 60, 150, Pasteurised, nil},
		// Minced: 63 °C for 3 min in the US with all decades; by other rules 70 °C.
		{"beef pork lamb", trial.Minced, trial.RulesUS, 64, 120, Pasteurised, []string{"us-opened+"}},
		{"beef pork lamb", trial.Minced, trial.RulesUS, 62.5, 120, DoNotEat, []string{"us-opened"}},
		{"beef pork lamb", trial.Stuffed, trial.RulesUS, 64, 120, DoNotEat, []string{"us-poultry"}},
		{"beef pork lamb", trial.Minced, trial.RulesUK, 61, 150, Pasteurised, []string{"uk-minced+"}},
		{"beef pork lamb", trial.Minced, trial.RulesUK, 61, 100, DoNotEat, []string{"uk-minced"}},
		{"beef pork lamb", trial.Minced, trial.RulesEU, 64, 120, DoNotEat, nil},
		{"beef pork lamb", trial.Minced, "", 64, 120, DoNotEat, nil},
		{"beef pork lamb", trial.Minced, trial.RulesOther, 71, 120, Pasteurised, nil},
		{"lean fish", trial.Whole, trial.RulesUS, 64, 60, Pasteurised, []string{"us-whole+"}},
		{"poultry", trial.Whole, trial.RulesUS, 60, 150, Pasteurised, []string{"us-poultry"}},
		{"vegetable", trial.Whole, trial.RulesUS, 85, 60, NotAsked, nil},
	} {
		tr := cooked(c.kind, c.celsius, c.minutes)
		tr.Food.Form.V = c.form
		if c.rules != "" {
			tr.Rules = trial.Some(c.rules)
		}
		v := judged(tr)
		var got []string
		for _, q := range v.Quoted {
			if q.Authority == "" || q.Edition == "" || q.Place == "" || q.Rules != c.rules {
				t.Errorf("%s: no authority, edition or place, or another's: %+v", q.Slug, q)
			}
			slug := q.Slug
			if q.Met {
				slug += "+"
			}
			got = append(got, slug)
		}
		if v.Verdict != c.verdict || !slices.Equal(got, c.quoted) {
			t.Errorf("%s %s %q %v °C: %v %v (%v), want %v %v", c.kind, c.form, c.rules, c.celsius, v.Verdict, got, v.Why[0].Slug, c.verdict, c.quoted)
		}
	}
}

// The row at 54.4 °C is published and never relied on: a core that is exactly
// there for the time of the row gets no decade by it.
func TestTheColdestRowIsOnlyQuoted(t *testing.T) {
	t.Parallel()
	if v := judged(func() *trial.Trial {
		tr := cooked("beef pork lamb", 54.4, 180)
		tr.Rules = trial.Some(trial.RulesUS)
		return tr
	}()); v.Verdict != NotPasteurised {
		t.Errorf("54.4 °C: %v", v.Verdict)
	}
}

// Vulnerable people ask for the local code besides 70 °C for 2 min.
func TestVulnerableByLocalCode(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		kind    string
		form    trial.Form
		rules   trial.Rules
		celsius float64
		want    bool
	}{
		{"poultry", trial.Whole, trial.RulesUS, 72, false}, {"poultry", trial.Whole, trial.RulesUS, 75, true},
		{"poultry", trial.Whole, trial.RulesUK, 72, true}, {"poultry", trial.Whole, trial.RulesEU, 72, true}, {"poultry", trial.Whole, "", 72, false},
		{"beef pork lamb", trial.Minced, trial.RulesUS, 64, false}, {"beef pork lamb", trial.Minced, trial.RulesUS, 72, true},
		{"beef pork lamb", trial.Stuffed, "", 76, false}, {"beef pork lamb", trial.Injected, "", 72, true}, {"game", trial.Whole, trial.RulesUS, 72, false},
	} {
		tr := cooked(c.kind, c.celsius, 180)
		tr.Food.Form.V = c.form
		if c.rules != "" {
			tr.Rules = trial.Some(c.rules)
		}
		if v := judged(tr); v.Vulnerable != c.want {
			t.Errorf("%s %s by %q at %v °C: %v, want %v", c.kind, c.form, c.rules, c.celsius, v.Vulnerable, c.want)
		}
	}
}

// Fish that the file calls a risk is out unless it was kept cold by the record.
func TestHistamine(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		risk    trial.Opt[bool]
		sources []trial.Source
		want    Verdict
	}{
		{trial.Opt[bool]{}, nil, NotPasteurised},
		{trial.Some(false), nil, NotPasteurised},
		{trial.Some(true), nil, DoNotEat},
		{trial.Some(true), []trial.Source{{ID: "f"}}, DoNotEat},
		{trial.Some(true), []trial.Source{{ID: "f", KeptAt: trial.Some(quantity.Celsius(2))}}, NotPasteurised},
		{trial.Some(true), []trial.Source{{ID: "f", KeptAt: trial.Some(quantity.Celsius(2))}, {ID: "g"}}, DoNotEat},
		{trial.Some(true), []trial.Source{{ID: "f", KeptAt: trial.Some(quantity.Celsius(6))}}, DoNotEat},
		{trial.Some(false), []trial.Source{{ID: "f", KeptAt: trial.Some(quantity.Celsius(6))}}, DoNotEat},
	} {
		tr := cooked("oily fish", 50, 60)
		tr.Food.Histamine, tr.Sources = c.risk, c.sources
		if v := judged(tr); v.Verdict != c.want {
			t.Errorf("risk %v, sources %v: %v (%v)", c.risk.V, len(c.sources), v.Verdict, v.Why)
		}
	}
}

// Nothing is ever called pasteurised at a set point at which germs grow.
func TestNothingIsPasteurisedWhereGermsGrow(t *testing.T) {
	t.Parallel()
	for _, kind := range food.Kinds() {
		for celsius := 30.0; celsius <= 54.4; celsius += 0.2 {
			for _, minutes := range []float64{30, 110, 230, 600, 5000} {
				if v := judged(cooked(kind, celsius, minutes)); v.Verdict == Pasteurised {
					t.Errorf("%s at %v °C for %v min: %v", kind, celsius, minutes, v.Why)
				}
			}
		}
	}
}
