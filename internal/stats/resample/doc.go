// Package resample holds permutation tests and bootstrap intervals on units.
//
// The unit is whatever was randomised: a permutation moves labels between units,
// a bootstrap draws whole units (clusters), and both stay within blocks. The
// caller supplies the statistic as a function of labels or of unit numbers, so
// that rows below the unit travel with it.
//
// Every distinct arrangement is visited where there are at most MaxFull;
// otherwise a seeded sample is drawn. Each draw owns a generator seeded by
// (seed, index), so results do not depend on the number of cores. Statistics are
// called from several goroutines at once and must not share scratch space. Who
// only asks whether p lies below a limit says so (Options.Enough); most tests then
// end after a few arrangements, one after the other, with the same answer.
//
// What the package does not do: it does not find the unit, does not remove
// missing values, and draws no errors from a model (package curve does).
//
// Errors wrap the sentinels of package stats; FewArrangements is the answer
// "this design cannot show anything", with the smallest p it could give.
package resample
