package search

import (
	"math"
	"math/rand/v2"
)

// State is a layout that can be changed a little and changed back.
type State interface {
	// Change makes one change by lot and returns by how much the cost grew. It
	// reports false where the change drawn is not allowed; then nothing changed.
	Change(rng *rand.Rand) (delta float64, ok bool)
	// Undo takes the last change back.
	Undo()
	// Save remembers the layout, Load goes back to the one saved last.
	Save()
	Load()
}

// Anneal makes so many changes, at a temperature that falls from hot to cold by
// a constant factor, and leaves the state at the best layout that it met. A
// change that costs d more is kept with the chance exp(-d/temperature). It
// returns by how much the cost grew, 0 or less: searches from one start compare.
func Anneal(s State, steps int, hot, cold float64, rng *rand.Rand) (best float64) {
	if !(hot > 0) || !(cold > 0) || steps < 1 {
		return 0
	}
	s.Save()
	var now float64 // counted from the start, as best is
	cooling := math.Pow(cold/hot, 1/float64(steps))
	for t := hot; steps > 0; steps-- {
		t *= cooling
		d, ok := s.Change(rng)
		if !ok {
			continue
		}
		if d > 0 && rng.Float64() >= math.Exp(-d/t) {
			s.Undo()
			continue
		}
		if now += d; now < best-1e-9 { // not for the rounding of a sum
			best = now
			s.Save()
		}
	}
	s.Load()
	return best
}
