package heat

import "math"

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
