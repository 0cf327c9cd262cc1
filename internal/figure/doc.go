// Package figure is a plain model of a statistical figure: axes with explicit
// ticks, layers in drawing order, words in both unit systems, and colour roles
// instead of colours. Whoever builds a figure does all the arithmetic here or
// before (ranges, ticks, jitter, rounding), so that every backend draws the
// same picture and the table beside it holds the same numbers.
//
// It knows no trials, no colours and no pixels, draws nothing and computes no
// statistics. Numbers are stored in metric units; an axis says how they convert
// for a reader who wants US units, and the geometry of a figure is the same in
// both.
//
// A missing value is left out by the builder: a NaN or an infinity anywhere is
// ErrNonFinite. Validate reports all faults of a figure at once, each wrapping
// one of the sentinels ErrEmpty, ErrLengths, ErrNonFinite, ErrRange and
// ErrUnknownLayer. Nothing panics and no input is altered.
package figure
