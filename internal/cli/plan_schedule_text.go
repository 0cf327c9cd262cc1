package cli

import (
	"fmt"
	"strconv"

	"tamis/internal/design/schedule"
	"tamis/internal/diag"
	"tamis/internal/quantity"
)

// scheduleText prints a schedule: when everything is served and thrown away, then
// the times of each cook, then what is done by the minute.
type scheduleText struct {
	fitText
	r       *schedule.Schedule
	minutes bool // with the list by the minute
}

func renderSchedule(r *schedule.Schedule, sys quantity.System, minutes bool) string {
	s := &scheduleText{fitText: fitText{sys: sys}, r: r, minutes: minutes}
	for _, l := range diag.Wrap(diag.Clean("On the clock: "+r.Title), columns) {
		s.line(l)
	}
	s.blank()
	if r.NotTasted {
		s.item("Do not eat it and do not taste it. It is cooked only to be weighed and sheared.")
	}
	s.list(r.Lead)
	for i := range r.Days {
		s.day(&r.Days[i])
	}
	if len(r.Remarks) > 0 {
		s.heading("What to know")
		s.list(r.Remarks)
	}
	if len(r.Taken) > 0 {
		s.heading("Taken for granted")
		s.list(r.Taken)
	}
	return s.text()
}

func (s *scheduleText) day(d *schedule.Day) {
	s.heading(dayName(d))
	served, plated := "Served at", "plated"
	if s.r.NotTasted {
		served, plated = "Weighed and sheared at", "weighed"
	}
	for i, f := range d.Flights {
		if i > 0 {
			served += ","
		}
		served += " " + f.Served.String()
	}
	s.item(fmt.Sprintf("%s. %s in %s, %s of hands.", served, counted(len(d.Cooks), "cook"), counted(len(d.Baths), "bath"), counted(d.Hands, "pair")))
	g := grid{right: []bool{false, false, true}}
	g.add("cook", "bath", "set point", "in", "core there", "out", plated, "discard")
	for _, c := range d.Cooks {
		core, discard := "–", "–"
		if c.Likely != nil {
			core = c.Likely.Clock() + " to " + c.Surely.Clock()
		}
		if c.Discard != nil {
			discard = c.Discard.Clock()
		}
		point := "–"
		if v, ok := c.SetPoint.Get(); ok {
			point = s.temperature(v)
		}
		g.add(diag.Clean(c.Cook), diag.Clean(c.Bath), point, c.In.Clock(), core, c.Out.Clock(), c.Plated.Clock(), discard)
	}
	s.out = append(s.out, g.lines("  ")...)
	s.item("Core there: likely, and by the slowest that it can be.")
	var portions []string
	for _, f := range d.Flights {
		if f.Portions > 0 {
			portions = append(portions, fmt.Sprintf("%s at %s", counted(f.Portions, "portion"), f.Served))
		}
	}
	if len(portions) > 0 {
		s.item("For the triangles: " + joinAnd(portions) + ".")
	}
	if s.minutes {
		s.byMinute(d)
	}
}

func dayName(d *schedule.Day) string {
	name := "The day"
	if len(d.Sessions) > 0 && d.Sessions[0] != "" {
		name = joinAnd(d.Sessions)
	}
	if d.Date != "" {
		name += ", " + d.Date
	}
	return diag.Clean(name)
}

func joinAnd(list []string) string {
	out := ""
	for i, x := range list {
		switch {
		case i > 0 && i == len(list)-1:
			out += " and "
		case i > 0:
			out += ", "
		}
		out += x
	}
	return out
}

// byMinute is the list by the minute. What goes on by itself is not in it, but for
// what somebody waits for.
func (s *scheduleText) byMinute(d *schedule.Day) {
	s.blank()
	s.line("  from  until  hands")
	before := 0
	for i, x := range scheduleLines(d) {
		if day := x.From.Day(); i == 0 && day != 0 || day != before && i > 0 {
			s.line("  " + dayWords(day))
		}
		before = x.From.Day()
		head := "  " + x.From.Clock() + "  "
		if x.To > x.From && x.Hand > 0 {
			head += x.To.Clock() + "  " + pad(strconv.Itoa(x.Hand), 5) + "  "
		} else {
			head += pad("", 14)
		}
		s.prose(diag.Clean(x.Text.Text(s.sys)), head, pad("", cells(head)))
	}
}

func dayWords(day int) string {
	switch day {
	case 0:
		return "the day of serving"
	case -1:
		return "the day before"
	case 1:
		return "the day after"
	}
	if day < 0 {
		return fmt.Sprintf("%d days before", -day)
	}
	return fmt.Sprintf("%d days after", day)
}

// scheduleLines are the steps that a cook reads.
func scheduleLines(d *schedule.Day) []schedule.Step {
	var out []schedule.Step
	for _, x := range d.Steps {
		switch x.What {
		case schedule.Brining, schedule.Cooking, schedule.Chilling, schedule.Rewarming, schedule.Heating:
			continue
		}
		out = append(out, x)
	}
	return out
}
