package svg

import (
	"math"

	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

func (d *drawing) path(xs, ys []float64) []vg.Point {
	ps := make([]vg.Point, len(xs))
	for i := range xs {
		ps[i] = vg.Point{X: d.x(xs[i]), Y: d.y(ys[i])}
	}
	return ps
}

func (d *drawing) line(l figure.Line) {
	parts := d.area.ClipLinesXY(d.path(l.X, l.Y))
	d.area.StrokeLines(stroke(solid(l.Style.Role), 2, l.Style.Dash), parts...)
	if l.Label.Metric == "" {
		return
	}
	end := d.y(l.Y[len(l.Y)-1])
	if n := len(parts); n > 0 {
		end = parts[n-1][len(parts[n-1])-1].Y
	}
	d.beside(sideLabel{text: l.Label, style: l.Style, mark: hasMarks(d.fig, l.Style), lead: true}, end)
}

func (d *drawing) band(l figure.Band) {
	poly := d.path(l.X, l.High)
	for i := len(l.X) - 1; i >= 0; i-- {
		poly = append(poly, vg.Point{X: d.x(l.X[i]), Y: d.y(l.Low[i])})
	}
	d.area.FillPolygon(tinted(l.Role, 0.16), d.area.ClipPolygonXY(poly))
}

func (d *drawing) points(l figure.Points) {
	size := map[figure.Size]float64{figure.Cook: 4.6, figure.Piece: 2.1}[l.Size]
	if d.size == Narrow {
		size *= 0.8
	}
	if len(l.X) > 40 { // a crowd
		size *= 0.7
	}
	for i := range l.X {
		x := l.X[i]
		if l.Offset != nil {
			x += l.Offset[i]
		}
		p := vg.Point{X: d.x(x), Y: d.y(l.Y[i])}
		if !d.area.Contains(p) {
			continue
		}
		if l.Size == figure.Piece {
			d.small(l.Style, p, size)
			continue
		}
		d.mark(l.Style, p, size)
	}
	if l.Label.Metric == "" || l.Size != figure.Cook || hasLine(d.fig, l.Style) {
		return
	}
	last := 0
	for i := range l.X {
		if l.X[i] >= l.X[last] {
			last = i
		}
	}
	d.beside(sideLabel{text: l.Label, style: l.Style, mark: true, lead: true}, d.y(l.Y[last]))
}

// mark is a point with a rim in the colour of the ground, so that neighbours
// stay apart.
func (d *drawing) mark(s figure.Style, p vg.Point, r float64) {
	d.canvas.mark(shape(s.Mark, p, r), solid(s.Role), 1.2)
}

// small is a point without a rim, seen through.
func (d *drawing) small(s figure.Style, p vg.Point, r float64) {
	k := tinted(s.Role, 0.5)
	switch s.Mark {
	case figure.Disc:
		d.canvas.dot(p, k, 2*r, "round")
	case figure.Square:
		d.canvas.dot(p, k, 2*squareHalf*r, "square")
	default:
		d.canvas.mark(shape(s.Mark, p, r), k, 0)
	}
}

// squareHalf is half the side of a square mark over the radius of the disc that
// it stands for: the corners of shape, 1.25 radii away.
const squareHalf = 1.25 * math.Sqrt2 / 2

// shape is the outline of a mark. The corners lie so that every shape has
// about the area of the disc of radius r.
func shape(m figure.Mark, p vg.Point, r float64) (path vg.Path) {
	n, turn, scale := 4, math.Pi/4, 1.25 // corners, first corner, distance of corners
	switch m {
	case figure.Disc:
		path.Arc(p, vg.Length(r), 0, 2*math.Pi)
		return path
	case figure.Diamond:
		turn = 0
	case figure.Triangle:
		n, turn, scale = 3, math.Pi/2, 1.45
	}
	for i := range n {
		sin, cos := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
		at := vg.Point{X: p.X + vg.Length(scale*r*cos), Y: p.Y + vg.Length(scale*r*sin)}
		if i == 0 {
			path.Move(at)
		} else {
			path.Line(at)
		}
	}
	path.Close()
	return path
}

func (d *drawing) errorBars(l figure.ErrorBars) {
	s := stroke(solid(l.Style.Role), 1.4, figure.Solid)
	const half = 3.5 // of a cap
	for i, at := range l.At {
		if l.Offset != nil {
			at += l.Offset[i]
		}
		if l.Along == figure.AlongX {
			y := d.y(at)
			d.segment(s, d.x(l.Low[i]), y, d.x(l.High[i]), y)
			for _, v := range []float64{l.Low[i], l.High[i]} {
				d.segment(s, d.x(v), y-half, d.x(v), y+half)
			}
			continue
		}
		x := d.x(at)
		d.segment(s, x, d.y(l.Low[i]), x, d.y(l.High[i]))
		for _, v := range []float64{l.Low[i], l.High[i]} {
			d.segment(s, x-half, d.y(v), x+half, d.y(v))
		}
	}
}

// note stands beside its place, on the side that has room; outside the data it
// is left to the table.
func (d *drawing) note(l figure.Note) {
	if !d.area.Contains(vg.Point{X: d.x(l.X), Y: d.y(l.Y)}) {
		return
	}
	role := l.Role
	if role == "" {
		role = figure.Ink
	}
	t := textStyle{size: smallSize, ink: solid(role), halo: true}
	x := d.x(l.X) + 7
	if x+vg.Length(widest(l.Text, smallSize)) > vg.Length(d.frame.w) {
		x, t.anchor = d.x(l.X)-7, "end"
	}
	d.say(x, d.y(l.Y)-4, l.Text.In(d.units), t)
}
