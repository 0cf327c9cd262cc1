// Package sim measures the error rates of the tests that tamis reports, on
// invented trials whose truth is known: two arms, some cooks in each, some pieces
// in each cook, optionally in sessions that differ.
//
// It runs the very functions that a report uses: the unit-stratum test and
// interval of package linear on cook means with the sessions taken out, and
// beside it the mixed model of package mixed with Satterthwaite's degrees of
// freedom.
//
// Each draw has a generator of its own, made from the seed, the design and the
// number of the draw, and only counts are added up, so that the rates do not
// depend on the number of cores. It is used by tests and by `make sim`; nothing
// else imports it.
//
// What it does not do: scores of assessors, incomplete tasting, curves (package
// curve has a simulation of its own). Errors wrap the sentinels of package stats.
package sim
