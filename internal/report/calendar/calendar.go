package calendar

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"

	ics "github.com/arran4/golang-ical"

	"tamis/internal/design/schedule"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// The errors.
var (
	ErrNoDate = errors.New("a calendar needs the date of every day that is scheduled")
	ErrEmpty  = errors.New("there is nothing to put into a calendar")
)

// local is the form of a floating time (RFC 5545, 3.3.5, form 1), stamp that of one
// in UTC (form 2).
const (
	local = "20060102T150405"
	stamp = "20060102T150405Z"
)

// Of is the calendar of a schedule, in the words of one unit system.
func Of(s *schedule.Schedule, sys quantity.System) ([]byte, error) {
	if s == nil || len(s.Days) == 0 {
		return nil, ErrEmpty
	}
	cal := &ics.Calendar{}
	cal.SetVersion("2.0")
	cal.SetProductId("-//tamis//schedule " + plain(s.Version) + "//EN")
	cal.SetCalscale("GREGORIAN")
	cal.SetMethod(ics.MethodPublish)
	seen := map[string]int{}
	for i := range s.Days {
		d := &s.Days[i]
		if d.On.IsZero() {
			return nil, fmt.Errorf("%w: %s has none", ErrNoDate, strings.Join(d.Sessions, ", "))
		}
		for _, x := range d.Steps {
			if x.Hand == 0 && x.What != schedule.Tasting && x.What != schedule.Discard {
				continue
			}
			event(cal, s, d, x, sys, seen)
		}
	}
	var b strings.Builder
	if err := cal.SerializeTo(&b, ics.WithNewLine("\r\n")); err != nil {
		return nil, err
	}
	return []byte(b.String()), nil
}

// event adds one step.
func event(cal *ics.Calendar, s *schedule.Schedule, d *schedule.Day, x schedule.Step, sys quantity.System, seen map[string]int) {
	text := plain(x.Text.Text(sys))
	id := strings.Join([]string{s.Title, d.Date, string(x.What), x.Cook, strings.Join(x.Pieces, " "), x.Bath, fmt.Sprint(x.Flight)}, "\x00")
	seen[id]++ // a bath that is set twice the same day has two
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%d", id, seen[id]))
	e := cal.AddEvent(fmt.Sprintf("%x@tamis", sum[:16]))
	e.SetProperty(ics.ComponentPropertyDtstamp, midnight(d.On).Format(stamp))
	e.SetProperty(ics.ComponentPropertyDtStart, at(d.On, x.From).Format(local))
	if x.To > x.From { // an end at the start is not allowed; without one it is a moment
		e.SetProperty(ics.ComponentPropertyDtEnd, at(d.On, x.To).Format(local))
	}
	e.SetSummary(upper(text))
	e.AddCategory(string(x.What))
	e.SetTimeTransparency(ics.TransparencyOpaque)
	var more []string
	if x.Hand > 0 {
		more = append(more, fmt.Sprintf("Hands %d.", x.Hand))
	}
	if x.What == schedule.Tasting || x.What == schedule.Discard {
		more = append(more, sentences(s.Lead, sys)...)
	}
	if len(d.Night) > 0 {
		more = append(more, plain(d.Night.Text(sys)))
	}
	more = append(more, plain(s.Title)+". Planned, not what happened.")
	e.SetDescription(strings.Join(more, "\n"))
	switch x.What {
	case schedule.Dropping, schedule.Lifting, schedule.Tasting, schedule.Discard:
		a := e.AddAlarm()
		a.SetAction(ics.ActionDisplay)
		a.SetTrigger("-PT2M")
		a.SetProperty(ics.ComponentPropertyDescription, upper(text))
	}
}

func sentences(list []prose.Sentence, sys quantity.System) []string {
	var out []string
	for _, x := range list {
		out = append(out, plain(x.Text(sys)))
	}
	return out
}

// midnight and at are moments of a day without a zone; UTC only carries them.
func midnight(d trial.Date) time.Time {
	return time.Date(d.Year, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
}

func at(d trial.Date, m schedule.Moment) time.Time {
	return midnight(d).Add(time.Duration(m) * time.Second)
}

// plain turns control characters into spaces and drops what is no character.
func plain(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch {
		case r == unicode.ReplacementChar:
			return -1
		case unicode.IsControl(r):
			return ' '
		}
		return r
	}, s))
}

func upper(s string) string {
	for i, r := range s {
		return string(unicode.ToUpper(r)) + s[i+len(string(r)):]
	}
	return s
}
