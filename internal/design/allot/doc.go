// Package allot lays runs into sessions, baths and an order, and deals pieces to
// the places in the runs, so that nothing moves along with what is compared.
//
// Runs spreads runs over sessions and baths and draws their order by restricted
// randomisation: by lot, but only among the orders in which neither the value
// nor the rank of the set point follows the order by more than a bound, and of
// those one in which set points are early and late alike over all sessions. Deal
// gives every place a piece, so that sources, parts and sizes meet every level
// as evenly as a seeded search gets. Both respect what is fixed, or say that
// they cannot. Difference describes what is left.
//
// Everything is a number from 0 here; nothing knows a trial. The same arguments
// and seed give the same result. Inputs are never altered; a missing size is
// NaN; bad arguments are ErrArgument; nothing panics.
//
// What it does not do: it proves no layout to be the best there is, and it knows
// no clock.
package allot

import "errors"

// The errors.
var (
	ErrArgument = errors.New("allot: bad argument")
	// ErrNoRoom: more runs than places in the baths, or than a bath or session
	// that runs are fixed to has.
	ErrNoRoom = errors.New("allot: the runs do not fit into the baths")
	// ErrNoPiece: a place that no piece may take.
	ErrNoPiece = errors.New("allot: too few pieces")
	// ErrFixed: pieces that have to go where there is no place for them.
	ErrFixed = errors.New("allot: fixed pieces do not fit")
)
