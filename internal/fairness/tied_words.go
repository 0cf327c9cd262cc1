package fairness

import (
	"slices"

	"tamis/internal/prose"
)

// mostPairs keeps a sentence short: beyond so many pairs only their levels are
// named.
const mostPairs = 3

// pairsWords is "46 °C and 54 °C" for one pair, "46 °C and 54 °C, 46 °C and 58 °C"
// for a few, and the levels concerned for many.
func (c *Case) pairsWords(pairs [][2]int) prose.Sentence {
	if len(pairs) > mostPairs {
		var levels []int
		for _, p := range pairs {
			levels = append(levels, p[0], p[1])
		}
		slices.Sort(levels)
		return prose.Say("Some of ", c.levelsWords(slices.Compact(levels)...))
	}
	var out prose.Sentence
	for i, p := range pairs {
		if i > 0 {
			out = prose.Say(out, ", ")
		}
		out = prose.Say(out, c.levelsWords(p[0], p[1]))
	}
	return out
}

// heldWords says what was used for the levels of the first pair that is not
// separable, with words before and after the names: "48 °C had only the bath
// north and 54 °C only the bath south".
func (c *Case) heldWords(before string, k category, after string, t together) prose.Sentence {
	if len(t.Pairs) == 0 {
		return nil
	}
	a, b := t.Pairs[0][0], t.Pairs[0][1]
	na, nb := k.namesAt(a), k.namesAt(b)
	more := prose.Sentence(nil)
	if len(t.Pairs) > 1 {
		more = prose.Say(", and so with other pairs")
	}
	return prose.Say(c.levelWords(a), " had only "+before, listWords(na), after+" and ", c.levelWords(b), " only "+before, listWords(nb), after, more)
}
