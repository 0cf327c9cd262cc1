package live

import (
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"tamis/internal/figure"
	"tamis/internal/figure/svg"
)

func (c *chart) curve(xs, ys []float64) [][]any {
	points := make([][]any, len(xs))
	for i := range xs {
		points[i] = []any{c.x(xs[i]), c.y(ys[i])}
	}
	return points
}

// readable is about how many places of a line answer to the pointer.
const readable = 24

func (c *chart) line(l figure.Line) {
	c.path(c.curve(l.X, l.Y), stroke{role: l.Style.Role, width: 2, dash: dashes[l.Style.Dash]}, false)
	low, high := c.bandOf(l)
	var points [][]any
	var names []string
	step := max(1, len(l.X)/readable)
	for i := 0; i < len(l.X); i += step {
		if l.X[i] < c.xlo || l.X[i] > c.xhi || l.Y[i] < c.ylo || l.Y[i] > c.yhi {
			continue
		}
		value := c.sayY(l.Y[i])
		if low != nil {
			value += " (" + c.fig.Y.Format(low[i], c.units) + " to " + c.sayY(high[i]) + ")"
		}
		points = append(points, []any{c.x(l.X[i]), c.y(l.Y[i])})
		names = append(names, c.say(l.Label, "", c.sayX(l.X[i]), value))
	}
	if len(points) > 0 {
		c.ghosts(points, names, l.Style.Role)
	}
}

// bandOf is the band around a line: of its role, at its places.
func (c *chart) bandOf(l figure.Line) (low, high []float64) {
	for _, o := range c.fig.Layers {
		b, ok := o.(figure.Band)
		if !ok || b.Role != l.Style.Role || len(b.X) != len(l.X) {
			continue
		}
		same := true
		for i := range b.X {
			same = same && b.X[i] == l.X[i]
		}
		if same {
			return b.Low, b.High
		}
	}
	return nil, nil
}

// band is the lower bound, not seen, and on it the distance to the upper bound,
// filled. Without the strategy "all" a lower bound below zero would count as
// zero.
func (c *chart) band(b figure.Band) {
	width := make([]float64, len(b.X))
	for i := range b.X {
		width[i] = b.High[i] - b.Low[i]
	}
	stack := "band-" + string(rune('a'+len(c.series)%26)) + string(b.Role)
	none := &opts.LineStyle{Opacity: opts.Float(0)}
	more := func() map[string]any {
		return map[string]any{"silent": true, "stackStrategy": "all"}
	}
	c.add(charts.SingleSeries{Type: "line", Stack: stack, ShowSymbol: opts.Bool(false), Data: c.curve(b.X, b.Low), LineStyle: none}, more())
	c.add(charts.SingleSeries{Type: "line", Stack: stack, ShowSymbol: opts.Bool(false), Data: c.curve(b.X, width), LineStyle: none,
		AreaStyle: &opts.AreaStyle{Color: colour(b.Role), Opacity: opts.Float(0.16)}}, more())
}

func (c *chart) points(l figure.Points) {
	radius := map[figure.Size]float64{figure.Cook: 4.6, figure.Piece: 2.1}[l.Size]
	if c.size == svg.Narrow {
		radius *= 0.8
	}
	if len(l.X) > 40 { // a crowd
		radius *= 0.7
	}
	var points [][]any
	var names []string
	for i := range l.X {
		x := l.X[i]
		if l.Offset != nil {
			x += l.Offset[i]
		}
		if x < c.xlo || x > c.xhi || l.Y[i] < c.ylo || l.Y[i] > c.yhi {
			continue
		}
		points = append(points, []any{c.x(x), c.y(l.Y[i])})
		label, otherwise := l.Label, map[figure.Size]string{figure.Cook: "", figure.Piece: "piece"}[l.Size]
		if l.Names != nil {
			label = l.Names[i]
		}
		names = append(names, c.value(label, otherwise, l.X[i], l.Y[i]))
	}
	more := map[string]any{"names": names}
	if l.Size == figure.Piece {
		c.marks(points, l.Style, radius, 0, 0.5, more)
		return
	}
	c.marks(points, l.Style, radius, 1.2, 1, more)
}

// value names a point; where a row of the figure names it, the number is that
// of the horizontal axis.
func (c *chart) value(t figure.Text, otherwise string, x, y float64) string {
	if len(c.fig.Y.Categories) > 0 && len(c.fig.X.Categories) == 0 {
		return c.say(t, otherwise, c.sayY(y), c.sayX(x))
	}
	return c.say(t, otherwise, c.sayX(x), c.sayY(y))
}

func (c *chart) errorBars(l figure.ErrorBars) {
	const half = 3.5 // of a cap
	dx := half / (c.plan.Right - c.plan.Left) * (c.xhi - c.xlo)
	dy := half / (c.plan.Bottom - c.plan.Top) * (c.yhi - c.ylo)
	var points, places [][]any
	var names []string
	segment := func(x0, y0, x1, y1 float64) {
		points = append(points, []any{c.x(x0), c.y(y0)}, []any{c.x(x1), c.y(y1)}, gap)
	}
	for i, at := range l.At {
		if l.Offset != nil {
			at += l.Offset[i]
		}
		mid := (l.Low[i] + l.High[i]) / 2
		if l.Along == figure.AlongX {
			segment(l.Low[i], at, l.High[i], at)
			segment(l.Low[i], at-dy, l.Low[i], at+dy)
			segment(l.High[i], at-dy, l.High[i], at+dy)
			places = append(places, []any{c.x(c.inX(mid)), c.y(at)})
			names = append(names, c.say(l.Label, "interval", c.sayY(l.At[i]), c.fig.X.Format(l.Low[i], c.units)+" to "+c.sayX(l.High[i])))
			continue
		}
		segment(at, l.Low[i], at, l.High[i])
		segment(at-dx, l.Low[i], at+dx, l.Low[i])
		segment(at-dx, l.High[i], at+dx, l.High[i])
		places = append(places, []any{c.x(at), c.y(c.inY(mid))})
		names = append(names, c.say(l.Label, "interval", c.sayX(l.At[i]), c.fig.Y.Format(l.Low[i], c.units)+" to "+c.sayY(l.High[i])))
	}
	c.path(points, stroke{role: l.Style.Role, width: 1.4}, false)
	// Under the points: where both are, the point answers.
	if len(places) > 0 {
		c.add(charts.SingleSeries{Type: "scatter", Symbol: "circle", SymbolSize: 14, Data: places,
			ItemStyle: &opts.ItemStyle{Color: colour(l.Style.Role), Opacity: opts.Float(0)}}, map[string]any{"names": names})
	}
}

func (c *chart) zone(z figure.Zone) {
	edge := stroke{role: z.Role, width: 1, dash: []float64{7, 4}, alpha: 0.7}
	lo, hi := c.ylo, c.yhi
	if z.Along == figure.AlongX {
		lo, hi = c.xlo, c.xhi
	}
	a, b := lo, hi
	if !z.LowOpen {
		a = math.Min(math.Max(z.Low, lo), hi)
	}
	if !z.HighOpen {
		b = math.Min(math.Max(z.High, lo), hi)
	}
	for _, e := range []struct {
		open bool
		at   float64
	}{{z.LowOpen, z.Low}, {z.HighOpen, z.High}} {
		switch {
		case e.open || e.at < lo || e.at > hi:
		case z.Along == figure.AlongX:
			c.path([][]any{{c.x(e.at), c.y(c.ylo)}, {c.x(e.at), c.y(c.yhi)}}, edge, false)
		default:
			c.path([][]any{{c.x(c.xlo), c.y(e.at)}, {c.x(c.xhi), c.y(e.at)}}, edge, false)
		}
	}
	if a == b {
		return
	}
	rect := []any{c.x(c.xlo), c.y(a), c.x(c.xhi), c.y(b)}
	if z.Along == figure.AlongX {
		rect = []any{c.x(a), c.y(c.ylo), c.x(b), c.y(c.yhi)}
	}
	c.rectangles([][]any{rect}, z.Role, 0.12, nil)
}

func (c *chart) threshold(t figure.Threshold) {
	s := stroke{role: t.Role, width: 1.4, dash: dashes[figure.DashDot]}
	if t.Along == figure.AlongX {
		if t.At >= c.xlo && t.At <= c.xhi {
			c.path([][]any{{c.x(t.At), c.y(c.ylo)}, {c.x(t.At), c.y(c.yhi)}}, s, false)
		}
		return
	}
	if t.At >= c.ylo && t.At <= c.yhi {
		c.path([][]any{{c.x(c.xlo), c.y(t.At)}, {c.x(c.xhi), c.y(t.At)}}, s, false)
	}
}

// window is a bar in its lane: solid when it is sure, else hatched in outline.
func (c *chart) window(w figure.Window) {
	lane := c.plan.Windows[c.windows]
	c.windows++
	lo, hi := c.inX(w.Low), c.inX(w.High)
	width := c.xhi - c.xlo
	perPx := width / (c.plan.Right - c.plan.Left)
	if hi-lo < 2*perPx {
		mid := (lo + hi) / 2
		lo, hi = mid-perPx, mid+perPx
	}
	top, bottom := c.yAt(lane.Top), c.yAt(lane.Bottom)
	name := w.Label.In(c.units)
	if name == "" {
		name = "window: " + c.fig.X.Format(w.Low, c.units) + " to " + c.sayX(w.High)
	}
	box := []any{c.x(lo), bottom, c.x(hi), top}
	if w.Sure {
		c.bar(box, figure.Allowed, 1, name)
	} else {
		c.bar(box, figure.Allowed, 0.14, name)
		var hatch [][]any
		for x := lo + 4*perPx; x < hi; x += 5 * perPx {
			hatch = append(hatch, []any{c.x(math.Max(lo, x-3*perPx)), bottom}, []any{c.x(math.Min(hi, x+3*perPx)), top}, gap)
		}
		hatch = append(hatch, []any{c.x(lo), bottom}, []any{c.x(hi), bottom}, []any{c.x(hi), top}, []any{c.x(lo), top}, []any{c.x(lo), bottom})
		c.path(hatch, stroke{role: figure.Allowed, width: 1}, true)
	}
	over := c.yAt(c.plan.Top)
	c.path([][]any{{c.x(lo), top}, {c.x(lo), over}, gap, {c.x(hi), top}, {c.x(hi), over}},
		stroke{role: figure.Allowed, width: 1, dash: dashes[figure.Dotted], alpha: 0.55}, true)
	if w.HasBest && w.Best >= c.xlo && w.Best <= c.xhi {
		c.marks([][]any{{c.x(w.Best), c.yAt((lane.Top + lane.Bottom) / 2)}}, figure.Style{Role: figure.Allowed, Mark: figure.Diamond}, 6, 1.2, 1,
			map[string]any{"clip": false, "names": []string{c.sayX(w.Best)}})
	}
}

// strip is a chance in its lane, filled down to its base.
func (c *chart) strip(s figure.Strip) {
	lane := c.plan.Strips[c.strips]
	c.strips++
	at := func(chance float64) float64 { return c.yAt(lane.Bottom - chance*(lane.Bottom-lane.Top)) }
	base := at(0)
	c.path([][]any{{c.x(c.xlo), base}, {c.x(c.xhi), base}}, stroke{role: figure.Rule, width: 1}, true)
	var levels [][]any
	for _, e := range s.Levels {
		levels = append(levels, []any{c.x(c.xlo), at(e.At)}, []any{c.x(c.xhi), at(e.At)}, gap)
	}
	c.path(levels, stroke{role: figure.Muted, width: 1, dash: dashes[figure.Dotted], alpha: 0.7}, true)
	var points, places [][]any
	var names []string
	step := max(1, len(s.X)/readable)
	for i := range s.X {
		if s.X[i] < c.xlo || s.X[i] > c.xhi {
			continue
		}
		points = append(points, []any{c.x(s.X[i]), at(s.Chance[i])})
		if i%step == 0 {
			places = append(places, points[len(points)-1])
			names = append(names, c.say(s.Label, "chance", c.sayX(s.X[i]), figure.FormatNumber(s.Chance[i], 2)))
		}
	}
	if len(points) == 0 {
		return
	}
	none := &opts.LineStyle{Opacity: opts.Float(0)}
	// The area reaches down to the base: again a line that is not seen with the
	// distance to the curve stacked on it.
	floor, rise := make([][]any, len(points)), make([][]any, len(points))
	for i, p := range points {
		floor[i] = []any{p[0], base}
		rise[i] = []any{p[0], round(p[1].(float64)-base, c.yhi-c.ylo)}
	}
	stack := "strip-" + string(rune('a'+c.strips))
	c.add(charts.SingleSeries{Type: "line", Stack: stack, ShowSymbol: opts.Bool(false), Data: floor, LineStyle: none},
		map[string]any{"silent": true, "clip": false, "stackStrategy": "all"})
	c.add(charts.SingleSeries{Type: "line", Stack: stack, ShowSymbol: opts.Bool(false), Data: rise, LineStyle: none,
		AreaStyle: &opts.AreaStyle{Color: colour(figure.Allowed), Opacity: opts.Float(0.25)}},
		map[string]any{"silent": true, "clip": false, "stackStrategy": "all"})
	c.path(points, stroke{role: figure.Allowed, width: 1.4}, true)
	c.hover = append(c.hover, func() {
		c.add(charts.SingleSeries{Type: "scatter", Symbol: "circle", SymbolSize: 14, Data: places,
			ItemStyle: &opts.ItemStyle{Color: colour(figure.Allowed), Opacity: opts.Float(0)},
			Emphasis:  &opts.Emphasis{ItemStyle: &opts.ItemStyle{Opacity: opts.Float(0.35)}}},
			map[string]any{"names": names, "clip": false})
	})
}

func (c *chart) rect(x0, y0, x1, y1 float64) []any {
	return []any{c.x(c.inX(x0)), c.y(c.inY(y0)), c.x(c.inX(x1)), c.y(c.inY(y1))}
}

func (c *chart) bars(b figure.Bars) {
	var rects [][]any
	var names []string
	for i, v := range b.Value {
		if b.Along == figure.AlongX {
			rects = append(rects, c.rect(0, b.At[i]-b.Width/2, v, b.At[i]+b.Width/2))
			names = append(names, c.say(b.Label, "", c.sayY(b.At[i]), c.sayX(v)))
			continue
		}
		rects = append(rects, c.rect(b.At[i]-b.Width/2, 0, b.At[i]+b.Width/2, v))
		names = append(names, c.say(b.Label, "", c.sayX(b.At[i]), c.sayY(v)))
	}
	c.rectangles(rects, b.Role, 0.85, names)
}

func (c *chart) boxes(b figure.Boxes) {
	for _, q := range b.Boxes {
		x0, x1 := c.x(q.At-b.Width/2), c.x(q.At+b.Width/2)
		at := c.x(q.At)
		name := c.say(b.Label, "", c.sayX(q.At), "median "+c.sayY(q.Median)+", middle half "+c.fig.Y.Format(q.Q1, c.units)+" to "+c.sayY(q.Q3)+
			", all "+c.fig.Y.Format(q.Low, c.units)+" to "+c.sayY(q.Top))
		c.rectangles([][]any{c.rect(q.At-b.Width/2, q.Q1, q.At+b.Width/2, q.Q3)}, q.Role, 0.22, []string{name})
		y := c.y
		c.path([][]any{{at, y(q.Low)}, {at, y(q.Q1)}, gap, {at, y(q.Q3)}, {at, y(q.Top)}, gap,
			{x0, y(q.Q1)}, {x1, y(q.Q1)}, {x1, y(q.Q3)}, {x0, y(q.Q3)}, {x0, y(q.Q1)}}, stroke{role: q.Role, width: 1.4}, false)
		c.path([][]any{{x0, y(q.Median)}, {x1, y(q.Median)}}, stroke{role: q.Role, width: 3}, false)
	}
}

// heat is a series for each tone; the numbers in the fields are words of the
// plan.
func (c *chart) heat(h figure.Heat) {
	rects, names := map[figure.Role][][]any{}, map[figure.Role][]string{}
	// A field keeps a pixel of ground around it.
	dx := (c.xhi - c.xlo) / (c.plan.Right - c.plan.Left)
	dy := (c.yhi - c.ylo) / (c.plan.Bottom - c.plan.Top)
	for _, cell := range h.Cells {
		share := 0.5
		if h.High > h.Low {
			share = (cell.Value - h.Low) / (h.High - h.Low)
		}
		tone := figure.SetPoint(share)
		col, row := float64(cell.Col), float64(cell.Row)
		text := cell.Text
		if text == "" {
			text = figure.FormatNumber(cell.Value, 2)
		}
		rects[tone] = append(rects[tone], c.rect(col-0.5+dx, row-0.5+dy, col+0.5-dx, row+0.5-dy))
		names[tone] = append(names[tone], c.say(h.Label, "", c.sayY(row)+", "+c.sayX(col), text))
	}
	for _, r := range figure.Roles() {
		c.rectangles(rects[r], r, svg.FieldTint, names[r])
	}
}

func (c *chart) spans(s figure.Spans) {
	half := 10 / (c.plan.Bottom - c.plan.Top) * (c.yhi - c.ylo)
	perPx := (c.xhi - c.xlo) / (c.plan.Right - c.plan.Left)
	rects, names, starts := map[figure.Role][][]any{}, map[figure.Role][]string{}, map[figure.Role][][]any{}
	for _, it := range s.Items {
		to := math.Max(it.To, it.From+2*perPx)
		row := float64(it.Row)
		rects[it.Role] = append(rects[it.Role], c.rect(it.From, row-half, to, row+half))
		names[it.Role] = append(names[it.Role], c.say(it.Label, "", c.sayY(row), c.clock(it.From)+" to "+c.clock(it.To)))
		at := c.x(it.From + perPx)
		starts[it.Role] = append(starts[it.Role], []any{at, c.y(row - half)}, []any{at, c.y(row + half)}, gap)
	}
	for _, r := range figure.Roles() {
		c.rectangles(rects[r], r, 0.25, names[r])
		c.path(starts[r], stroke{role: r, width: 3}, false)
	}
}

// clock prints a place on the horizontal axis by its tick, where one is there.
func (c *chart) clock(v float64) string {
	for _, t := range c.fig.X.TicksIn(c.units) {
		if t.At == v {
			return t.Label
		}
	}
	return c.sayX(v)
}
