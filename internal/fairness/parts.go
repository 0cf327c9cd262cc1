package fairness

import "tamis/internal/prose"

// count is a whole number in a sentence.
func count(n int) prose.Quantity { return prose.Quantity{Kind: prose.Count, Value: float64(n)} }

// plural picks a word by number.
func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
