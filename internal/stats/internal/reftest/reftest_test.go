package reftest

import (
	"math"
	"testing"
)

func TestClose(t *testing.T) {
	t.Parallel()
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		name                 string
		got, want, rel, abs_ float64
		ok                   bool
	}{
		{"equal", 1, 1, 0, 0, true},
		{"just inside", 1 + 0.9e-9, 1, 1e-9, 0, true},
		{"just outside", 1 + 1.1e-9, 1, 1e-9, 0, false},
		{"sign matters", -1, 1, 1e-9, 0, false},
		{"zero needs abs", 1e-12, 0, 1e-9, 0, false},
		{"zero with abs", 1e-12, 0, 1e-9, 1e-10, true},
		{"NaN got", nan, 1, 1, 1, false},
		{"NaN both", nan, nan, 1, 1, false},
		{"infinity itself", inf, inf, 0, 0, true},
		{"infinity and number", inf, 1, 1, 1, false},
		{"number and infinity", 1, inf, 1, 1, false},
		{"relative to want, not got", 100, 50, 0.9, 0, false},
	} {
		if got := Close(c.got, c.want, c.rel, c.abs_); got != c.ok {
			t.Errorf("%s: Close = %v, want %v", c.name, got, c.ok)
		}
	}
}
