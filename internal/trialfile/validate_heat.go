package trialfile

import (
	"fmt"
	"math"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// heats holds temperatures and lengths against each other that say nothing
// together: a start that is not below its bath, a log whose heading names the
// wrong unit, a freezer that does not freeze, a block without sides.
func (r *reader) heats() {
	t := r.t
	frozen := func(f trial.Opt[trial.Frozen]) {
		if at := f.V.Tmp; at.Known && at.V.Celsius() > -1 {
			r.fail(here(at.At), "out-of-range", "nothing freezes through at "+at.V.String(), "write at: -20 °C, or frozen: no")
		}
		if then := f.V.Then; then.Known && then.V.Celsius() > -1 {
			r.fail(here(then.At), "out-of-range", "nothing stays frozen at "+then.V.String(), "write then: -20 °C")
		}
	}
	frozen(t.Food.Frozen)
	for i := range t.Sources {
		frozen(t.Sources[i].Frozen)
	}
	for i := range t.Baths {
		r.thermometer(t.Baths[i].Reads)
	}
	warm := map[diag.Pos]bool{} // said already
	for i := range t.Cooks {
		c := &t.Cooks[i]
		r.thermometer(c.Probe.V.Reads)
		if !c.SetPoint.Known || !r.waterBath() {
			continue
		}
		r.below(t.Food.Start, c.SetPoint.V, warm)
		for j := range c.Pieces {
			r.below(c.Pieces[j].Start, c.SetPoint.V, warm)
		}
		r.logUnit(c)
	}
	if t.Design.Known && r.waterBath() {
		for _, s := range t.Design.V.SetPoints {
			r.below(t.Food.Start, s, warm)
		}
	}
}

// block asks for the sides of a block: without them only a slab can be computed,
// and without a thickness nothing.
func (r *reader) block(it *item, f *trial.Food) {
	if f.Shape.V != trial.Block || !f.Shape.Known || it.given("sides") {
		return
	}
	hint := "add sides: [60 mm, 40 mm, 30 mm], or write shape: slab"
	if f.Thickness.Known {
		r.warn(here(f.Shape.At), "bad-sides", "a block has three sides, and only its thickness is there: it is computed as a slab", hint)
		return
	}
	r.fail(here(f.Shape.At), "bad-sides", "a block needs its three sides", hint)
}

// below warns of food that is not colder than its bath.
func (r *reader) below(start trial.Opt[quantity.Temperature], set quantity.Temperature, said map[diag.Pos]bool) {
	if !start.Known || start.V.Celsius() < set.Celsius() || said[start.At] {
		return
	}
	said[start.At] = true
	r.warn(here(start.At), "start-above-bath", fmt.Sprintf("the food starts at %s, and its bath of %s is not hotter: no heat can be computed", start.V, set), "check the two temperatures and their units")
}

// mostOff is how far, K, a thermometer may be off and still be one.
const mostOff = 10.0

func (r *reader) thermometer(reads trial.Opt[quantity.Difference]) {
	if reads.Known && math.Abs(reads.V.Kelvin()) > mostOff {
		r.fail(here(reads.At), "out-of-range", fmt.Sprintf("a thermometer that is off by %s measures nothing", reads.V.Abs()), "write the error itself, like 0.1 °C high, or another thermometer's")
	}
}

// How far, K, a log in the other scale may lie from the set point: below, for a
// bath that is slow to come back or a core that is not there yet.
const (
	scaleApart = 20.0
	scaleBelow = 15.0
	scaleAbove = 5.0
)

// logUnit warns of a log that would fit its bath if its numbers were read in the
// other temperature scale.
func (r *reader) logUnit(c *trial.Cook) {
	set := c.SetPoint.V.Celsius()
	for _, of := range []struct {
		name string
		get  func(*trial.LogPoint) *trial.Opt[quantity.Temperature]
	}{{"bath", func(l *trial.LogPoint) *trial.Opt[quantity.Temperature] { return &l.Bath }}, {"core", func(l *trial.LogPoint) *trial.Opt[quantity.Temperature] { return &l.Core }}} {
		var first, last *trial.Opt[quantity.Temperature]
		for i := range c.Log {
			if v := of.get(&c.Log[i]); v.Known {
				if first == nil {
					first = v
				}
				last = v
			}
		}
		if last == nil {
			continue
		}
		other := quantity.Fahrenheit(last.V.Value())
		if last.V.Unit() == "°F" {
			other = quantity.Celsius(last.V.Value())
		}
		near := other.Celsius() > set-scaleBelow && other.Celsius() < set+scaleAbove
		if near && math.Abs(last.V.Celsius()-set) > scaleApart {
			r.warn(here(first.At), "log-unit", fmt.Sprintf("the %s in the log of %s ends at %s, far from its set point of %s, and in the other scale it would be near", of.name, quote(c.ID), last.V, c.SetPoint.V),
				fmt.Sprintf("put the right unit into the heading: %s (%s)", of.name, other.Unit()))
			return
		}
	}
}
