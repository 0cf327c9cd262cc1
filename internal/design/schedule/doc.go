// Package schedule puts a planned trial on the clock, worked back from serving:
// what is salted, when each bath is filled and heated, when each cook goes in and
// comes out, what is seared in which pan by whose hands, when it is plated and
// tasted, and when what is left is thrown away.
//
// Of is the one call. It draws nothing and changes nothing: the baths, the run
// order and the serving orders are those of the trial, and times are derived from
// them, so that a trial that was cooked can be scheduled again. Where a session
// has more runs than can be on the plate at once it is served in flights, as few as
// fit. What cannot be done is a Conflict that names two steps and the minute. What
// safety calls "do not eat" is not scheduled, unless nobody tastes it.
//
// The growth clock runs from the bath, or from a brine that is not cold, to the
// last bite, by the verdict of package safety, and nothing is scheduled beyond it.
// Chilling and warming up again happen only where every cook is pasteurised, in
// one bath at or below the lowest set point, for all alike.
//
// Package place does the placing; this package turns a trial into its numbers and
// its answer into words. Durations of handwork are house rules (rules.go). Times
// are seconds from midnight of the day of serving; before that they are negative.
//
// What it does not do: it reads no clock and no file, plans no breaks for people,
// and does not know what else happens in the kitchen. A value that is missing is
// assumed where that is harmless, and Taken says so; where it is not, there is no
// schedule. Nothing panics and the trial is not altered.
package schedule
