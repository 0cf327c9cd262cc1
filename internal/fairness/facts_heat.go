package fairness

import "tamis/internal/heat"

// heat is the heat of the trial's cooks: as it was given, else computed once.
func (c *Case) heat() *heat.Trial {
	if c.Heat != nil && len(c.Heat.Cooks) == len(c.Trial.Cooks) {
		return c.Heat
	}
	if c.facts.heat == nil {
		c.facts.heat = heat.OfTrial(c.Trial)
	}
	return c.facts.heat
}
