package report

import (
	"math"

	"tamis/internal/answer"
	"tamis/internal/figure"
)

// HeatFigure is the course of the i-th cook: the core as a band with its likely
// line, the surface, the set point, the probe log, and the time at which the
// food came out. ok is false where there is no course. The verdict travels in the
// footer.
func HeatFigure(h *answer.Heat, i int) (f figure.Figure, ok bool) {
	if i < 0 || i >= len(h.Cooks) || len(h.Cooks[i].Course) < 2 {
		return f, false
	}
	c := &h.Cooks[i]
	core := figure.Line{Style: figure.Style{Role: figure.Curve}, Label: figure.Same("core")}
	surface := figure.Line{Style: figure.Style{Role: figure.Muted}, Label: figure.Same("surface")}
	band := figure.Band{Role: figure.Curve, Label: figure.Same("core, from slow to fast")}
	top, bottom := c.SetPoint.Or(0), math.Inf(1)
	for _, s := range drawnCourse(c.Course) {
		low, mid, high := s.Core.Low.Or(0), s.Core.Mid.Or(0), s.Core.High.Or(0)
		core.X, core.Y = append(core.X, s.Minutes), append(core.Y, round4(mid))
		surface.X, surface.Y = append(surface.X, s.Minutes), append(surface.Y, round4(s.Surface))
		band.X, band.Low, band.High = append(band.X, s.Minutes), append(band.Low, round4(low)), append(band.High, round4(high))
		bottom = math.Min(bottom, low)
	}
	end := c.Course[len(c.Course)-1].Minutes
	var logs []figure.Layer
	if l := c.Log; l != nil {
		for _, x := range []struct {
			lines []answer.HeatReading
			label string
			role  figure.Role
		}{{l.Core, "core, probe", figure.Ink}, {l.Bath, "bath, probe", figure.Muted}} {
			p := figure.Points{Size: figure.Piece, Style: figure.Style{Role: x.role}, Label: figure.Same(x.label)}
			for _, r := range x.lines {
				p.X, p.Y = append(p.X, round4(r.Minutes)), append(p.Y, round4(r.Celsius))
				top, bottom, end = math.Max(top, r.Celsius), math.Min(bottom, r.Celsius), math.Max(end, r.Minutes)
			}
			if len(p.X) > 0 {
				logs = append(logs, p)
			}
		}
	}
	lo, hi := figure.Padded(bottom, top, 0.08)
	f = figure.Figure{
		ID:     "heat-" + slug("cook "+c.Cook),
		X:      figure.Axis{Label: figure.Same("Time in the bath"), Unit: figure.Same("min"), Min: 0, Max: end, Metric: figure.NiceTicks(0, end, 7)},
		Y:      figure.Temperature("Temperature", lo, hi, 6),
		Layers: []figure.Layer{band, surface, core},
	}
	if v, known := c.SetPoint.Get(); known {
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongY, At: round4(v), Role: figure.Ink, Label: both(answer.Say("set point ", answer.Quantity{Kind: answer.Temperature, Value: v, Digits: 1}))})
	}
	if m, known := c.Minutes.Get(); known && m < end {
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongX, At: round4(m), Role: figure.Muted, Label: figure.Same("out")})
	}
	f.Layers = append(f.Layers, logs...)
	f.Title = both(h.Title)
	if c.Cook != "" {
		f.Title = both(answer.Say(h.Title, ", cook "+c.Cook))
	}
	f.Caption = both(sentences(c.Text))
	f.Desc = both(answer.Say(h.Title, ". ", sentences(c.Text)))
	from := "tamis " + h.Version
	if h.Trial.File != "" {
		from += ", " + clean(h.Trial.File) + " " + hash12(h.Trial.SHA256)
	}
	f.Footer = []figure.Text{both(sentences(c.Safety.Lead)), figure.Same("Predicted, not measured, unless a probe is named. " + from)}
	return f, true
}

func sentences(ss []answer.Sentence) answer.Sentence {
	var out answer.Sentence
	for i, s := range ss {
		if i > 0 {
			out = answer.Say(out, " ")
		}
		out = answer.Say(out, s)
	}
	return out
}

// drawnCourse is the times of a course that are drawn: enough for the eye, and
// never far apart, so that a pointer finds one.
func drawnCourse(course []answer.HeatSample) (out []answer.HeatSample) {
	var x, low, mid, high, surface []float64
	for _, s := range course {
		x, surface = append(x, s.Minutes), append(surface, s.Surface)
		low, mid, high = append(low, s.Core.Low.Or(0)), append(mid, s.Core.Mid.Or(0)), append(high, s.Core.High.Or(0))
	}
	lo, hi, _ := figure.Extent(low, mid, high, surface)
	next := 0.0
	step := x[len(x)-1] / 24
	keep := func(v float64) bool {
		if v < next {
			return false
		}
		next = v + step
		return true
	}
	for _, i := range figure.Sparse((hi-lo)*unseen, keep, x, low, mid, high, surface) {
		out = append(out, course[i])
	}
	return out
}
