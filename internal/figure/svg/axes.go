package svg

import (
	"math"

	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

// grid draws light lines at the ticks of the vertical axis; rows of categories
// are separated instead of crossed.
func (d *drawing) grid() {
	s := stroke(solid(figure.Rule), 1, figure.Solid)
	if d.has("heat") {
		return
	}
	if n := len(d.fig.Y.Categories); n > 0 {
		for i := 0; i <= n; i++ {
			y := d.y(float64(i) - 0.5)
			d.free(s, d.area.Min.X, y, d.area.Max.X, y)
		}
		return
	}
	lo, hi := d.fig.Y.Range()
	for _, t := range d.fig.Y.TicksIn(d.units) {
		if t.At >= lo && t.At <= hi {
			d.segment(s, d.area.Min.X, d.y(t.At), d.area.Max.X, d.y(t.At))
		}
	}
}

// axes draws the horizontal axis line with its ticks, and both axes' words.
func (d *drawing) axes() {
	fr := d.frame
	title := textStyle{size: textSize, ink: solid(figure.Muted)}
	for i, l := range fr.yTitle {
		d.say(0, fr.up(float64(i)*textLead+textSize), l, title)
	}
	d.rowNames()

	base := fr.up(fr.ticks - 7)
	line := stroke(solid(figure.Muted), 1, figure.Solid)
	if !d.has("heat") {
		d.free(line, d.area.Min.X, base, d.area.Max.X, base)
	}
	ticks := d.inside(d.fig.X.TicksIn(d.units))
	every := d.stride(ticks)
	if !d.has("heat") && len(d.fig.X.Categories) == 0 {
		for _, t := range ticks {
			d.free(line, d.x(t.At), base, d.x(t.At), base-4)
		}
	}
	for i, t := range ticks {
		if i%every != 0 {
			continue
		}
		x := d.x(t.At)
		w := vg.Length(width(t.Label, textSize, false) / 2)
		x = min(max(x, w), vg.Length(fr.w)-w)
		d.say(x, fr.up(fr.ticks+textSize-1), t.Label, textStyle{size: textSize, ink: solid(figure.Ink), anchor: "middle"})
	}
	mid := (d.area.Min.X + d.area.Max.X) / 2
	for i, l := range fr.xTitle {
		w := vg.Length(width(l, textSize, false) / 2)
		x := min(max(mid, w), vg.Length(fr.w)-w)
		t := title
		t.anchor = "middle"
		d.say(x, fr.up(fr.ticks+textLead+4+float64(i)*textLead+textSize-1), l, t)
	}
}

// rowNames labels the ticks or rows of the vertical axis.
func (d *drawing) rowNames() {
	x := d.area.Min.X - 8
	for _, t := range d.insideY(d.fig.Y.TicksIn(d.units)) {
		if len(d.fig.Y.Categories) == 0 {
			d.say(x, d.y(t.At)-4.5, t.Label, textStyle{size: textSize, ink: solid(figure.Ink), anchor: "end"})
			continue
		}
		ls := wrap(t.Label, textSize, d.frame.rowLabel, false)
		y := float64(d.y(t.At)) - 4.5 + float64(len(ls)-1)*textLead/2
		for i, l := range ls {
			d.say(x, vg.Length(y-float64(i)*textLead), l, textStyle{size: textSize, ink: solid(figure.Ink), anchor: "end"})
		}
	}
}

// stride is the smallest step over the ticks at which their labels keep apart.
func (d *drawing) stride(ts []figure.Tick) int {
	for every := 1; every < len(ts); every++ {
		fits, edge := true, math.Inf(-1)
		for i := 0; i < len(ts) && fits; i += every {
			w := width(ts[i].Label, textSize, false)
			x := float64(d.x(ts[i].At))
			fits = x-w/2 >= edge
			edge = x + w/2 + 8
		}
		if fits {
			return every
		}
	}
	return max(1, len(ts))
}

func (d *drawing) inside(ts []figure.Tick) []figure.Tick {
	lo, hi := d.fig.X.Range()
	return within(ts, lo, hi)
}

func (d *drawing) insideY(ts []figure.Tick) []figure.Tick {
	lo, hi := d.fig.Y.Range()
	return within(ts, lo, hi)
}

func within(ts []figure.Tick, lo, hi float64) (in []figure.Tick) {
	for _, t := range ts {
		if t.At >= lo && t.At <= hi {
			in = append(in, t)
		}
	}
	return in
}

// has reports whether the figure holds a layer of the kind.
func (d *drawing) has(kind string) bool {
	for _, l := range d.fig.Layers {
		if l.Kind() == kind {
			return true
		}
	}
	return false
}
