// Package stats and the packages below it are the numerics of tamis: numbers
// go in, results come out. They know no food, no files and no trials, and they
// import nothing else of the project.
//
// Conventions that hold for every exported function below this folder:
//
//   - Inputs are never altered. Slices in a result never alias an input.
//   - "No answer" is a typed error that wraps one of the sentinels of this
//     package (ErrEmpty, ErrLengths, ErrNonFinite, ErrNoVariation, ErrDomain,
//     ErrTooFew, ErrSingular, ErrTooLarge); errors.Is finds it. No result with
//     a nil error contains a NaN; an infinity occurs only as the open end of an
//     Interval, which says so in a flag.
//   - "An answer with a reservation" is a Warning inside the result.
//   - Missing values are removed by the caller. A NaN or an infinity in an
//     input is ErrNonFinite, never a silent drop, unless a doc comment says
//     otherwise.
//   - An iterative method returns a Status.
//   - Nothing panics on any input, and nothing reads a clock. Randomness comes
//     from a seed in the arguments, with a generator of its own for each draw,
//     so results do not depend on the number of cores.
package stats
