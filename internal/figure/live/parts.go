package live

import (
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"tamis/internal/figure"
)

// stroke is how a line looks.
type stroke struct {
	role  figure.Role
	width float32
	dash  []float64
	alpha float32 // 0 is 1
}

// dashes are the patterns of package svg.
var dashes = map[figure.Dash][]float64{
	figure.Dashed: {7, 4}, figure.Dotted: {1.5, 3.5}, figure.DashDot: {8, 3, 1.5, 3},
}

// gap breaks a line into pieces.
var gap = []any{nil, nil}

// path adds a line through points [x, y], broken at gaps. Outside says that it
// may leave the data rectangle.
func (c *chart) path(points [][]any, s stroke, outside bool) {
	if len(points) == 0 {
		return
	}
	style := map[string]any{"color": colour(s.role), "width": s.width}
	if s.dash != nil {
		style["type"] = s.dash // go-echarts has names of patterns only
	}
	if s.alpha > 0 {
		style["opacity"] = s.alpha
	}
	more := map[string]any{"silent": true, "lineStyle": style}
	if outside {
		more["clip"] = false
	}
	c.add(charts.SingleSeries{Type: "line", ShowSymbol: opts.Bool(false), Data: points}, more)
}

// rectangles adds filled rectangles [x0, y0, x1, y1], clamped by the caller.
// names, when given, are shown at the pointer.
func (c *chart) rectangles(rects [][]any, role figure.Role, alpha float32, names []string) {
	c.filled(rects, role, alpha, names, map[string]any{})
}

// bar adds a filled rectangle in a lane below the data rectangle.
func (c *chart) bar(rect []any, role figure.Role, alpha float32, name string) {
	c.filled([][]any{rect}, role, alpha, []string{name}, map[string]any{"clip": false, "itemPayload": map[string]any{"outside": true}})
}

func (c *chart) filled(rects [][]any, role figure.Role, alpha float32, names []string, more map[string]any) {
	if len(rects) == 0 {
		return
	}
	if names == nil {
		more["silent"] = true
	} else {
		more["names"] = names
	}
	c.add(charts.SingleSeries{Type: "custom", RenderItem: "rectangle", Data: rects,
		ItemStyle: &opts.ItemStyle{Color: colour(role), Opacity: opts.Float(alpha)}}, more)
}

// symbols are the shapes of marks with the factor on the diameter of the disc
// that gives each about its area.
var symbols = map[figure.Mark]struct {
	name  string
	scale float64
}{
	figure.Disc: {"circle", 1}, figure.Square: {"rect", 0.89}, figure.Diamond: {"diamond", 1.25}, figure.Triangle: {"triangle", 1.3},
}

// marks adds points [x, y] with a rim in the colour of the ground.
func (c *chart) marks(points [][]any, s figure.Style, radius float64, rim float32, alpha float32, more map[string]any) {
	if len(points) == 0 {
		return
	}
	symbol := symbols[s.Mark]
	style := &opts.ItemStyle{Color: colour(s.Role)}
	if rim > 0 {
		style.BorderColor, style.BorderWidth = colour(paper), rim
	}
	style.Opacity = opts.Float(alpha)                                                                                     // 0.8 unless told
	c.add(charts.SingleSeries{Type: "scatter", Symbol: symbol.name, SymbolSize: px(2*radius*symbol.scale + float64(rim)), // half of the rim lies on the mark
		Data: points, ItemStyle: style}, more)
}

// ghosts are points that are not seen until the pointer is over them: they give
// a line something to hold on to. They lie on top of everything.
func (c *chart) ghosts(points [][]any, names []string, role figure.Role) {
	c.hover = append(c.hover, func() {
		c.add(charts.SingleSeries{Type: "scatter", Symbol: "circle", SymbolSize: 14, Data: points,
			ItemStyle: &opts.ItemStyle{Color: colour(role), Opacity: opts.Float(0)},
			Emphasis:  &opts.Emphasis{ItemStyle: &opts.ItemStyle{Opacity: opts.Float(0.35)}}},
			map[string]any{"names": names})
	})
}

func (c *chart) hovers() {
	for _, f := range c.hover {
		f()
	}
}

// gridLines are light lines at the ticks of the vertical axis; rows of
// categories are separated instead of crossed.
func (c *chart) gridLines() {
	if c.has("heat") {
		return
	}
	var at []float64
	if n := len(c.fig.Y.Categories); n > 0 {
		for i := 0; i <= n; i++ {
			at = append(at, float64(i)-0.5)
		}
	} else {
		for _, t := range c.fig.Y.TicksIn(c.units) {
			if t.At >= c.ylo && t.At <= c.yhi {
				at = append(at, t.At)
			}
		}
	}
	var points [][]any
	for _, y := range at {
		points = append(points, []any{c.x(c.xlo), c.y(y)}, []any{c.x(c.xhi), c.y(y)}, gap)
	}
	c.path(points, stroke{role: figure.Rule, width: 1}, false)
}

// furniture is the line of the horizontal axis with its ticks, and the marks
// and hairlines in the margin.
func (c *chart) furniture() {
	if !c.has("heat") {
		base := c.yAt(c.plan.Base)
		points := [][]any{{c.x(c.xlo), base}, {c.x(c.xhi), base}, gap}
		if len(c.fig.X.Categories) == 0 {
			for _, t := range c.fig.X.TicksIn(c.units) {
				if t.At >= c.xlo && t.At <= c.xhi {
					points = append(points, []any{c.x(t.At), base}, []any{c.x(t.At), c.yAt(c.plan.Base + 4)}, gap)
				}
			}
		}
		c.path(points, stroke{role: figure.Muted, width: 1}, true)
	}
	for _, l := range c.plan.Leads {
		// The margin keeps its width, so distances from the data are pixels:
		// close enough at the widths at which the chart is shown.
		c.path([][]any{{c.xAt(l.X0), c.yAt(l.Y0)}, {c.xAt(l.X1), c.yAt(l.Y1)}}, stroke{role: l.Role, width: 1, alpha: 0.6}, true)
	}
	for _, m := range c.plan.Marks {
		c.marks([][]any{{c.x(c.xhi), c.yAt(m.Y)}}, m.Style, 4.2, 1.2, 1,
			map[string]any{"silent": true, "clip": false, "symbolOffset": []float64{px(m.X - c.plan.Right), 0}})
	}
}

func (c *chart) has(kind string) bool {
	for _, l := range c.fig.Layers {
		if l.Kind() == kind {
			return true
		}
	}
	return false
}

// px is a distance in pixels with one decimal.
func px(v float64) float64 { return math.Round(10*v) / 10 }
