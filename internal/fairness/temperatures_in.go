package fairness

import (
	"strings"
	"unicode/utf8"

	"tamis/internal/quantity"
)

// namedTemperature is a temperature in an author's text: bytes start to end.
type namedTemperature struct {
	celsius    float64
	start, end int
}

var (
	degrees = `(?:\s*°\s*([CF])|\s?(C|F)|\s*(?:degrees|deg\.?|°)(?:\s+(c|f|celsius|centigrade|fahrenheit))?)`
	// temperatureIn is a number with a unit, and before it the other end of a range
	// or another of a list that shares the unit: 40 to 56 °C, 48, 52 and 56 °C.
	temperatureIn = patternOf(`(?i)(?:^|[^\pL\d.,])((?:-?\d+(?:[.,]\d+)?(?:\s*°)?\s*(?:to|and|or|vs\.?|versus|than(?:\s+at)?|[-–—/,])\s*(?:at\s+)?)*)(-?\d+(?:[.,]\d+)?)` + degrees + `(?:$|[^\pL])`)
	numberIn      = patternOf(`\d+(?:[.,]\d+)?`)
	// stepBefore and stepAfter tell a difference from a temperature: by 4 °C, 4 °C
	// higher, a step of 4 °C.
	stepBefore = patternOf(`(?i)(?:\bby|\bwithin|±|\+/-|\bevery|\bacross|(?:difference|step|steps|range|window|gap|rise|drop|error|margin|spread|width)s?\s+of|\bper)\s*(?:about|only|just|some|roughly)?\s*$`)
	stepAfter  = patternOf(`(?i)^\s*(?:-?\s*(?:steps?|window|range|gap|difference|span)\b|higher|hotter|warmer|lower|cooler|colder|more|less|apart|wide|either\b|above\b|below\b|over\b|under\b|off\b|between\s+(?:them|neighbours|set))`)
)

// temperaturesIn lists the temperatures that a sentence names, in its order.
// Differences are none.
func temperaturesIn(s string) []namedTemperature {
	var out []namedTemperature
	for from := 0; from < len(s); {
		m := temperatureIn().FindStringSubmatchIndex(s[from:])
		if m == nil {
			break
		}
		at := func(group int) string {
			if m[2*group] < 0 {
				return ""
			}
			return s[from+m[2*group] : from+m[2*group+1]]
		}
		unit := strings.ToUpper(at(3) + at(4) + at(5))
		end := from + m[5]
		for g := 3; g <= 5; g++ {
			end = max(end, from+m[2*g+1])
		}
		if unit == "" { // "degrees" alone: the end of the word, in °C
			unit, end = "C", from+m[1]
			if r, size := utf8.DecodeLastRuneInString(s[:end]); !strings.ContainsRune("sg°", r) {
				end -= size
			}
		}
		if !stepBefore().MatchString(s[:from+m[2]]) && !stepAfter().MatchString(s[end:]) {
			add := func(number string, start, end int) {
				if v, ok := toCelsius(number, unit[:1]); ok {
					out = append(out, namedTemperature{v, start, end})
				}
			}
			for _, n := range numberIn().FindAllStringIndex(at(1), -1) {
				start := from + m[2] + n[0]
				add(at(1)[n[0]:n[1]], start, start+n[1]-n[0])
			}
			add(at(2), from+m[4], end)
		}
		from = max(end, from+m[5])
	}
	return out
}

// toCelsius reads a number with a decimal point or comma, and C or F.
func toCelsius(number, unit string) (float64, bool) {
	t, err := quantity.ParseTemperature(strings.ReplaceAll(number, ",", ".") + " °" + strings.ToUpper(unit))
	return t.Celsius(), err == nil
}
