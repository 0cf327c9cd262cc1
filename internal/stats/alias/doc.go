// Package alias says how far a thing that was compared goes together with a
// thing that was not meant to vary: completely, so that no statistics can take
// the two apart, or in part, and how much.
//
// Rows are the units at which the nuisance varies: cooks, pieces or scores. A
// level is a whole number from 0 to k-1.
//
// Missing values: a level or a code below 0 and a NaN are "not known", and Lost,
// OrderFollows and Moves pass over such a row. The caller decides whether it may
// judge what is left. An infinity is stats.ErrNonFinite.
//
// What it does not do: it names no cause, attaches no p-value to a description
// (CramersV, Imbalance) and knows nothing of trials or thresholds.
//
// Errors wrap the sentinels of package stats. Results never alias an input, and
// the same input and seed give the same result on any machine.
package alias
