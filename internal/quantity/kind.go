package quantity

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Kind names one type of quantity, for schemas and messages.
type Kind uint8

const (
	KindTemperature Kind = iota
	KindDifference
	KindLength
	KindMass
	KindDuration
	KindShare
	KindVolume
	KindPower
)

// Quantity is any of the types of quantities.
type Quantity interface {
	Temperature | Difference | Length | Mass | Duration | Share | Volume | Power
}

// KindOf is the kind of a type.
func KindOf[V Quantity]() Kind {
	var v V
	switch any(v).(type) {
	case Temperature:
		return KindTemperature
	case Difference:
		return KindDifference
	case Length:
		return KindLength
	case Mass:
		return KindMass
	case Duration:
		return KindDuration
	case Share:
		return KindShare
	case Volume:
		return KindVolume
	}
	return KindPower
}

func (k Kind) table() *kind {
	return [...]*kind{&temperatures, &differences, &lengths, &masses, &durations, &shares, &volumes, &powers}[min(k, KindPower)]
}

// Noun is the kind with its article: "a temperature".
func (k Kind) Noun() string { return k.table().noun }

// Examples are two or so texts that parse.
func (k Kind) Examples() []string { return strings.Split(k.table().like, " or ") }

// Pattern is a regular expression, in the part of the syntax that ECMA 262 and
// Go share, which matches every text that parses and few others.
func (k Kind) Pattern() string {
	t := k.table()
	var units []string
	for _, u := range t.units {
		for _, a := range append([]string{u.name}, u.aliases...) {
			if p := anyCase(a); !slices.Contains(units, p) {
				units = append(units, p)
			}
		}
		switch u.name {
		case "°C":
			units = append(units, "℃")
		case "°F":
			units = append(units, "℉")
		}
	}
	unit := `(` + strings.Join(units, "|") + `)\.?`
	num := `([0-9]+(\.[0-9]+)?|\.[0-9]+)([eE][-+]?[0-9]+)?`
	if t.fractions {
		num = `(` + num + `|([0-9]+\s*)?[¼½¾⅓⅔⅛⅜⅝⅞]|([0-9]+\s+)?[0-9]+/[0-9]+)`
	}
	part := num + `\s*` + unit
	if len(t.compounds) > 0 {
		part += `(\s*` + part + `)*`
	}
	return `^\s*[-+±−]?\s*` + part + `\s*$`
}

// anyCase spells a unit for a pattern: letters in either case, a space where
// people put one, and the signs that are taken for others.
func anyCase(s string) string {
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == '°':
			b.WriteString(`[°º˚]\s*`)
		case r == '"':
			b.WriteString(`["″”]`)
		case r == '.':
			b.WriteString(`\.\s*`)
		case unicode.IsLetter(r):
			b.WriteString("[" + string(unicode.ToUpper(r)) + string(unicode.ToLower(r)) + "]")
		default:
			b.WriteRune(r)
		}
		if head := s[:i+1]; r < utf8.RuneSelf && (head == "deg" || head == "degrees") {
			b.WriteString(`\s*`)
		}
	}
	return b.String()
}
