// Package power gives the closed-form power of a comparison of arms whose units
// lie in blocks, complete or not, by the noncentral F and t distributions; the
// smallest effect that is seen with a given power; and the power of a comparison
// of two shares.
//
// A layout counts units, never what was measured within them: the standard
// deviation that is handed in is that of one unit's mean. What an arm, a block
// or a unit is, the caller knows.
//
// What it does not do: power by simulation, unequal variances, random blocks
// (recovery of information between blocks), multiplicity. The single families
// of distributions, and the power of plain two-sample layouts, are in package
// dist; exact tests of counts are in package discrim.
//
// There are no missing values. Errors wrap the sentinels of package stats:
// ErrEmpty, ErrLengths, ErrNonFinite, ErrDomain, ErrTooFew when no degree of
// freedom is left, ErrSingular when the blocks take up a difference of arms.
package power
