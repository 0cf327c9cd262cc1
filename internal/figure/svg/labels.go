package svg

import (
	"sort"

	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

// markRoom is the width of the mark before a label, with its air.
const markRoom = 14

// sideLabel is a label in the margin beside the data, wanted at the height of
// what it names.
type sideLabel struct {
	text  figure.Text
	style figure.Style
	mark  bool
	// at is the wanted middle, on the canvas; only set while drawing.
	at vg.Length
	// lead draws a hairline from the data to a label that had to move.
	lead bool
}

// sideLabels lists what will be labelled beside the data.
func sideLabels(f figure.Figure) (ls []sideLabel) {
	for _, l := range f.Layers {
		switch l := l.(type) {
		case figure.Line:
			if l.Label.Metric != "" {
				ls = append(ls, sideLabel{text: l.Label, style: l.Style, mark: hasMarks(f, l.Style), lead: true})
			}
		case figure.Points:
			if l.Label.Metric != "" && l.Size == figure.Cook && !hasLine(f, l.Style) {
				ls = append(ls, sideLabel{text: l.Label, style: l.Style, mark: true, lead: true})
			}
		case figure.Zone:
			if l.Along == figure.AlongY && l.Label.Metric != "" {
				ls = append(ls, sideLabel{text: l.Label, style: figure.Style{Role: l.Role}})
			}
		case figure.Threshold:
			if l.Along == figure.AlongY && l.Label.Metric != "" {
				ls = append(ls, sideLabel{text: l.Label, style: figure.Style{Role: l.Role}})
			}
		case figure.Strip:
			for _, e := range l.Levels {
				ls = append(ls, sideLabel{text: e.Label, style: figure.Style{Role: figure.Muted}})
			}
		}
	}
	return ls
}

// hasMarks reports whether points of the same style are drawn, so that their
// mark belongs before the label of the line.
func hasMarks(f figure.Figure, s figure.Style) bool {
	for _, l := range f.Layers {
		if p, ok := l.(figure.Points); ok && p.Style == s && p.Size == figure.Cook && len(sameRole(f, s)) > 1 {
			return true
		}
	}
	return false
}

// sameRole lists the styles of the labelled lines: with one line no mark is
// needed to tell it apart.
func sameRole(f figure.Figure, _ figure.Style) (styles []figure.Style) {
	for _, l := range f.Layers {
		if l, ok := l.(figure.Line); ok && l.Label.Metric != "" {
			styles = append(styles, l.Style)
		}
	}
	return styles
}

func hasLine(f figure.Figure, s figure.Style) bool {
	for _, l := range f.Layers {
		if l, ok := l.(figure.Line); ok && l.Style == s && l.Label.Metric != "" {
			return true
		}
	}
	return false
}

// beside asks for a label beside the data at height y.
func (d *drawing) beside(l sideLabel, y vg.Length) {
	l.at = min(max(y, d.area.Min.Y), d.area.Max.Y)
	d.side = append(d.side, l)
}

// placeSide sets the labels beside the data without overlap. Labels in order
// of their wanted height are stacked; stacks that touch are merged and centred
// on the mean wish of their members, which moves all labels least.
func (d *drawing) placeSide() {
	if len(d.side) == 0 {
		return
	}
	sort.SliceStable(d.side, func(i, j int) bool { return d.side[i].at > d.side[j].at })
	room := d.frame.side
	texts := make([][]string, len(d.side))
	heights := make([]float64, len(d.side))
	wants := make([]float64, len(d.side))
	for i, l := range d.side {
		w := room
		if l.mark {
			w -= markRoom
		}
		texts[i] = wrap(l.text.In(d.units), textSize, w+0.5, false)
		// The height of the longer wording, so that both units stand alike.
		n := max(len(wrap(l.text.Metric, textSize, w+0.5, false)), len(wrap(l.text.In(figure.US), textSize, w+0.5, false)))
		heights[i] = float64(n)*textLead + 3
		wants[i] = d.canvas.height - float64(l.at) // downwards
	}
	at := spreadOut(wants, heights, d.canvas.height-float64(d.area.Max.Y)-8, d.canvas.height-float64(d.area.Min.Y)+8)
	x := float64(d.area.Max.X) + 10
	for i, l := range d.side {
		mid := d.canvas.height - at[i]
		left := x
		// A tone is too close to the ground for text: ink, tied by a hairline.
		words := l.style.Role
		_, tone := words.Tone()
		if tone {
			words = figure.Ink
		}
		if moved := at[i] - wants[i]; l.lead && (tone || moved > 6 || moved < -6) {
			d.free(stroke(tinted(l.style.Role, 0.6), 1, figure.Solid), d.area.Max.X+1, l.at, vg.Length(x-2), vg.Length(mid))
			d.leads = append(d.leads, Lead{float64(d.area.Max.X) + 1, wants[i], x - 2, at[i], l.style.Role})
		}
		if l.mark {
			d.mark(l.style, vg.Point{X: vg.Length(left + 4), Y: vg.Length(mid)}, 4.2)
			d.marks = append(d.marks, Mark{left + 4, at[i], l.style})
			left += markRoom
		}
		y := mid + float64(len(texts[i])-1)*textLead/2 - 4.5
		for j, s := range texts[i] {
			d.say(vg.Length(left), vg.Length(y-float64(j)*textLead), s, textStyle{size: textSize, ink: solid(words)})
		}
	}
}

// spreadOut places boxes of the given heights with their middles near wants
// (ascending), inside [top, bottom] as far as they fit, without overlap: pool
// adjacent violators, the least-squares answer.
func spreadOut(wants, heights []float64, top, bottom float64) []float64 {
	type stack struct {
		first, last  int
		sum, n, size float64 // sum of the wished upper edges of the stack
	}
	edge := func(s stack) float64 {
		e := s.sum / s.n
		if e+s.size > bottom {
			e = bottom - s.size
		}
		if e < top {
			e = top
		}
		return e
	}
	var ss []stack
	for i, w := range wants {
		s := stack{first: i, last: i, sum: w - heights[i]/2, n: 1, size: heights[i]}
		for len(ss) > 0 {
			p := ss[len(ss)-1]
			if edge(p)+p.size <= edge(s) {
				break
			}
			// Members of s sit p.size lower inside the joint stack.
			s = stack{first: p.first, last: s.last, sum: p.sum + s.sum - s.n*p.size, n: p.n + s.n, size: p.size + s.size}
			ss = ss[:len(ss)-1]
		}
		ss = append(ss, s)
	}
	at := make([]float64, len(wants))
	for _, s := range ss {
		y := edge(s)
		for i := s.first; i <= s.last; i++ {
			at[i] = y + heights[i]/2
			y += heights[i]
		}
	}
	return at
}

// topLabel is a label over the data at a horizontal position.
type topLabel struct {
	text figure.Text
	at   float64
	role figure.Role
}

func topLabels(f figure.Figure) (ls []topLabel) {
	for _, l := range f.Layers {
		switch l := l.(type) {
		case figure.Zone:
			if l.Along == figure.AlongX && l.Label.Metric != "" {
				lo, hi := f.X.Range()
				if !l.LowOpen {
					lo = max(lo, l.Low)
				}
				if !l.HighOpen {
					hi = min(hi, l.High)
				}
				ls = append(ls, topLabel{l.Label, (lo + hi) / 2, l.Role})
			}
		case figure.Threshold:
			if l.Along == figure.AlongX && l.Label.Metric != "" {
				ls = append(ls, topLabel{l.Label, l.At, l.Role})
			}
		}
	}
	sort.SliceStable(ls, func(i, j int) bool { return ls[i].at < ls[j].at })
	return ls
}

// topRows is how many rows the labels over the data may need: one each, as
// they may all want the same place.
func topRows(f figure.Figure, s Size) int {
	n := 0
	for _, l := range topLabels(f) {
		n += max(1, max(len(wrap(l.text.Metric, smallSize, s.Width(), false)), len(wrap(l.text.In(figure.US), smallSize, s.Width(), false))))
	}
	return n
}
