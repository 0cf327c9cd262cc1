package report

import (
	"math"
	"slices"
	"sort"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/texture"
)

// measureFigure is the figure of one measure against the set point: pieces,
// cooks, the curve of each method with its band, the aim, and for the primary
// measure the chance that all aims hold with the window. ok is false when no
// cook of the measure has a set point.
func measureFigure(r *answer.Result, m *texture.Measure, primary bool) (f figure.Figure, ok bool) {
	ps := pointsOf(m)
	if len(ps) == 0 {
		return f, false
	}
	var xs []float64
	for _, p := range ps {
		xs = append(xs, round4(p.SetPoint.Or(0)))
	}
	xMin, xMax, _ := figure.Extent(xs)
	lo, hi := figure.Padded(xMin, xMax, 0.06)
	f = figure.Figure{
		ID: "fig-" + slug(m.Name),
		X:  setPointAxis(lo, hi, xs),
		Y:  measureAxis(r, m, ps),
	}
	curves := curvesOf(r, m)
	aim, aimed := aimOf(r, m.Name)
	if z, ok := aimZone(aim, m.Unit); aimed && ok {
		f.Layers = append(f.Layers, z)
	}
	methods := methodsOf(m)
	lot := lotOf(ps, len(methods), hi-lo)
	// No point may fall off the axis because it was moved aside.
	if over := lot.reach() - (hi - xMax); over > 0 {
		f.X = setPointAxis(lo-over, hi+over, xs)
	}
	style := func(method string) figure.Style {
		if len(methods) < 2 {
			return figure.Style{Role: figure.Curve}
		}
		for i, s := range methods {
			if s == method {
				return figure.Treatment(i)
			}
		}
		return figure.Style{Role: figure.Curve}
	}
	label := func(method string) figure.Text {
		if len(methods) < 2 {
			return figure.Text{}
		}
		return figure.Same(plain(method))
	}

	// Doubt first, then pieces, then curves, then cooks on top of everything.
	for _, c := range curves {
		x, _, low, high := curveOf(m, c)
		f.Layers = append(f.Layers, figure.Band{X: x, Low: low, High: high, Role: style(c.Method).Role, Label: suffixed(label(c.Method), "band")})
	}
	for i, method := range methods {
		if l, ok := pieceLayer(ps, method, lot.pieces, lot.shift(i)); ok {
			l.Style, l.Label = style(method), suffixed(label(method), "piece")
			f.Layers = append(f.Layers, l)
		}
	}
	for _, c := range curves {
		x, y, _, _ := curveOf(m, c)
		f.Layers = append(f.Layers, figure.Line{X: x, Y: y, Style: style(c.Method), Label: label(c.Method)})
	}
	for i, method := range methods {
		if l, ok := cookLayer(ps, method, lot.cooks, lot.shift(i)); ok {
			l.Style, l.Label = style(method), label(method)
			f.Layers = append(f.Layers, l)
		}
	}
	if w := shownWindow(r); primary && w != nil {
		f.Layers = append(f.Layers, windowLayers(r, w)...)
	}
	f.Title = figureTitle(r, m)
	f.Caption = figureCaption(r, m, ps, methods)
	f.Desc = figureDesc(r, m, f, methods, primary)
	f.Footer = footer(r)
	return f, true
}

// pointsOf are the cooks of a measure that have a set point.
func pointsOf(m *texture.Measure) (ps []texture.Point) {
	for _, p := range m.Points {
		if p.SetPoint.Known() && !math.IsNaN(p.Mean) && !math.IsInf(p.Mean, 0) {
			ps = append(ps, p)
		}
	}
	return ps
}

// methodsOf lists the methods in the order of the curves, then of the points.
func methodsOf(m *texture.Measure) (ms []string) {
	seen := map[string]bool{}
	add := func(s string) {
		if !seen[s] {
			seen[s] = true
			ms = append(ms, s)
		}
	}
	for _, p := range pointsOf(m) {
		add(p.Method)
	}
	for _, c := range m.Curves {
		if len(c.Average) > 1 {
			add(c.Method)
		}
	}
	return ms
}

// lot is the room of one method at one set point, in degrees.
type lot struct {
	step          float64 // from method to method
	n             int
	cooks, pieces float64 // widths over which points are spread
}

// lotOf shares the gap between neighbouring set points among the methods, more
// of it the more cooks there are to a lot, so that points neither hide each
// other nor stray to the next set point.
func lotOf(ps []texture.Point, methods int, width float64) lot {
	if methods < 1 {
		methods = 1
	}
	var xs []float64
	most, count := 0, map[string]int{}
	for _, p := range ps {
		x := p.SetPoint.Or(0)
		xs = append(xs, x)
		key := p.Method + "\x00" + short(round4(x))
		count[key]++
		most = max(most, count[key])
	}
	sort.Float64s(xs)
	gap := width
	for i := 1; i < len(xs); i++ {
		if d := xs[i] - xs[i-1]; d > 0.05 {
			gap = math.Min(gap, d)
		}
	}
	crowd := math.Min(1, 0.2+float64(most)/15)
	l := lot{n: methods, step: math.Min(gap*0.8/float64(methods), width*(0.015+0.045*crowd))}
	l.cooks = l.step * 0.9 * crowd
	l.pieces = math.Min(l.step*2.2, gap*0.7)
	return l
}

// reach is how far from its set point a point may be drawn.
func (l lot) reach() float64 {
	return float64(l.n-1)/2*l.step + math.Max(l.cooks, l.pieces)/2
}

// shift is the middle of the lot of the i-th method.
func (l lot) shift(i int) float64 { return (float64(i) - float64(l.n-1)/2) * l.step }

func cookLayer(ps []texture.Point, method string, width, shift float64) (l figure.Points, ok bool) {
	for _, p := range ps {
		if p.Method == method {
			l.X, l.Y = append(l.X, round4(p.SetPoint.Or(0))), append(l.Y, round4(p.Mean))
		}
	}
	l.Offset = shifted(figure.Spread(l.X, l.Y, width), shift)
	return l, len(l.X) > 0
}

// pieceLayer is silent where each cook has one piece: the cook says it all.
func pieceLayer(ps []texture.Point, method string, width, shift float64) (l figure.Points, ok bool) {
	l.Size = figure.Piece
	for _, p := range ps {
		if p.Method != method || len(p.Pieces) < 2 {
			continue
		}
		for _, v := range p.Pieces {
			if !math.IsNaN(v) && !math.IsInf(v, 0) {
				l.X, l.Y = append(l.X, round4(p.SetPoint.Or(0))), append(l.Y, round4(v))
			}
		}
	}
	l.Offset = shifted(figure.Spread(l.X, l.Y, width), shift)
	return l, len(l.X) > 0
}

func shifted(xs []float64, by float64) []float64 {
	for i := range xs {
		xs[i] = round4(xs[i] + by)
	}
	return xs
}

// curveOf are the columns of an averaged curve at the points that are drawn. Those
// at the set points that were cooked and at whole degrees are among them: the
// table of the figure is read off there.
func curveOf(m *texture.Measure, c texture.Curve) (x, y, low, high []float64) {
	var xs, means, lows, highs []float64
	for _, d := range c.Average {
		xs, means = append(xs, round4(d.SetPoint)), append(means, round4(d.Mean))
		lows, highs = append(lows, round4(d.Low)), append(highs, round4(d.High))
	}
	lo, hi, _ := figure.Extent(means)
	cooked := pointsOf(m)
	keep := func(x float64) bool {
		return math.Abs(x-math.Round(x)) < gridStep/2 || slices.ContainsFunc(cooked, func(p texture.Point) bool { return math.Abs(p.SetPoint.Or(0)-x) < gridStep/2 })
	}
	for _, i := range figure.Sparse((hi-lo)*unseen, keep, xs, means, lows, highs) {
		x, y = append(x, xs[i]), append(y, means[i])
		low, high = append(low, lows[i]), append(high, highs[i])
	}
	return x, y, low, high
}

// unseen is the share of the height of a curve by which a line may miss it
// without being seen: a third of a pixel.
const unseen = 1.0 / 900

// headline is the window that the answer speaks of.
func headline(r *answer.Result) *texture.Window {
	for i := range r.Windows {
		if r.Windows[i].Headline {
			return &r.Windows[i]
		}
	}
	return nil
}

// shownWindow is the window that may be drawn: none where the food is not to be
// eaten, where each set point was cooked once, or where there is none.
func shownWindow(r *answer.Result) *texture.Window {
	w := headline(r)
	if w == nil || w.Cannot != "" || r.Safety.Verdict == answer.VerdictDoNotEat || r.OneCookEach() {
		return nil
	}
	return w
}

// curvesOf are the curves that may be drawn.
func curvesOf(r *answer.Result, m *texture.Measure) (cs []texture.Curve) {
	if r.OneCookEach() {
		return nil
	}
	for _, c := range m.Curves {
		if len(c.Average) > 1 {
			cs = append(cs, c)
		}
	}
	return cs
}

// forNext reports whether the window is told for the next cook, as the answer
// does wherever the next cook has one; else for the average of many cooks.
func forNext(w *texture.Window) bool {
	return w.Next.Range.Stretches > 0 && w.Next.Range.Low.Known() || !(w.Mean.Range.Stretches > 0 && w.Mean.Range.Low.Known())
}

// told is the chance that the answer speaks of.
func told(w *texture.Window) texture.Chance {
	if forNext(w) {
		return w.Next
	}
	return w.Mean
}

// windowLayers are the chance over the set points and its ranges: what is likely
// drawn solid, what is only more likely than not hatched.
func windowLayers(r *answer.Result, w *texture.Window) (ls []figure.Layer) {
	if len(w.Grid) > 1 {
		s := figure.Strip{Label: figure.Same(chanceLabel(r, w)), Levels: []figure.Level{
			{At: 0.5, Label: figure.Same("1 in 2")}, {At: 0.9, Label: figure.Same("9 in 10")}}}
		var xs, chances []float64
		for _, d := range w.Grid {
			chance := d.Mean
			if forNext(w) {
				chance = d.Next
			}
			xs, chances = append(xs, round4(d.SetPoint)), append(chances, math.Min(1, math.Max(0, round4(chance))))
		}
		// The strip is a fifth as high as the data.
		whole := func(x float64) bool { return math.Abs(x-math.Round(x)) < gridStep/2 }
		for _, i := range figure.Sparse(5*unseen, whole, xs, chances) {
			s.X, s.Chance = append(s.X, xs[i]), append(s.Chance, chances[i])
		}
		ls = append(ls, s)
	}
	best, hasBest := w.Best.Get()
	for _, part := range []struct {
		span  texture.Span
		sure  bool
		words string
	}{{told(w).Likely, true, "9 in 10, "}, {told(w).Range, false, "more likely than not, "}} {
		lo, okLo := part.span.Low.Get()
		hi, okHi := part.span.High.Get()
		if part.span.Stretches == 0 || !okLo || !okHi || lo > hi {
			continue
		}
		l := figure.Window{Low: round4(lo), High: round4(hi), Sure: part.sure, Label: both(answer.Say(part.words, answer.Window(lo, hi), beyond(part.span)))}
		if hasBest {
			l.Best, l.HasBest = round4(best), true
			hasBest = false // once
		}
		ls = append(ls, l)
	}
	return ls
}

// aimOf is the aim on a measure.
func aimOf(r *answer.Result, name string) (answer.Aim, bool) {
	for _, a := range r.Trial.Aims {
		if a.Measure == name {
			return a, true
		}
	}
	return answer.Aim{}, false
}

func aimZone(a answer.Aim, unit string) (figure.Zone, bool) {
	z := figure.Zone{Along: figure.AlongY, Role: figure.Aim, LowOpen: a.Low == nil, HighOpen: a.High == nil}
	if z.LowOpen && z.HighOpen {
		return z, false
	}
	if a.Low != nil {
		z.Low = *a.Low
	}
	if a.High != nil {
		z.High = *a.High
	}
	z.Label = figure.Same("aim: " + aimRange(a, unit))
	return z, z.LowOpen || z.HighOpen || z.Low <= z.High
}
