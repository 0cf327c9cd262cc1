package trial

// Grouping is a way to sort observations into natural groups: candidates for
// the unit of a factor, and levels of variation.
type Grouping string

// The groupings that can be a unit. A bath, a pan and an assessor cannot: they
// are aliases, for the checks.
const (
	BySession Grouping = "session"
	ByBlock   Grouping = "block"
	BySource  Grouping = "source"
	ByTub     Grouping = "tub"
	ByCook    Grouping = "cook"
	ByPiece   Grouping = "piece"
	ByScore   Grouping = "score"
)

// unitNames lists the candidates in the order in which a name is preferred when
// two of them sort the observations alike: a cook in a session of its own is
// called a cook.
var unitNames = []Grouping{ByCook, ByPiece, BySession, ByBlock, BySource, ByTub, ByScore}

// Groups is a grouping of some observations.
type Groups struct {
	By     Grouping
	Levels []string // names of the groups, in the order in which they occur
	Code   []int    // the group of each observation; -1 where it is not known
	Known  bool     // known for every observation
}

// GroupRows sorts observations by g.
func (t *Trial) GroupRows(g Grouping, rows []Observation) Groups {
	out := Groups{By: g, Code: make([]int, len(rows)), Known: len(rows) > 0}
	index := map[string]int{}
	for i := range rows {
		r := &rows[i]
		if i > 0 && r.Cook == rows[i-1].Cook && r.Piece == rows[i-1].Piece { // another look at the same piece
			out.Code[i] = out.Code[i-1]
			continue
		}
		key, ok := t.groupKey(g, r)
		if !ok {
			out.Code[i], out.Known = -1, false
			continue
		}
		code, seen := index[key]
		if !seen {
			code = len(out.Levels)
			index[key] = code
			out.Levels = append(out.Levels, key)
		}
		out.Code[i] = code
	}
	if g == ByScore {
		for i := range rows {
			out.Code[i] = i
		}
		out.Levels = make([]string, len(rows))
	}
	return out
}

func (t *Trial) groupKey(g Grouping, r *Observation) (string, bool) {
	c := &t.Cooks[r.Cook]
	switch g {
	case BySession:
		return c.Session.V, c.Session.Known
	case ByBlock:
		return c.Block.V, c.Block.Known
	case ByCook:
		return c.ID, true
	case ByScore:
		return "", true
	}
	if g == ByTub {
		b := c.BrineOf(r.Piece)
		if !b.Known || (b.V.Kind != NoBrine && !b.V.Tub.Known) {
			return "", false
		}
		if b.V.Kind == NoBrine {
			return "no tub", true
		}
		return "tub " + b.V.Tub.V, true
	}
	if r.Piece < 0 {
		return "", false
	}
	p := &c.Pieces[r.Piece]
	if g == BySource {
		return p.Source.V, p.Source.Known
	}
	// A piece is named within its cook, so that ids need not be unique.
	return c.ID + "/" + p.ID, true
}

// UnitRows is GroupRows for a unit: a number that was put on the cook as a whole
// counts as one of a piece of its own, so that cooks and pieces can be looked at
// together and no score is ever taken for a piece.
func (t *Trial) UnitRows(g Grouping, rows []Observation) Groups {
	if g != ByPiece {
		return t.GroupRows(g, rows)
	}
	out := Groups{By: g, Code: make([]int, len(rows)), Known: len(rows) > 0}
	index := map[string]int{}
	for i := range rows {
		r := &rows[i]
		if i > 0 && r.Cook == rows[i-1].Cook && r.Piece == rows[i-1].Piece {
			out.Code[i] = out.Code[i-1]
			continue
		}
		key, ok := t.groupKey(g, r)
		if !ok {
			key = t.Cooks[r.Cook].ID
		}
		code, seen := index[key]
		if !seen {
			code = len(out.Levels)
			index[key] = code
			out.Levels = append(out.Levels, key)
		}
		out.Code[i] = code
	}
	return out
}

// Unit is the unit of one factor: what it was applied to, and what its n counts.
type Unit struct {
	Factor string
	By     Grouping
	N      int
	// Groups is the grouping itself.
	Groups Groups
	// Crossed names the other valid candidates that cross the unit and stay
	// random levels.
	Crossed []Grouping
}

// UnitOf finds the unit of a factor from the data: the coarsest grouping within
// which the factor never varies; of crossed candidates the one with fewer
// groups. Rows for which the factor is not known are passed over. A factor
// always has a unit, because a single score has one level.
func (t *Trial) UnitOf(f Varied, rows []Observation) Unit {
	return unitOf(f, t.candidates(rows))
}

// UnitsOf is UnitOf of each of several factors of the same rows, which are
// grouped once for all.
func (t *Trial) UnitsOf(factors []Varied, rows []Observation) []Unit {
	if len(factors) == 0 {
		return nil
	}
	groups := t.candidates(rows)
	out := make([]Unit, len(factors))
	for i, f := range factors {
		out[i] = unitOf(f, groups)
	}
	return out
}

// candidates are the groupings of rows that can be a unit.
func (t *Trial) candidates(rows []Observation) []Groups {
	out := make([]Groups, len(unitNames))
	for i, g := range unitNames {
		out[i] = t.UnitRows(g, rows)
	}
	return out
}

func unitOf(f Varied, candidates []Groups) Unit {
	var valid []Groups
	for _, g := range candidates {
		if g.Known && constantWithin(f.Code, g) {
			valid = append(valid, g)
		}
	}
	best := valid[0]
	for _, g := range valid[1:] {
		switch {
		case nestedIn(best, g) && !nestedIn(g, best):
			best = g // strictly coarser
		case nestedIn(g, best):
			// finer, or the same under a less preferred name
		case len(g.Levels) < len(best.Levels):
			best = g
		}
	}
	u := Unit{Factor: f.Name, By: best.By, N: len(best.Levels), Groups: best}
	for _, g := range valid {
		if !nestedIn(g, best) && !nestedIn(best, g) {
			u.Crossed = append(u.Crossed, g.By)
		}
	}
	return u
}

// constantWithin reports whether the codes take one value in each group.
func constantWithin(code []int, g Groups) bool {
	first := make([]int, len(g.Levels))
	for i := range first {
		first[i] = -1
	}
	for i, c := range code {
		if c < 0 {
			continue
		}
		k := g.Code[i]
		if first[k] < 0 {
			first[k] = c
		} else if first[k] != c {
			return false
		}
	}
	return true
}

// nestedIn reports whether every group of fine lies in one group of coarse.
func nestedIn(fine, coarse Groups) bool { return constantWithin(coarse.Code, fine) }

// Nested reports whether every group of fine lies in one group of coarse. Rows
// whose group is not known are passed over.
func Nested(fine, coarse Groups) bool {
	code := append([]int(nil), coarse.Code...)
	for i, c := range fine.Code {
		if c < 0 {
			code[i] = -1
		}
	}
	safe := fine
	safe.Code = append([]int(nil), fine.Code...)
	for i, c := range safe.Code {
		if c < 0 {
			safe.Code[i] = 0
			code[i] = -1
		}
	}
	if len(safe.Levels) == 0 {
		return false
	}
	return constantWithin(code, safe)
}
