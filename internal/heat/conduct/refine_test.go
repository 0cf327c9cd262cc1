package conduct

import (
	"fmt"
	"math"
	"testing"
)

// unit is a body of half thickness 1 m and unit properties, so that seconds are
// Fourier numbers, the coefficient is the Biot number and the start is at θ = 1.
func unit(t testing.TB, shape Shape, bi float64) Problem {
	t.Helper()
	m, err := Uniform(1, 1)
	if err != nil {
		t.Fatal(err)
	}
	f := Bath(0, bi)
	if math.IsInf(bi, 1) {
		f = Pan(0)
	}
	return Problem{Shape: shape, Half: 1, Material: m, Start: 1, Phases: []Phase{{Seconds: 1, Outer: f}}}
}

func TestThetaByFiniteVolumes(t *testing.T) {
	t.Parallel()
	rows := load(t).Theta
	worst := 0.0
	for i := 0; i < len(rows); i += 4 {
		p := unit(t, rows[i].Shape.Shape, float64(rows[i].Bi))
		var times []float64
		for _, r := range rows[i : i+4] {
			times = append(times, r.Fo)
		}
		got, err := Extrapolated(p, Options{Cells: 100, Times: times})
		if err != nil {
			t.Fatal(err)
		}
		s, _ := Dimensionless(rows[i].Shape.Shape, float64(rows[i].Bi))
		for j, r := range rows[i : i+4] {
			name := fmt.Sprint(r.Shape, " Bi ", r.Bi, " Fo ", r.Fo)
			near(t, name+" centre", got[j].Centre/r.Centre, 1, 1e-6)
			near(t, name+" mean", got[j].Mean/r.Mean, 1, 1e-6)
			worst = math.Max(worst, math.Abs(got[j].Centre/s.Centre(r.Fo)-1))
			worst = math.Max(worst, math.Abs(got[j].Mean/s.Mean(r.Fo)-1))
		}
	}
	// Between the two methods, without the rounding of the table.
	t.Logf("worst relative difference from the series: %.1e", worst)
	if worst > 1e-6 {
		t.Errorf("the methods differ by %.1e", worst)
	}
}
