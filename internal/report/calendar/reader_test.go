package calendar

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the zones, wherever the test runs
	"unicode/utf8"

	"tamis/internal/design/schedule"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// read is a reader of its own for what is written: it unfolds lines (RFC 5545, 3.1),
// takes off the backslashes of texts (3.3.11) and gives the properties of each event.
// The alarms of an event are left out.
func read(b []byte) (events []map[string]string, err error) {
	lines := strings.Split(strings.ReplaceAll(string(b), "\r\n ", ""), "\r\n")
	var open []string
	for _, l := range lines[:len(lines)-1] {
		name, value, ok := strings.Cut(l, ":")
		if !ok {
			return nil, fmt.Errorf("no property: %q", l)
		}
		switch {
		case name == "BEGIN":
			if open = append(open, value); value == "VEVENT" {
				events = append(events, map[string]string{})
			}
		case name == "END":
			open = open[:len(open)-1]
		case len(open) == 2:
			var text strings.Builder
			for i := 0; i < len(value); i++ {
				if c := value[i]; c != '\\' {
					text.WriteByte(c)
				} else if i++; value[i] == 'n' || value[i] == 'N' {
					text.WriteByte('\n')
				} else {
					text.WriteByte(value[i])
				}
			}
			events[len(events)-1][name] = text.String()
		}
	}
	return events, nil
}

// someSchedule is a day drawn by lot with words of every kind.
func someSchedule(r *rand.Rand, on trial.Date) *schedule.Schedule {
	word := func() string {
		var b strings.Builder
		for range 1 + r.IntN(90) {
			b.WriteRune([]rune("abcdefg   ,;:\\n\"'°éßŁ鱈🐟=/%")[r.IntN(26)])
		}
		return b.String()
	}
	s := &schedule.Schedule{Title: word(), Version: "1.0"}
	d := schedule.Day{Sessions: []string{"first"}, On: on, Date: on.String()}
	kinds := []schedule.What{schedule.Water, schedule.Salting, schedule.Bagging, schedule.Dropping, schedule.Lifting, schedule.Searing, schedule.Plating, schedule.Tasting, schedule.Discard, schedule.Cooking}
	for i := range 2 + r.IntN(30) {
		from := schedule.Moment(60 * (r.IntN(4*1440) - 2*1440))
		x := schedule.Step{From: from, To: from + schedule.Moment(60*r.IntN(40)), What: kinds[r.IntN(len(kinds))], Cook: fmt.Sprint("C", i%5), Flight: 1 + r.IntN(2), Text: prose.Say(word())}
		if x.What != schedule.Tasting && x.What != schedule.Discard && x.What != schedule.Cooking {
			x.Hand = 1 + r.IntN(3)
		}
		d.Steps = append(d.Steps, x)
	}
	s.Days = []schedule.Day{d}
	return s
}

// Whatever is scheduled comes back: each step that somebody does, with its words, its
// beginning and its end on the clock of the wall, and nothing else. Dates lie in and
// around nights in which clocks change, and at the ends of months and years.
func TestReadBack(t *testing.T) {
	t.Parallel()
	n := 400
	if testing.Short() {
		n = 60
	}
	dates := []trial.Date{{Year: 2026, Month: 3, Day: 29}, {Year: 2026, Month: 3, Day: 28}, {Year: 2026, Month: 10, Day: 25}, {Year: 2026, Month: 3, Day: 8}, {Year: 2026, Month: 11, Day: 1},
		{Year: 2026, Month: 4, Day: 5}, {Year: 2028, Month: 2, Day: 29}, {Year: 2026, Month: 12, Day: 31}, {Year: 2027, Month: 1, Day: 1}}
	for i := range n {
		r := rand.New(rand.NewPCG(uint64(i), 5))
		on := dates[i%len(dates)]
		s := someSchedule(r, on)
		b, err := Of(s, quantity.Metric)
		if err != nil {
			t.Fatal(err)
		}
		if why := broken(b); why != "" {
			t.Fatalf("%d: %s\n%s", i, why, b)
		}
		events, err := read(b)
		if err != nil {
			t.Fatal(err)
		}
		wall := func(m schedule.Moment) string { // counted by hand, day by day
			day := time.Date(on.Year, time.Month(on.Month), on.Day, 12, 0, 0, 0, time.UTC).AddDate(0, 0, m.Day())
			return day.Format("20060102") + "T" + strings.ReplaceAll(m.Clock(), ":", "") + "00"
		}
		var want []string
		for _, x := range s.Days[0].Steps {
			if x.What == schedule.Cooking {
				continue
			}
			end := ""
			if x.To > x.From {
				end = wall(x.To)
			}
			want = append(want, strings.Join([]string{wall(x.From), end, strings.ToLower(plain(x.Text.Text(quantity.Metric)))}, "|"))
		}
		var got []string
		for _, e := range events {
			got = append(got, strings.Join([]string{e["DTSTART"], e["DTEND"], strings.ToLower(e["SUMMARY"])}, "|"))
			if !strings.Contains(e["DESCRIPTION"], plain(s.Title)) {
				t.Errorf("%d: the title is not in %q", i, e["DESCRIPTION"])
			}
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(want, got) {
			t.Fatalf("%d: written %q\nread %q", i, want, got)
		}
		for _, l := range strings.Split(string(b), "\r\n") {
			if len(l) > 75 || !utf8.ValidString(l) {
				t.Fatalf("%d: a line of %d octets, or a fold inside a character: %q", i, len(l), l)
			}
		}
	}
}

// A step keeps its UID when the day is moved, told in °F, or gets further steps: a
// calendar that imports it again replaces what it has. No two steps share one.
func TestUIDsStay(t *testing.T) {
	t.Parallel()
	for i := range 60 {
		s := someSchedule(rand.New(rand.NewPCG(uint64(i), 6)), trial.Date{Year: 2026, Month: 3, Day: 29})
		uids := func(sys quantity.System) []string {
			b, err := Of(s, sys)
			if err != nil {
				t.Fatal(err)
			}
			events, err := read(b)
			if err != nil {
				t.Fatal(err)
			}
			var out []string
			for _, e := range events {
				if slices.Contains(out, e["UID"]) || len(e["UID"]) < 16 {
					t.Fatalf("UID %q", e["UID"])
				}
				out = append(out, e["UID"])
			}
			return out
		}
		first := uids(quantity.Metric)
		for k := range s.Days[0].Steps {
			s.Days[0].Steps[k].From += 1800
			s.Days[0].Steps[k].To += 1800
			s.Days[0].Steps[k].Hand = min(s.Days[0].Steps[k].Hand, 1)
		}
		if moved := uids(quantity.US); !slices.Equal(first, moved) {
			t.Fatalf("other UIDs half an hour later: %v, %v", first, moved)
		}
		s.Days[0].Steps = append(s.Days[0].Steps, schedule.Step{From: 1, To: 2, What: schedule.Plating, Hand: 1, Cook: "another", Text: prose.Say("x")})
		if more := uids(quantity.Metric); !slices.Equal(first, more[:len(first)]) {
			t.Fatal("other UIDs with a step more")
		}
		s.Title += "!"
		if other := uids(quantity.Metric); slices.Contains(other, first[0]) {
			t.Fatal("another trial has the same UIDs")
		}
	}
}

// A floating time is the hour on the wall, in every zone: whoever reads it in one gets
// the hour that was planned, except the hours that the night leaves out, and those are
// what the events of such a day warn of. How long a step lasts is then another thing
// than what the wall says; a day without such a night has no warning and no difference.
func TestZones(t *testing.T) {
	t.Parallel()
	for zone, nights := range map[string][]string{"Europe/Oslo": {"2026-03-29", "2026-10-25"}, "America/New_York": {"2026-03-08", "2026-11-01"}, "Asia/Tokyo": nil, "UTC": nil} {
		in, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		for _, date := range []string{"2026-03-29", "2026-10-25", "2026-03-08", "2026-11-01", "2026-06-10"} {
			on, err := time.Parse(time.DateOnly, date)
			if err != nil {
				t.Fatal(err)
			}
			s := day("a long brine")
			d := &s.Days[0]
			d.On = trial.Date{Year: on.Year(), Month: int(on.Month()), Day: on.Day()}
			d.Steps = []schedule.Step{{From: -4 * 3600, To: 19 * 3600, What: schedule.Plating, Hand: 1, Text: prose.Say("overnight")}}
			d.Night = nil
			changes := slices.Contains(nights, date)
			if changes {
				d.Night = prose.Say("clocks may be set forward or back in the night")
			}
			b, err := Of(s, quantity.Metric)
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(b, []byte("TZID")) || bytes.Contains(b, []byte("VTIMEZONE")) {
				t.Error("a zone is named, and nobody said where the kitchen is")
			}
			events, err := read(b)
			if err != nil || len(events) != 1 {
				t.Fatal(events, err)
			}
			from, err1 := time.ParseInLocation(local, events[0]["DTSTART"], in)
			to, err2 := time.ParseInLocation(local, events[0]["DTEND"], in)
			if err1 != nil || err2 != nil {
				t.Fatal(err1, err2)
			}
			if from.Hour() != 20 || to.Hour() != 19 || from.Day() == to.Day() {
				t.Errorf("%s: from %v to %v", zone, from, to)
			}
			if wrong := to.Sub(from) != 23*time.Hour; wrong != changes || wrong != strings.Contains(events[0]["DESCRIPTION"], "clocks may be set forward") {
				t.Errorf("%s, %s: 23 hours last %v; said: %q", zone, date, to.Sub(from), events[0]["DESCRIPTION"])
			}
		}
	}
}
