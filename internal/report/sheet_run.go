package report

import (
	"strconv"
	"unicode/utf8"

	"tamis/internal/answer"
	"tamis/internal/design/schedule"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// runSheet is what the cook has in view: large, by session, in run order.
type runSheet struct {
	sheetHead
	Sessions []runSession
	Cautions []words
	Know     []words // what to know about the clock times
	Untimed  []words // why there are none
}

type runSession struct {
	Name    string
	Eat     []verdict
	Baths   []words
	Cooks   []runCook
	Served  []flight // when it is on the plate, or on the scale
	Ends    string   // what the last column of times is called
	Minutes *minuteList
}

type runCook struct {
	Order, Cook, Bath string
	// LongCook and LongBath are names that take more than two lines of their column
	// at the size that is read from a metre. What is longer still is shortened, and
	// FullCook and FullBath have all of it.
	LongCook, LongBath     bool
	FullCook, FullBath     string
	LongSetPoint, LongTime bool // these are written in two lines
	SetPoint, Time         words
	In, Out, Served        string // clock times as they were; "" leaves room to write
	At                     *runTimes
	Discard                words
	Core                   words // when the core is there
	Pieces                 []runPiece
	Then                   []words // what follows the bath
	Refused                words   // why it is not to be eaten
}

// runTimes are the times of the plan.
type runTimes struct{ In, Out, Served moment }

type runPiece struct {
	ID   string
	What words
}

func (m *sheetMaker) run(h sheetHead) any {
	p := runSheet{sheetHead: h, Cautions: all(m.said.Cautions), Untimed: m.unscheduled()}
	if len(m.times) > 0 {
		p.Know = append(all(m.on.Schedule.Remarks), all(m.on.Schedule.Taken)...)
	}
	for k, g := range m.groups {
		s := runSession{Name: g.Name(), Eat: m.verdicts(g.Cooks)}
		s.Served, s.Ends = m.served(g), "Served"
		if !m.anyEaten(g.Cooks) {
			s.Ends = "Weighed"
		}
		if d := m.dayOf(g); d != nil && (k+1 == len(m.groups) || m.dayOf(m.groups[k+1]) != d) {
			s.Minutes = m.minutes(d)
		}
		baths := map[string]bool{}
		for _, i := range g.Cooks {
			c := &m.t.Cooks[i]
			s.Cooks = append(s.Cooks, m.runCook(i))
			if c.Bath.Known && !baths[c.Bath.V] {
				baths[c.Bath.V] = true
				s.Baths = append(s.Baths, m.bathWords(c.Bath.V))
			}
		}
		p.Sessions = append(p.Sessions, s)
	}
	return p
}

// dayOf is the day of a group in the schedule; nil where it has none.
func (m *sheetMaker) dayOf(g cookGroup) *schedule.Day {
	for _, i := range g.Cooks {
		if d := m.days[m.t.Cooks[i].ID]; d != nil {
			return d
		}
	}
	return nil
}

// A column of the run sheet holds about six letters a line at 20 pt. Up to longName
// characters a name is two lines of it, up to longestName three or four; of a longer
// one the beginning and the end are shown, which tell names apart that are numbered.
const (
	longName    = 12
	longestName = 18
	ends        = 6
)

// shortened is a name as it is shown in large letters, and all of it where that is
// not the same.
func shortened(name string) (short, full string) {
	r := []rune(name)
	if len(r) <= longestName {
		return name, ""
	}
	return string(r[:ends]) + "…" + string(r[len(r)-ends:]), name
}

// longValue is from how many characters on a quantity is written in two lines:
// "51.7 °C" is not, "118.4 °F" and "1 h 30 min" are.
const longValue = 7

func (m *sheetMaker) runCook(i int) runCook {
	c, said := &m.t.Cooks[i], m.cook(i)
	out := runCook{Cook: clean(c.ID), Bath: clean(c.Bath.V), SetPoint: setPointWords(c), Time: bathTime(c),
		In: clockText(c.Started), Out: clockText(c.Out), Served: clockText(c.Served), Discard: m.discard(i), Then: m.sears(c.ID)}
	if c.Order.Known {
		out.Order = strconv.Itoa(c.Order.V)
	}
	at := m.times[c.ID]
	if at != nil {
		out.At = &runTimes{In: momentOf(at.In), Out: momentOf(at.Out), Served: momentOf(at.Plated)}
		if out.Bath == "" {
			out.Bath = clean(at.Bath)
		}
	}
	out.LongSetPoint, out.LongTime = out.SetPoint.length() > longValue, out.Time.length() > longValue
	out.Cook, out.FullCook = shortened(out.Cook)
	out.Bath, out.FullBath = shortened(out.Bath)
	out.LongCook, out.LongBath = utf8.RuneCountInString(out.Cook) > longName, utf8.RuneCountInString(out.Bath) > longName
	if !said.Eaten {
		out.Refused = append(of(said.Why), piece{Text: " Only weigh it, shear it and photograph it, then throw it away."})
	}
	if at != nil && at.Surely != nil {
		out.Core = say("Core there by " + momentOf(*at.Surely).Clock + " at the latest")
	} else if v, ok := said.ComeUp.Get(); ok {
		up := quantity.MinimumTimeUp(quantity.FromMinutes(v))
		out.Core = append(say("Core there after "), inBoth(up.Format)...)
		out.Core = append(out.Core, piece{Text: " at the latest"})
	}
	for j := range c.Pieces {
		out.Pieces = append(out.Pieces, runPiece{ID: clean(c.Pieces[j].ID), What: m.pieceWords(c, j)})
	}
	if len(c.Pieces) == 0 {
		if tr := treatmentWords(c.Treatment); len(tr) > 0 {
			out.Then = append(out.Then, tr)
		}
	}
	if b := c.Bag; b.Known && b.V.Seal.Known {
		out.Then = append(out.Then, say("Bag: "+string(b.V.Seal.V)))
	}
	if c.Chill.Known && c.Chill.V.Is {
		out.Then = append(out.Then, say("Then chilled"))
	}
	return out
}

// pieceWords says what a piece is and what is done to it.
func (m *sheetMaker) pieceWords(c *trial.Cook, j int) words {
	p := &c.Pieces[j]
	var parts []words
	if p.Source.Known {
		s := named(p.Source.V)
		if p.Part.Known {
			s = append(append(s, piece{Text: " "}), named(p.Part.V)...)
		}
		parts = append(parts, s)
	}
	if p.Thickness.Known {
		parts = append(parts, inBoth(p.Thickness.V.Format))
	}
	if p.Before.Known {
		parts = append(parts, inBoth(p.Before.V.Format))
	}
	if tr := treatmentWords(c.Treatments(j)); len(tr) > 0 {
		parts = append(parts, tr)
	}
	return strung(parts, ", ")
}

// treatmentWords names brine, finish and further factors.
func treatmentWords(tr trial.Treatment) words {
	var parts []words
	if tr.Brine.Known {
		parts = append(parts, say(tr.Brine.V.Label()))
	}
	if tr.Finish.Known && !tr.Finish.V.None {
		parts = append(parts, say(tr.Finish.V.Label()))
	}
	for _, l := range tr.With {
		parts = append(parts, say(plain(l.Factor)+" "+l.Level))
	}
	return strung(parts, ", ")
}

func setPointWords(c *trial.Cook) words {
	if !c.SetPoint.Known {
		return nil
	}
	v := c.SetPoint.V.Celsius()
	q := answer.Quantity{Kind: answer.Temperature, Value: v}
	if v != float64(int(v)) {
		q.Digits = 1
	}
	return of(answer.Say(q))
}

func bathTime(c *trial.Cook) words {
	if d, ok := c.BathTime(); ok {
		return inBoth(d.Format)
	}
	if c.Hold.Known {
		return append(say("hold "), inBoth(c.Hold.V.Format)...)
	}
	return nil
}

func clockText(o trial.Opt[trial.Clock]) string {
	if !o.Known {
		return ""
	}
	return o.V.String()
}

// bathWords says what is known of a bath.
func (m *sheetMaker) bathWords(id string) words {
	out := named(id)
	for _, b := range m.t.Baths {
		if b.ID != id || !b.Reads.Known {
			continue
		}
		k := b.Reads.V.Kelvin()
		word := "high"
		if k < 0 {
			k, word = -k, "low"
		}
		if k == 0 {
			out = append(out, piece{Text: " reads true"})
		} else {
			out = append(out, piece{Text: " reads "})
			out = append(out, of(answer.Say(answer.Quantity{Kind: answer.Difference, Value: k, Digits: 1}, " "+word))...)
		}
		if b.Checked.Known {
			out = append(out, piece{Text: ", checked " + b.Checked.V.String()})
		}
	}
	return out
}
