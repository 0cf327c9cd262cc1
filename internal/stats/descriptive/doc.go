// Package descriptive describes one sample or two: moments, quantiles of a named
// definition, ranks, correlations, spread within groups.
//
// Moments are computed in two passes with compensated sums, so that an offset
// of 1e12 costs no digits beyond those the data lost when they were stored.
//
// It makes no inference: standard errors and intervals belong to the models.
// Missing values are the caller's business: a NaN or an infinity is
// stats.ErrNonFinite. No observations are stats.ErrEmpty, too few are
// stats.ErrTooFew, and a constant where a ratio to its spread is asked for is
// stats.ErrNoVariation. A result beyond the range of float64 is stats.ErrDomain.
package descriptive
