package schedule

import (
	"testing"

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
