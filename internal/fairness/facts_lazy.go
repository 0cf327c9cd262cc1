package fairness

import "tamis/internal/trial"

// lazyFacts are facts that several checks share and that cost something, so that
// only the first one pays.
type lazyFacts struct {
	sat      bool
	sittings []sitting
	unplaced []string // assessors with a row without a place

	tastedKnown bool
	tasted      []trial.Measure

	brinedKnown bool
	brined      []brinedRow
	recipes     []recipe

	sourceAt map[string]int
}
