// Package order makes serving orders: who tastes which sample at which place.
//
// Williams gives squares in which every sample stands equally often at every
// place and equally often right after every other one. Deal deals the rows of
// a square to a panel of any size and says what is left uneven. Where there are
// more samples than a sitting allows, Choose picks the samples of each sitting
// (an incomplete block design) and Arrange puts them in an order, or ArrangeWithin
// where a sitting is served in parts. Test gives the orders of difference tests.
//
// Samples and assessors are numbers from 0; nothing here knows a trial. A
// result depends on its arguments and the seed only. Bad arguments are
// ErrArgument; inputs are never altered; nothing panics.
//
// What it does not do: it balances only the sample right before, not two back,
// and its searches are searches: a result carries its own counts, so that
// nobody has to believe that the best was found.
package order

import "errors"

// ErrArgument is a size or a list that means nothing here.
var ErrArgument = errors.New("order: bad argument")
