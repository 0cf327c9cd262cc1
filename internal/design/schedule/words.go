package schedule

import (
	"math"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// say builds a sentence; whole numbers become counts.
func say(parts ...any) prose.Sentence {
	for i, p := range parts {
		switch v := p.(type) {
		case int:
			parts[i] = prose.Quantity{Kind: prose.Count, Value: float64(v)}
		case quantity.Temperature:
			parts[i] = prose.Quantity{Kind: prose.Temperature, Value: v.Celsius(), Digits: 1}
		case quantity.Duration:
			parts[i] = prose.Quantity{Kind: prose.Duration, Value: v.Minutes()}
		case Moment:
			parts[i] = v.String()
		}
	}
	return prose.Say(parts...)
}

// minutes is a duration for a sentence.
func minutes(m float64) prose.Quantity { return prose.Quantity{Kind: prose.Duration, Value: m} }

// degrees is a temperature for a sentence.
func degrees(c float64) prose.Quantity {
	return prose.Quantity{Kind: prose.Temperature, Value: c, Digits: 1}
}

// whole rounds minutes up to whole ones.
func whole(m float64) float64 { return math.Ceil(m - 1e-9) }

// and joins names.
func and(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// ownBath begins the name of a bath that is only taken to exist.
const ownBath = "for "

// bathName calls a bath by its name.
func bathName(id string) string {
	switch {
	case id == "":
		return "the bath"
	case strings.HasPrefix(id, ownBath):
		return "the bath " + id
	}
	return "bath " + id
}
