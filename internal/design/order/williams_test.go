package order

import (
	"errors"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

func lot(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 1)) }

// rows reads "ABDC BCAD" as samples.
func rows(s string) [][]int {
	var out [][]int
	for _, word := range strings.Fields(s) {
		var row []int
		for _, c := range word {
			row = append(row, int(c-'A'))
		}
		out = append(out, row)
	}
	return out
}

// The published squares of 4 and 6 samples (Williams 1949, as commonly printed),
// up to the order of the rows and the names of the samples.
func TestPublishedSquares(t *testing.T) {
	t.Parallel()
	for _, published := range []string{"ABDC BCAD CDBA DACB", "ABFCED BCADFE CDBEAF DECFBA EFDACB FAEBDC"} {
		want := rows(published)
		p := len(want)
		got, err := Williams(p)
		if err != nil || len(got) != p {
			t.Fatalf("%d samples: %d rows, %v", p, len(got), err)
		}
		if !sameUpToNames(got, want) {
			t.Errorf("%d samples: %v is not %s", p, got, published)
		}
	}
	if sameUpToNames(rows("ABCD BCDA CDAB DABC"), rows("ABDC BCAD CDBA DACB")) {
		t.Error("a cyclic square passes for a Williams square")
	}
}

// sameUpToNames tries every row of a as the first of b, which fixes the names.
func sameUpToNames(a, b [][]int) bool {
	key := func(rows [][]int, name []int) []string {
		var out []string
		for _, r := range rows {
			var s strings.Builder
			for _, x := range r {
				s.WriteByte(byte('A' + name[x]))
			}
			out = append(out, s.String())
		}
		slices.Sort(out)
		return out
	}
	same := make([]int, len(b))
	for i := range same {
		same[i] = i
	}
	for _, first := range a {
		name := make([]int, len(b))
		for i, x := range first {
			name[x] = b[0][i]
		}
		if slices.Equal(key(a, name), key(b, same)) {
			return true
		}
	}
	return false
}

func TestWilliamsIsBalanced(t *testing.T) {
	t.Parallel()
	for p := 2; p <= 20; p++ {
		square, err := Williams(p)
		if err != nil {
			t.Fatal(err)
		}
		if want := p * (1 + p%2); len(square) != want {
			t.Errorf("%d samples: %d rows, want %d", p, len(square), want)
		}
		for _, row := range square {
			s := slices.Clone(row)
			slices.Sort(s)
			for i, x := range s {
				if x != i {
					t.Fatalf("%d samples: %v is no permutation", p, row)
				}
			}
		}
		c, err := Count(square, p)
		if err != nil || c.PlaceSpread != 0 || c.AfterSpread != 0 {
			t.Errorf("%d samples: places uneven by %d, predecessors by %d, %v", p, c.PlaceSpread, c.AfterSpread, err)
		}
		if want := 1 + p%2; c.After[0][1] != want {
			t.Errorf("%d samples: each follows each %d times, want %d", p, c.After[0][1], want)
		}
	}
	for _, p := range []int{-1, 0, MostSamples + 1} {
		if _, err := Williams(p); !errors.Is(err, ErrArgument) {
			t.Errorf("a square of %d: %v", p, err)
		}
	}
	if one, err := Williams(1); err != nil || len(one) != 1 {
		t.Errorf("one sample: %v, %v", one, err)
	}
}

func TestDealStaysEven(t *testing.T) {
	t.Parallel()
	for p := 1; p <= 12; p++ {
		for _, people := range []int{0, 1, 2, 5, 8, 12, 13, 24, 37} {
			got, err := Deal(p, people, lot(uint64(100*p+people)))
			if err != nil || len(got) != people {
				t.Fatalf("%d samples, %d people: %d orders, %v", p, people, len(got), err)
			}
			c, err := Count(got, p)
			if err != nil {
				t.Fatal(err)
			}
			if people%p == 0 && c.PlaceSpread != 0 || c.PlaceSpread > 1 {
				t.Errorf("%d samples, %d people: places uneven by %d", p, people, c.PlaceSpread)
			}
			if whole := p * (1 + p%2); p > 1 && people%whole == 0 && c.AfterSpread != 0 {
				t.Errorf("%d samples, %d people: predecessors uneven by %d", p, people, c.AfterSpread)
			}
			if p%2 == 0 && c.AfterSpread > 1 {
				t.Errorf("%d samples, %d people: predecessors uneven by %d", p, people, c.AfterSpread)
			}
		}
	}
	a, _ := Deal(5, 12, lot(1))
	b, _ := Deal(5, 12, lot(1))
	c, _ := Deal(5, 12, lot(2))
	if !equal(a, b) || equal(a, c) {
		t.Error("the deal is not a matter of its seed")
	}
	if _, err := Deal(3, -1, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if _, err := Deal(3, 1, nil); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
}

func equal(a, b [][]int) bool { return slices.EqualFunc(a, b, slices.Equal[[]int]) }

func TestCount(t *testing.T) {
	t.Parallel()
	c, err := Count(rows("ABC ABC BCA"), 3)
	if err != nil {
		t.Fatal(err)
	}
	// A to B twice, B to C three times, C to A once, the others never.
	if c.After[0][1] != 2 || c.After[1][2] != 3 || c.After[2][0] != 1 || c.AfterSpread != 3 || c.PlaceSpread != 2 {
		t.Errorf("%+v", c)
	}
	if _, err := Count([][]int{{3}}, 3); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if c, err := Count(nil, 0); err != nil || c.PlaceSpread != 0 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestDifferenceTests(t *testing.T) {
	t.Parallel()
	for _, k := range Kinds {
		all := len(arrangements[k])
		for _, answers := range []int{0, 1, all, 24, 25} {
			got, err := Test(k, answers, lot(3))
			if err != nil || len(got) != answers {
				t.Fatalf("%s: %d orders, %v", k, len(got), err)
			}
			n := map[string]int{}
			for _, o := range got {
				n[string(letters(o))]++
			}
			least, most := answers, 0
			for _, v := range n {
				least, most = min(least, v), max(most, v)
			}
			if answers >= all && (len(n) != all || most-least > 1 || answers%all == 0 && most != least) {
				t.Errorf("%s, %d answers: %v", k, answers, n)
			}
		}
	}
	if n := len(arrangements[Triangle]); n != 6 {
		t.Errorf("a triangle has %d orders", n)
	}
	if _, err := Test("no test", 6, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if _, err := Test(Triangle, -1, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
}

func letters(o []int) []byte {
	var b []byte
	for _, x := range o {
		b = append(b, byte('A'+x))
	}
	return b
}
