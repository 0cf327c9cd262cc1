package report

import (
	"slices"
	"strconv"
	"strings"

	"tamis/internal/trial"
)

// triangleBallot is a page on which one assessor names the odd one of each set.
type triangleBallot struct {
	Assessor, Session, Food string
	Tasters                 []words
	Thrown                  words
	Between                 words
	WarmUp                  bool
	Sets                    []triangleSet
	Left                    string // codes that are not served
}

type triangleSet struct {
	Set   string
	At    string // when it is served, where the day has several flights
	Codes []string
}

// triangleServed is one set on the list of whoever serves.
type triangleServed struct {
	Assessor, Set string
	At            string // when it is served, where the day has several flights
	Portions      []trianglePortion
	Refused       bool
}

type trianglePortion struct{ Code, Piece string }

// triangleBallots are a page for each assessor and session. A set of which
// anything must not be eaten is not on it.
func (m *sheetMaker) triangleBallots() []triangleBallot {
	eaten, cookOf := m.eatenByCode(), m.t.CookOfCode()
	var out []triangleBallot
	at := map[[2]string]int{}
	left := make(map[[2]string][]string)
	for _, x := range m.t.Panel.V.Triangles {
		k := [2]string{x.Assessor, x.Session.V}
		if !eatable(x, eaten) {
			for _, c := range x.Codes {
				left[k] = append(left[k], clean(c))
			}
			continue
		}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, triangleBallot{Assessor: clean(x.Assessor), Session: clean(sessionWords(x.Session.V)), Food: clean(m.t.Food.Name.V), Tasters: all(m.said.Tasters), Thrown: m.thrownAway(x.Session.V),
				WarmUp: m.t.Panel.V.WarmUp.Known && m.t.Panel.V.WarmUp.V, Between: m.between()})
		}
		s := triangleSet{Set: strconv.Itoa(x.Set), At: m.flightOf(cookOf[x.Codes[0]])}
		for _, c := range x.Codes {
			s.Codes = append(s.Codes, clean(c))
		}
		out[i].Sets = append(out[i].Sets, s)
	}
	for k, i := range at {
		out[i].Left = strings.Join(left[k], ", ")
	}
	return out
}

// triangleList is what is served in a session, set by set; what an earlier flight
// serves comes first.
func (m *sheetMaker) triangleList(session string) []triangleServed {
	piece := map[string]string{}
	for _, k := range m.t.Panel.V.Key {
		piece[k.Code] = k.Piece
	}
	eaten, cookOf := m.eatenByCode(), m.t.CookOfCode()
	var sets []trial.TriangleSet
	for _, x := range m.t.Panel.V.Triangles {
		if x.Session.V == session {
			sets = append(sets, x)
		}
	}
	flight := func(x trial.TriangleSet) int {
		if at := m.times[cookOf[x.Codes[0]]]; at != nil {
			return at.Flight
		}
		return 0
	}
	slices.SortStableFunc(sets, func(a, b trial.TriangleSet) int { return flight(a) - flight(b) })
	var out []triangleServed
	for _, x := range sets {
		s := triangleServed{Assessor: clean(x.Assessor), Set: strconv.Itoa(x.Set), At: m.flightOf(cookOf[x.Codes[0]]), Refused: !eatable(x, eaten)}
		for _, c := range x.Codes {
			s.Portions = append(s.Portions, trianglePortion{clean(c), clean(piece[c])})
		}
		out = append(out, s)
	}
	return out
}

// eatenByCode says of each code whether its cook may be eaten.
func (m *sheetMaker) eatenByCode() map[string]bool {
	out := map[string]bool{}
	for code, cook := range m.t.CookOfCode() {
		said := m.by[cook]
		out[code] = said != nil && said.Eaten
	}
	return out
}

func eatable(x trial.TriangleSet, eaten map[string]bool) bool {
	return eaten[x.Codes[0]] && eaten[x.Codes[1]] && eaten[x.Codes[2]]
}
