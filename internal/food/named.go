package food

import (
	"slices"
	"strings"
)

// named are everyday names by kind, in the singular. They serve hints only: a
// kind is never taken from a name, since the name of a dish may hide another
// food. Common practice, no source.
var named = map[string][]string{
	"lean fish":      {"cod", "pollack", "pollock", "haddock", "hake", "whiting", "saithe", "coley", "ling", "monkfish", "plaice", "sole", "flounder", "turbot", "brill", "bass", "bream", "snapper", "perch", "pike", "zander", "tilapia", "halibut", "skate", "whitefish"},
	"oily fish":      {"salmon", "trout", "char", "mackerel", "herring", "sardine", "sprat", "anchovy", "tuna", "eel", "kingfish", "swordfish", "sablefish"},
	"poultry":        {"chicken", "turkey", "duck", "goose", "guineafowl", "poussin", "hen"},
	"beef pork lamb": {"beef", "pork", "lamb", "veal", "mutton", "goat", "steak", "brisket"},
	"game":           {"venison", "deer", "boar", "hare", "elk", "moose", "reindeer", "pheasant", "partridge", "grouse"},
	"shell egg":      {"egg"},
	"bivalve":        {"mussel", "oyster", "clam", "cockle", "scallop"},
	"crustacean":     {"shrimp", "prawn", "lobster", "crab", "langoustine", "crayfish"},
	"cephalopod":     {"squid", "octopus", "cuttlefish", "calamari"},
	"vegetable":      {"carrot", "potato", "beetroot", "beet", "parsnip", "turnip", "celeriac", "asparagus", "leek", "onion", "cabbage", "broccoli", "cauliflower", "kohlrabi", "fennel", "mushroom", "pumpkin", "squash", "aubergine", "courgette", "artichoke", "salsify"},
	"fruit":          {"apple", "pear", "quince", "peach", "plum", "apricot", "cherry", "pineapple", "rhubarb"},
	"pulse":          {"lentil", "chickpea", "bean", "pea"},
}

// KindsNamed are the kinds that an everyday name such as "chicken breast" points
// to, in the order of Kinds: one where a word of it is known, the two of fish for
// any other fish, and none where no word of it is known or its words point to
// several.
func KindsNamed(name string) []string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return r == ' ' || r == '-' || r == '_' || r == ',' })
	var found []string
	for _, k := range Kinds() {
		if slices.ContainsFunc(words, func(w string) bool {
			return slices.ContainsFunc(singulars(w), func(s string) bool { return slices.Contains(named[k], s) })
		}) {
			found = append(found, k)
		}
	}
	switch {
	case len(found) == 1:
		return found
	case len(found) == 0 && slices.Contains(words, "fish"):
		return []string{"lean fish", "oily fish"}
	}
	return nil
}

// singulars are the word and what it may be the plural of.
func singulars(w string) []string {
	out := []string{w}
	for _, p := range [][2]string{{"ies", "y"}, {"es", ""}, {"s", ""}} {
		if s, ok := strings.CutSuffix(w, p[0]); ok {
			out = append(out, s+p[1])
		}
	}
	return out
}
