package trial

import (
	"slices"

	"tamis/internal/diag"
)

// Observation is one number of one measure, tied to the cook, the piece and
// the assessor it belongs to.
type Observation struct {
	Value    float64
	Cook     int    // index into Trial.Cooks
	Piece    int    // index into that cook's Pieces, or -1 when only the cook is known
	Assessor string // "" for a measure that nobody tasted
	Sitting  string // the tasting session, "" when not recorded
	Repeat   string
	Position int  // place in the serving order, 0 when not recorded
	LeftOut  bool // the file marks the score as left out
	At       diag.Pos
}

// Observed is every observation of one measure and what is missing of it.
type Observed struct {
	Measure Measure
	// Rows has one entry a number, scores in the order of the sheet, then
	// pieces and cooks in the order of the file.
	Rows []Observation
	// Blank counts places that the file has but that hold no value.
	Blank int
	// LeftOut counts rows that are marked as left out; they are in Rows.
	LeftOut int
}

// Observe collects the numbers of one measure. Cook loss that is computed from
// weights is given on the mass before any brine; see CookLoss for the other
// denominator.
func (t *Trial) Observe(m Measure) Observed {
	o := Observed{Measure: m}
	placed := t.placed()
	numbers := 0
	t.places(m, placed, func(r Reading, _, _ int, _ *Score) bool {
		if !r.Missing {
			numbers++
		}
		return true
	})
	if numbers > 0 {
		o.Rows = make([]Observation, 0, numbers)
	}
	t.places(m, placed, func(r Reading, cook, piece int, s *Score) bool {
		if r.Missing {
			o.Blank++
			return true
		}
		row := Observation{Value: r.V, Cook: cook, Piece: piece, At: r.At}
		if s != nil {
			row.Assessor, row.Sitting, row.Repeat, row.Position = s.Assessor, s.Session.Or(""), s.Repeat.Or(""), s.Position.Or(0)
			if row.LeftOut = s.leftOut(); row.LeftOut {
				o.LeftOut++
			}
		}
		o.Rows = append(o.Rows, row)
		return true
	})
	return o
}

// Tally is how much there is of a measure.
type Tally struct {
	Measure Measure
	// Numbers and Blank count what Observe collects.
	Numbers, Blank int
	// Pieces has a row without a number for each piece, and for each cook as a whole,
	// of which a number is not left out, in the order of Observe.
	Pieces []Observation
}

// Tallies are those of all measures.
func (t *Trial) Tallies() []Tally {
	placed := t.placed()
	first := make([]int, len(t.Cooks)) // where the places of a cook begin in seen: the whole, then its pieces
	n := 0
	for ci := range t.Cooks {
		first[ci] = n
		n += 1 + len(t.Cooks[ci].Pieces)
	}
	out := make([]Tally, len(t.Measures))
	seen := make([]bool, n)
	for i, m := range t.Measures {
		tally := &out[i]
		tally.Measure = m
		clear(seen)
		var pairs [][2]int
		t.places(m, placed, func(r Reading, cook, piece int, s *Score) bool {
			if r.Missing {
				tally.Blank++
				return true
			}
			tally.Numbers++
			if at := &seen[first[cook]+1+piece]; !*at && !(s != nil && s.leftOut()) {
				*at = true
				pairs = append(pairs, [2]int{cook, piece})
			}
			return true
		})
		if i > 0 && slices.EqualFunc(pairs, out[i-1].Pieces, func(p [2]int, o Observation) bool { return p == [2]int{o.Cook, o.Piece} }) {
			tally.Pieces = out[i-1].Pieces // measures of one sheet
			continue
		}
		tally.Pieces = make([]Observation, len(pairs))
		for k, p := range pairs {
			tally.Pieces[k].Cook, tally.Pieces[k].Piece = p[0], p[1]
		}
	}
	return out
}

// HasNumbers reports whether there is any number of a measure.
func (t *Trial) HasNumbers(m Measure) bool {
	if t.Panel.Known && !m.FromWeights() { // most are on the sheet, and the first row tells
		for i := range t.Panel.V.Scores {
			s := &t.Panel.V.Scores[i]
			if r, ok := s.Values.Get(m.Name); ok && !r.Missing && t.hasCook(s.Cook) {
				return true
			}
		}
	}
	found := false
	t.places(m, nil, func(r Reading, _, _ int, _ *Score) bool {
		found = !r.Missing
		return !found
	})
	return found
}

func (s *Score) leftOut() bool { return s.LeftOut.Known && s.LeftOut.V != "" }

// scorePlace is the cook and the piece that a score belongs to; the cook is -1 where
// there is none of that id, the piece where only the cook is known.
type scorePlace struct{ cook, piece int }

// placed are the places of the scores, in the order of the sheet.
func (t *Trial) placed() []scorePlace {
	if !t.Panel.Known {
		return nil
	}
	cooks := t.CookIndex()
	out := make([]scorePlace, len(t.Panel.V.Scores))
	for i := range out {
		s := &t.Panel.V.Scores[i]
		out[i] = scorePlace{-1, -1}
		if ci, found := cooks[s.Cook]; found {
			out[i] = scorePlace{ci, t.Cooks[ci].pieceIndex(s.Piece)}
		}
	}
	return out
}

// places calls visit for every place that the file has for a number of a measure,
// in the order of Observe, until it returns false. The score is nil for what was
// put on a piece or a cook; the piece is -1 where only the cook is known.
func (t *Trial) places(m Measure, placed []scorePlace, visit func(r Reading, cook, piece int, s *Score) bool) {
	if m.FromWeights() {
		for ci := range t.Cooks {
			for pi := range t.Cooks[ci].Pieces {
				p := &t.Cooks[ci].Pieces[pi]
				loss, ok := p.CookLoss(false)
				if !visit(Reading{V: loss, Missing: !ok, At: p.At}, ci, pi, nil) {
					return
				}
			}
		}
		return
	}
	for i, at := range placed {
		if at.cook < 0 {
			continue
		}
		s := &t.Panel.V.Scores[i]
		if r, ok := s.Values.Get(m.Name); ok && !visit(r, at.cook, at.piece, s) {
			return
		}
	}
	for ci := range t.Cooks {
		for pi := range t.Cooks[ci].Pieces {
			if r, ok := t.Cooks[ci].Pieces[pi].Values.Get(m.Name); ok && !visit(r, ci, pi, nil) {
				return
			}
		}
	}
	for ci := range t.Cooks {
		if r, ok := t.Cooks[ci].Values.Get(m.Name); ok && !visit(r, ci, -1, nil) {
			return
		}
	}
}

// Layout is a row for each piece, and for each cook without pieces, with no
// value: what was cooked, whether or not anything was measured.
func (t *Trial) Layout() []Observation {
	n := 0
	for ci := range t.Cooks {
		n += max(1, len(t.Cooks[ci].Pieces))
	}
	rows := make([]Observation, 0, n)
	for ci := range t.Cooks {
		for pi := range t.Cooks[ci].Pieces {
			rows = append(rows, Observation{Cook: ci, Piece: pi})
		}
		if len(t.Cooks[ci].Pieces) == 0 {
			rows = append(rows, Observation{Cook: ci, Piece: -1})
		}
	}
	return rows
}

// Places is a row without a value for each cook as a whole and for each piece: all
// that a number can belong to.
func (t *Trial) Places() []Observation {
	n := len(t.Cooks)
	for ci := range t.Cooks {
		n += len(t.Cooks[ci].Pieces)
	}
	rows := make([]Observation, 0, n)
	for ci := range t.Cooks {
		for pi := -1; pi < len(t.Cooks[ci].Pieces); pi++ {
			rows = append(rows, Observation{Cook: ci, Piece: pi})
		}
	}
	return rows
}

// CookIndex maps the id of each cook to its index.
func (t *Trial) CookIndex() map[string]int {
	m := make(map[string]int, len(t.Cooks))
	for i := range t.Cooks {
		if _, dup := m[t.Cooks[i].ID]; !dup {
			m[t.Cooks[i].ID] = i
		}
	}
	return m
}

func (t *Trial) hasCook(id string) bool {
	for i := range t.Cooks {
		if t.Cooks[i].ID == id {
			return true
		}
	}
	return false
}

func (c *Cook) pieceIndex(id Opt[string]) int {
	if id.Known {
		for i := range c.Pieces {
			if c.Pieces[i].ID == id.V {
				return i
			}
		}
	}
	return -1
}

// CookLoss is the loss in percent of the mass before cooking: of the raw mass,
// or with onBrined of the mass after the brine, which is a different number
// because the brine changed the mass. ok is false when a mass is missing or
// the denominator is zero.
func (p *Piece) CookLoss(onBrined bool) (percent float64, ok bool) {
	from := p.Before
	if onBrined {
		from = p.Brined
	}
	if !from.Known || !p.After.Known || from.V.Grams() <= 0 {
		return 0, false
	}
	return 100 * (from.V.Grams() - p.After.V.Grams()) / from.V.Grams(), true
}

// MeasureNamed finds a measure by its name.
func (t *Trial) MeasureNamed(name string) (Measure, bool) {
	for _, m := range t.Measures {
		if m.Name == name {
			return m, true
		}
	}
	return Measure{}, false
}

// AssessorIDs lists everybody who has a score, by id with numbers by size: the
// same order however the sheet is sorted.
func (t *Trial) AssessorIDs() []string {
	if !t.Panel.Known {
		return nil
	}
	var ids []string
	seen := map[string]bool{}
	for i := range t.Panel.V.Scores {
		if id := t.Panel.V.Scores[i].Assessor; id != "" && !seen[id] {
			seen[id] = true
			ids = append(ids, id)
		}
	}
	slices.SortFunc(ids, naturally)
	return ids
}

// TasterIDs lists everybody who has a row in the scores or in the triangles: those
// of AssessorIDs first, then who has triangles only.
func (t *Trial) TasterIDs() []string {
	ids := t.AssessorIDs()
	var more []string
	for i := range t.Panel.V.Triangles {
		if id := t.Panel.V.Triangles[i].Assessor; !slices.Contains(ids, id) && !slices.Contains(more, id) {
			more = append(more, id)
		}
	}
	slices.SortFunc(more, naturally)
	return append(ids, more...)
}

// CooksTasted counts the cooks for which any assessor has a score of any
// measure; all reports whether each assessor has one for each of them.
func (t *Trial) CooksTasted() (cooks int, all bool) {
	people := t.AssessorIDs()
	if len(people) == 0 {
		return 0, false
	}
	person := map[string]int{"": len(people)} // a row without a name is of nobody here
	for i, id := range people {
		person[id] = i
	}
	columns := len(people) + 1
	cook := map[string]int{}
	var tasted []bool // by cook, then by person
	n := 0
	for i := range t.Panel.V.Scores {
		s := &t.Panel.V.Scores[i]
		if !s.hasNumber() {
			continue
		}
		at, seen := cook[s.Cook]
		if !seen {
			at = len(cook)
			cook[s.Cook] = at
			tasted = append(tasted, make([]bool, columns)...)
		}
		if pair := &tasted[at*columns+person[s.Assessor]]; !*pair {
			*pair = true
			n++
		}
	}
	return len(cook), n == len(people)*len(cook)
}

// hasNumber reports whether any measure has a number in the row.
func (s *Score) hasNumber() bool {
	for _, v := range s.Values {
		if !v.Missing {
			return true
		}
	}
	return false
}
