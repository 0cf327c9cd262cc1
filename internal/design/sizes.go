package design

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// House rules.
const (
	// MostInSitting is how many samples one person takes in a row where the design
	// does not say: near published practice.
	MostInSitting = 6
	// MostRuns, MostPieces and MostPeople bound what is laid out.
	MostRuns   = 500
	MostPieces = 2000
	MostPeople = 500
	// defaultEach is how often everything is cooked where the design does not say
	// and the pieces suffice: the fewest runs that the checks call repeated.
	defaultEach = 3
)

// combination is what a cook is: a set point, a time and the levels of the
// factors that belong to a cook.
type combination struct {
	arm  int // coldest first
	time int // of Times or Holds; -1 where the design has neither
	with []trial.Level
}

// stockPiece is a piece that there is.
type stockPiece struct {
	source, part string
	thickness    trial.Opt[quantity.Length]
	before       trial.Opt[quantity.Mass]
}

// sizes is a design with everything that it leaves open decided.
type sizes struct {
	d            *trial.Design
	points       []quantity.Temperature // coldest first
	combinations []combination
	within       []trial.Treatment // what varies piece by piece within a cook; one, empty, where nothing does
	each         int
	perCook      int
	sessions     []string
	baths        []string
	stock        []stockPiece
	lotOf        map[string]string // by source, where the trial states it
	people       []string
	sitting      int
	parts        []string         // their order along a source, where the trial states it
	taken        []prose.Sentence // what was decided here
}

func (s *sizes) runs() int { return len(s.combinations) * s.each }

// sizesOf reads a design and refuses one that contradicts itself or the trial.
// Where the design does not say how often everything is cooked, it is at most
// mostEach times.
func sizesOf(t *trial.Trial, mostEach int) (*sizes, error) {
	d := t.Design.V
	s := &sizes{d: &d, sitting: d.SamplesPerSitting.Or(MostInSitting), parts: t.Parts}
	bad := func(parts ...any) error { return refuse(ErrDesign, d.At, say(parts...), nil) }

	s.points = slices.Clone(d.SetPoints)
	slices.SortStableFunc(s.points, func(a, b quantity.Temperature) int { return cmp.Compare(a.Celsius(), b.Celsius()) })
	for i := range s.points {
		if i > 0 && s.points[i].Celsius()-s.points[i-1].Celsius() <= trial.ArmTolerance {
			return nil, bad("the set points ", s.points[i-1], " and ", s.points[i], " are the same")
		}
	}
	if len(s.points) == 0 {
		return nil, bad("it has no set points")
	}
	if len(d.Times)+len(d.Holds) == 0 {
		return nil, refuse(ErrDesign, d.At, say("it has no time"), say("add times: [60 min] (in the bath) or hold: [20 min]"))
	}
	s.combine()
	s.vary()

	s.lotOf = map[string]string{}
	for _, src := range t.Sources {
		s.lotOf[src.ID] = src.Lot.V
	}
	for _, src := range d.Sources {
		pieces := src.Pieces
		if len(pieces) == 0 {
			pieces = []trial.DesignPiece{{}}
		}
		for _, p := range pieces {
			s.stock = append(s.stock, stockPiece{source: src.ID, part: p.Part, thickness: p.Thickness, before: p.Before})
		}
	}
	if len(s.combinations) > MostRuns || len(s.stock) > MostPieces {
		return nil, bad(len(s.combinations), " combinations and ", len(s.stock), " pieces are more than are laid out at once (", MostRuns, " and ", MostPieces, ")")
	}
	if err := s.repeats(t, mostEach); err != nil {
		return nil, err
	}
	if err := s.places(t); err != nil {
		return nil, err
	}
	s.people = distinct(d.Assessors)
	if len(s.people) == 0 && t.Panel.Known {
		for _, a := range t.Panel.V.Assessors {
			s.people = append(s.people, a.ID)
		}
	}
	if len(s.people) > MostPeople {
		return nil, bad(len(s.people), " assessors are more than are laid out at once")
	}
	return s, nil
}

// combine crosses set points, times and the levels of factors.
func (s *sizes) combine() {
	times := max(len(s.d.Times), len(s.d.Holds))
	levels := [][]trial.Level{nil}
	for _, f := range s.d.Factors {
		var next [][]trial.Level
		for _, have := range levels {
			for _, l := range f.Levels {
				if len(next) <= MostRuns {
					next = append(next, append(slices.Clone(have), trial.Level{Factor: f.Name, Level: l}))
				}
			}
		}
		levels = next
	}
	for arm := range s.points {
		for time := range times {
			for _, with := range levels {
				if len(s.combinations) <= MostRuns { // one more than allowed says enough
					s.combinations = append(s.combinations, combination{arm, time, with})
				}
			}
		}
	}
}

// vary crosses the brines and finishes that vary within a cook.
func (s *sizes) vary() {
	s.within = []trial.Treatment{{}}
	if len(s.d.Brine) > 1 {
		s.within = nil
		for _, b := range s.d.Brine {
			s.within = append(s.within, trial.Treatment{Brine: trial.Some(b)})
		}
	}
	if len(s.d.Finish) > 1 {
		var next []trial.Treatment
		for _, w := range s.within {
			for _, f := range s.d.Finish {
				w.Finish = trial.Some(f)
				next = append(next, w)
			}
		}
		s.within = next
	}
}

// repeats decides how often everything is cooked and of how many pieces, and
// whether there are enough of them.
func (s *sizes) repeats(t *trial.Trial, mostEach int) error {
	combos, w, stock := len(s.combinations), len(s.within), len(s.stock)
	s.perCook = s.d.PiecesPerCook.Or(0)
	if s.each = s.d.CooksEach.Or(0); s.each == 0 {
		s.each = max(defaultEach, s.d.Sessions.Or(len(t.Sessions)))
		if stock > 0 {
			s.each = max(1, min(s.each, stock/(combos*max(1, s.perCook, min(w, stock/combos)))))
		}
		s.each = max(1, min(s.each, mostEach, MostRuns/combos))
		s.taken = append(s.taken, say("Everything is cooked ", times(s.each), ", since the design does not say how often (cooks_each)."))
	}
	runs := combos * s.each
	if runs > MostRuns {
		return refuse(ErrDesign, s.d.At, say(runs, " runs are more than are laid out at once (", MostRuns, ")"), say("take fewer set points, levels or repeats"))
	}
	if s.perCook == 0 {
		s.perCook = w
		if stock > 0 {
			s.perCook = stock / runs
			if s.perCook > w {
				s.perCook -= s.perCook % w // every brine equally often
			}
		}
		if s.perCook > 0 {
			s.taken = append(s.taken, say("Each cook gets ", count(s.perCook, "piece", "pieces"), ", since the design does not say how many (pieces_per_cook)."))
		}
	}
	need := runs * max(1, s.perCook)
	if need > MostPieces {
		return refuse(ErrDesign, s.d.At, say(need, " pieces are more than are laid out at once (", MostPieces, ")"), say("take fewer pieces in a cook"))
	}
	if stock > 0 && need > stock {
		return refuse(ErrPieces, s.d.At, say(runs, " runs of ", count(max(1, s.perCook), "piece", "pieces"), " need ", need, " pieces, and the sources give ", stock),
			say("list more sources, or take fewer set points, repeats (cooks_each) or pieces in a cook (pieces_per_cook)"))
	}
	return nil
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// places names the sessions and baths.
func (s *sizes) places(t *trial.Trial) error {
	n := s.d.Sessions.Or(max(1, len(t.Sessions)))
	if n > s.runs() {
		return refuse(ErrDesign, s.d.Sessions.At, say(n, " sessions are more than the ", count(s.runs(), "run", "runs")), say("take fewer sessions, or cook more often (cooks_each)"))
	}
	switch {
	case len(t.Sessions) == 0:
		for i := range n {
			s.sessions = append(s.sessions, fmt.Sprintf("session-%d", i+1))
		}
	case len(t.Sessions) < n:
		return refuse(ErrDesign, s.d.Sessions.At, say("the design has ", n, " sessions, and sessions lists ", len(t.Sessions)), say("list the others there, or delete that list"))
	default:
		for i := range n {
			s.sessions = append(s.sessions, t.Sessions[i].ID)
		}
	}
	known := map[string]bool{}
	for _, b := range t.Baths {
		known[b.ID] = true
	}
	s.baths = distinct(s.d.Baths)
	for _, b := range s.baths {
		if len(known) > 0 && !known[b] {
			return refuse(ErrDesign, s.d.At, say("the design uses the bath "+b+", and baths does not list it"), say("add "+b+": {} to baths"))
		}
	}
	if len(s.baths) == 0 {
		for _, b := range t.Baths {
			s.baths = append(s.baths, b.ID)
		}
	}
	if len(s.baths) == 0 { // one is needed, and a name makes it one and the same for all
		s.baths = []string{"bath-1"}
	}
	return nil
}

// distinct drops repeats and keeps the order.
func distinct(list []string) []string {
	var out []string
	for _, x := range list {
		if !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}

// armOf finds the set point that is meant, or -1.
func (s *sizes) armOf(x quantity.Temperature) int {
	for i, p := range s.points {
		if math.Abs(p.Celsius()-x.Celsius()) <= trial.ArmTolerance {
			return i
		}
	}
	return -1
}

// thickest is the greatest thickness that is stated in the stock, where every
// piece states one.
func (s *sizes) thickest() trial.Opt[quantity.Length] {
	var out trial.Opt[quantity.Length]
	for _, p := range s.stock {
		if !p.thickness.Known {
			return trial.Opt[quantity.Length]{}
		}
		if !out.Known || p.thickness.V.Millimetres() > out.V.Millimetres() {
			out = trial.Some(p.thickness.V)
		}
	}
	return out
}

func number(n int) string { return fmt.Sprint(n) }
