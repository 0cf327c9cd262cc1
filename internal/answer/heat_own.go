package answer

import (
	"tamis/internal/heat"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// HeatOwn are numbers that somebody puts in the place of the table's. They count
// for the prediction and for the verdict, and both say so.
type HeatOwn struct{ safety.Override }

// given are those that the prediction knows; a shape is that of the food.
func (o HeatOwn) given() heat.Given {
	return heat.Given{Diffusivity: o.Diffusivity.Or(0), Conductivity: o.Conductivity.Or(0), Transfer: o.Coefficient.Or(0)}
}

// judge gives the verdicts.
func (o HeatOwn) judge(t *trial.Trial, h *heat.Trial) *safety.Result { return o.OfTrial(t, h) }

// sentences say which numbers are the user's.
func (o HeatOwn) sentences() []Sentence {
	if !o.Any() {
		return []Sentence{}
	}
	return []Sentence{Say("By your own values, not the table's: ", o.Words().Sentence(), ".")}
}
