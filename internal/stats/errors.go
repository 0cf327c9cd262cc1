package stats

import (
	"errors"
	"fmt"
	"math"
)

// The reasons for "no answer". Functions wrap them with what was found and what
// would be needed: fmt.Errorf("%w: 2 values, 3 needed", ErrTooFew).
var (
	// ErrEmpty: no observations at all.
	ErrEmpty = errors.New("no observations")
	// ErrLengths: arguments that must have equal lengths do not.
	ErrLengths = errors.New("unequal lengths")
	// ErrNonFinite: a NaN or an infinity in the input.
	ErrNonFinite = errors.New("a value is not a finite number")
	// ErrNoVariation: everything is equal where a difference is needed.
	ErrNoVariation = errors.New("no variation")
	// ErrDomain: an argument outside the domain of the function.
	ErrDomain = errors.New("argument outside its domain")
	// ErrTooFew: some observations, but fewer than the method needs.
	ErrTooFew = errors.New("too few observations")
	// ErrSingular: the system has no unique solution.
	ErrSingular = errors.New("not separable")
	// ErrTooLarge: the problem is above a documented limit.
	ErrTooLarge = errors.New("above the size limit")
	// ErrNotConverged: an iteration ended without a usable answer.
	ErrNotConverged = errors.New("did not converge")
)

// CheckFinite returns ErrNonFinite, naming the first offending index, when xs
// holds a NaN or an infinity. An empty xs is fine.
func CheckFinite(name string, xs []float64) error {
	for i, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return fmt.Errorf("%w: %s[%d] = %v", ErrNonFinite, name, i, x)
		}
	}
	return nil
}

// CheckSample returns ErrEmpty for no values and ErrNonFinite as CheckFinite.
func CheckSample(name string, xs []float64) error {
	if len(xs) == 0 {
		return fmt.Errorf("%w: %s", ErrEmpty, name)
	}
	return CheckFinite(name, xs)
}

// CheckLengths returns ErrLengths when the two lengths differ.
func CheckLengths(a string, na int, b string, nb int) error {
	if na != nb {
		return fmt.Errorf("%w: %s has %d, %s has %d", ErrLengths, a, na, b, nb)
	}
	return nil
}
