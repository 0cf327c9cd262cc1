package prose

import "strings"

// List joins words: "a", "a and b", "a, b and c".
func List(words []string) string {
	switch len(words) {
	case 0:
		return ""
	case 1:
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// Upper makes the first letter a capital.
func Upper(s string) string {
	if s == "" {
		return s
	}
	for i, r := range s {
		return strings.ToUpper(string(r)) + s[i+len(string(r)):]
	}
	return s
}

// Plural counts things: "1 cook", "18 cooks".
func Plural(n int, one string) Sentence {
	word := one
	if n != 1 {
		word += "s"
	}
	return Say(Quantity{Kind: Count, Value: float64(n)}, " "+word)
}

// And joins sentences as List joins words: "a", "a and b", "a, b and c".
func And(items ...Sentence) Sentence {
	var out Sentence
	for i, s := range items {
		switch {
		case i == 0:
		case i == len(items)-1:
			out = Say(out, " and ")
		default:
			out = Say(out, ", ")
		}
		out = Say(out, s)
	}
	return out
}
