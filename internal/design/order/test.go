package order

import (
	"fmt"
	"math/rand/v2"
)

// Kind is a difference test.
type Kind string

// The difference tests whose orders are made.
const (
	Triangle Kind = "triangle" // two alike and one other: which is the other
	DuoTrio  Kind = "duo-trio" // a reference first, then both: which is the reference
	Paired   Kind = "paired"   // one of each: which has more; the orders of the 2-AFC
	ThreeAFC Kind = "3-AFC"    // two of A and one of B: which has more
	Tetrad   Kind = "tetrad"   // two of each: which belong together
)

// Kinds lists them.
var Kinds = []Kind{Triangle, DuoTrio, Paired, ThreeAFC, Tetrad}

// arrangements are all orders of a test; A is 0 and B is 1.
var arrangements = map[Kind][][]int{
	Triangle: {{0, 0, 1}, {0, 1, 0}, {1, 0, 0}, {1, 1, 0}, {1, 0, 1}, {0, 1, 1}},
	// The reference is either sample, a balanced reference.
	DuoTrio:  {{0, 0, 1}, {0, 1, 0}, {1, 0, 1}, {1, 1, 0}},
	Paired:   {{0, 1}, {1, 0}},
	ThreeAFC: {{0, 0, 1}, {0, 1, 0}, {1, 0, 0}},
	Tetrad:   {{0, 0, 1, 1}, {0, 1, 0, 1}, {0, 1, 1, 0}, {1, 0, 0, 1}, {1, 0, 1, 0}, {1, 1, 0, 0}},
}

// Test gives each answer of a difference test its order: every possible order
// equally often, give or take one, dealt by lot. Samples are 0 and 1; in the
// 3-AFC sample 1 is the odd one.
func Test(kind Kind, answers int, rng *rand.Rand) ([][]int, error) {
	all, ok := arrangements[kind]
	if !ok || answers < 0 || rng == nil {
		return nil, fmt.Errorf("%w: %d answers of the test %q", ErrArgument, answers, kind)
	}
	out := make([][]int, 0, answers)
	for len(out) < answers {
		for _, i := range rng.Perm(len(all)) { // a lot of its own for the last, partial round
			if len(out) < answers {
				out = append(out, append([]int(nil), all[i]...))
			}
		}
	}
	rng.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out, nil
}
