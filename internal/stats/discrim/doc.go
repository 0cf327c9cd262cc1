// Package discrim is the arithmetic of difference tests: triangle, duo-trio,
// 2-AFC (paired, one- or two-sided), 3-AFC and tetrad. It gives exact binomial p
// values and critical counts, the sensory distance d′ with its standard error and
// intervals, the share of discriminators pd, power, the number of assessments
// needed, and the mirror image of all that for similarity.
//
// The psychometric functions are those of equal-variance normal perceptions; d′
// is the distance of the two means in standard deviations. pd is the other common
// scale: a share pd always tells the samples apart, the rest guess, so that
// pc = chance + pd(1 − chance).
//
// What the package does not do: no replicated tests with a spread between
// assessors (beta-binomial), no decision rules of odd-one-out for more than three
// samples, no same-different tests. One assessment per assessor is assumed;
// several by one person are no independent trials, and it is for the caller to
// say so.
//
// Counts need no missing-value rule: an assessment that did not happen is not
// counted. Errors wrap the sentinels of package stats; nothing panics.
package discrim
