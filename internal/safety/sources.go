package safety

import (
	"strings"

	"tamis/internal/food"
	"tamis/internal/trial"
)

// sources are the cautions that say where the numbers of a verdict come from,
// what was remembered and not read, and where they reach beyond their data.
func sources(t *trial.Trial, k food.Kind, v CookVerdict) []Caution {
	var out []Caution
	if len(v.Kills) > 0 && v.Verdict == Pasteurised {
		out = append(out, counted(v.Kills))
	}
	switch {
	case k.Rule == food.BivalveRule:
		out = append(out, fromMemory("bivalves", "The ", temp(bivalveAt, 0), " for ", mins(bivalveMinutes), " for bivalves are from memory of common guidance against viruses, to be confirmed."))
	case k.Rule == food.PulseRule:
		out = append(out, fromMemory("pulses", "The ", mins(pulseMinutes), " at the boil for pulses are from memory of common guidance, to be confirmed. Below the boil their toxin can become stronger."))
	}
	for _, q := range v.Quoted {
		out = append(out, quoted(q))
	}
	return out
}

// RulesNotes say which published rules a trial is held against beside its cooks: of
// freezing, and where the rules that it names hold no minimum that is known here.
func RulesNotes(t *trial.Trial) []Words {
	k, ok := food.Lookup(t.Food.Kind.V)
	if !ok || k.Rule == food.PlantRule {
		return nil
	}
	var out []Words
	if k.Parasites {
		out = append(out, freezingRules(t.Rules))
	}
	switch {
	case !t.Rules.Known:
	case t.Rules.V == trial.RulesEU:
		out = append(out, words("The hygiene rules of the EU set no cooking temperature for this food that is known here; local guidance may."))
	case t.Rules.V == trial.RulesOther:
		out = append(out, words("No published minimum of that place is known here; ask its food authority."))
	}
	return out
}

func fromMemory(what string, parts ...any) Caution {
	return caution("from-memory-"+what, BesideSetPoint, parts...)
}

// counted names the publications behind each organism, and what of them is
// from memory.
func counted(ks []Kill) Caution {
	var names, memory []string
	seen := map[string]bool{}
	add := func(to *[]string, s string) {
		if s != "" && !seen[s] {
			seen[s] = true
			*to = append(*to, s)
		}
	}
	outside := false
	for _, k := range ks {
		add(&names, k.Source)
		add(&memory, k.Memory)
		outside = outside || k.Outside
	}
	text := "Counted by: " + strings.Join(names, "; ") + "."
	if len(memory) > 0 {
		text += " From memory, to be confirmed: " + strings.Join(memory, "; ") + "."
	}
	if outside {
		text += " The core stays below the temperatures at which some of it was measured, so that part is an extrapolation."
	}
	return caution("counted-by", BesideSetPoint, text)
}

// quoted is a published minimum with what it says and whether the core meets it.
func quoted(q Quoted) Caution {
	met := " By calculation this core does not meet it at any temperature of that table."
	if q.Met {
		met = " By calculation this core meets it."
	}
	parts := []any{q.Authority + " (" + q.Edition + "), " + q.Place + ", for " + q.For + ": "}
	if q.Row.Celsius > 0 {
		parts = append(parts, temp(q.Row.Celsius, digitsOf(q.Row.Celsius)), " for ", mins(q.Row.Minutes))
	}
	parts = append(parts, ".", met)
	if q.Memory != "" {
		parts = append(parts, " From memory, to be confirmed: "+q.Memory+".")
	}
	return caution("minimum-"+q.Slug, BesideSetPoint, parts...)
}
