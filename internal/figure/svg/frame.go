package svg

import (
	"math"

	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

// Sizes of text and its leading, in user units (CSS pixels at natural size).
const (
	textSize  = 13
	smallSize = 12
	titleSize = 17
	textLead  = 16
	smallLead = 15
	titleLead = 22
)

// frame is where everything goes, in SVG-like terms: distances from the upper
// left corner, downwards.
type frame struct {
	w, h                     float64
	left, right, top, bottom float64  // the data rectangle
	yTitle, xTitle           []string // lines of the axis titles
	strips                   []lane   // lanes under the data
	windows                  []lane
	topRow                   float64 // baseline of labels of vertical zones and limits; 0: none
	ticks                    float64 // top of the tick labels of the horizontal axis
	side                     float64 // width for labels beside the data
	rowLabel                 float64 // width for the names of rows
}

// lane is a band of the picture under the data that shares its horizontal axis.
type lane struct{ top, bottom float64 }

const (
	stripHeight  = 46
	windowHeight = 22
	windowTop    = 6 // of the bar in its lane
	windowBottom = 16
)

// layout places everything. Widths are the larger of both unit systems, so the
// frame does not depend on the reader's units.
func layout(f figure.Figure, s Size, u figure.Units) frame {
	fr := frame{w: s.Width()}
	maxSide, maxRow := 150.0, 190.0
	if s == Narrow {
		maxSide, maxRow = 92, 104
	}

	// Left: tick labels of the vertical axis.
	rows := len(f.Y.Categories)
	for _, us := range []figure.Units{figure.Metric, figure.US} {
		for _, t := range f.Y.TicksIn(us) {
			fr.rowLabel = math.Max(fr.rowLabel, width(t.Label, textSize, false))
		}
	}
	if rows > 0 {
		fr.rowLabel = math.Min(fr.rowLabel, maxRow)
	}
	fr.left = math.Ceil(fr.rowLabel + 10)

	// Right: labels at the ends of lines, wrapped to what a phone can spare.
	for _, l := range sideLabels(f) {
		w := widest(l.text, textSize)
		for _, us := range []figure.Units{figure.Metric, figure.US} {
			if w > maxSide {
				w = 0
				for _, line := range wrap(l.text.In(us), textSize, maxSide, false) {
					w = math.Max(w, width(line, textSize, false))
				}
			}
		}
		if l.mark {
			w += markRoom
		}
		fr.side = math.Max(fr.side, w)
	}
	fr.side = math.Ceil(math.Min(fr.side, maxSide+markRoom))
	fr.right = fr.w - 14
	if fr.side > 0 {
		fr.right = fr.w - fr.side - 12
	}

	// Top: the title of the vertical axis stands over it, read without turning
	// the head; then labels of vertical limits.
	y := 0.0
	fr.yTitle = wrap(f.Y.Title(u), textSize, fr.w, false)
	y += float64(max(lines(f.Y.Title(figure.Metric), fr.w), lines(f.Y.Title(figure.US), fr.w))) * textLead
	if y > 0 {
		y += 6
	}
	if n := topRows(f, s); n > 0 {
		y += float64(n) * smallLead
		fr.topRow = y - 2
		y += 2
	}
	fr.top = y + 4

	// The data rectangle.
	height := 250.0
	if s == Narrow {
		height = 210
	}
	if rows > 0 {
		tall := 1
		for _, us := range []figure.Units{figure.Metric, figure.US} {
			for _, t := range f.Y.TicksIn(us) {
				tall = max(tall, len(wrap(t.Label, textSize, fr.rowLabel, false)))
			}
		}
		height = float64(rows) * math.Max(34, float64(tall)*textLead+8)
	}
	// Labels beside the data must fit between its top and its bottom.
	stack := 0.0
	for _, l := range sideLabels(f) {
		w := fr.side
		if l.mark {
			w -= markRoom
		}
		n := max(len(wrap(l.text.Metric, textSize, w+0.5, false)), len(wrap(l.text.In(figure.US), textSize, w+0.5, false)))
		stack += float64(n)*textLead + 3
	}
	height = math.Max(height, stack)
	fr.bottom = fr.top + height
	y = fr.bottom

	for _, l := range f.Layers {
		if s, ok := l.(figure.Strip); ok {
			y += 7 + smallLead*float64(max(1, fr.stripLines(s.Label.Metric), fr.stripLines(s.Label.In(figure.US))))
			fr.strips = append(fr.strips, lane{y, y + stripHeight})
			y += stripHeight
		}
	}
	for _, l := range f.Layers {
		if w, ok := l.(figure.Window); ok {
			y += 5
			tall := windowHeight
			if fr.windowLabel(f.X, w) == below {
				tall += smallLead
			}
			fr.windows = append(fr.windows, lane{y, y + float64(tall)})
			y += float64(tall)
		}
	}
	y += 7
	fr.ticks = y
	y += textLead
	fr.xTitle = wrap(f.X.Title(u), textSize, fr.w, false)
	if n := max(lines(f.X.Title(figure.Metric), fr.w), lines(f.X.Title(figure.US), fr.w)); n > 0 {
		y += 4 + float64(n)*textLead
	}
	fr.h = math.Ceil(y + 4)
	return fr
}

// place is where the label of a window stands.
type place int

const (
	after place = iota
	before
	below
)

// windowLabel finds room for the label of a window: after its bar, before it,
// or in a line of its own below.
func (fr frame) windowLabel(x figure.Axis, w figure.Window) place {
	lo, hi := x.Range()
	at := func(v float64) float64 {
		return fr.left + (math.Min(math.Max(v, lo), hi)-lo)/(hi-lo)*(fr.right-fr.left)
	}
	need := widest(w.Label, smallSize) + 10
	switch {
	case at(w.High)+need <= fr.w:
		return after
	case at(w.Low)-need >= 0:
		return before
	}
	return below
}

// stripLines is how many lines the label of a strip takes.
func (fr frame) stripLines(s string) int { return len(wrap(s, smallSize, fr.w-fr.left, false)) }

func lines(s string, w float64) int { return len(wrap(s, textSize, w, false)) }

// up turns a distance from the top into the canvas's distance from the bottom.
func (fr frame) up(y float64) vg.Length { return vg.Length(fr.h - y) }

func pt(x, y float64) vg.Point { return vg.Point{X: vg.Length(x), Y: vg.Length(y)} }
