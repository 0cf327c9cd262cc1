package resample

import (
	"errors"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats"
)

// Who only asks whether p lies above a limit is told the same, whether everything is
// looked at or the looking ends early; and below the limit p is the same to the bit.
func TestEnoughDecidesTheSame(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	ended, above, below := 0, 0, 0
	for range 300 {
		n := 4 + rng.IntN(12)
		labels, blocks, y := make([]int, n), make([]int, n), make([]float64, n)
		for i := range n {
			labels[i], blocks[i] = rng.IntN(2), rng.IntN(2)
			y[i] = float64(rng.IntN(7)) + 2*float64(labels[i])*rng.Float64()
		}
		difference := func(l []int) float64 {
			var sum, count [2]float64
			for i, k := range l {
				sum[k] += y[i]
				count[k]++
			}
			if count[0] == 0 || count[1] == 0 {
				return 0
			}
			return sum[1]/count[1] - sum[0]/count[0]
		}
		for _, tail := range []Tail{TwoSided, Greater, Less} {
			limit := 0.01 + 0.3*rng.Float64()
			all, errAll := Permute(labels, blocks, difference, Options{Tail: tail, Draws: 499, Seed: 3, Alpha: limit})
			some, err := Permute(labels, blocks, difference, Options{Tail: tail, Draws: 499, Seed: 3, Alpha: limit, Enough: limit})
			if errAll != nil {
				// No outcome can have a p below the limit; ending early says so as well.
				if errors.Is(errAll, stats.ErrTooFew) && err == nil && some.P <= limit || err == nil && !some.Ended {
					t.Fatalf("%v: %v, but with a limit %+v", labels, errAll, some)
				}
				continue
			}
			switch {
			case err != nil:
				t.Fatal(err)
			case (all.P > limit) != (some.P > limit):
				t.Fatalf("limit %v: p %v, with the limit %v", limit, all.P, some.P)
			case some.P > all.P:
				t.Fatalf("limit %v: the least p %v is above %v", limit, some.P, all.P)
			case !some.Ended && *some != *all:
				t.Fatalf("limit %v: %+v, with the limit %+v", limit, all, some)
			}
			if some.Ended {
				ended++
			}
			if all.P > limit {
				above++
			} else {
				below++
			}
		}
	}
	if ended == 0 || above < 50 || below < 50 || ended != above {
		t.Errorf("%d of %d above the limit ended early, %d below", ended, above, below)
	}
}
