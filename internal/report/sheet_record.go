package report

import (
	"fmt"
	"html/template"
	"strings"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// recordSheet is what is written down with wet hands: six boxes a piece, and on
// a second sheet the rest.
type recordSheet struct {
	sheetHead
	Sessions   []recordSession
	Measured   []recordMeasure
	Areas      []area // drawn reference areas, where surface protein is a measure
	Brined     bool   // pieces are weighed between brine and bath
	Deviations []int
}

type recordSession struct {
	Name  string
	Eat   []verdict
	Throw []words
	Cooks []recordCook
}

type recordCook struct {
	Cook    string
	About   words
	Refused bool
	Pieces  []recordPiece
}

// recordPiece is one line: the piece and what its boxes hold already.
type recordPiece struct {
	Piece                             string
	Thickness, Before, In, Out, After words
	Brined                            words
	Values                            []string
	Notes                             string
}

// recordMeasure is a measure that is taken on the pieces.
type recordMeasure struct{ Name, Scale string }

// area is a drawn reference: so many of a hundred cells are dark.
type area struct {
	Percent int
	SVG     template.HTML
}

// surfaceProtein is the name that the format gives to the measure.
const surfaceProtein = "surface_protein"

func (m *sheetMaker) record(h sheetHead) any {
	p := recordSheet{sheetHead: h, Deviations: make([]int, 6)}
	var measures []trial.Measure
	for _, x := range m.t.Measures {
		if x.FromWeights() || design.Tasted(x) {
			continue
		}
		measures = append(measures, x)
		r := recordMeasure{Name: capital(plain(x.Name)), Scale: clean(x.Unit.V)}
		if x.Kind != trial.Amount {
			r.Scale = short(x.Scale.Low) + " to " + short(x.Scale.High)
		}
		p.Measured = append(p.Measured, r)
		if x.Name == surfaceProtein {
			p.Areas = areas()
		}
	}
	for _, g := range m.groups {
		s := recordSession{Name: g.Name(), Eat: m.verdicts(g.Cooks), Throw: m.discards(g.Cooks)}
		for _, i := range g.Cooks {
			c := &m.t.Cooks[i]
			r := recordCook{Cook: clean(c.ID), Refused: !m.cook(i).Eaten}
			about := []words{setPointWords(c), bathTime(c)}
			if c.Bath.Known {
				about = append(about, named(c.Bath.V))
			}
			r.About = strung(about, ", ")
			for j := range c.Pieces {
				x := &c.Pieces[j]
				if b := c.Treatments(j).Brine; b.Known && b.V.Kind != trial.NoBrine {
					p.Brined = true
				}
				out := c.Out
				if x.Out.Known {
					out = x.Out
				}
				r.Pieces = append(r.Pieces, recordPiece{Piece: clean(x.ID), Thickness: written(x.Thickness), Before: written(x.Before), In: clockInBox(c.Started),
					Out: clockInBox(out), After: written(x.After), Brined: written(x.Brined), Values: valuesOf(x.Values, measures), Notes: clean(x.Notes.V)})
			}
			if len(c.Pieces) == 0 {
				r.Pieces = append(r.Pieces, recordPiece{Piece: clean(c.ID), In: clockInBox(c.Started), Out: clockInBox(c.Out), Values: valuesOf(c.Values, measures), Notes: clean(c.Notes.V)})
			}
			s.Cooks = append(s.Cooks, r)
		}
		p.Sessions = append(p.Sessions, s)
	}
	return p
}

// written is a value that the trial has already.
func written[T interface {
	Format(quantity.System) string
}](o trial.Opt[T]) words {
	if !o.Known {
		return nil
	}
	return inBoth(o.V.Format)
}

func clockInBox(o trial.Opt[trial.Clock]) words {
	if !o.Known {
		return nil
	}
	return say(o.V.String())
}

func valuesOf(values trial.Readings, measures []trial.Measure) []string {
	out := make([]string, len(measures))
	for i, m := range measures {
		if v, ok := values.Get(m.Name); ok && !v.Missing {
			out[i] = short(v.V)
		}
	}
	return out
}

// shownAreas are the references that are drawn, in percent.
var shownAreas = []int{1, 5, 10, 20, 40, 60, 80}

// areas draws squares of a hundred cells of which so many are dark. The cells
// are taken in one fixed scattered order, so that each square holds the darker
// cells of the one before it and the share is exact.
func areas() []area {
	// 37 has no common divisor with 100, so stepping by it visits every cell once.
	order := make([]int, 100)
	for i := range order {
		order[i] = (i*37 + 13) % 100
	}
	out := make([]area, 0, len(shownAreas))
	for _, n := range shownAreas {
		var b strings.Builder
		fmt.Fprintf(&b, `<svg class="area" viewBox="0 0 100 100" role="img" aria-label="%d percent of a square, dark"><rect width="100" height="100" fill="none" stroke="currentColor" stroke-width="2"/><path fill="currentColor" d="`, n)
		for _, k := range order[:n] {
			fmt.Fprintf(&b, "M%d %dh10v10h-10z", k%10*10, k/10*10)
		}
		b.WriteString(`"/></svg>`)
		out = append(out, area{n, template.HTML(b.String())})
	}
	return out
}

// RecordOrder is the order in which the cooks of a trial stand on its record
// sheet, as indices.
func RecordOrder(t *trial.Trial) []int {
	var out []int
	for _, g := range groupsOf(t) {
		out = append(out, g.Cooks...)
	}
	return out
}
