package svg

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"tamis/internal/figure"
)

// Scheme is a set of colours for the roles.
type Scheme int

// The schemes of a page. Print uses Light.
const (
	Light Scheme = iota
	Dark
)

// paper is the ground of a figure, a role of this backend only.
const paper figure.Role = "paper"

// FieldTint is how much of its tone, in every backend, a field with a number in it has: as much as
// leaves the ink of the number its contrast.
const FieldTint = 0.4

// The colours. Text roles keep a contrast of at least 4.5 : 1 to the ground,
// marks at least 3 : 1, and the tones rise or fall in lightness all the way, so
// that they read in grey; tests hold all three.
var colours = map[Scheme]map[figure.Role]string{
	Light: {
		paper:          "#fdfcf9",
		figure.Ink:     "#22211e",
		figure.Muted:   "#66625a",
		figure.Rule:    "#e3dfd6",
		figure.Curve:   "#2f4858",
		figure.Aim:     "#4b6a1f",
		figure.Allowed: "#3d3a6b",
		figure.Warning: "#9b1c31",
		"s0":           "#245f8f", "s1": "#a9480f", "s2": "#2c6e5b", "s3": "#5e1f4f",
		"t0": "#4a93bd", "t1": "#4c83a6", "t2": "#5c728e", "t3": "#735f74", "t4": "#834a58", "t5": "#82363c", "t6": "#702222",
	},
	Dark: {
		paper:          "#191a1c",
		figure.Ink:     "#ece8e0",
		figure.Muted:   "#aaa59a",
		figure.Rule:    "#36373a",
		figure.Curve:   "#b9cfdc",
		figure.Aim:     "#b5d384",
		figure.Allowed: "#bdb9f2",
		figure.Warning: "#ff9a9f",
		"s0":           "#7fb8e6", "s1": "#f0a069", "s2": "#72cbb0", "s3": "#f6c3ea",
		"t0": "#4b84a6", "t1": "#6d8fb0", "t2": "#9099b8", "t3": "#b3a3b6", "t4": "#d0afab", "t5": "#e8bfa2", "t6": "#fbd69f",
	},
}

// roles is every role that this backend colours, in a fixed order.
func roles() []figure.Role {
	return append([]figure.Role{paper}, figure.Roles()...)
}

// hex is the colour of the role in the scheme.
func hex(s Scheme, r figure.Role) string {
	if c, ok := colours[s][r]; ok {
		return c
	}
	return colours[s][figure.Ink]
}

// Variables are the CSS declarations of the colour roles for a scheme, one a
// line, to be placed in a rule of the page: "--fig-ink:#22211e;".
func Variables(s Scheme) string {
	var b strings.Builder
	for _, r := range roles() {
		fmt.Fprintf(&b, "--fig-%s:%s;\n", r, hex(s, r))
	}
	return b.String()
}

// luminance is the relative luminance of a hex colour (WCAG 2.2, definition
// "relative luminance").
func luminance(h string) float64 {
	c := rgb(h)
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// rgb parses "#rrggbb"; anything else is black.
func rgb(h string) color.RGBA {
	c := color.RGBA{A: 255}
	if n, _ := fmt.Sscanf(h, "#%02x%02x%02x", &c.R, &c.G, &c.B); n != 3 {
		return color.RGBA{A: 255}
	}
	return c
}

// linear undoes the transfer curve of an sRGB channel (WCAG 2.2).
func linear(c uint8) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}
