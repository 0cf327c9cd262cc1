package demo

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
)

// sketch is a drawing in flat colours. It is painted at three times its size and
// averaged down, so that edges are smooth.
type sketch struct {
	w, h   int
	big    []uint8 // colour of each fine pixel, row by row
	inks   []color.NRGBA
	inkFor map[color.NRGBA]uint8
}

const fine = 3 // fine pixels along one side of a pixel

type dot struct{ x, y float64 }

func newSketch(w, h int, ground color.NRGBA) *sketch {
	s := &sketch{w: w, h: h, big: make([]uint8, fine*w*fine*h), inkFor: map[color.NRGBA]uint8{}}
	s.ink(ground)
	return s
}

func (s *sketch) ink(c color.NRGBA) uint8 {
	i, ok := s.inkFor[c]
	if !ok {
		i = uint8(len(s.inks))
		s.inks, s.inkFor[c] = append(s.inks, c), i
	}
	return i
}

// paint colours every place of a box at which inside holds.
func (s *sketch) paint(c color.NRGBA, low, high dot, inside func(x, y float64) bool) {
	ink := s.ink(c)
	x0, x1 := max(0, int(low.x*fine)-1), min(fine*s.w, int(high.x*fine)+2)
	y0, y1 := max(0, int(low.y*fine)-1), min(fine*s.h, int(high.y*fine)+2)
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			if inside((float64(x)+0.5)/fine, (float64(y)+0.5)/fine) {
				s.big[y*fine*s.w+x] = ink
			}
		}
	}
}

func (s *sketch) box(c color.NRGBA, x0, y0, x1, y1 float64) {
	s.paint(c, dot{x0, y0}, dot{x1, y1}, func(x, y float64) bool { return x >= x0 && x <= x1 && y >= y0 && y <= y1 })
}

func (s *sketch) disc(c color.NRGBA, at dot, rx, ry float64) {
	s.paint(c, dot{at.x - rx, at.y - ry}, dot{at.x + rx, at.y + ry}, func(x, y float64) bool {
		u, v := (x-at.x)/rx, (y-at.y)/ry
		return u*u+v*v <= 1
	})
}

// slab is a rounded block: a superellipse, between a rectangle and an oval.
func (s *sketch) slab(c color.NRGBA, at dot, rx, ry float64) {
	s.paint(c, dot{at.x - rx, at.y - ry}, dot{at.x + rx, at.y + ry}, func(x, y float64) bool { return inSlab(x, y, at, rx, ry) })
}

func inSlab(x, y float64, at dot, rx, ry float64) bool {
	u, v := math.Abs(x-at.x)/rx, math.Abs(y-at.y)/ry
	return u*u*u*u+v*v*v*v <= 1
}

// line is a stroke with round ends along some dots, where keep allows it.
func (s *sketch) line(c color.NRGBA, width float64, keep func(x, y float64) bool, dots ...dot) {
	for i := 1; i < len(dots); i++ {
		a, b, r := dots[i-1], dots[i], width/2
		low := dot{math.Min(a.x, b.x) - r, math.Min(a.y, b.y) - r}
		high := dot{math.Max(a.x, b.x) + r, math.Max(a.y, b.y) + r}
		length := (b.x-a.x)*(b.x-a.x) + (b.y-a.y)*(b.y-a.y)
		s.paint(c, low, high, func(x, y float64) bool {
			t := 0.0
			if length > 0 {
				t = math.Min(1, math.Max(0, ((x-a.x)*(b.x-a.x)+(y-a.y)*(b.y-a.y))/length))
			}
			u, v := x-a.x-t*(b.x-a.x), y-a.y-t*(b.y-a.y)
			return u*u+v*v <= r*r && (keep == nil || keep(x, y))
		})
	}
}

// curve is n+1 dots of a path over 0 to 1.
func curve(n int, at func(t float64) dot) []dot {
	out := make([]dot, n+1)
	for i := range out {
		out[i] = at(float64(i) / float64(n))
	}
	return out
}

// file is the drawing as PNG. Where inks meet, channels are rounded to sixteen
// steps, which keeps a drawing within the 256 colours of a palette.
func (s *sketch) file() string {
	var pal color.Palette
	index := map[color.NRGBA]uint8{}
	m := image.NewPaletted(image.Rect(0, 0, s.w, s.h), nil)
	for y := range s.h {
		for x := range s.w {
			var r, g, b int
			first, one := s.big[fine*y*fine*s.w+fine*x], true
			for k := range fine * fine {
				ink := s.big[(fine*y+k/fine)*fine*s.w+fine*x+k%fine]
				c := s.inks[ink]
				r, g, b, one = r+int(c.R), g+int(c.G), b+int(c.B), one && ink == first
			}
			step := func(sum int) uint8 { return uint8((sum + 17*fine*fine/2) / (17 * fine * fine) * 17) }
			c := s.inks[first]
			if !one {
				c = color.NRGBA{step(r), step(g), step(b), 255}
			}
			i, ok := index[c]
			if !ok {
				if len(pal) == 256 {
					panic("demo: a drawing with more than 256 colours")
				}
				i = uint8(len(pal))
				pal, index[c] = append(pal, c), i
			}
			m.Pix[y*m.Stride+x] = i
		}
	}
	m.Palette = pal
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	if err := enc.Encode(&out, m); err != nil {
		panic(err) // a buffer takes everything
	}
	return out.String()
}

// mix is the colour between two, t from 0 to 1.
func mix(a, b color.NRGBA, t float64) color.NRGBA {
	t = math.Min(1, math.Max(0, t))
	part := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + t*(float64(b)-float64(a)))) }
	return color.NRGBA{part(a.R, b.R), part(a.G, b.G), part(a.B, b.B), 255}
}
