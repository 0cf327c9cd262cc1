package conduct

import (
	"math/rand/v2"
	"testing"
)

// The stretches of a profile end at its bends, one after the other from 0 to the end,
// and begin and end with what the profile is there, after a jump and before one.
func TestWalk(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for range 500 {
		var at, value []float64
		now := float64(rng.IntN(5) - 3)
		for range rng.IntN(9) {
			at, value = append(at, now), append(value, 50+rng.Float64())
			now += float64(rng.IntN(3)) * rng.Float64()
		}
		p := Profile{at, value}
		to := 0.1 + 3*rng.Float64()
		if len(at) > 0 && at[len(at)-1] > 0 && rng.IntN(3) == 0 {
			to = at[len(at)-1] // the end falls on a point
		}
		ends := append(p.bends(0, to), to)
		from, first, i := 0.0, p.At(0), 0
		for w := p.walk(to); w.next(); i++ {
			if i >= len(ends) {
				t.Fatalf("%v to %v: more stretches than the %d that it has", p, to, len(ends))
			}
			if want := (straight{from, ends[i], first, p.look(ends[i], false)}); w.straight != want {
				t.Fatalf("%v to %v: stretch %d is %+v, not %+v", p, to, i, w.straight, want)
			}
			from, first = ends[i], p.look(ends[i], true)
		}
		if i != len(ends) {
			t.Fatalf("%v to %v: %d stretches of %d", p, to, i, len(ends))
		}
	}
}
