package trial

import "fmt"

// Date is a calendar day. The zero Date is invalid.
type Date struct{ Year, Month, Day int }

// String prints the day as 2026-02-11.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// IsZero reports whether the day was never set.
func (d Date) IsZero() bool { return d == Date{} }

// Days is the day number in the proleptic Gregorian calendar, so that the
// difference of two dates is a number of days.
func (d Date) Days() int {
	// Count days from 0000-03-01, so that the leap day ends the counted year.
	y, m := d.Year, d.Month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return 365*y + floorDiv(y, 4) - floorDiv(y, 100) + floorDiv(y, 400) + (153*m+2)/5 + d.Day - 1
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// Clock is a time of day in minutes after midnight, with a date where the file
// gave one. Without a date it is a time of the session's date; a later event
// with an earlier clock time is on the next day.
type Clock struct {
	Date   Date // zero when the file gave a time of day only
	Minute int  // 0 to 1439
	Second int  // 0 to 59
}

// String prints the clock time as it is typed: 10:05, or 2026-02-10 22:05.
func (c Clock) String() string {
	s := fmt.Sprintf("%02d:%02d", c.Minute/60, c.Minute%60)
	if c.Second != 0 {
		s += fmt.Sprintf(":%02d", c.Second)
	}
	if !c.Date.IsZero() {
		s = c.Date.String() + " " + s
	}
	return s
}

// MinutesAfter is the time from earlier to c in minutes. Where either lacks a
// date, a negative time of day is taken as crossing midnight once.
func (c Clock) MinutesAfter(earlier Clock) float64 {
	m := float64(c.Minute-earlier.Minute) + float64(c.Second-earlier.Second)/60
	if !c.Date.IsZero() && !earlier.Date.IsZero() {
		return m + 1440*float64(c.Date.Days()-earlier.Date.Days())
	}
	if m < 0 {
		m += 1440
	}
	return m
}
