package live

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"tamis/internal/figure"
	"tamis/internal/figure/svg"
)

// Options are the options of ECharts for a figure at a size in a unit system,
// as JSON objects. Colours read "var(--fig-…)": whoever draws the chart looks
// them up. A series may have a field "names", one text for each of its points
// in order, which becomes the name of the point, or null where there is none.
//
// The chart has one grid with hidden axes in metric units; every word and line
// around the data is a series of its own, at the place where package svg has
// it, so that both backends show the same picture. The height of the chart is
// that of the plan; in width it may differ.
func Options(f figure.Figure, s svg.Size, u figure.Units) (map[string]any, error) {
	plan, err := svg.PlanOf(f, s, u)
	if err != nil {
		return nil, err
	}
	c := &chart{fig: f, units: u, plan: plan, size: s}
	c.xlo, c.xhi = f.X.Range()
	c.ylo, c.yhi = f.Y.Range()
	// The order is that of package svg: zones, grid, layers, axes, words.
	for _, l := range f.Layers {
		if z, ok := l.(figure.Zone); ok {
			c.zone(z)
		}
	}
	c.gridLines()
	for _, l := range f.Layers {
		if err := c.layer(l); err != nil {
			return nil, err
		}
	}
	c.furniture()
	c.words()
	c.hovers()
	return c.options()
}

// chart is a figure on its way to options.
type chart struct {
	fig                figure.Figure
	units              figure.Units
	plan               svg.Plan
	size               svg.Size
	xlo, xhi, ylo, yhi float64
	strips, windows    int // lanes used so far
	series             []charts.SingleSeries
	extra              []map[string]any
	hover              []func() // what answers to the pointer but is not seen, on top
}

func (c *chart) layer(l figure.Layer) error {
	switch l := l.(type) {
	case figure.Zone: // drawn already
	case figure.Line:
		c.line(l)
	case figure.Band:
		c.band(l)
	case figure.Points:
		c.points(l)
	case figure.ErrorBars:
		c.errorBars(l)
	case figure.Window:
		c.window(l)
	case figure.Threshold:
		c.threshold(l)
	case figure.Strip:
		c.strip(l)
	case figure.Bars:
		c.bars(l)
	case figure.Boxes:
		c.boxes(l)
	case figure.Heat:
		c.heat(l)
	case figure.Spans:
		c.spans(l)
	case figure.Note: // all words, which the plan has
	default:
		return fmt.Errorf("%w: %T", figure.ErrUnknownLayer, l)
	}
	return nil
}

// options lets go-echarts put everything together.
func (c *chart) options() (map[string]any, error) {
	px := func(v float64) string { return fmt.Sprint(math.Round(10*v) / 10) }
	g := &gaps{
		series:  c.extra,
		tooltip: map[string]any{"confine": true, "transitionDuration": 0, "padding": []int{4, 8}, "textStyle": map[string]any{"color": colour(figure.Ink), "fontSize": 14}, "extraCssText": "box-shadow:none;white-space:normal;max-width:18rem"},
		grid:    map[string]any{"outerBoundsMode": "none"}, // the plan has made room for every word
	}
	ch := charts.NewScatter()
	ch.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithGridOpts(opts.Grid{Left: px(c.plan.Left), Top: px(c.plan.Top),
			Right: px(c.plan.Width - c.plan.Right), Height: px(c.plan.Bottom - c.plan.Top)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}",
			BackgroundColor: colour(paper), BorderColor: colour(figure.Muted)}),
		charts.WithXAxisOpts(opts.XAxis{Show: opts.Bool(false), Type: "value", Min: c.xlo, Max: c.xhi}),
		charts.WithYAxisOpts(opts.YAxis{Show: opts.Bool(false), Type: "value", Min: c.ylo, Max: c.yhi,
			Inverse: opts.Bool(len(c.fig.Y.Categories) > 0), AxisLabel: &opts.AxisLabel{}}),
	)
	ch.MultiSeries = c.series
	ch.Accept(g)
	ch.Validate()
	o := ch.JSON()
	if g.err != nil {
		return nil, unfit(g.err)
	}
	plain, err := generic(o)
	if err != nil {
		return nil, unfit(err)
	}
	return plain.(map[string]any), nil
}

// unfit names a number that JSON cannot hold as what it is.
func unfit(err error) error {
	var v *json.UnsupportedValueError
	if errors.As(err, &v) {
		return fmt.Errorf("%w: %s", figure.ErrNonFinite, v.Str)
	}
	return err
}

// paper is the ground of a figure.
const paper figure.Role = "paper"

// colour is a role as boot.js looks it up.
func colour(r figure.Role) string { return "var(--fig-" + string(r) + ")" }

// add adds a series over those before it; more goes past go-echarts.
func (c *chart) add(s charts.SingleSeries, more map[string]any) {
	if more == nil {
		more = map[string]any{}
	}
	more["z"] = len(c.series) + 2
	c.series = append(c.series, s)
	c.extra = append(c.extra, more)
}

// xAt and yAt are the values of the axes at a place in the picture, which may
// lie outside of the data rectangle. Values of the vertical axis hold at any
// width of the chart; those of the horizontal axis at the width of the plan.
func (c *chart) xAt(px float64) float64 {
	return round(c.xlo+(px-c.plan.Left)/(c.plan.Right-c.plan.Left)*(c.xhi-c.xlo), c.xhi-c.xlo)
}

func (c *chart) yAt(px float64) float64 {
	share := (c.plan.Bottom - px) / (c.plan.Bottom - c.plan.Top)
	if len(c.fig.Y.Categories) > 0 {
		share = 1 - share
	}
	return round(c.ylo+share*(c.yhi-c.ylo), c.yhi-c.ylo)
}

// round keeps a ten-thousandth of the range: less than a tenth of a pixel, and
// bytes that do not hang on the last bits.
func round(v, width float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(width))-4)
	r := math.Round(v/step) * step
	// The product is a few last bits off the short decimal; take that.
	digits := max(0, int(math.Ceil(-math.Log10(step))))
	p := math.Pow(10, float64(digits))
	if q := math.Round(r*p) / p; !math.IsNaN(q) && !math.IsInf(q, 0) {
		return q + 0 // no minus zero
	}
	return v
}

func (c *chart) x(v float64) float64 { return round(v, c.xhi-c.xlo) }
func (c *chart) y(v float64) float64 { return round(v, c.yhi-c.ylo) }

func (c *chart) inX(v float64) float64 { return math.Min(math.Max(v, c.xlo), c.xhi) }
func (c *chart) inY(v float64) float64 { return math.Min(math.Max(v, c.ylo), c.yhi) }
