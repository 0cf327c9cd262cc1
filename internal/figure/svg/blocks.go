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
// number in it, so that no colour needs a key.
func (d *drawing) heat(h figure.Heat) {
	const gap = 1
	for _, c := range h.Cells {
		share := 0.5
		if h.High > h.Low {
			share = (c.Value - h.Low) / (h.High - h.Low)
		}
		tone := figure.SetPoint(share)
		k, _ := tone.Tone()
		x0, x1 := d.x(float64(c.Col)-0.5)+gap, d.x(float64(c.Col)+0.5)-gap
		y0, y1 := d.y(float64(c.Row)+0.5)+gap, d.y(float64(c.Row)-0.5)-gap
		d.rect(solid(tone), x0, y0, x1, y1)
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
			textStyle{size: size, ink: solid(onTone + figure.Role(rune('0'+k))), anchor: "middle"})
	}
}

// spans draws a timeline. A label stands in its bar when it fits, else after
// it when nothing is there, else it is left to the table.
func (d *drawing) spans(s figure.Spans) {
	end := vg.Length(d.frame.w)
	for i, it := range s.Items {
		x0, x1 := d.x(it.From), d.x(it.To)
		if x1-x0 < 2 {
			x1 = x0 + 2
		}
		mid := d.y(float64(it.Row))
		d.rect(tinted(it.Role, 0.25), x0, mid-10, x1, mid+10)
		d.segment(stroke(solid(it.Role), 3, figure.Solid), x0+1, mid-10, x0+1, mid+10)
		room := end
		for j, o := range s.Items {
			if j != i && o.Row == it.Row && d.x(o.From) >= x1-0.5 {
				room = min(room, d.x(o.From))
			}
		}
		need := vg.Length(widest(it.Label, smallSize))
		t := textStyle{size: smallSize, ink: solid(figure.Ink)}
		switch {
		case x1-x0 >= need+10:
			d.say(x0+6, mid-4, it.Label.In(d.units), t)
		case room-x1 >= need+8:
			d.say(x1+5, mid-4, it.Label.In(d.units), t)
		}
	}
}
