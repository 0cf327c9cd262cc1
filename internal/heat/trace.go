package heat

import (
	"cmp"
	"math"
	"slices"

	"tamis/internal/heat/conduct"
)

// Sample is a moment of a cook: the core on its unfavourable, likely and
// favourable side, and the likely surface, all in °C.
type Sample struct {
	Minutes        float64
	Low, Mid, High float64 // of the core
	Surface        float64
}

// Trace is the likely course of the slowest piece of a cook at the minutes
// given, each 0 or more and at most a week, in their order. It is nil where the
// come-up is not known. It solves series, and in a bath that was logged, or that
// its load cools, their superposition.
func (c *Cook) Trace(minutes []float64) []Sample {
	if !c.ComeUp().Known {
		return nil
	}
	x := c.Likely()
	var solid [3]Solid
	for end := range solid {
		b, err := x.solid(end)
		if err != nil {
			return nil
		}
		solid[end] = b
	}
	if c.Around() != Steady {
		return c.traceAround(solid, minutes)
	}
	out := make([]Sample, 0, len(minutes))
	for _, m := range minutes {
		if !(m >= 0 && m <= maxMinutes) {
			continue
		}
		at := func(end int) float64 { return x.Bath - solid[end].Centre(60*m)*(x.Bath-x.Start[end]) }
		mid := at(1)
		out = append(out, Sample{
			Minutes: m,
			Low:     math.Min(mid, at(2)), Mid: mid, High: math.Max(mid, at(0)),
			Surface: x.Bath - solid[1].Surface(60*m)*(x.Bath-x.Start[1]),
		})
	}
	return out
}

// traceAround is Trace in a bath that is not steady.
func (c *Cook) traceAround(solid [3]Solid, minutes []float64) []Sample {
	var seconds []float64
	for _, m := range minutes {
		if m >= 0 && m <= maxMinutes {
			seconds = append(seconds, 60*m)
		}
	}
	order := make([]int, len(seconds))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(seconds[a], seconds[b]) })
	sorted := make([]float64, len(seconds))
	for i, o := range order {
		sorted[i] = seconds[o]
	}
	var ends [3][]conduct.Reading
	for end, s := range solid {
		d, err := conduct.NewDriven(s, c.Likely().Start[end], c.Predicted().around.profile)
		if err != nil {
			return nil
		}
		if ends[end], err = d.Along(sorted); err != nil {
			return nil
		}
	}
	out := make([]Sample, len(seconds))
	for i, o := range order {
		fast, mid, slow := ends[0][i].Centre, ends[1][i].Centre, ends[2][i].Centre
		out[o] = Sample{Minutes: seconds[o] / 60, Low: math.Min(fast, math.Min(mid, slow)), Mid: mid, High: math.Max(fast, math.Max(mid, slow)), Surface: ends[1][i].Surface}
	}
	return out
}
