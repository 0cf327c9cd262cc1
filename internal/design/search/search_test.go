package search

import (
	"math/rand/v2"
	"testing"
)

// places is a permutation; its cost is how far each number is from its place.
type places struct {
	p, saved []int
	i, j     int
}

func (s *places) cost() float64 {
	var c float64
	for i, x := range s.p {
		c += float64((x - i) * (x - i))
	}
	return c
}

func (s *places) Change(rng *rand.Rand) (float64, bool) {
	s.i, s.j = rng.IntN(len(s.p)), rng.IntN(len(s.p))
	if s.i == s.j {
		return 0, false
	}
	before := s.cost()
	s.Undo()
	return s.cost() - before, true
}
func (s *places) Undo() { s.p[s.i], s.p[s.j] = s.p[s.j], s.p[s.i] }
func (s *places) Save() { s.saved = append(s.saved[:0], s.p...) }
func (s *places) Load() { copy(s.p, s.saved) }

func TestAnneal(t *testing.T) {
	t.Parallel()
	start := rand.New(rand.NewPCG(1, 1)).Perm(12)
	run := func(seed uint64, steps int) *places {
		s := &places{p: append([]int(nil), start...)}
		before := s.cost()
		if grew := Anneal(s, steps, 20, 0.1, rand.New(rand.NewPCG(seed, 1))); s.cost() != before+grew {
			t.Errorf("the cost went from %v to %v, and not by %v", before, s.cost(), grew)
		}
		return s
	}
	if c := run(1, 20_000).cost(); c != 0 {
		t.Errorf("12 numbers are not sorted: cost %v", c)
	}
	before := (&places{p: start}).cost()
	for seed := range uint64(50) { // a short search at a high temperature ends no worse than it began
		s := run(seed, 30)
		if s.cost() > before {
			t.Errorf("seed %d: from %v to %v", seed, before, s.cost())
		}
		again := run(seed, 30)
		for i := range s.p {
			if s.p[i] != again.p[i] {
				t.Fatalf("seed %d gives two results", seed)
			}
		}
	}
	for _, bad := range []struct {
		steps     int
		hot, cold float64
	}{{0, 1, 1}, {-1, 1, 1}, {10, 0, 1}, {10, 1, -1}} {
		s := &places{p: append([]int(nil), start...)}
		Anneal(s, bad.steps, bad.hot, bad.cold, rand.New(rand.NewPCG(1, 1)))
		if s.cost() != before {
			t.Errorf("%+v changed something", bad)
		}
	}
}
