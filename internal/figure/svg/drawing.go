package svg

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	gdraw "gonum.org/v1/plot/vg/draw"

	"tamis/internal/figure"
)

// drawing is a figure on its way to the canvas.
type drawing struct {
	fig    figure.Figure
	units  figure.Units
	size   Size
	frame  frame
	canvas *canvas
	plot   *plot.Plot              // the scales
	area   gdraw.Canvas            // the data rectangle, which clips
	x, y   func(float64) vg.Length // data to canvas
	side   []sideLabel             // labels beside the data, placed last
	strips int                     // lanes used so far
	wins   int
	overs  int      // rows used over the data
	later  []func() // words that stand over everything drawn
	marks  []Mark   // in the margin, for Plan
	leads  []Lead
}

// draw draws a valid figure.
func draw(f figure.Figure, s Size, u figure.Units, variables bool) (*drawing, error) {
	d := &drawing{fig: f, units: u, size: s, frame: layout(f, s, u)}
	d.canvas = newCanvas(d.frame.h, variables)
	d.plot = plot.New()
	d.plot.X.Min, d.plot.X.Max = f.X.Range()
	d.plot.Y.Min, d.plot.Y.Max = f.Y.Range()
	if len(f.Y.Categories) > 0 {
		d.plot.Y.Scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
	}
	fr := d.frame
	d.area = gdraw.Canvas{Canvas: d.canvas, Rectangle: vg.Rectangle{
		Min: vg.Point{X: vg.Length(fr.left), Y: fr.up(fr.bottom)},
		Max: vg.Point{X: vg.Length(fr.right), Y: fr.up(fr.top)},
	}}
	d.x, d.y = d.plot.Transforms(&d.area)

	// Zones lie under the grid, everything else over it, in the given order.
	for _, l := range f.Layers {
		if z, ok := l.(figure.Zone); ok {
			d.zone(z)
		}
	}
	d.grid()
	for _, l := range f.Layers {
		if err := d.layer(l); err != nil {
			return nil, err
		}
	}
	for _, write := range d.later {
		write()
	}
	d.axes()
	d.placeSide()
	return d, nil
}

func (d *drawing) layer(l figure.Layer) error {
	switch l := l.(type) {
	case figure.Zone: // drawn already
	case figure.Line:
		d.line(l)
	case figure.Band:
		d.band(l)
	case figure.Points:
		d.points(l)
	case figure.ErrorBars:
		d.errorBars(l)
	case figure.Window:
		d.window(l)
	case figure.Threshold:
		d.threshold(l)
	case figure.Strip:
		d.strip(l)
	case figure.Bars:
		d.bars(l)
	case figure.Boxes:
		d.boxes(l)
	case figure.Heat:
		d.heat(l)
	case figure.Spans:
		d.spans(l)
	case figure.Note:
		d.note(l)
	default:
		return fmt.Errorf("%w: %T", figure.ErrUnknownLayer, l)
	}
	return nil
}

// stroke is a gonum line style in a colour role.
func stroke(k ink, w float64, dash figure.Dash) gdraw.LineStyle {
	s := gdraw.LineStyle{Color: k, Width: vg.Length(w)}
	switch dash {
	case figure.Dashed:
		s.Dashes = []vg.Length{7, 4}
	case figure.Dotted:
		s.Dashes = []vg.Length{1.5, 3.5}
	case figure.DashDot:
		s.Dashes = []vg.Length{8, 3, 1.5, 3}
	}
	return s
}

// rect fills a rectangle clipped to the data area.
func (d *drawing) rect(k ink, x0, y0, x1, y1 vg.Length) {
	poly := d.area.ClipPolygonXY([]vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
	d.area.FillPolygon(k, poly)
}

// segment draws a straight line clipped to the data area.
func (d *drawing) segment(s gdraw.LineStyle, x0, y0, x1, y1 vg.Length) {
	d.area.StrokeLines(s, d.area.ClipLinesXY([]vg.Point{{X: x0, Y: y0}, {X: x1, Y: y1}})...)
}

// free draws a straight line anywhere.
func (d *drawing) free(s gdraw.LineStyle, x0, y0, x1, y1 vg.Length) {
	d.area.StrokeLine2(s, x0, y0, x1, y1)
}

// say sets one line of text.
func (d *drawing) say(x, y vg.Length, s string, t textStyle) {
	d.canvas.text(vg.Point{X: x, Y: y}, s, t)
}
