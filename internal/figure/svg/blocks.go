package svg

import (
	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

func (d *drawing) bars(b figure.Bars) {
	fill := tinted(b.Role, 0.85)
	for i, v := range b.Value {
		if b.Along == figure.AlongX {
			d.rect(fill, d.x(0), d.y(b.At[i]-b.Width/2), d.x(v), d.y(b.At[i]+b.Width/2))
			continue
		}
		d.rect(fill, d.x(b.At[i]-b.Width/2), d.y(0), d.x(b.At[i]+b.Width/2), d.y(v))
	}
}

func (d *drawing) boxes(b figure.Boxes) {
	for _, q := range b.Boxes {
		x0, x1, mid := d.x(q.At-b.Width/2), d.x(q.At+b.Width/2), d.x(q.At)
		line := stroke(solid(q.Role), 1.4, figure.Solid)
		d.segment(line, mid, d.y(q.Low), mid, d.y(q.Q1))
		d.segment(line, mid, d.y(q.Q3), mid, d.y(q.Top))
		d.rect(tinted(q.Role, 0.22), x0, d.y(q.Q1), x1, d.y(q.Q3))
		box := []vg.Point{{X: x0, Y: d.y(q.Q1)}, {X: x1, Y: d.y(q.Q1)}, {X: x1, Y: d.y(q.Q3)}, {X: x0, Y: d.y(q.Q3)}, {X: x0, Y: d.y(q.Q1)}}
		d.area.StrokeLines(line, d.area.ClipLinesXY(box)...)
		d.segment(stroke(solid(q.Role), 3, figure.Solid), x0, d.y(q.Median), x1, d.y(q.Median))
	}
}

// heat fills the fields with the tones of the set-point scale and prints each
// number in it, so that no colour needs a key. The tones are pale enough for the ink
// of all other words. Tone by tone, so that fields of one tone share a path.
func (d *drawing) heat(h figure.Heat) {
	const gap = 1
	tones := make([][]figure.Cell, figure.Tones)
	for _, c := range h.Cells {
		share := 0.5
		if h.High > h.Low {
			share = (c.Value - h.Low) / (h.High - h.Low)
		}
		k, _ := figure.SetPoint(share).Tone()
		tones[k] = append(tones[k], c)
	}
	sides := func(c figure.Cell) (x0, y0, x1, y1 vg.Length) {
		return d.x(float64(c.Col)-0.5) + gap, d.y(float64(c.Row)+0.5) + gap, d.x(float64(c.Col)+0.5) - gap, d.y(float64(c.Row)-0.5) - gap
	}
	role := func(k int) figure.Role { return figure.SetPoint(float64(k) / (figure.Tones - 1)) }
	for k, cells := range tones {
		for _, c := range cells {
			x0, y0, x1, y1 := sides(c)
			d.rect(tinted(role(k), FieldTint), x0, y0, x1, y1)
		}
	}
	for _, cells := range tones {
		for _, c := range cells {
			x0, y0, x1, y1 := sides(c)
			s := c.Text
			if s == "" {
				s = figure.FormatNumber(c.Value, 2)
			}
			// A number that does not fit is left to the table.
			size, room := float64(textSize), float64(x1-x0-4)
			if width(s, textSize, false) > room {
				size = smallSize
			}
			if width(s, size, false) > room {
				continue
			}
			d.say((x0+x1)/2, (y0+y1)/2-vg.Length(0.35*size), s,
				textStyle{size: size, ink: solid(figure.Ink), anchor: "middle"})
		}
	}
}

// spans draws a timeline. A label stands in its bar when it fits, else after
// it when nothing of any layer is there, else it is left to the table.
func (d *drawing) spans(s figure.Spans) {
	end := vg.Length(d.frame.w)
	from := func(it figure.Span) vg.Length { return d.x(it.From) }
	to := func(it figure.Span) vg.Length { return max(d.x(it.To), from(it)+2) }
	mid := func(it figure.Span) vg.Length { return d.y(float64(it.Row)) }
	for _, it := range s.Items {
		d.rect(tinted(it.Role, 0.25), from(it), mid(it)-10, to(it), mid(it)+10)
	}
	for _, it := range s.Items {
		d.segment(stroke(solid(it.Role), 3, figure.Solid), from(it)+1, mid(it)-10, from(it)+1, mid(it)+10)
	}
	var all []figure.Span
	for _, l := range d.fig.Layers {
		if o, ok := l.(figure.Spans); ok {
			all = append(all, o.Items...)
		}
	}
	for _, it := range s.Items {
		room := end
		for _, o := range all { // its own beginning lies before its end
			if o.Row == it.Row && from(o) >= to(it)-0.5 {
				room = min(room, from(o))
			}
		}
		need := vg.Length(widest(it.Label, smallSize))
		t := textStyle{size: smallSize, ink: solid(figure.Ink)}
		switch {
		case to(it)-from(it) >= need+10:
			d.say(from(it)+6, mid(it)-4, it.Label.In(d.units), t)
		case room-to(it) >= need+8:
			d.say(to(it)+5, mid(it)-4, it.Label.In(d.units), t)
		}
	}
}
