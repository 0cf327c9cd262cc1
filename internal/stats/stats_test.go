package stats

import (
	"errors"
	"math"
	"testing"
)

func TestChecks(t *testing.T) {
	t.Parallel()
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		name string
		xs   []float64
		want error
	}{
		{"empty", nil, ErrEmpty},
		{"one", []float64{1}, nil},
		{"NaN", []float64{1, nan}, ErrNonFinite},
		{"infinity", []float64{-inf}, ErrNonFinite},
		{"largest", []float64{math.MaxFloat64}, nil},
	} {
		if err := CheckSample("x", c.xs); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if err := CheckFinite("x", nil); err != nil {
		t.Errorf("nothing is finite: %v", err)
	}
	if err := CheckLengths("a", 1, "b", 2); !errors.Is(err, ErrLengths) {
		t.Errorf("1 and 2: %v", err)
	}
	if err := CheckLengths("a", 2, "b", 2); err != nil {
		t.Errorf("2 and 2: %v", err)
	}
}

func TestInterval(t *testing.T) {
	t.Parallel()
	closed := Interval{Low: 1, High: 3}
	open := Interval{HighOpen: true, Low: 1}
	for _, c := range []struct {
		iv   Interval
		x    float64
		want bool
	}{{closed, 1, true}, {closed, 3, true}, {closed, 0.999, false}, {closed, 3.001, false}, {open, 1e300, true}, {open, 0, false},
		{Interval{LowOpen: true, High: 3}, -1e300, true}, {closed, math.NaN(), false}} {
		if got := c.iv.Contains(c.x); got != c.want {
			t.Errorf("%+v contains %v: %v", c.iv, c.x, got)
		}
	}
	if w, ok := closed.Width(); w != 2 || !ok {
		t.Errorf("width %v %v", w, ok)
	}
	if _, ok := open.Width(); ok {
		t.Error("an open interval has no width")
	}
}
