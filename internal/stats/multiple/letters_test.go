package multiple

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tamis/internal/stats"
)

// matrix builds a significance matrix from the pairs that differ.
func matrix(k int, pairs ...[2]int) [][]bool {
	m := make([][]bool, k)
	for i := range m {
		m[i] = make([]bool, k)
	}
	for _, p := range pairs {
		m[p[0]][p[1]], m[p[1]][p[0]] = true, true
	}
	return m
}

func TestLettersByHand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name      string
		means     []float64
		different [][]bool
		order     Order
		want      string
	}{
		{"one", []float64{3}, matrix(1), LowestFirst, "a"},
		{"all alike", []float64{3, 1, 2}, matrix(3), LowestFirst, "a a a"},
		{"all differ", []float64{3, 1, 2}, matrix(3, [2]int{0, 1}, [2]int{0, 2}, [2]int{1, 2}), LowestFirst, "c a b"},
		{"all differ, from the top", []float64{3, 1, 2}, matrix(3, [2]int{0, 1}, [2]int{0, 2}, [2]int{1, 2}), HighestFirst, "a c b"},
		{"chain of three", []float64{1, 2, 3}, matrix(3, [2]int{0, 2}), LowestFirst, "a ab b"},
		// Neighbours do not differ, all others do: three letters, not one.
		{"chain of four", []float64{1, 2, 3, 4}, matrix(4, [2]int{0, 2}, [2]int{0, 3}, [2]int{1, 3}), LowestFirst, "a ab bc c"},
		// Longer overlaps.
		{"chain of five", []float64{1, 2, 3, 4, 5}, matrix(5, [2]int{0, 3}, [2]int{0, 4}, [2]int{1, 4}), LowestFirst, "a ab abc bc c"},
		// Middle pair differs, ends do not (unequal precision): not a pattern of
		// intervals, and still right.
		{"gap in the middle", []float64{1, 2, 3}, matrix(3, [2]int{0, 1}), LowestFirst, "a b ab"},
		{"ring of four", []float64{1, 2, 3, 4}, matrix(4, [2]int{0, 2}, [2]int{1, 3}), LowestFirst, "ab ac cd bd"},
		{"ties keep their order", []float64{2, 2, 2}, matrix(3, [2]int{0, 1}), LowestFirst, "a b ab"},
	} {
		d, err := Letters(c.means, c.different, c.order)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(d.Letters, " "); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// checkDisplay verifies the definition: shared letter ⇔ not different, everybody
// has a letter, and no letter can be dropped.
func checkDisplay(t *testing.T, d Display, different [][]bool) {
	t.Helper()
	k := len(different)
	shared := func(i, j, skip int) bool {
		for g, members := range d.Groups {
			if g != skip && slices.Contains(members, i) && slices.Contains(members, j) {
				return true
			}
		}
		return false
	}
	for i := range k {
		if d.Letters[i] == "" {
			t.Errorf("mean %d has no letter", i)
		}
		for j := range k {
			if shared(i, j, -1) == different[i][j] {
				t.Errorf("means %d (%s) and %d (%s): different = %v", i, d.Letters[i], j, d.Letters[j], different[i][j])
			}
		}
	}
	for g, members := range d.Groups {
		needed := false
		for _, i := range members {
			if !strings.ContainsRune(d.Letters[i], rune(alphabet[g])) {
				t.Errorf("group %d lists mean %d with letters %q", g, i, d.Letters[i])
			}
			for _, j := range members {
				needed = needed || !shared(i, j, g)
			}
		}
		if !needed {
			t.Errorf("letter %c is redundant: %v", alphabet[g], d.Groups)
		}
	}
}

func TestLettersProperty(t *testing.T) {
	t.Parallel()
	for seed := range uint64(400) {
		rng := rand.New(rand.NewPCG(seed, 11))
		k := 1 + rng.IntN(11)
		means := make([]float64, k)
		for i := range means {
			means[i] = math.Round(rng.NormFloat64()*3) / 2
		}
		different := matrix(k)
		density := rng.Float64()
		for i := range k {
			for j := range i {
				// Half of the cases as from intervals, half arbitrary.
				d := rng.Float64() < density
				if seed%2 == 0 {
					d = math.Abs(means[i]-means[j]) > 2*density
				}
				different[i][j], different[j][i] = d, d
			}
		}
		d, err := Letters(means, different, Order(seed%2))
		if err != nil {
			t.Fatal(err)
		}
		checkDisplay(t, d, different)

		// Listing distinct means in another order changes nothing.
		for i := range means {
			means[i] += float64(i) * 1e-3
		}
		d, err = Letters(means, different, LowestFirst)
		if err != nil {
			t.Fatal(err)
		}
		perm := rng.Perm(k)
		pm, pd := make([]float64, k), matrix(k)
		for i, from := range perm {
			pm[i] = means[from]
			for j, other := range perm {
				pd[i][j] = different[from][other]
			}
		}
		p, err := Letters(pm, pd, LowestFirst)
		if err != nil {
			t.Fatal(err)
		}
		for i, from := range perm {
			if p.Letters[i] != d.Letters[from] {
				t.Fatalf("seed %d: letters depend on the order of the input", seed)
			}
		}
	}
}

func TestLettersArguments(t *testing.T) {
	t.Parallel()
	lopsided := matrix(2)
	lopsided[0][1] = true
	self := matrix(2)
	self[1][1] = true
	many := make([]float64, 53)
	all := matrix(53)
	for i := range all {
		for j := range all {
			all[i][j] = i != j
		}
	}
	// A cocktail-party pattern: pairs differ, everything else does not. 2^15
	// columns.
	party := matrix(30)
	for i := 0; i < 30; i += 2 {
		party[i][i+1], party[i+1][i] = true, true
	}
	for name, c := range map[string]struct {
		means []float64
		m     [][]bool
		want  error
	}{
		"empty":         {nil, nil, stats.ErrEmpty},
		"NaN":           {[]float64{1, math.NaN()}, matrix(2), stats.ErrNonFinite},
		"rows":          {[]float64{1, 2}, matrix(1), stats.ErrLengths},
		"ragged":        {[]float64{1, 2}, [][]bool{{false, false}, {false}}, stats.ErrLengths},
		"not symmetric": {[]float64{1, 2}, lopsided, stats.ErrDomain},
		"diagonal":      {[]float64{1, 2}, self, stats.ErrDomain},
		"53 letters":    {many, all, stats.ErrTooLarge},
		"explosion":     {make([]float64, 30), party, stats.ErrTooLarge},
	} {
		if _, err := Letters(c.means, c.m, LowestFirst); !errors.Is(err, c.want) {
			t.Errorf("%s: error %v, want %v", name, err, c.want)
		}
	}
}

func FuzzLetters(f *testing.F) {
	f.Add([]byte{4, 0b101010, 3})
	f.Add([]byte{9, 255, 1, 170, 85, 9})
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) == 0 {
			return
		}
		k := int(data[0])%9 + 1
		different := matrix(k)
		means := make([]float64, k)
		bit := 8
		for i := range k {
			means[i] = float64(i % 3)
			for j := range i {
				if bit/8 < len(data) {
					d := data[bit/8]>>(bit%8)&1 == 1
					different[i][j], different[j][i] = d, d
				}
				bit++
			}
		}
		d, err := Letters(means, different, LowestFirst)
		if errors.Is(err, stats.ErrTooLarge) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		checkDisplay(t, d, different)
	})
}

func ExampleLetters() {
	means := []float64{31, 41, 50, 67}
	different := [][]bool{
		{false, false, true, true},
		{false, false, false, true},
		{true, false, false, true},
		{true, true, true, false},
	}
	d, err := Letters(means, different, LowestFirst)
	fmt.Println(d.Letters, err)
	// Output: [a ab b c] <nil>
}
