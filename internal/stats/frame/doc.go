// Package frame builds model matrices: columns of numbers and factors go in,
// together with a list of terms, and a dense matrix with named columns comes
// out. The same Matrix then answers the questions that depend on the coding:
// rows for new points, rows of marginal means over a reference grid, and the
// hypothesis matrices of types I, II and III.
//
// A factor in a term is coded by its contrasts when the term without that
// factor is in the model too (the intercept being the empty term), and by one
// indicator column per level otherwise. Terms keep the order in which they are
// given; nothing is sorted by size, because the sums of squares of type I depend
// on the order and the caller chooses it.
//
// What it does not do: it parses no formulas, fits nothing, drops no aliased
// columns (package linear finds and names them) and detects no nesting by
// itself: a nested factor is written as an interaction whose margin is absent.
//
// Missing values are removed by the caller. A NaN or an infinity is
// stats.ErrNonFinite. All errors wrap a sentinel of package stats; nothing
// panics.
package frame
