package demo

import (
	"embed"
	"fmt"
	"image/color"
	"math"
	"math/rand/v2"
	"strings"
)

// The pictures of the demo trials are drawn from the numbers of the pieces that
// they show. They are drawings and say so; none is made to pass for a photo.

//go:embed stories
var stories embed.FS

// story is an author's text of a demo trial, indented for a block of YAML.
func story(name string) string {
	b, err := stories.ReadFile("stories/" + name + ".md")
	if err != nil {
		panic(err) // it is built in
	}
	var out strings.Builder
	for line := range strings.Lines(string(b)) {
		if strings.TrimSpace(line) != "" {
			out.WriteString("  ")
		}
		out.WriteString(line)
	}
	return out.String()
}

// picture is an entry of photos and the file that it names.
type picture struct{ name, of, caption, alt, file string }

// photos is the list for the trial file, and the files below the folder.
func photos(folder string, ps []picture) (yaml string, files []File) {
	yaml = "photos:                     # drawings, made from the numbers of the pieces\n"
	for _, p := range ps {
		of := ""
		if p.of != "" {
			of = "of: " + p.of + ", "
		}
		yaml += fmt.Sprintf("  - {file: photos/%s, %scaption: %q, alt: %q, credit: \"Drawing: Saltholm test kitchen\", licence: CC0}\n", p.name, of, p.caption, p.alt)
		files = append(files, File{folder + "/photos/" + p.name, p.file})
	}
	return yaml, files
}

func rgb(r, g, b uint8) color.NRGBA { return color.NRGBA{r, g, b, 255} }

var (
	slate, board = rgb(84, 98, 108), rgb(58, 69, 77)
	chalk, edge  = rgb(240, 236, 226), rgb(120, 96, 80)
	setWhite     = rgb(255, 254, 248)
)

// What the drawings of cut pieces share: their size, and pixels to a millimetre.
const cutWidth, cutHeight, cutScale = 400, 250, 6.5

// cutBoard is a board with a bar of 10 mm on it.
func cutBoard() *sketch {
	s := newSketch(cutWidth, cutHeight, slate)
	s.box(board, 0, cutHeight-42, cutWidth, cutHeight)
	s.line(chalk, 3, nil, dot{20, cutHeight - 16}, dot{20 + 10*cutScale, cutHeight - 16})
	for _, x := range []float64{20, 20 + 10*cutScale} {
		s.line(chalk, 3, nil, dot{x, cutHeight - 22}, dot{x, cutHeight - 10})
	}
	return s
}

// flakes draws a cut piece of pollack: the firmer (0 to 10), the whiter and the
// wider its flakes stand apart; the more surface protein (0 to 5), the more of
// it sits on the rim.
func flakes(seed uint64, thickness, firmness, protein float64) string {
	r := rand.New(rand.NewPCG(seed, 7))
	s := cutBoard()
	d := firmness / 10
	rx, ry := 25*cutScale, thickness/2*cutScale
	at := dot{cutWidth / 2, cutHeight - 42 - ry}
	flesh := mix(rgb(226, 202, 186), rgb(250, 246, 236), d)
	s.slab(edge, at, rx+2, ry+2)
	s.slab(flesh, at, rx, ry)
	keep := func(x, y float64) bool { return inSlab(x, y, at, rx-2, ry-2) }
	for i := range 8 {
		x := at.x - rx + (float64(i)+0.7+0.3*r.Float64())*2*rx/8.4
		bow := 10 + 8*r.Float64()
		s.line(mix(flesh, edge, 0.25+0.5*d), 1+5*d*d+r.Float64(), keep, curve(14, func(t float64) dot {
			return dot{x + bow*math.Sin(math.Pi*t), at.y - ry + 2*ry*t}
		})...)
	}
	for range int(math.Round(7 * protein)) {
		a := 2 * math.Pi * r.Float64()
		c, n := math.Cos(a), math.Sin(a)
		// On the rim of the superellipse, at that angle.
		k := math.Pow(c*c*c*c+n*n*n*n, -0.25)
		size := 3 + 5*r.Float64()
		p := dot{at.x + k*c*rx, math.Min(at.y+k*n*ry, cutHeight-44-size)}
		s.disc(rgb(176, 170, 156), p, size+1.2, size*0.8+1.2)
		s.disc(setWhite, p, size, size*0.8)
	}
	return s.file()
}

// fibres draws a cut chicken breast: the firmer (0 to 10), the longer its
// fibres, and the more weight was lost (%), the wider the pool below.
func fibres(seed uint64, thickness, firmness, loss float64) string {
	r := rand.New(rand.NewPCG(seed, 8))
	s := cutBoard()
	d := firmness / 10
	rx, ry := 25*cutScale, thickness/2*cutScale
	at := dot{cutWidth / 2, cutHeight - 42 - ry}
	s.disc(rgb(150, 140, 118), dot{at.x, cutHeight - 40}, 30+9*loss, 2+0.6*loss)
	flesh := mix(rgb(244, 206, 188), rgb(250, 240, 222), d)
	s.slab(edge, at, rx+2, ry+2)
	s.slab(flesh, at, rx, ry)
	keep := func(x, y float64) bool { return inSlab(x, y, at, rx-3, ry-3) }
	for i := range 90 {
		x := at.x + (2*r.Float64()-1)*rx
		y := at.y - ry + (float64(i)+0.5)*2*ry/90
		length := (10 + 60*d) * (0.5 + r.Float64())
		s.line(mix(flesh, edge, 0.2+0.35*d), 1.2+1.2*d, keep, dot{x, y}, dot{x + length, y + 4*(r.Float64()-0.5)})
	}
	return s.file()
}

// droop draws a carrot stick that is held at one end: the less force it took to
// shear (N), the further it hangs.
func droop(shear float64) string {
	const scale, hold = 4.6, 56
	s := newSketch(cutWidth, 210, slate)
	fall := 120 * math.Min(1, math.Max(0, 1-shear/32))
	dots := curve(30, func(t float64) dot { return dot{hold + t*(70*scale-0.25*fall), 60 + fall*t*t} })
	s.line(rgb(120, 60, 16), 12*scale+4, nil, dots...)
	s.line(rgb(236, 124, 36), 12*scale, nil, dots...)
	s.line(rgb(246, 164, 84), 4*scale, nil, dots...)
	s.box(rgb(36, 42, 48), 0, 18, hold, 102)
	s.line(chalk, 3, nil, dot{20, 194}, dot{20 + 10*scale, 194})
	for _, x := range []float64{20, 20 + 10*scale} {
		s.line(chalk, 3, nil, dot{x, 188}, dot{x, 200})
	}
	return s.file()
}

// bench draws three baths in a row, each with its clip-on heater and a bag with
// four pieces.
func bench() string {
	s := newSketch(960, 380, rgb(236, 230, 218))
	s.box(rgb(196, 180, 156), 0, 330, 960, 380)
	steel, water, bag := rgb(120, 130, 138), rgb(168, 204, 220), rgb(222, 236, 242)
	for i := range 3 {
		x := 60 + float64(i)*300
		s.box(steel, x-6, 120, x+246, 336)
		s.box(rgb(246, 246, 244), x, 120, x+240, 330)
		s.box(water, x, 150, x+240, 330)
		s.line(rgb(246, 252, 255), 4, nil, curve(24, func(t float64) dot { return dot{x + 240*t, 151 + 3*math.Sin(6*math.Pi*t+float64(i))} })...)
		// the heater: head above the rim, rod in the water, a display without a number
		s.slab(board, dot{x + 40, 76}, 27, 48)
		s.box(rgb(150, 190, 170), x+24, 52, x+56, 72)
		s.box(board, x+30, 110, x+50, 280)
		// the bag, from a clip at the rim
		s.box(rgb(36, 42, 48), x+146, 104, x+166, 134)
		s.slab(rgb(140, 160, 170), dot{x + 156, 222}, 62, 92)
		s.slab(bag, dot{x + 156, 222}, 60, 90)
		for k := range 4 {
			c := dot{x + 128 + 56*float64(k%2), 186 + 68*float64(k/2)}
			s.slab(edge, c, 24, 26)
			s.slab(mix(rgb(226, 205, 190), rgb(250, 244, 232), []float64{0.3, 0.6, 0.9}[i]), c, 22.5, 24.5)
		}
	}
	return s.file()
}

// fishAlt is what flakes shows, in words.
func fishAlt(thickness, firmness, protein float64) string {
	flesh := "glassy, its flakes closed"
	switch {
	case firmness >= 7.5:
		flesh = "white, its flakes wide apart"
	case firmness >= 4:
		flesh = "milky, its flakes just open"
	}
	rim := "The rim is nearly clean"
	switch {
	case protein >= 2.5:
		rim = "White beads cover the rim"
	case protein >= 1:
		rim = "A few white beads sit on the rim"
	}
	return fmt.Sprintf("Drawing of a cut piece %g mm thick, %s. %s.", thickness, flesh, rim)
}

// chickenAlt is what fibres shows, in words.
func chickenAlt(firmness, loss float64) string {
	fibre := "short, soft fibres"
	switch {
	case firmness >= 6:
		fibre = "long, dry fibres"
	case firmness >= 4:
		fibre = "fibres of middling length"
	}
	pool := "a small pool"
	if loss >= 13 {
		pool = "a wide pool"
	}
	return "Drawing of a cut chicken breast with " + fibre + ", in " + pool + " of its juice."
}

// carrotAlt is what droop shows, in words.
func carrotAlt(shear float64) string {
	how := "points straight ahead"
	switch {
	case shear < 14:
		how = "hangs down"
	case shear < 26:
		how = "bows a little"
	}
	return "Drawing of a carrot stick that is held at one end and " + how + "."
}
