// Package ranks holds tests that look at order only: Friedman and Page for
// people who rank several samples, Conover's and the plain least significant
// difference of rank sums after Friedman, a rank test for incomplete blocks,
// Wilcoxon's signed rank and rank sum tests with the Hodges–Lehmann estimate,
// Kruskal–Wallis, the sign test and McNemar.
//
// Ties always get mid-ranks (the mean of the ranks they cover). An exact p is
// the share of all equally likely arrangements that are at least as extreme as
// the one seen, with the ties left where they are (a conditional exact test).
// It is computed by convolution, in integers or halves, never by drawing, and
// falls back to the named approximation above a documented amount of work.
//
// What the package does not do: no confidence interval for Friedman effects, no
// adjustment of the pairwise p values for the number of pairs (that is package
// multiple), no blocks for Kruskal–Wallis, no multi-category McNemar.
//
// Missing values are removed by the caller; Incomplete is the test for tables
// with holes. NaN and infinities are stats.ErrNonFinite. Nothing here panics and
// inputs are never altered.
package ranks
