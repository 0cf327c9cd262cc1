package curve

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestTails: selection gives the very numbers that sorting gives.
func TestTails(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	for _, n := range []int{1, 2, 3, 12, 13, 40, 500, 2001} {
		for _, kind := range []string{"normal", "ties", "constant", "ascending", "descending"} {
			v := make([]float64, n)
			for i := range v {
				switch kind {
				case "normal":
					v[i] = rng.NormFloat64()
				case "ties":
					v[i] = float64(rng.IntN(3))
				case "ascending":
					v[i] = float64(i)
				case "descending":
					v[i] = float64(-i)
				}
			}
			sorted := slices.Sorted(slices.Values(v))
			for _, tail := range []float64{0.005, 0.025, 0.05, 0.25, 0.49} {
				lo, hi := tails(slices.Clone(v), tail)
				if lo != quantile(sorted, tail) || hi != quantile(sorted, 1-tail) {
					t.Errorf("%d %s values at %v: %v, %v; sorted %v, %v", n, kind, tail, lo, hi, quantile(sorted, tail), quantile(sorted, 1-tail))
				}
			}
		}
	}
}
