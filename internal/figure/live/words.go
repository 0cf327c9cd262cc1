package live

import (
	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"tamis/internal/figure"
)

// fonts are those of package svg, whose measure made room for the words.
const fonts = "Arial, Liberation Sans, Arimo, Helvetica, sans-serif"

// setting is what words of one series share.
type setting struct {
	size       float64
	role       figure.Role
	anchor     string
	bold, halo bool
	left       float64 // distance from the edge of the data that they hang on
	edge       int     // −1: left edge, 1: right edge, 0: a place in the data
}

// words places every word of the plan: invisible points whose labels are seen.
// Words in the margins keep their distance from the data at any width.
func (c *chart) words() {
	var order []setting
	points, names := map[setting][][]any{}, map[setting][]string{}
	for _, w := range c.plan.Words {
		s := setting{size: w.Size, role: w.Role, anchor: w.Anchor, bold: w.Bold, halo: w.Halo}
		at := c.xAt(w.X)
		switch {
		case w.X < c.plan.Left-1:
			s.edge, s.left, at = -1, px(w.X-c.plan.Left), c.x(c.xlo)
		case w.X > c.plan.Right+1:
			s.edge, s.left, at = 1, px(w.X-c.plan.Right), c.x(c.xhi)
		}
		if _, ok := points[s]; !ok {
			order = append(order, s)
		}
		// The middle of the letters is about a third of their size over the baseline.
		points[s] = append(points[s], []any{at, c.yAt(w.Y - 0.36*w.Size)})
		names[s] = append(names[s], w.Text)
	}
	for _, s := range order {
		position := map[string]string{"": "right", "middle": "inside", "end": "left"}[s.anchor]
		label := map[string]any{"show": true, "formatter": "{b}", "position": position, "distance": 0,
			"color": colour(s.role), "fontSize": s.size, "fontFamily": fonts}
		if s.edge != 0 {
			label["offset"] = []float64{s.left, 0}
		}
		if s.bold {
			label["fontWeight"] = 600
		}
		if s.halo {
			label["textBorderColor"], label["textBorderWidth"] = colour(paper), 3
		} else {
			label["textBorderWidth"] = 0
		}
		// A point that is see-through by opacity would take its label along.
		c.add(charts.SingleSeries{Type: "scatter", Symbol: "circle", SymbolSize: 1, Data: points[s],
			ItemStyle: &opts.ItemStyle{Color: "transparent", Opacity: opts.Float(1)}},
			map[string]any{"silent": true, "clip": false, "label": label, "names": names[s]})
	}
}

// say names a place for the pointer: "plain, 51.0 °C: 5.6".
func (c *chart) say(t figure.Text, otherwise string, x, y string) string {
	name := t.In(c.units)
	if name == "" {
		name = otherwise
	}
	switch {
	case name == "":
	case x == "":
		return name + ": " + y
	default:
		name += ", "
	}
	return name + x + ": " + y
}

func (c *chart) sayX(v float64) string { return withUnit(c.fig.X, v, c.units) }
func (c *chart) sayY(v float64) string { return withUnit(c.fig.Y, v, c.units) }

// withUnit prints a value with the digits of its axis, and with a unit that is
// short enough to follow a number.
func withUnit(a figure.Axis, v float64, u figure.Units) string {
	s, unit := a.Format(v, u), a.Unit.In(u)
	if len(a.Categories) > 0 || unit == "" || len([]rune(unit)) > 6 {
		return s
	}
	return s + "\u00a0" + unit
}
