// Package size answers, before a trial, how large a difference it can see and
// how many cooks, pieces and people a difference needs; and how many answers a
// difference test or a similarity test needs.
//
// A set point is applied to a cook, so power follows from the number of cooks of
// a set point, the degrees of freedom that cooks leave once sessions are removed,
// and the variance of a cook's mean. Pieces and tasters enter through that
// variance only. Two roads lead to the same number: the closed form (noncentral F
// and t, package stats/power) and the simulation of the headline analysis itself
// (texture.Repeated) on invented trials with the same layout.
//
// What it does not do: read files, plan a layout (which piece goes where), guess
// a spread that nobody stated (without one, differences count in standard
// deviations between cooks), unequal numbers of cooks, the curve and its window,
// claims beyond the panel that tastes.
//
// There are no missing values. A number that does not exist is a typed absence
// with its reason. Errors are *Problem, which names the flag-like word of the
// argument at fault, or those of package stats.
package size
