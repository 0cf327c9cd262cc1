package svg

import (
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
)

// pen writes a path in SVG's path language in few bytes: moves are absolute, the
// lines after them relative. It counts in tenths of a unit, as num prints them,
// so that rounding does not add up along a path.
type pen struct {
	b    strings.Builder
	last byte // the command that the next numbers would repeat
	x, y int  // where the pen is, in tenths
}

func tenths(v float64) int { return int(math.Round(v * 10)) }

// number adds a number of tenths; a minus sign parts it from the one before.
func (p *pen) number(v int, first bool) {
	if !first && v >= 0 {
		p.b.WriteByte(' ')
	}
	if v < 0 {
		p.b.WriteByte('-')
		v = -v
	}
	if v >= 10 || v == 0 {
		p.b.WriteString(strconv.Itoa(v / 10))
	}
	if v%10 != 0 {
		p.b.WriteByte('.')
		p.b.WriteByte(byte('0' + v%10))
	}
}

// command writes the letter of a command, or what parts its numbers from those
// of the same command before.
func (p *pen) command(c byte, first int) {
	switch {
	case c != p.last:
		p.b.WriteByte(c)
	case first >= 0:
		p.b.WriteByte(' ')
	}
	p.last = c
}

func (p *pen) move(x, y float64) {
	p.x, p.y = tenths(x), tenths(y)
	p.b.WriteByte('M')
	p.number(p.x, true)
	p.number(p.y, false)
	p.last = 'M'
}

func (p *pen) line(x, y float64) {
	tx, ty := tenths(x), tenths(y)
	dx, dy := tx-p.x, ty-p.y
	p.x, p.y = tx, ty
	switch {
	case dy == 0:
		p.command('h', dx)
		p.number(dx, true)
	case dx == 0:
		p.command('v', dy)
		p.number(dy, true)
	default:
		p.command('l', dx)
		p.number(dx, true)
		p.number(dy, false)
	}
}

// to ends a command whose numbers, all absolute, are in the list: pairs of x and y.
func (p *pen) to(c byte, points ...float64) {
	p.b.WriteByte(c)
	for i, v := range points {
		p.number(tenths(v), i == 0)
	}
	n := len(points)
	p.x, p.y, p.last = tenths(points[n-2]), tenths(points[n-1]), c
}

func (p *pen) close() {
	p.b.WriteByte('Z')
	p.last = 'Z'
}

// data is a path in SVG's path language.
func (c *canvas) data(path vg.Path) string {
	var p pen
	at := func(q vg.Point) (float64, float64) {
		x, y := c.state.m.apply(float64(q.X), float64(q.Y))
		return x, c.height - y
	}
	for i, k := range path {
		switch k.Type {
		case vg.MoveComp:
			p.move(at(k.Pos))
		case vg.LineComp:
			p.line(at(k.Pos))
		case vg.CurveComp:
			var points []float64
			for _, q := range append(append([]vg.Point{}, k.Control...), k.Pos) {
				x, y := at(q)
				points = append(points, x, y)
			}
			p.to("TQC"[min(2, len(k.Control))], points...)
		case vg.ArcComp:
			c.arc(&p, k, i == 0, at)
		case vg.CloseComp:
			p.close()
		}
	}
	return p.b.String()
}

// arc is an arc as pieces of at most a third of a circle, since SVG cannot
// draw a full circle in one.
func (c *canvas) arc(p *pen, k vg.PathComp, first bool, at func(vg.Point) (float64, float64)) {
	on := func(angle float64) (float64, float64) {
		sin, cos := math.Sincos(angle)
		return at(vg.Point{X: k.Pos.X + k.Radius*vg.Length(cos), Y: k.Pos.Y + k.Radius*vg.Length(sin)})
	}
	sweep := "0" // counter-clockwise once y is turned over
	if k.Angle < 0 {
		sweep = "1"
	}
	if x, y := on(k.Start); first {
		p.move(x, y)
	} else {
		p.line(x, y)
	}
	r := num(float64(k.Radius))
	n := max(1, int(math.Ceil(math.Abs(k.Angle)/(2*math.Pi/3)-1e-9)))
	for i := 1; i <= n; i++ {
		p.b.WriteString("A" + r + " " + r + " 0 0 " + sweep + " ")
		x, y := on(k.Start + k.Angle*float64(i)/float64(n))
		p.x, p.y, p.last = tenths(x), tenths(y), 'A'
		p.number(p.x, true)
		p.number(p.y, false)
	}
}
