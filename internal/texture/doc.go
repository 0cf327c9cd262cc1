// Package texture is the analysis of one trial: the unit of each factor, the
// tests and means on that unit, the mixed model beside them, the curve of a
// measure against the set point, the window of the aims, the panel, and how far
// the answer depends on choices.
//
// It takes a trial.Trial and gives a Result of plain numbers with JSON names.
// It reads no files, prints nothing, judges neither safety nor fairness and
// writes no sentence for a reader: answer does that. Its numerics live below
// internal/stats.
//
// Units: set points and other temperatures are in °C unless a name says
// otherwise, times in minutes, cook loss in percent; scores and amounts are in
// the unit of their measure.
//
// A number that does not exist is a typed absence with its reason
// (quantity.Number); a part that cannot be computed stands in Cannot with what
// would be needed. No input makes the package panic, and no result holds a NaN.
package texture
