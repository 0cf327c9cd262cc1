// Package calendar writes a schedule as an iCalendar file (RFC 5545), one event
// for every step that somebody does and one for when what is left is thrown away.
// It is the only package that imports an iCalendar library.
//
// Times are floating: they mean the clock on the kitchen's wall, in whatever zone
// it is. In a night in which clocks change, the hours that a step lies from serving
// are not the hours on the wall; every event of such a day says so. DTSTAMP is midnight of the day of serving and a UID is a hash of the step,
// so that the same schedule gives the same bytes and a calendar that imports it
// again replaces what it has. The cautions stand in the description of each tasting.
//
// What it does not do: it invites nobody, repeats nothing and reads no calendar. A
// day without a date is ErrNoDate; a schedule that is nil or empty is ErrEmpty.
// Control characters in words of the file become spaces.
package calendar
