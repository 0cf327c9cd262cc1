package report

import (
	"strconv"
	"strings"

	"tamis/internal/design"
	"tamis/internal/quantity"
	"tamis/internal/scores"
	"tamis/internal/trial"
)

// ballotSheet is a page or more for each assessor and session. It never names a
// set point or a cook: a sample is its code, or its place where it has none.
type ballotSheet struct {
	sheetHead
	Ballots   []ballot
	Triangles []triangleBallot
	Refused   []refused // what has no place on a ballot, and why; for the kitchen
	Unlaid    bool      // nobody drew a serving order
	None      string    // why there is no ballot at all
}

type refused struct {
	Cook, Codes string
	Why         words
}

type ballot struct {
	Assessor, Session, Repeat, Food string
	Tasters                         []words
	Thrown                          words // when what is left is thrown away
	Between                         words
	WarmUp, Flights                 bool
	Samples                         []ballotSample
	Left                            string // codes that are not served
}

type ballotSample struct {
	Place, Code string
	At          string // when it is served, where that is not all at once
	Scales      []scale
}

// scale is how one measure is answered: ticked, chosen, or written into a box.
type scale struct {
	Name      string
	Ticks     []tick // none: a number is written
	Low, High string
	Middle    string
	Range     string
}

type tick struct{ Word string }

// mostTicks is how many boxes of 8 mm stand beside each other on paper.
const mostTicks = 12

func (m *sheetMaker) ballots(h sheetHead) any {
	p := ballotSheet{sheetHead: h}
	p.Title = clean(m.t.Food.Name.V) // the title of a trial likes to tell the set points
	scales := m.scales()
	for _, c := range m.t.Cooks {
		if s := m.by[c.ID]; s != nil && !s.Eaten {
			p.Refused = append(p.Refused, refused{Cook: clean(c.ID), Codes: strings.Join(m.codesOf(&c), ", "), Why: of(s.Why)})
		}
	}
	p.Triangles = m.triangleBallots()
	if len(scales) == 0 && len(p.Triangles) > 0 {
		return p
	}
	if len(scales) == 0 {
		p.None = "No measure of this trial is given by assessors, so there is no ballot."
		return p
	}
	for _, b := range scores.Ballots(m.t) {
		p.Unlaid = p.Unlaid || !b.Laid
		one := ballot{Assessor: clean(b.Assessor), Session: clean(sessionWords(b.Session)), Repeat: clean(b.Repeat), Food: clean(m.t.Food.Name.V),
			Tasters: all(m.said.Tasters), Thrown: m.thrownAway(b.Session), WarmUp: m.t.Panel.V.WarmUp.Known && m.t.Panel.V.WarmUp.V, Between: m.between()}
		var left []string
		for i := range b.Rows {
			s := &b.Rows[i]
			place := strconv.Itoa(i + 1)
			if s.Position.Known {
				place = strconv.Itoa(s.Position.V)
			}
			if said := m.by[s.Cook]; said == nil || !said.Eaten {
				if s.Code.Known {
					left = append(left, clean(s.Code.V))
				} else {
					left = append(left, "sample "+place)
				}
				continue
			}
			one.Flights = one.Flights || m.flightOf(s.Cook) != ""
			one.Samples = append(one.Samples, ballotSample{Place: place, Code: clean(s.Code.V), At: m.flightOf(s.Cook), Scales: scales})
		}
		one.Left = strings.Join(left, ", ")
		if len(one.Samples) > 0 {
			p.Ballots = append(p.Ballots, one)
		}
	}
	if len(p.Ballots) == 0 && len(p.Triangles) == 0 {
		p.None = "There is no ballot: nothing of this trial may be tasted."
		if len(m.t.Cooks) == 0 {
			p.None = "There is no ballot yet: the trial has no cooks. tamis plan lays them out."
		}
	}
	return p
}

// codesOf are the codes of a cook's pieces, sorted as the key has them.
func (m *sheetMaker) codesOf(c *trial.Cook) []string {
	own := map[string]bool{c.ID: true}
	for i := range c.Pieces {
		own[c.Pieces[i].ID] = true
	}
	var out []string
	for _, k := range m.t.Panel.V.Key {
		if own[k.Piece] {
			out = append(out, clean(k.Code))
		}
	}
	return out
}

// scales are the questions of a ballot, in the order of the trial, which is that
// of the sheet they are typed into.
func (m *sheetMaker) scales() []scale {
	var out []scale
	for _, x := range m.t.Measures {
		if !design.Tasted(x) {
			continue
		}
		s := scale{Name: capital(plain(x.Name)), Low: clean(x.LowWord.V), High: clean(x.HighWord.V), Range: short(x.Scale.Low) + " to " + short(x.Scale.High)}
		n := int(x.Scale.High-x.Scale.Low) + 1
		whole := x.Scale.Low == float64(int(x.Scale.Low)) && x.Scale.High == float64(int(x.Scale.High))
		switch {
		case x.Kind == trial.YesNo:
			s.Ticks = []tick{{"yes"}, {"no"}}
			s.Range = ""
		case x.Kind == trial.Rank:
			s.Range = "place, 1 is first"
		case whole && n >= 2 && n <= mostTicks:
			for v := range n {
				s.Ticks = append(s.Ticks, tick{short(x.Scale.Low + float64(v))})
			}
			if x.Kind == trial.JustRight {
				s.Middle = "just right"
			}
		}
		out = append(out, s)
	}
	return out
}

// between says what to do between two samples.
func (m *sheetMaker) between() words {
	r := m.t.Panel.V.Rinse
	if !r.Known {
		return nil
	}
	var out words
	if r.V.With.Known {
		out = say("Between samples: " + r.V.With.V)
	}
	if r.V.Gap.Known {
		if out == nil {
			out = say("Between samples: wait ")
		} else {
			out = append(out, piece{Text: ", then wait "})
		}
		out = append(out, inBoth(func(s quantity.System) string { return r.V.Gap.V.Format(s) })...)
	}
	return append(out, piece{Text: "."})
}
