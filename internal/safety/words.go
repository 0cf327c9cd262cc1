package safety

import (
	"math"
	"strings"

	"tamis/internal/prose"
)

// words builds a text from strings and Parts.
func words(parts ...any) Words {
	w := make(Words, 0, len(parts))
	for _, p := range parts {
		switch v := p.(type) {
		case string:
			w = append(w, Part{Text: v})
		case Part:
			w = append(w, v)
		case Words:
			w = append(w, v...)
		}
	}
	return w
}

// Sentence is the text as a sentence, which shows its quantities in the reader's
// units.
func (w Words) Sentence() prose.Sentence {
	parts := make([]any, len(w))
	for i, p := range w {
		switch p.Kind {
		case Temperature:
			parts[i] = prose.Quantity{Kind: prose.Temperature, Value: p.Value, Digits: p.Digits}
		case Difference:
			parts[i] = prose.Quantity{Kind: prose.Difference, Value: p.Value, Digits: p.Digits}
		case Minutes:
			parts[i] = prose.Quantity{Kind: prose.Duration, Value: p.Value, Digits: p.Digits}
		case Percent:
			parts[i] = prose.Quantity{Kind: prose.Share, Value: p.Value / 100, Digits: p.Digits}
		default:
			parts[i] = p.Text
		}
	}
	return prose.Say(parts...)
}

func temp(c float64, digits int) Part { return Part{Kind: Temperature, Value: c, Digits: digits} }
func mins(m float64) Part             { return Part{Kind: Minutes, Value: m} }
func percent(p float64) Part          { return Part{Kind: Percent, Value: p} }

func because(slug string, parts ...any) Reason { return Reason{Slug: slug, Text: words(parts...)} }

// decades is a number of decades in words.
func decades(d float64) string {
	whole, half := math.Modf(d)
	if whole < 1 || whole >= float64(len(small)) || half != 0 && half != 0.5 {
		return number(d)
	}
	if half == 0.5 {
		return small[int(whole)] + " and a half"
	}
	return small[int(whole)]
}

var small = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

// list joins with commas and a last "and".
func list(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

func kelvins(k float64, digits int) Part { return Part{Kind: Difference, Value: k, Digits: digits} }
