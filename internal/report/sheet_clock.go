package report

import (
	"slices"
	"strconv"
	"strings"

	"tamis/internal/design/schedule"
	"tamis/internal/quantity"
)

// OnClock is what the sheets know of the time of day: the schedule of the
// trial, or the reason why there is none. The zero value says nothing, and the
// boxes for times stay empty.
type OnClock struct {
	Schedule *schedule.Schedule
	// Conflicts are the reasons for which a day, or all of it, has no times.
	Conflicts []schedule.Conflict
}

// clocks finds the times of a cook that is still to be cooked. What was started
// has times of its own, and a plan must not be taken for them.
func (m *sheetMaker) clocks(on OnClock) {
	m.on, m.times, m.days = on, map[string]*schedule.Times{}, map[string]*schedule.Day{}
	if on.Schedule == nil {
		return
	}
	started := map[string]bool{}
	for i := range m.t.Cooks {
		started[m.t.Cooks[i].ID] = m.t.Cooks[i].Started.Known
	}
	for i := range on.Schedule.Days {
		d := &on.Schedule.Days[i]
		for j := range d.Cooks {
			if id := d.Cooks[j].Cook; !started[id] {
				m.times[id], m.days[id] = &d.Cooks[j], d
			}
		}
	}
}

// moment is a clock time of a plan, and the day where it is not that of serving.
type moment struct{ Clock, Day string }

func momentOf(at schedule.Moment) moment {
	out := moment{Clock: at.Clock()}
	if s := at.String(); s != out.Clock {
		out.Day = strings.TrimPrefix(strings.TrimPrefix(s, out.Clock), ", ")
		out.Day = strings.TrimSpace(out.Day)
	}
	return out
}

// minuteList is what is done on one day, by the minute and by whose hands.
type minuteList struct {
	Name  string
	Hands []string // room for the names of who cooks
	Steps []minuteStep
	Taken []words
}

type minuteStep struct {
	Day     string // a line of its own where another day begins
	From    string
	Hand    string
	Text    words
	Throw   bool // what is left is thrown away: not to be missed
	Serving bool
}

// minutes is the list of a day; nil where every cook of it was started.
func (m *sheetMaker) minutes(d *schedule.Day) *minuteList {
	open := map[string]bool{}
	for i := range d.Cooks {
		_, ok := m.times[d.Cooks[i].Cook]
		open[d.Cooks[i].Cook] = ok
	}
	name := sessionWords(strings.Join(d.Sessions, " and "))
	out := &minuteList{Name: clean(name)}
	if d.Date != "" {
		out.Name = strings.TrimPrefix(out.Name+", "+d.Date, ", ")
	}
	for h := 1; h <= d.Hands; h++ {
		out.Hands = append(out.Hands, strconv.Itoa(h))
	}
	before, any := 0, false
	for _, x := range d.Steps {
		switch x.What {
		case schedule.Brining, schedule.Cooking, schedule.Chilling, schedule.Rewarming, schedule.Heating:
			continue // they go on by themselves
		}
		if done, of := open[x.Cook]; of && !done {
			continue
		}
		at := momentOf(x.From)
		s := minuteStep{From: at.Clock, Text: of(x.Text), Throw: x.What == schedule.Discard, Serving: x.What == schedule.Tasting}
		if len(s.Text) > 0 {
			s.Text = append(words{}, s.Text...)
			s.Text[0].Text = capital(s.Text[0].Text)
		}
		if x.Hand > 0 {
			s.Hand = strconv.Itoa(x.Hand)
		}
		if day := x.From.Day(); any && day != before || !any && day != 0 {
			s.Day = at.Day
			if s.Day == "" {
				s.Day = "the day of serving"
			}
			s.Day = capital(s.Day)
		}
		before, any = x.From.Day(), true
		out.Steps = append(out.Steps, s)
	}
	for _, ok := range open {
		if ok {
			return out
		}
	}
	return nil
}

// sears says when and in which pan the pieces of a cook are seared.
func (m *sheetMaker) sears(cook string) (out []words) {
	d := m.days[cook]
	if d == nil {
		return nil
	}
	for _, x := range d.Steps {
		if x.Cook != cook || x.What != schedule.Searing {
			continue
		}
		text := of(x.Text)
		if len(text) > 0 {
			text = append(words{}, text...)
			text[0].Text = capital(text[0].Text)
		}
		out = append(out, append(text, piece{Text: " at " + momentOf(x.From).Clock}))
	}
	return out
}

// flight is what is on the plate together, and when; or what nobody must eat, and
// when it is weighed.
type flight struct{ Do, At, Cooks string }

const (
	serveAt = "Serve at"
	weighAt = "Weigh and shear, do not taste, at"
)

// anyEaten reports whether some of the cooks may be eaten.
func (m *sheetMaker) anyEaten(cooks []int) bool {
	return slices.ContainsFunc(cooks, func(i int) bool { return m.cook(i).Eaten })
}

// served says at what time which cooks of a group are on the plate together; what
// must not be eaten is never among them. Where nobody tastes, all of it is weighed.
func (m *sheetMaker) served(g cookGroup) (out []flight) {
	seen := map[*schedule.Day]bool{}
	own := map[string]bool{}
	for _, i := range g.Cooks {
		own[m.t.Cooks[i].ID] = true
	}
	for _, i := range g.Cooks {
		d := m.days[m.t.Cooks[i].ID]
		if d == nil || seen[d] {
			continue
		}
		seen[d] = true
		for _, f := range d.Flights {
			ids := map[string][]string{}
			for _, id := range f.Cooks {
				if !own[id] || m.times[id] == nil {
					continue
				}
				do := serveAt
				if s := m.by[id]; s == nil || !s.Eaten || m.on.Schedule.NotTasted {
					do = weighAt
				}
				ids[do] = append(ids[do], clean(id))
			}
			at := momentOf(f.Served)
			for _, do := range []string{serveAt, weighAt} {
				if len(ids[do]) == 0 {
					continue
				}
				x := flight{Do: do, At: strings.TrimSpace(at.Clock + " " + at.Day)}
				if len(d.Flights) > 1 || len(ids) > 1 {
					x.Cooks = strings.Join(ids[do], ", ")
				}
				out = append(out, x)
			}
		}
	}
	if d := m.t.Design; len(out) == 0 && d.Known && d.V.ServeAt.Known {
		do := serveAt
		if !m.anyEaten(g.Cooks) {
			do = weighAt
		}
		out = append(out, flight{Do: do, At: d.V.ServeAt.V.String()})
	}
	return out
}

// discard is when what is left of a cook is thrown away: the clock of the plan
// where it is not started yet, else what the verdict says.
func (m *sheetMaker) discard(i int) words {
	s := m.cook(i)
	if s.Discard == nil {
		return nil
	}
	if t := m.times[m.t.Cooks[i].ID]; t != nil && t.Discard != nil {
		return say("by " + t.Discard.String())
	}
	return of(s.Discard)
}

// thrownAway tells tasters that nothing is taken home, and when what is left of a
// session is thrown away: of each flight the earliest time of its cooks, because
// one for each sample would tell the cooks apart.
func (m *sheetMaker) thrownAway(session string) words {
	first := map[string]schedule.Moment{}
	var flights []string
	for i := range m.t.Cooks {
		c := &m.t.Cooks[i]
		t := m.times[c.ID]
		if c.Session.V != session || !m.cook(i).Eaten || t == nil || t.Discard == nil {
			continue
		}
		f := m.flightOf(c.ID)
		at, seen := first[f]
		if !seen {
			flights = append(flights, f)
		}
		if !seen || *t.Discard < at {
			first[f] = *t.Discard
		}
	}
	slices.Sort(flights)
	out := say("Take nothing away for later.")
	for i, f := range flights {
		text := " What is left"
		if f != "" {
			text += " of " + f
		}
		if i > 0 {
			text = ", of " + f
		}
		out = append(out, piece{Text: text + " is thrown away by " + first[f].String()})
	}
	if len(flights) > 0 {
		out = append(out, piece{Text: "."})
	}
	return out
}

// unscheduled says why there are no clock times, once for each reason.
func (m *sheetMaker) unscheduled() (out []words) {
	seen := map[string]bool{}
	for _, c := range m.on.Conflicts {
		if k := c.Text.Text(quantity.Metric); seen[k] {
			continue
		} else {
			seen[k] = true
		}
		where := "No clock times: "
		if c.Session != "" {
			where = "No clock times for " + clean(c.Session) + ": "
		}
		out = append(out, append(append(say(where), of(c.Text)...), piece{Text: "."}))
	}
	return out
}

// flightOf is when the flight of a cook is served, where its day has several;
// "" where everything is served at once.
func (m *sheetMaker) flightOf(cook string) string {
	t, d := m.times[cook], m.days[cook]
	if t == nil || len(d.Flights) < 2 || t.Flight < 1 || t.Flight > len(d.Flights) {
		return ""
	}
	return momentOf(d.Flights[t.Flight-1].Served).Clock
}
