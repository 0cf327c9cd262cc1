package schedule

import (
	"time"

	"tamis/internal/trial"
)

// The hours of a night in which clocks are changed, in seconds from midnight: from
// midnight, on the Azores, to 04:00, in the east of the European Union; in the United
// States it is at 02:00 (the time zone database; a test goes through it).
const (
	changeFrom = 0
	changeTo   = 4 * 3600
)

// clockChange is the date of a night in which clocks are changed while something
// of the day is done, the zero date where there is none or no date is known. It
// knows the rules of the European Union, which the United Kingdom shares, and of
// the United States, and takes both where the rules of the trial are neither.
func clockChange(d *Day, rules trial.Opt[trial.Rules]) trial.Date {
	if d.On.IsZero() || len(d.Steps) == 0 {
		return trial.Date{}
	}
	from, to := d.Steps[0].From, d.Steps[0].To
	for _, s := range d.Steps {
		from, to = min(from, s.From), max(to, s.To)
	}
	for day := from.Day(); day <= to.Day(); day++ {
		if int(from)-86400*day >= changeTo || int(to)-86400*day <= changeFrom {
			continue
		}
		on := time.Date(d.On.Year, time.Month(d.On.Month), d.On.Day+day, 0, 0, 0, 0, time.UTC)
		europe, america := changes(on)
		known := rules.Known && rules.V != trial.RulesOther
		if europe && !(known && rules.V == trial.RulesUS) || america && !(known && rules.V != trial.RulesUS) {
			return trial.Date{Year: on.Year(), Month: int(on.Month()), Day: on.Day()}
		}
	}
	return trial.Date{}
}

// changes reports whether clocks change on a date: in Europe on the last Sundays
// of March and October (Directive 2000/84/EC), in the United States on the second
// Sunday of March and the first of November (Energy Policy Act of 2005; both from
// memory).
func changes(on time.Time) (europe, america bool) {
	if on.Weekday() != time.Sunday {
		return false, false
	}
	switch day := on.Day(); on.Month() {
	case time.March:
		return day >= 25, day >= 8 && day <= 14
	case time.October:
		return day >= 25, false
	case time.November:
		return false, day <= 7
	}
	return false, false
}
