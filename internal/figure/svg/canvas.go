package svg

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

// ink is a colour role with an opacity. It passes through gonum/plot as a
// color.Color, so plotters and glyphs need not know that it is a name.
type ink struct {
	role  figure.Role
	alpha float64 // 0 to 1
}

// RGBA implements color.Color with the light scheme.
func (k ink) RGBA() (r, g, b, a uint32) {
	c := rgb(hex(Light, k.role))
	c.A = uint8(math.Round(255 * k.alpha))
	return color.NRGBA(c).RGBA()
}

func solid(r figure.Role) ink                 { return ink{r, 1} }
func tinted(r figure.Role, alpha float64) ink { return ink{r, alpha} }

// canvas implements vg.Canvas and writes SVG elements. Lengths are user units
// of the picture; the origin of vg is the lower left corner, that of SVG the
// upper left, so y is turned over on output.
type canvas struct {
	els    []element
	words  []Word // the same text once more, for Plan
	height float64
	// variables: colours are CSS variables; otherwise colours of the light scheme.
	variables bool
	state     state
	stack     []state
}

type state struct {
	width vg.Length
	dash  []vg.Length
	ink   color.Color
	m     matrix
}

// matrix maps (x, y) to (a x + c y + e, b x + d y + f).
type matrix struct{ a, b, c, d, e, f float64 }

func newCanvas(height float64, variables bool) *canvas {
	return &canvas{height: height, variables: variables,
		state: state{width: 1, ink: solid(figure.Ink), m: matrix{a: 1, d: 1}}}
}

func (c *canvas) SetLineWidth(w vg.Length) { c.state.width = w }

func (c *canvas) SetLineDash(pattern []vg.Length, _ vg.Length) { c.state.dash = pattern }

func (c *canvas) SetColor(k color.Color) {
	if k == nil {
		k = solid(figure.Ink)
	}
	c.state.ink = k
}

func (c *canvas) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	c.state.m = c.state.m.times(matrix{a: cos, b: sin, c: -sin, d: cos})
}

func (c *canvas) Translate(p vg.Point) {
	c.state.m = c.state.m.times(matrix{a: 1, d: 1, e: float64(p.X), f: float64(p.Y)})
}

func (c *canvas) Scale(x, y float64) { c.state.m = c.state.m.times(matrix{a: x, d: y}) }

func (c *canvas) Push() { c.stack = append(c.stack, c.state) }

func (c *canvas) Pop() {
	if n := len(c.stack); n > 0 {
		c.state, c.stack = c.stack[n-1], c.stack[:n-1]
	}
}

func (c *canvas) Stroke(p vg.Path) {
	if c.state.width <= 0 || len(p) == 0 {
		return
	}
	dash := ""
	if len(c.state.dash) > 0 {
		ds := make([]string, len(c.state.dash))
		for i, d := range c.state.dash {
			ds[i] = num(float64(d))
		}
		dash = ` stroke-dasharray="` + strings.Join(ds, " ") + `"`
	}
	c.add(element{tag: "path", data: c.data(p),
		look: `fill="none" ` + c.paint("stroke", c.state.ink) + ` stroke-width="` + num(float64(c.state.width)) + `"` + dash})
}

func (c *canvas) Fill(p vg.Path) {
	if len(p) == 0 {
		return
	}
	c.add(element{tag: "path", data: c.data(p), look: c.paint("fill", c.state.ink)})
}

// mark fills a shape with a rim of the ground around it, in one element; a full
// circle becomes a <circle>.
func (c *canvas) mark(p vg.Path, k ink, rim float64) {
	if rim <= 0 {
		c.add(element{tag: "path", data: c.data(p), look: c.paint("fill", k)})
		return
	}
	attrs := c.rimmed(k, rim)
	if len(p) == 1 && p[0].Type == vg.ArcComp {
		x, y := c.place(p[0].Pos)
		c.add(element{tag: "circle", where: `cx="` + x + `" cy="` + y + `" r="` + num(float64(p[0].Radius)) + `"`, look: attrs})
		return
	}
	c.add(element{tag: "path", data: c.data(p), look: attrs, apart: true})
}

// dot fills a disc or a square without a rim, as a line of no length with round
// or square ends: the shortest way to say it, and many of one look are one path.
func (c *canvas) dot(p vg.Point, k ink, width float64, end string) {
	x, y := c.state.m.apply(float64(p.X), float64(p.Y))
	var q pen
	q.move(x, c.height-y)
	q.line(x, c.height-y)
	c.add(element{tag: "path", data: q.b.String(),
		look: c.paint("stroke", k) + ` stroke-width="` + num(width) + `" stroke-linecap="` + end + `"`})
}

// FillString implements vg.Canvas; text of this package goes through text,
// which can anchor at the middle and the end.
func (c *canvas) FillString(f font.Face, p vg.Point, s string) {
	c.text(p, s, textStyle{size: float64(f.Font.Size), ink: c.state.ink})
}

// DrawImage draws nothing: a figure holds no images.
func (c *canvas) DrawImage(vg.Rectangle, image.Image) {}

// textStyle is how a line of text is set.
type textStyle struct {
	size   float64
	ink    color.Color
	anchor string // "", "middle" or "end"
	bold   bool
	halo   bool // a rim in the colour of the ground, for text over data
}

// text sets one line with its baseline at p.
func (c *canvas) text(p vg.Point, s string, t textStyle) {
	if s == "" || t.size <= 0 {
		return
	}
	x, y := c.place(p)
	fill := c.paint("fill", t.ink)
	if t.halo {
		fill = c.rimmed(t.ink, 1.5)
	}
	look := `font-size="` + num(t.size) + `" ` + fill
	if t.anchor != "" {
		look += ` text-anchor="` + t.anchor + `"`
	}
	if t.bold {
		look += ` font-weight="600"`
	}
	if k, ok := t.ink.(ink); ok {
		px, py := c.state.m.apply(float64(p.X), float64(p.Y))
		c.words = append(c.words, Word{X: px, Y: c.height - py, Size: t.size, Text: clean(s), Role: k.role, Anchor: t.anchor, Bold: t.bold, Halo: t.halo})
	}
	c.add(element{tag: "text", where: `x="` + x + `" y="` + y + `"`, look: look, words: escape(s)})
}

// paint is the attribute that colours a fill or a stroke. In a page the colour
// is a variable, which only a style attribute takes in every browser.
func (c *canvas) paint(what string, k color.Color) string {
	role, alpha, value := figure.Ink, 1.0, ""
	if named, ok := k.(ink); ok {
		role, alpha = named.role, named.alpha
	} else {
		n := color.NRGBAModel.Convert(k).(color.NRGBA)
		alpha, value = float64(n.A)/255, fmt.Sprintf("#%02x%02x%02x", n.R, n.G, n.B)
	}
	opacity := ""
	if alpha < 1 {
		opacity = fmt.Sprintf(` %s-opacity="%s"`, what, fixed(alpha, 2))
	}
	switch {
	case value != "":
		return what + `="` + value + `"` + opacity
	case c.variables:
		return `style="` + what + `:var(--fig-` + string(role) + `)"` + opacity
	}
	return what + `="` + hex(Light, role) + `"` + opacity
}

// rimmed is the attributes of a fill with a rim of the ground around it. In a
// page both colours share the one style attribute that an element may have.
func (c *canvas) rimmed(k color.Color, rim float64) string {
	both := c.paint("fill", k) + " " + c.paint("stroke", solid(paper))
	both = strings.Replace(both, `" style="`, ";", 1)
	return both + fmt.Sprintf(` stroke-width="%s" stroke-linejoin="round" paint-order="stroke"`, num(2*rim))
}

// place is a point in SVG coordinates.
func (c *canvas) place(p vg.Point) (x, y string) {
	px, py := c.state.m.apply(float64(p.X), float64(p.Y))
	return num(px), num(c.height - py)
}

func (m matrix) times(n matrix) matrix {
	return matrix{
		a: m.a*n.a + m.c*n.b, b: m.b*n.a + m.d*n.b,
		c: m.a*n.c + m.c*n.d, d: m.b*n.c + m.d*n.d,
		e: m.a*n.e + m.c*n.f + m.e, f: m.b*n.e + m.d*n.f + m.f,
	}
}

func (m matrix) apply(x, y float64) (float64, float64) {
	return m.a*x + m.c*y + m.e, m.b*x + m.d*y + m.f
}

// num prints a length with at most one decimal and no minus zero: a tenth of a
// unit is 0.03 mm on A4.
func num(v float64) string { return fixed(v, 1) }

// fixed prints v with at most the decimals, without trailing zeros.
func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if !strings.Contains(s, ".") {
		return s
	}
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}
