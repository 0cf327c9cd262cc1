// Package linear fits linear models by least squares: ordinary, weighted and
// generalised. It answers with coefficients, contrasts, analyses of variance of
// types I, II and III, error strata of blocked and nested layouts, the test on
// the stratum of a factor's unit, lack of fit, influence, predictions and
// Fieller's intervals for ratios.
//
// Method. Columns are scaled by powers of two (exact), then decomposed by
// Householder reflections in the given order; a column of which nothing new is
// left is aliased, named, and left out, so earlier columns win, as readers of
// tables of coefficients expect. The solution is then refined on the augmented
// system with residuals in double-double arithmetic (Björck 1967, BIT 7:257),
// which makes coefficients and residuals right to nearly all digits of the data
// as given, also for ill-conditioned columns and for responses with a large
// offset. Normal equations are never formed. Polynomial computes in
// double-double from the start, because the powers themselves would lose digits.
//
// What it does not do: random effects (package mixed), non-linear curves
// (package curve), robust or penalised fits, selection of variables.
//
// Missing values are removed by the caller; a NaN or an infinity is
// stats.ErrNonFinite. An aliased coefficient has estimate 0 and Aliased set.
// Errors wrap the sentinels of package stats; nothing panics.
package linear
