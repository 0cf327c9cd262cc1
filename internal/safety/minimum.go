package safety

import (
	"slices"

	"tamis/internal/food"
	"tamis/internal/trial"
)

// Held is a temperature that a core has to hold for a time, in one stretch.
type Held struct {
	Celsius float64
	Minutes float64
}

// Minimum is one published minimum: any one of its rows is enough. Rows of
// different authorities are never put together.
type Minimum struct {
	Slug      string
	Rules     trial.Rules
	Authority string
	Edition   string
	Place     string
	For       string // what it is for
	Rows      []Held
	Memory    string // what was remembered, not read; empty where it was read
}

// met reports whether a history meets a row, and the row: the hottest that is
// met, or else the coolest that may be relied on. Rows for 54.4 °C are never relied
// on: one of them failed to give its decades in a validation.
func (m *Minimum) met(h *history) (Held, bool) {
	for _, r := range slices.Backward(m.Rows) {
		if r.Celsius > noCredit && h.reaches(r.Celsius) && h.minutesAt(r.Celsius) >= r.Minutes {
			return r, true
		}
	}
	for _, r := range m.Rows {
		if r.Celsius > noCredit {
			return r, false
		}
	}
	return Held{}, false
}

// The published minimums. Where a table gives °F, the °C here is the higher of
// the two as printed and as converted.
var (
	usFood = []Minimum{
		{Slug: "us-whole", Rules: trial.RulesUS, Authority: "US Food Code", Edition: "as adopted by states, numbering of 2017 and 2022", Place: "3-401.11(A)(1)",
			For: "fish and whole meat", Rows: []Held{{63, 0.25}}},
		{Slug: "us-opened", Rules: trial.RulesUS, Authority: "US Food Code", Edition: "as adopted by states, numbering of 2017 and 2022", Place: "3-401.11(A)(2)",
			For: "minced, tenderised and injected meat and fish", Rows: []Held{{63, 3}, {66, 1}, {fahrenheit(155), 17.0 / 60}, {fahrenheit(158), 1.0 / 60}}},
		{Slug: "us-poultry", Rules: trial.RulesUS, Authority: "US Food Code", Edition: "before 2017", Place: "3-401.11(A)(3)",
			For: "poultry, stuffed food and wild game", Rows: []Held{{74, 0.25}}, Memory: "that editions from 2017 on ask for less than a second"},
		{Slug: "us-roast", Rules: trial.RulesUS, Authority: "US Food Code", Edition: "2017 and later", Place: "3-401.11(B)",
			For: "whole roasts", Rows: []Held{{fahrenheit(130), 112}, {55, 89}, {fahrenheit(133), 56}, {fahrenheit(135), 36}, {fahrenheit(136), 28}, {fahrenheit(138), 18}, {60, 12},
				{fahrenheit(142), 8}, {fahrenheit(144), 5}, {fahrenheit(145), 4}, {fahrenheit(147), 134.0 / 60}, {fahrenheit(149), 85.0 / 60}, {fahrenheit(151), 54.0 / 60},
				{fahrenheit(153), 34.0 / 60}, {fahrenheit(155), 22.0 / 60}, {fahrenheit(157), 14.0 / 60}, {fahrenheit(158), 1.0 / 60}}},
	}
	// Advice of the Food Standards Agency, as several sources in the UK repeat
	// it; for minced meat the two longer times against E. coli O157.
	ukFood = []Minimum{
		{Slug: "uk-cooking", Rules: trial.RulesUK, Authority: "UK Food Standards Agency", Edition: "advice as repeated by several sources", Place: "cooking times and temperatures",
			For: "food", Rows: []Held{{60, 45}, {65, 10}, {70, 2}, {75, 0.5}, {80, 0.1}}},
		{Slug: "uk-minced", Rules: trial.RulesUK, Authority: "UK Food Standards Agency", Edition: "second hand, after the advisory committee on microbiological safety", Place: "advice on E. coli O157",
			For: "minced meat", Rows: []Held{{60, 93}, {65, 14}, {70, 2}, {75, 0.5}, {80, 0.1}}},
	}
	// No authority in particular: outright 70 °C for 2 min, which meets the rows
	// for minced food of each of the tables above.
	outright = Minimum{Slug: "outright", Rules: trial.RulesOther, For: "food that was opened up, under any rules", Rows: []Held{{listeriaAt, listeriaMinutes}}}
)

// openedMinimum is what food that was opened up has to meet under the rules,
// besides the rows of its kind.
func openedMinimum(k food.Kind, f trial.Form, r trial.Opt[trial.Rules]) *Minimum {
	switch {
	case k.Rule != food.MuscleRule, !r.Known:
		return &outright
	case r.V == trial.RulesUS && (f == trial.Minced || f == trial.Tenderised || f == trial.Injected):
		return &usFood[1]
	case r.V == trial.RulesUK:
		return &ukFood[1]
	}
	return &outright
}

// localMinimums are the minimums of a local code that vulnerable people ask for
// besides 70 °C for 2 min, where poultry, game and opened food are concerned: those
// of the rules, or all of them where the rules are not stated or not known here.
func localMinimums(k food.Kind, f trial.Form, r trial.Opt[trial.Rules]) []*Minimum {
	us := &usFood[1]
	if k.Rule == food.PoultryRule || k.Rule == food.GameRule || f == trial.Stuffed || f == trial.Rolled {
		us = &usFood[2]
	}
	uk := &ukFood[1]
	switch r.Or(trial.RulesOther) {
	case trial.RulesUS:
		return []*Minimum{us}
	case trial.RulesUK:
		return []*Minimum{uk}
	case trial.RulesEU:
		return nil // the hygiene rules of the EU give no cooking temperature for these
	}
	return []*Minimum{us, uk}
}

// Quoted is a published minimum beside a core that meets it or does not. It is
// a quotation and decides nothing.
type Quoted struct {
	Minimum
	Row Held // the hottest row that is met, or the coolest that may be relied on
	Met bool
}

// quotes are the minimums of the rules that a trial names, for its kind of
// food; none without rules.
func quotes(k food.Kind, f trial.Opt[trial.Form], r trial.Opt[trial.Rules], h *history) []Quoted {
	var ms []*Minimum
	whole := f.Known && f.V == trial.Whole
	switch {
	case h == nil || !r.Known || !f.Known:
	case r.V == trial.RulesUK && k.Rule == food.MuscleRule && !whole && !k.Parasites:
		ms = []*Minimum{&ukFood[1]}
	case r.V == trial.RulesUK && (k.Rule == food.MuscleRule || k.Rule == food.PoultryRule || k.Rule == food.GameRule):
		ms = []*Minimum{&ukFood[0]}
	case r.V != trial.RulesUS:
	case k.Name == "crustacean" || k.Name == "cephalopod":
		m := usFood[0]
		m.Memory = "that the code counts crustaceans and cephalopods among fish"
		ms = []*Minimum{&m}
	case k.Rule == food.PoultryRule, k.Rule == food.GameRule, f.V == trial.Stuffed && k.Rule == food.MuscleRule:
		ms = []*Minimum{&usFood[2]}
	case k.Rule == food.MuscleRule && !whole:
		ms = []*Minimum{&usFood[1]}
	case k.Rule == food.MuscleRule && k.Parasites:
		ms = []*Minimum{&usFood[0]}
	case k.Rule == food.MuscleRule:
		ms = []*Minimum{&usFood[0], &usFood[3]}
	}
	out := make([]Quoted, 0, len(ms))
	for _, m := range ms {
		row, met := m.met(h)
		out = append(out, Quoted{Minimum: *m, Row: row, Met: met})
	}
	return out
}
