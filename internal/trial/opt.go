package trial

import "tamis/internal/diag"

// Opt is a value that the file may leave out, with the place it came from.
// The zero Opt is "not known".
type Opt[T any] struct {
	V     T
	Known bool
	At    diag.Pos
}

// Some is a known value without a place, for records that are built in memory.
func Some[T any](v T) Opt[T] { return Opt[T]{V: v, Known: true} }

// SomeAt is a known value with its place.
func SomeAt[T any](v T, at diag.Pos) Opt[T] { return Opt[T]{V: v, Known: true, At: at} }

// Get returns the value and whether it is known.
func (o Opt[T]) Get() (T, bool) { return o.V, o.Known }

// Or returns the value, or other where it is not known.
func (o Opt[T]) Or(other T) T {
	if o.Known {
		return o.V
	}
	return other
}

// Range is a closed range of numbers, such as "5 to 6.5" or "0 to 10".
type Range struct{ Low, High float64 }

// Contains reports whether x lies in the closed range.
func (r Range) Contains(x float64) bool { return x >= r.Low && x <= r.High }

// Width is High - Low.
func (r Range) Width() float64 { return r.High - r.Low }
