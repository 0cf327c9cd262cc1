package schedule

import (
	"testing"
	"time"
	_ "time/tzdata" // the zones, wherever the test runs

	"tamis/internal/trial"
)

// The dates are those of calendars that print them.
func TestClockChange(t *testing.T) {
	t.Parallel()
	at := func(h int) Moment { return Moment(3600 * h) }
	for _, c := range []struct {
		date     trial.Date
		from, to Moment
		rules    trial.Rules
		want     string
	}{
		{trial.Date{Year: 2026, Month: 3, Day: 29}, at(0), at(5), trial.RulesEU, "2026-03-29"},
		{trial.Date{Year: 2026, Month: 3, Day: 29}, at(-20), at(19), trial.RulesUK, "2026-03-29"},
		{trial.Date{Year: 2026, Month: 3, Day: 28}, at(20), at(27), "", "2026-03-29"},
		{trial.Date{Year: 2026, Month: 10, Day: 25}, at(-2), at(3), trial.RulesEU, "2026-10-25"},
		{trial.Date{Year: 2026, Month: 3, Day: 29}, at(0), at(5), trial.RulesUS, "0000-00-00"},
		{trial.Date{Year: 2026, Month: 3, Day: 8}, at(0), at(5), trial.RulesUS, "2026-03-08"},
		{trial.Date{Year: 2026, Month: 3, Day: 8}, at(0), at(5), trial.RulesEU, "0000-00-00"},
		{trial.Date{Year: 2026, Month: 3, Day: 8}, at(0), at(5), trial.RulesOther, "2026-03-08"},
		{trial.Date{Year: 2026, Month: 11, Day: 1}, at(0), at(2), trial.RulesUS, "2026-11-01"},
		{trial.Date{Year: 2026, Month: 3, Day: 29}, at(5), at(20), trial.RulesEU, "0000-00-00"},
		{trial.Date{Year: 2026, Month: 3, Day: 22}, at(-20), at(20), "", "0000-00-00"},
		{trial.Date{}, at(-20), at(20), "", "0000-00-00"},
	} {
		rules := trial.Opt[trial.Rules]{}
		if c.rules != "" {
			rules = trial.Some(c.rules)
		}
		got := clockChange(&Day{On: c.date, Steps: []Step{{From: c.from, To: c.from + 60}, {From: c.to - 60, To: c.to}}}, rules)
		if got.String() != c.want {
			t.Errorf("%v, %v to %v by %q: %v, want %s", c.date, c.from, c.to, c.rules, got, c.want)
		}
	}
	if got := clockChange(&Day{On: trial.Date{Year: 2026, Month: 3, Day: 29}}, trial.Opt[trial.Rules]{}); !got.IsZero() {
		t.Errorf("nothing is done on %v", got)
	}
}

// Against the time zone database: wherever clocks go by these rules, each night in
// which they change is one that is warned of, and its hours are those that are
// watched; no other night is.
func TestClockChangesOfZones(t *testing.T) {
	t.Parallel()
	for zone, rules := range map[string]trial.Rules{"Europe/Oslo": trial.RulesEU, "Europe/Athens": trial.RulesEU, "Europe/Lisbon": trial.RulesEU, "Europe/Dublin": trial.RulesEU,
		"Atlantic/Azores": trial.RulesEU, "Atlantic/Canary": trial.RulesEU, "Europe/London": trial.RulesUK,
		"America/New_York": trial.RulesUS, "America/Chicago": trial.RulesUS, "America/Los_Angeles": trial.RulesUS, "America/Anchorage": trial.RulesUS} {
		in, err := time.LoadLocation(zone)
		if err != nil {
			t.Fatal(err)
		}
		changed := 0
		for day := time.Date(2024, 1, 1, 12, 0, 0, 0, in); day.Year() < 2036; day = day.AddDate(0, 0, 1) {
			on := trial.Date{Year: day.Year(), Month: int(day.Month()), Day: day.Day()}
			_, before := time.Date(on.Year, time.Month(on.Month), on.Day-1, 12, 0, 0, 0, in).Zone()
			_, after := day.Zone()
			night := Step{From: 0, To: 5 * 3600}
			got := clockChange(&Day{On: on, Steps: []Step{night}}, trial.Some(rules))
			if (got == on) != (before != after) {
				t.Fatalf("%s, %v: clocks change: %v, warned of %v", zone, on, before != after, got)
			}
			if before == after {
				continue
			}
			changed++
			// An hour of the night that has another length on the wall is watched.
			for h := range 5 {
				from, to := time.Date(on.Year, time.Month(on.Month), on.Day, h, 0, 0, 0, in), time.Date(on.Year, time.Month(on.Month), on.Day, h+1, 0, 0, 0, in)
				step := Step{From: Moment(3600 * h), To: Moment(3600 * (h + 1))}
				if to.Sub(from) != time.Hour && clockChange(&Day{On: on, Steps: []Step{step}}, trial.Some(rules)).IsZero() {
					t.Errorf("%s, %v: the hour from %d:00 lasts %v and is not watched", zone, on, h, to.Sub(from))
				}
			}
		}
		if changed != 24 {
			t.Errorf("%s: %d changes in twelve years", zone, changed)
		}
	}
}

// A day over such a night says so, in its remarks and for its calendar, whether its
// date stands in the file or was given.
func TestNightIsSaid(t *testing.T) {
	t.Parallel()
	long := fish([]float64{60, 62}, 20*60, 2)
	for _, on := range []trial.Date{{Year: 2026, Month: 3, Day: 29}, {Year: 2026, Month: 10, Day: 25}, {Year: 2026, Month: 5, Day: 2}} {
		long.Sessions[0].Date = trial.Some(on)
		filed, _ := Of(long, Options{ServeAt: clock(19, 30)})
		long.Sessions[0].Date = trial.Opt[trial.Date]{}
		given, _ := Of(long, Options{ServeAt: clock(19, 30), On: on})
		for _, s := range []*Schedule{filed, given} {
			if s == nil || s.Days[0].On != on || s.Days[0].Date != on.String() {
				t.Fatalf("%v: %+v", on, s)
			}
			if got := len(s.Days[0].Night) > 0; got != (on.Month != 5) {
				t.Errorf("%v: warned of the night: %v", on, got)
			}
		}
	}
}
