package cli

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// drawnDesign is a design drawn by lot, as numbers and as the file that a person
// would type.
type drawnDesign struct {
	points                         []float64 // °C, coldest first
	us                             bool
	times, brines, recipes         int
	baths, sessions, each, perCook int // 0 where the file does not say
	stock                          []drawnPiece
	sources                        int
	parts                          bool // the pieces have parts
	sized, bare                    bool
	people, sitting, triangles     int
	fixed                          []drawnFixed
	minutes                        int
	serveAt                        string
	food, kind                     string
	doNotEat                       bool // by the rules of this test: poultry that stays raw
	tasted                         bool
	sourceIDs, partNames, bathIDs  []string
}

type drawnPiece struct {
	source, part string
	mm, grams    float64
}

type drawnFixed struct {
	source, part, session, bath string
	point                       int // -1 where it does not say
}

// drawDesign draws 2 to 8 set points, 0 to 3 brines, 1 to 4 baths, 1 to 14 sources
// of 1 to 12 pieces with or without parts and sizes, 0 to 14 tasters, 1 to 4
// sessions, cooks and pieces stated or left open, triangles where there are two
// methods, things that are fixed, and degrees of both kinds.
func drawDesign(rng *rand.Rand) *drawnDesign {
	d := &drawnDesign{us: rng.IntN(3) == 0, times: 1, minutes: 30 + 10*rng.IntN(5), food: "pollack loin", kind: "lean fish", tasted: true}
	first, step := 44+float64(rng.IntN(4)), 2+float64(rng.IntN(3))
	switch rng.IntN(8) {
	case 0:
		d.food, d.kind, first = "carrot sticks", "vegetable", 80
		step = 2
	case 1: // raw at the coldest, whatever else
		d.food, d.kind, d.doNotEat = "chicken breast", "poultry", true
	}
	for i := range 2 + rng.IntN(7) {
		d.points = append(d.points, first+step*float64(i))
	}
	if d.us { // whole degrees Fahrenheit
		for i, c := range d.points {
			d.points[i] = (math.Round(c*1.8+32) - 32) / 1.8
		}
	}
	if rng.IntN(8) == 0 {
		d.times = 2
	}
	if rng.IntN(8) == 0 {
		d.recipes = 2
	}
	d.brines, d.baths, d.sessions = rng.IntN(4), 1+rng.IntN(4), 1+rng.IntN(4)
	if rng.IntN(5) > 0 {
		d.each = 1 + rng.IntN(4)
	}
	if rng.IntN(4) > 0 {
		d.perCook = 1 + rng.IntN(6)
	}
	d.sources, d.parts, d.sized = 1+rng.IntN(14), rng.IntN(3) > 0, rng.IntN(4) > 0
	most, alike := 1+rng.IntN(12), rng.IntN(2) == 0
	if rng.IntN(6) == 0 {
		most = 1 // each source is a piece
	}
	if d.bare = most == 1 && !d.parts; d.bare { // and is listed by its name alone
		d.sized = false
	}
	d.partNames = [][]string{{"head", "middle", "tail"}, {"head", "shoulder", "middle", "tail"}, {"left", "right"}, {"end", "flap", "heart", "rib", "shank"}}[rng.IntN(4)]
	for s := range d.sources {
		id := fmt.Sprintf("%s-%d", []string{"fish", "box", "loin"}[rng.IntN(3)%3], s+1)
		d.sourceIDs = append(d.sourceIDs, id)
		n := most
		if !alike {
			n = 1 + rng.IntN(most)
		}
		big := rng.NormFloat64()
		for k := range n {
			p := drawnPiece{source: id, mm: math.Round(10*(20+big-float64(k%4)/2+0.5*rng.NormFloat64())) / 10, grams: math.Round(150 + 8*big - 4*float64(k%4) + 5*rng.NormFloat64())}
			if p.part = "piece"; d.parts {
				p.part = d.partNames[k%len(d.partNames)]
			}
			if d.bare {
				p.part = ""
			}
			d.stock = append(d.stock, p)
		}
	}
	for i := range d.baths {
		d.bathIDs = append(d.bathIDs, []string{"north", "south", "east", "west"}[i])
	}
	// Four designs in five ask for no more than there is.
	if rng.IntN(5) > 0 {
		combos := len(d.points) * d.times * max(1, d.recipes)
		for combos > len(d.stock) && len(d.points) > 2 {
			d.points = d.points[:len(d.points)-1]
			combos = len(d.points) * d.times * max(1, d.recipes)
		}
		d.each = min(d.each, max(1, len(d.stock)/combos))
		d.perCook = min(d.perCook, max(1, len(d.stock)/(combos*max(1, d.each))))
	}
	d.people = rng.IntN(15)
	if rng.IntN(3) == 0 {
		d.sitting = 2 + rng.IntN(7)
	}
	if len(d.points)*d.times*max(1, d.recipes)*max(1, d.brines) == 2 && d.people > 0 && rng.IntN(2) == 0 {
		d.triangles = 1 + rng.IntN(3)
	}
	d.tasted = d.people > 0 || rng.IntN(2) == 0
	if rng.IntN(4) == 0 {
		for range 1 + rng.IntN(2) {
			d.fixed = append(d.fixed, d.drawFixed(rng))
		}
	}
	if rng.IntN(2) == 0 {
		d.serveAt = []string{"12:30", "19:30", "00:15"}[rng.IntN(3)]
	}
	if rng.IntN(10) == 0 && d.people > 0 { // two methods, and which of three is the odd one
		d.points, d.times, d.recipes, d.brines, d.fixed = d.points[:2], 1, 0, 0, nil
		d.triangles = 1 + rng.IntN(3)
	}
	return d
}

func (d *drawnDesign) drawFixed(rng *rand.Rand) drawnFixed {
	f := drawnFixed{point: -1}
	if rng.IntN(2) == 0 {
		p := d.stock[rng.IntN(len(d.stock))]
		f.source, f.part = p.source, p.part
	}
	if f.source == "" || rng.IntN(2) == 0 {
		f.point = rng.IntN(len(d.points))
	}
	if f.point >= 0 && f.source != "" && rng.IntN(2) == 0 {
		return f
	}
	if rng.IntN(2) == 0 {
		f.bath = d.bathIDs[rng.IntN(d.baths)]
	} else {
		f.session = fmt.Sprintf("session-%d", 1+rng.IntN(d.sessions))
	}
	return f
}

func (d *drawnDesign) degrees(i int) string {
	if d.us {
		return fmt.Sprintf("%.0f °F", d.points[i]*1.8+32)
	}
	return fmt.Sprintf("%g °C", d.points[i])
}

// text is the trial file.
func (d *drawnDesign) text() string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("tamis: 1\ntitle: Drawn by lot\nby: a test kitchen\nrules: eu")
	line("food: {name: %s, kind: %s, form: whole, shape: slab, thickness: 20 mm, start: 4 °C}", d.food, d.kind)
	if d.tasted {
		line("aim: {measure: firmness, target: 5 to 6.5}\nmeasures:\n  firmness: {scale: 0 to 10, low: soft, high: firm}\n  cook_loss: {unit: \"%%\", from: weights}")
	} else {
		line("aim: {measure: shear, target: 5 to 6.5}\nmeasures:\n  shear: {unit: N}\n  cook_loss: {unit: \"%%\", from: weights}")
	}
	line("sources:")
	for i, id := range d.sourceIDs {
		line("  %s: {lot: L%d, frozen: {at: -20 °C, for: 7 d, by: supplier}, parasites: {control: frozen, record: note}}", id, 1+i/3)
	}
	if d.parts {
		line("parts: [%s]", strings.Join(d.partNames, ", "))
	}
	line("baths:")
	for _, id := range d.bathIDs {
		line("  %s: {reads: 0.1 °C high, checked: 2026-03-02, volume: 20 l, power: 2000 W}", id)
	}
	if d.people > 0 {
		line("panel: {looks_masked: red light, together: no, bite: 2 g, warm_up: yes, rinse: {with: water, gap: 1 min}}")
	}
	line("design:")
	var points, people []string
	for i := range d.points {
		points = append(points, d.degrees(i))
	}
	line("  set_points: [%s]", strings.Join(points, ", "))
	line("  times: [%s]", []string{"", fmt.Sprintf("%d min", d.minutes), fmt.Sprintf("%d min, %d min", d.minutes, d.minutes+30)}[d.times])
	if d.brines > 0 {
		all := []string{"none", "{dry salt: 1 %, of: flesh, for: 20 min}", "{dry salt: 2 %, of: flesh, for: 20 min}"}[:d.brines]
		line("  brine: [%s]", strings.Join(all, ", "))
	}
	if d.recipes > 0 {
		line("  factors: {recipe: [A, B]}")
	}
	if d.each > 0 {
		line("  cooks_each: %d", d.each)
	}
	line("  sessions: %d\n  baths: [%s]", d.sessions, strings.Join(d.bathIDs, ", "))
	if d.perCook > 0 {
		line("  pieces_per_cook: %d", d.perCook)
	}
	line("  sources:")
	for _, id := range d.sourceIDs {
		var pieces []string
		for _, p := range d.stock {
			if p.source != id {
				continue
			}
			if d.bare {
				continue
			}
			of := []string{"part: " + p.part}
			if d.sized {
				if d.us {
					of = append(of, fmt.Sprintf("thickness: %.3f in, before: %.2f oz", p.mm/25.4, p.grams/28.349523125))
				} else {
					of = append(of, fmt.Sprintf("thickness: %g mm, before: %g g", p.mm, p.grams))
				}
			}
			pieces = append(pieces, "{"+strings.Join(of, ", ")+"}")
		}
		line("    %s: [%s]", id, strings.Join(pieces, ", "))
	}
	for i := range d.people {
		people = append(people, fmt.Sprintf("p%02d", i+1))
	}
	line("  assessors: [%s]", strings.Join(people, ", "))
	if d.sitting > 0 {
		line("  samples_per_sitting: %d", d.sitting)
	}
	if d.triangles > 0 {
		line("  triangles: %d", d.triangles)
	}
	if len(d.fixed) > 0 {
		var all []string
		for _, f := range d.fixed {
			var of []string
			for _, x := range [][2]string{{"source", f.source}, {"part", f.part}, {"session", f.session}, {"bath", f.bath}} {
				if x[1] != "" {
					of = append(of, x[0]+": "+x[1])
				}
			}
			if f.point >= 0 {
				of = append(of, "set_point: "+d.degrees(f.point))
			}
			all = append(all, "{"+strings.Join(of, ", ")+"}")
		}
		line("  fixed: [%s]", strings.Join(all, ", "))
	}
	if d.serveAt != "" {
		line("  serve_at: %s", d.serveAt)
	}
	return b.String()
}

// short says what was drawn in one line.
func (d *drawnDesign) short() string {
	return fmt.Sprintf("%d set points × %d times × %d recipes, %d brines, %d each, %d a cook, %d baths, %d sessions, %d sources of %d pieces (parts %v, sizes %v), %d tasters of %d, %d triangles, fixed %v, %s at %q",
		len(d.points), d.times, max(1, d.recipes), d.brines, d.each, d.perCook, d.baths, d.sessions, d.sources, len(d.stock), d.parts, d.sized, d.people, d.sitting, d.triangles, d.fixed, d.kind, d.serveAt)
}
