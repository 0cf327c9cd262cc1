package reftest

import (
	"math"
	"testing"
)

// Close reports whether got agrees with want to the relative tolerance rel, or,
// where want is 0 or tiny, to the absolute tolerance abs. NaN agrees with
// nothing. An infinity agrees only with itself.
func Close(got, want, rel, abs float64) bool {
	if math.IsNaN(got) || math.IsNaN(want) {
		return false
	}
	if got == want {
		return true
	}
	if math.IsInf(got, 0) || math.IsInf(want, 0) {
		return false
	}
	d := math.Abs(got - want)
	return d <= abs || d <= rel*math.Abs(want)
}

// Within fails t when got is not within the relative tolerance rel of want.
// source says where want comes from and must not be empty.
func Within(t testing.TB, name string, got, want, rel float64, source string) {
	t.Helper()
	WithinAbs(t, name, got, want, rel, 0, source)
}

// WithinAbs is Within with an absolute tolerance beside the relative one, for
// reference values that are 0 in exact arithmetic.
func WithinAbs(t testing.TB, name string, got, want, rel, abs float64, source string) {
	t.Helper()
	if source == "" {
		t.Fatalf("%s: a reference value needs its source", name)
	}
	if !Close(got, want, rel, abs) {
		t.Errorf("%s = %.15g, want %.15g (rel %.2g, off by %.3g relative; %s)",
			name, got, want, rel, math.Abs(got-want)/math.Abs(want), source)
	}
}
