package svg

import (
	"gonum.org/v1/plot/vg"
	gdraw "gonum.org/v1/plot/vg/draw"

	"tamis/internal/figure"
)

// zone is a tinted range with an edge at each closed end.
func (d *drawing) zone(z figure.Zone) {
	fill, edge := tinted(z.Role, 0.12), stroke(tinted(z.Role, 0.7), 1, figure.Dashed)
	a := d.area
	if z.Along == figure.AlongX {
		lo, hi := a.Min.X, a.Max.X
		if !z.LowOpen {
			lo = d.x(z.Low)
			d.segment(edge, lo, a.Min.Y, lo, a.Max.Y)
		}
		if !z.HighOpen {
			hi = d.x(z.High)
			d.segment(edge, hi, a.Min.Y, hi, a.Max.Y)
		}
		d.rect(fill, lo, a.Min.Y, hi, a.Max.Y)
		d.over(z.Label, (max(lo, a.Min.X)+min(hi, a.Max.X))/2, z.Role)
		return
	}
	lo, hi := a.Min.Y, a.Max.Y
	if !z.LowOpen {
		lo = d.y(z.Low)
		d.segment(edge, a.Min.X, lo, a.Max.X, lo)
	}
	if !z.HighOpen {
		hi = d.y(z.High)
		d.segment(edge, a.Min.X, hi, a.Max.X, hi)
	}
	d.rect(fill, a.Min.X, lo, a.Max.X, hi)
	if z.Label.Metric != "" {
		d.beside(sideLabel{text: z.Label, style: figure.Style{Role: z.Role}},
			(min(max(lo, a.Min.Y), a.Max.Y)+min(max(hi, a.Min.Y), a.Max.Y))/2)
	}
}

func (d *drawing) threshold(t figure.Threshold) {
	s := stroke(solid(t.Role), 1.4, figure.DashDot)
	if t.Along == figure.AlongX {
		x := d.x(t.At)
		d.segment(s, x, d.area.Min.Y, x, d.area.Max.Y)
		d.over(t.Label, x, t.Role)
		return
	}
	y := d.y(t.At)
	d.segment(s, d.area.Min.X, y, d.area.Max.X, y)
	if t.Label.Metric != "" {
		d.beside(sideLabel{text: t.Label, style: figure.Style{Role: t.Role}}, y)
	}
}

// over sets a label in the next free row over the data, as near to x as the
// picture allows.
func (d *drawing) over(t figure.Text, x vg.Length, role figure.Role) {
	if t.Metric == "" {
		return
	}
	ls := wrap(t.In(d.units), smallSize, d.frame.w, false)
	for i := range ls {
		s := ls[len(ls)-1-i] // rows are filled from the data upwards
		w := vg.Length(width(s, smallSize, false) / 2)
		at := min(max(x, w), vg.Length(d.frame.w)-w)
		d.say(at, d.frame.up(d.frame.topRow-float64(d.overs)*smallLead), s, textStyle{size: smallSize, ink: solid(role), anchor: "middle"})
		d.overs++
	}
}

// window is a bar in its lane. A window that is sure is solid; one that is
// only likely is an outline with hatching. The pick is a diamond on it.
func (d *drawing) window(w figure.Window) {
	l := d.frame.windows[d.wins]
	d.wins++
	a := d.area
	lo, hi := min(max(d.x(w.Low), a.Min.X), a.Max.X), min(max(d.x(w.High), a.Min.X), a.Max.X)
	top, bottom := d.frame.up(l.top+windowTop), d.frame.up(l.top+windowBottom)
	if hi-lo < 2 { // a window of no width must still be seen
		mid := (lo + hi) / 2
		lo, hi = mid-1, mid+1
	}
	box := []vg.Point{{X: lo, Y: bottom}, {X: hi, Y: bottom}, {X: hi, Y: top}, {X: lo, Y: top}}
	if w.Sure {
		a.FillPolygon(solid(figure.Allowed), box)
	} else {
		a.FillPolygon(tinted(figure.Allowed, 0.14), box)
		hatch := stroke(solid(figure.Allowed), 1, figure.Solid)
		for x := lo + 4; x < hi; x += 5 {
			d.free(hatch, max(lo, x-3), bottom, min(hi, x+3), top)
		}
		a.StrokeLines(hatch, append(box, box[0]))
	}
	// Hairlines tie the ends to the data above.
	tie := stroke(tinted(figure.Allowed, 0.55), 1, figure.Dotted)
	for _, x := range []vg.Length{lo, hi} {
		d.free(tie, x, top, x, a.Max.Y)
	}
	if w.HasBest && w.Best >= d.plot.X.Min && w.Best <= d.plot.X.Max {
		x := d.x(w.Best)
		d.mark(figure.Style{Role: figure.Allowed, Mark: figure.Diamond}, vg.Point{X: x, Y: (top + bottom) / 2}, 6)
	}
	s := w.Label.In(d.units)
	t := textStyle{size: smallSize, ink: solid(figure.Allowed), halo: true}
	switch d.frame.windowLabel(d.fig.X, w) {
	case after:
		d.say(hi+9, bottom+1, s, t)
	case before:
		t.anchor = "end"
		d.say(lo-9, bottom+1, s, t)
	case below:
		t.anchor = "middle"
		half := vg.Length(widest(w.Label, smallSize) / 2)
		d.say(min(max((lo+hi)/2, half), vg.Length(d.frame.w)-half), bottom-smallLead, s, t)
	}
}

// strip draws a chance in its lane, as a filled outline over its base with the
// levels as hairlines.
func (d *drawing) strip(s figure.Strip) {
	l := d.frame.strips[d.strips]
	d.strips++
	a := gdraw.Canvas{Canvas: d.canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: d.area.Min.X, Y: d.frame.up(l.bottom)},
		Max: vg.Point{X: d.area.Max.X, Y: d.frame.up(l.top)},
	}}
	label := wrap(s.Label.In(d.units), smallSize, d.frame.w-d.frame.left, false)
	d.later = append(d.later, func() { // over the hairlines of the windows
		for i, t := range label {
			d.say(a.Min.X, a.Max.Y+5+vg.Length(smallLead*(len(label)-1-i)), t, textStyle{size: smallSize, ink: solid(figure.Muted), halo: true})
		}
	})
	base := stroke(solid(figure.Rule), 1, figure.Solid)
	poly := []vg.Point{{X: d.x(s.X[0]), Y: a.Min.Y}}
	var top []vg.Point
	for i := range s.X {
		top = append(top, vg.Point{X: d.x(s.X[i]), Y: a.Y(s.Chance[i])})
	}
	poly = append(append(poly, top...), vg.Point{X: top[len(top)-1].X, Y: a.Min.Y})
	a.FillPolygon(tinted(figure.Allowed, 0.25), a.ClipPolygonXY(poly))
	a.StrokeLines(stroke(solid(figure.Allowed), 1.4, figure.Solid), a.ClipLinesXY(top)...)
	d.free(base, a.Min.X, a.Min.Y, a.Max.X, a.Min.Y)
	for _, e := range s.Levels {
		y := a.Y(e.At)
		d.free(stroke(tinted(figure.Muted, 0.7), 1, figure.Dotted), a.Min.X, y, a.Max.X, y)
		d.say(a.Max.X+10, y-4, e.Label.In(d.units), textStyle{size: smallSize, ink: solid(figure.Muted)})
	}
}
