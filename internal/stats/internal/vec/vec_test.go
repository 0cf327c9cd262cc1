package vec

import (
	"math"
	"testing"
)

func TestNorm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		a    []float64
		want float64
	}{
		{nil, 0},
		{[]float64{}, 0},
		{[]float64{0, 0}, 0},
		{[]float64{-2}, 2},
		{[]float64{3, 4}, 5},
		{[]float64{3e200, 4e200}, 5e200},    // its squares overflow
		{[]float64{3e-200, 4e-200}, 5e-200}, // its squares vanish
		{[]float64{math.Inf(-1), 1}, math.Inf(1)},
	} {
		if got := Norm(c.a); got != c.want && math.Abs(got-c.want) > 4e-16*c.want {
			t.Errorf("Norm(%v) = %v, want %v", c.a, got, c.want)
		}
	}
	if got := Norm([]float64{1, math.NaN()}); !math.IsNaN(got) {
		t.Errorf("Norm with NaN = %v", got)
	}
}
