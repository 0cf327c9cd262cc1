package report

import (
	"fmt"
	"strconv"

	"tamis/internal/scores"
	"tamis/internal/trial"

	"tamis/internal/design"
)

// labelSheet has a label for every portion, to be cut out, and the list by which
// they are served. It belongs to whoever serves: the list names the tasters.
type labelSheet struct {
	sheetHead
	Sessions []labelSession
	None     string // why there is no label
}

type labelSession struct {
	Name      string
	Eat       []verdict
	Throw     []words
	Labels    []label
	Serve     *serveList
	Triangles []triangleServed
}

type label struct {
	Code    string
	Refused bool
}

// serveList is who gets what, place by place.
type serveList struct {
	Rows   []serveRow
	Parts  []servePart // as many places as fit on paper, then the next ones
	Laid   bool
	Slices bool
}

type servePart struct {
	Places []string
	Rows   []serveRow
}

// mostPlaces is how many places stand beside each other on paper.
const mostPlaces = 10

type serveRow struct {
	Assessor string
	Cells    []serveCell
}

type serveCell struct {
	Sample, Slice string
	At            string // when it is served, where that is not all at once
	Refused       bool
}

func (m *sheetMaker) labels(h sheetHead) any {
	p := labelSheet{sheetHead: h}
	codes := map[string]string{}
	for _, k := range m.t.Panel.V.Key {
		codes[k.Piece] = k.Code
	}
	if len(codes) == 0 {
		p.None = "The trial has no codes, so there are no labels. tamis plan draws them."
	}
	ballots := scores.Ballots(m.t)
	portions := map[string]int{}
	for _, b := range ballots {
		for i := range b.Rows {
			portions[b.Session+"\x00"+b.Rows[i].Code.V]++
		}
	}
	slices := sliceWords(m.t)
	for _, g := range m.groups {
		s := labelSession{Name: g.Name(), Eat: m.verdicts(g.Cooks), Throw: m.discards(g.Cooks)}
		var own []string
		session := m.t.Cooks[g.Cooks[0]].Session.V
		refused := map[string]bool{}
		for _, k := range m.t.Panel.V.Key { // by code, which is not the order of the cooks
			for _, i := range g.Cooks {
				c := &m.t.Cooks[i]
				mine := k.Piece == c.ID
				for j := range c.Pieces {
					mine = mine || k.Piece == c.Pieces[j].ID
				}
				if mine {
					own = append(own, k.Code)
					refused[k.Code] = !m.cook(i).Eaten
				}
			}
		}
		sortNatural(own)
		for _, code := range own {
			n := max(1, portions[session+"\x00"+code])
			if refused[code] {
				n = 1
			}
			for range n {
				s.Labels = append(s.Labels, label{Code: clean(code), Refused: refused[code]})
			}
		}
		s.Serve = m.serve(ballots, session, slices)
		s.Triangles = m.triangleList(session)
		p.Sessions = append(p.Sessions, s)
	}
	return p
}

// serve is the serving list of one session.
func (m *sheetMaker) serve(ballots []scores.Ballot, session string, slices map[string]string) *serveList {
	out := &serveList{Laid: true}
	most, served := 0, false
	for _, b := range ballots {
		if b.Session != session {
			continue
		}
		out.Laid = out.Laid && b.Laid
		r := serveRow{Assessor: clean(b.Assessor)}
		if r.Assessor == "" {
			r.Assessor = "everybody"
		}
		if b.Repeat != "" {
			r.Assessor += ", repeat " + clean(b.Repeat)
		}
		for i := range b.Rows {
			s := &b.Rows[i]
			c := serveCell{Sample: clean(s.Cook), Slice: slices[sliceKey(b.Assessor, b.Session, s.Code.V, s.Piece.V)], At: m.flightOf(s.Cook)}
			if said := m.by[s.Cook]; said == nil || !said.Eaten {
				c.Refused = true
			}
			served = served || !c.Refused
			if s.Code.Known {
				c.Sample = clean(s.Code.V)
			} else if s.Piece.Known {
				c.Sample = clean(s.Piece.V)
			}
			out.Slices = out.Slices || c.Slice != ""
			r.Cells = append(r.Cells, c)
		}
		most = max(most, len(r.Cells))
		out.Rows = append(out.Rows, r)
	}
	if len(out.Rows) == 0 || !served { // nothing of it may be tasted
		return nil
	}
	for i := range out.Rows {
		for len(out.Rows[i].Cells) < most {
			out.Rows[i].Cells = append(out.Rows[i].Cells, serveCell{})
		}
	}
	for from := 0; from < most; from += mostPlaces {
		to := min(from+mostPlaces, most)
		p := servePart{}
		for i := from; i < to; i++ {
			p.Places = append(p.Places, strconv.Itoa(i+1))
		}
		for _, r := range out.Rows {
			r.Cells = r.Cells[from:to]
			p.Rows = append(p.Rows, r)
		}
		out.Parts = append(out.Parts, p)
	}
	return out
}

func sliceKey(assessor, session, code, piece string) string {
	return assessor + "\x00" + session + "\x00" + code + "\x00" + piece
}

// sliceWords says which slice of a piece each taster gets: "3/8".
func sliceWords(t *trial.Trial) map[string]string {
	out := map[string]string{}
	for _, s := range design.Sittings(t) {
		for _, x := range s.Tastes {
			if x.Of > 1 {
				out[sliceKey(s.Assessor, s.Session, x.Code, x.Piece)] = fmt.Sprintf("%d/%d", x.Slice, x.Of)
			}
		}
	}
	return out
}
