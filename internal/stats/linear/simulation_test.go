package linear

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats/frame"
)

// TestUnitSize simulates the test of two arms on their cooks where there is no
// effect: it must reject 5 % of the time whatever part of the variation lies
// between cooks. Also unbalanced (1 to 7 pieces a cook), where equal weights are
// only nearly exact; there the band is a point wider.
func TestUnitSize(t *testing.T) {
	t.Parallel()
	draws := 20_000
	if testing.Short() {
		draws = 1500
	}
	for _, c := range []struct {
		cooks  int
		icc    float64
		pieces func(cook int) int
		slack  float64
	}{
		{4, 0, func(int) int { return 4 }, 0},
		{4, 0.5, func(int) int { return 4 }, 0},
		{8, 0.1, func(int) int { return 4 }, 0},
		{20, 0.3, func(int) int { return 4 }, 0},
		{8, 0.3, func(k int) int { return 1 + (3*k)%7 }, 0.01},
	} {
		t.Run(fmt.Sprintf("%d cooks, ICC %v", c.cooks, c.icc), func(t *testing.T) {
			t.Parallel()
			var cook, arm []int
			for k := range c.cooks {
				for range c.pieces(k) {
					cook, arm = append(cook, k), append(arm, k%2)
				}
			}
			levels := make([]string, c.cooks)
			for k := range levels {
				levels[k] = fmt.Sprint(k)
			}
			cc, err := frame.FactorCodes("cook", cook, levels)
			if err != nil {
				t.Fatal(err)
			}
			ca, err := frame.FactorCodes("arm", arm, []string{"a", "b"})
			if err != nil {
				t.Fatal(err)
			}
			f, err := frame.New(cc, ca)
			if err != nil {
				t.Fatal(err)
			}
			rng := rand.New(rand.NewPCG(uint64(c.cooks), uint64(100*c.icc)))
			y := make([]float64, len(cook))
			effects := make([]float64, c.cooks)
			rejected := 0
			for range draws {
				for k := range effects {
					effects[k] = math.Sqrt(c.icc) * rng.NormFloat64()
				}
				for i := range y {
					y[i] = effects[cook[i]] + math.Sqrt(1-c.icc)*rng.NormFloat64()
				}
				u, err := Units(f, y, UnitModel{Unit: []string{"cook"}, Terms: []frame.Term{frame.T("arm")}})
				if err != nil {
					t.Fatal(err)
				}
				if u.Anova.Rows[0].P < 0.05 {
					rejected++
				}
			}
			share := float64(rejected) / float64(draws)
			if band := 3*math.Sqrt(0.05*0.95/float64(draws)) + c.slack; math.Abs(share-0.05) > band {
				t.Errorf("rejected %.4f of the time, 0.05 ± %.4f wanted", share, band)
			}
		})
	}
}
