package heat

import "math"

// Sample is a moment of a cook: the core on its unfavourable, likely and
// favourable side, and the likely surface, all in °C.
type Sample struct {
	Minutes        float64
	Low, Mid, High float64 // of the core
	Surface        float64
}

// Trace is the likely course of the slowest piece of a cook at the minutes
// given, each 0 or more and at most a week. It is nil where the come-up is not
// known. It solves series; the bath is taken to stand at its temperature from
// the start.
func (c *Cook) Trace(minutes []float64) []Sample {
	if !c.ComeUp.Known {
		return nil
	}
	s, x := NewSolver(Given{}), c.Likely
	var solid [3]Solid
	for end := range solid {
		b, err := s.solid(x, end)
		if err != nil {
			return nil
		}
		solid[end] = b
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
