package fairness

import (
	"math"

	"tamis/internal/prose"
)

// count is a whole number in a sentence.
func count(n int) prose.Quantity { return prose.Quantity{Kind: prose.Count, Value: float64(n)} }

// plural picks a word by number.
func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// levelWords names a level of the compared factor in both units.
func (c *Case) levelWords(level int) prose.Sentence {
	if c.Factor.IsSetPoint() {
		return prose.Say(celsius(c.Factor.Values[level]))
	}
	return prose.Say(c.label(level))
}

// levelsWords is "46 °C and 54 °C".
func (c *Case) levelsWords(levels ...int) prose.Sentence {
	items := make([]prose.Sentence, len(levels))
	for i, l := range levels {
		items[i] = c.levelWords(l)
	}
	return prose.And(items...)
}

// celsius is a temperature in a sentence, with as many decimals as it has, at
// most two.
func celsius(v float64) prose.Quantity {
	return prose.Quantity{Kind: prose.Temperature, Value: v, Digits: decimals(v)}
}

// kelvins is a temperature difference in a sentence, to a tenth.
func kelvins(v float64) prose.Quantity {
	return prose.Quantity{Kind: prose.Difference, Value: v, Digits: 1}
}

func decimals(v float64) int {
	for n := range 2 {
		if p := math.Pow10(n); math.Abs(v*p-math.Round(v*p)) < 1e-6 {
			return n
		}
	}
	return 2
}
