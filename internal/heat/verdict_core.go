package heat

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/trial"
)

// Core is the core in °C after so many minutes in the bath, on the unfavourable
// side, as Path samples it. It is NaN where the cook cannot be computed or the
// minutes are not between 0 and a week. Without a log it never falls.
func (c *Cook) Core(minutes float64) float64 {
	if c.Cannot != nil || c.body == nil || !(minutes >= 0 && minutes <= maxMinutes) {
		return math.NaN()
	}
	return c.core(minutes)
}

// Logged reports whether a probe log takes part in Core and Path, which may
// then fall as well as rise.
func (c *Cook) Logged() bool { return c.log != nil }

// Computed is Core without the readings of the probe, in the bath that counts.
func (c *Cook) Computed(minutes float64) float64 {
	if c.Cannot != nil || c.body == nil || !(minutes >= 0 && minutes <= maxMinutes) {
		return math.NaN()
	}
	return c.computed(minutes)
}

// Plan is Planned with the bodies that the solver has solved already, and for
// another thickness in mm where that is above 0.
func (s *Solver) Plan(t *trial.Trial, cook int, celsius, mm float64) Cook {
	if cook < 0 || cook >= len(t.Cooks) {
		return Cook{Cannot: cannot("cooks", "there is no such cook")}
	}
	if mm > 0 {
		return s.compute(t, &t.Cooks[cook], celsius, mm, false)
	}
	thick := greatest(t, &t.Cooks[cook])
	for i := range t.Cooks {
		if other := greatest(t, &t.Cooks[i]); math.IsNaN(other) || other > thick {
			thick = other
		}
	}
	return s.compute(t, &t.Cooks[cook], celsius, thick, false)
}

// Slow is the material of a trial's food on the unfavourable side, on its way
// between two temperatures in °C. ok is false where the kind is not in the table.
func Slow(t *trial.Trial, from, to float64) (m Material, ok bool) {
	k, ok := food.Lookup(t.Food.Kind.V)
	if !ok || !t.Food.Kind.Known {
		return m, false
	}
	m, _ = NewSolver(Given{}).ends(t, k, from, to)
	return m, true
}

// Overloaded reports whether a cook is known to have less than EnoughWater times
// its food in water, so that the bath may stay below its set point for long.
func Overloaded(t *trial.Trial, c *trial.Cook) bool {
	m, ok := mass(c)
	b := bathOf(t, c)
	return ok && b != nil && b.Volume.Known && b.Volume.V.Litres() < EnoughWater*m
}
