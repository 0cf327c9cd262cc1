package dist

import (
	"errors"
	"fmt"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

// What is detectable must have the power that was asked for.
func TestDetectable(t *testing.T) {
	t.Parallel()
	ok := must(t)
	for _, power := range []float64{0.1, 0.5, 0.8, 0.99} {
		for _, d := range [][2]float64{{1, 2}, {3, 8}, {5, 200}} {
			ncp := ok(FDetectable(power, d[0], d[1], 0.05))
			reftest.Within(t, fmt.Sprint("F ", power, d), ok(FPower(ncp, d[0], d[1], 0.05)), power, 1e-11, "inverse of FPower")
		}
		for _, n := range []float64{2, 3, 12, 1000} {
			for _, two := range []bool{true, false} {
				for _, design := range []TDesign{TwoSample, Paired} {
					effect := ok(TDetectable(design, power, n, 0.05, two))
					reftest.Within(t, fmt.Sprint("t ", power, n, two, design), ok(TPower(design, effect, n, 0.05, two)), power, 1e-11, "inverse of TPower")
				}
			}
		}
	}
	// The table of the power reference, read backwards: 80 % at 0.5 needs 63.77.
	reftest.Within(t, "0.5 back", ok(TDetectable(TwoSample, 0.8, 63.7656101909419, 0.05, true)), 0.5, 1e-5, "R 4.2.2 power.t.test(strict), uniroot's tolerance")
	second := func(_ float64, err error) error { return err }
	for name, c := range map[string]struct{ err, want error }{
		"power below alpha": {second(FDetectable(0.04, 1, 5, 0.05)), stats.ErrDomain},
		"power 1":           {second(FDetectable(1, 1, 5, 0.05)), stats.ErrDomain},
		"no df":             {second(FDetectable(0.8, 1, 0, 0.05)), stats.ErrDomain},
		"alpha":             {second(FDetectable(0.8, 1, 3, 0)), stats.ErrDomain},
		"t one unit":        {second(TDetectable(Paired, 0.8, 1, 0.05, true)), stats.ErrTooFew},
		"t power":           {second(TDetectable(Paired, 0, 5, 0.05, true)), stats.ErrDomain},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: error %v, want %v", name, c.err, c.want)
		}
	}
}
