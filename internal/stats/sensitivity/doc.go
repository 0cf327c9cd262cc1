// Package sensitivity asks how strong an unmeasured difference would have to be
// to change an answer, and how much an answer depends on choices that could
// have been made otherwise.
//
// The first part follows Cinelli & Hazlett (2020), "Making sense of
// sensitivity: extending omitted variable bias", J. R. Stat. Soc. B 82, 39–67:
// robustness values, bounds against a recorded covariate, adjusted estimates
// and extreme scenarios, from an estimate, its standard error and its residual
// degrees of freedom alone, or from a regression given as numbers. The second
// part (Specifications, LeaveOneOut) orders estimates that were made elsewhere.
//
// What it does not do: the bounds hold for least squares with one treatment
// coefficient. For a mixed or ordinal model they are an analogy that the caller
// has to name as one. Nothing here says whether a confounder exists.
//
// Missing values are removed by the caller. Errors are those of package stats:
// ErrNonFinite for a NaN or an infinity, ErrDomain for arguments outside their
// range, ErrTooFew for too few degrees of freedom, ErrSingular for columns that
// depend on each other.
package sensitivity
