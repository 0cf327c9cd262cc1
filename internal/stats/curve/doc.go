// Package curve fits a response against one numeric factor and answers
// questions about the curve: how sure it is, where it reaches a value, and over
// which stretch several curves keep their aims together.
//
// Three layers, each usable alone:
//
//   - Solve is general nonlinear least squares for any model function, with the
//     relative-offset convergence criterion of Bates & Watts (1981), Wald and
//     profile intervals, and honest non-convergence.
//   - New and Stage.Fit are the second stage of a two-stage analysis: estimates
//     of cells (unit × treatment), with their covariance, are summarised by a
//     small catalogue of families (constant, line, quadratic, logistic), each
//     weighted by AICc; Isotonic is a shape check beside them.
//   - Sampler redraws the data, refits every candidate with its weight, and
//     hands the averaged curves of each draw to consumers: Window (do all aims
//     hold?), Band (pointwise interval) and Crossing (where is a value reached?).
//
// The unit is called a cook and the factor a set point in names below, but the
// package knows only numbers: x is any factor, a treatment is a small integer.
//
// What the package does not do: it does not choose units, does not clean data,
// does not handle missing values (leave the row out), does not extrapolate more
// than a tenth of the range of x, and does not fit random effects beyond the
// variance components of Stage.
//
// Errors wrap the sentinels of package stats. Inputs are never altered. Results
// do not depend on GOMAXPROCS: each draw owns a generator seeded by (seed, index)
// and sums run in index order.
package curve
