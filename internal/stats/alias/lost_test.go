package alias

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"tamis/internal/stats"
)

// byBoth asks the closed form and the singular values and fails when they differ.
func byBoth(t *testing.T, level []int, k int, n Nuisance) *Tie {
	t.Helper()
	got, err := Lost(level, k, n)
	if err != nil {
		t.Fatal(err)
	}
	d := prepare(level, k, []Nuisance{n})
	if len(d.kept) < 2 {
		return got
	}
	lost, pairs, err := d.byRank()
	if err != nil {
		t.Fatal(err)
	}
	for i := range pairs {
		pairs[i] = [2]int{d.kept[pairs[i][0]], d.kept[pairs[i][1]]}
	}
	if lost != got.Lost || !slices.Equal(pairs, got.Pairs) {
		t.Errorf("levels %v, %+v: closed form %d %v, by rank %d %v", level, n, got.Lost, got.Pairs, lost, pairs)
	}
	return got
}

func TestLostByHand(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		level []int
		k     int
		with  Nuisance
		lost  int
		pairs [][2]int
	}{
		{"each level its own day", []int{0, 0, 1, 1}, 2, Category([]int{0, 0, 1, 1}), 1, [][2]int{{0, 1}}},
		{"both on both days", []int{0, 1, 1, 0}, 2, Category([]int{0, 0, 1, 1}), 0, nil},
		{"one day", []int{0, 1, 2}, 3, Category([]int{4, 4, 4}), 0, nil},
		{"a chain of days joins all", []int{0, 1, 1, 2}, 3, Category([]int{0, 0, 1, 1}), 0, nil},
		{"a chain with a gap", []int{0, 1, 1, 0, 2}, 3, Category([]int{0, 0, 0, 0, 1}), 1, [][2]int{{0, 2}, {1, 2}}},
		{"three levels, three baths", []int{0, 1, 2}, 3, Category([]int{2, 1, 0}), 2, [][2]int{{0, 1}, {0, 2}, {1, 2}}},
		{"order rises with the level", []int{0, 1, 2, 3}, 4, Number([]float64{1, 2, 3, 4}), 1, [][2]int{{0, 1}, {0, 2}, {0, 3}, {1, 2}, {1, 3}, {2, 3}}},
		{"45, 90, 45 min: the ends share a time", []int{0, 1, 2}, 3, Number([]float64{45, 90, 45}), 1, [][2]int{{0, 1}, {1, 2}}},
		{"varies within a level", []int{0, 0, 1, 1}, 2, Number([]float64{1, 4, 2, 3}), 0, nil},
		{"constant number", []int{0, 1, 2}, 3, Number([]float64{0.1, 0.1, 0.1}), 0, nil},
		{"constant but for rounding", []int{0, 1, 2}, 3, Number([]float64{0.3, 0.1 + 0.2, 0.3}), 0, nil},
		{"unknown rows are passed over", []int{0, 0, 1, 1, -1}, 2, Category([]int{0, -1, 1, -1, 0}), 1, [][2]int{{0, 1}}},
		{"unknown numbers are passed over", []int{0, 0, 1, 1}, 2, Number([]float64{1, nan, 2, nan}), 1, [][2]int{{0, 1}}},
		{"far from zero", []int{0, 0, 1, 1}, 2, Number([]float64{1e6 + 1, 1e6 + 1, 1e6 + 2, 1e6 + 2}), 1, [][2]int{{0, 1}}},
		{"huge numbers", []int{0, 1, 1}, 2, Number([]float64{-1e308, 1e308, 1e308}), 1, [][2]int{{0, 1}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got := byBoth(t, c.level, c.k, c.with); got.Lost != c.lost || !slices.Equal(got.Pairs, c.pairs) {
				t.Errorf("lost %d, pairs %v; want %d, %v", got.Lost, got.Pairs, c.lost, c.pairs)
			}
		})
	}
}

// R drops one coefficient, N1:P1:K1, from block + N*P*K of datasets::npk: 13
// columns of rank 12, of which the blocks take 6. The eight treatments therefore
// lose 1 of 7 degrees of freedom to the blocks, and with the three-factor
// interaction aliased the treatments of unlike parity are not comparable.
func TestLostOfNPK(t *testing.T) {
	t.Parallel()
	f, err := os.Open("testdata/npk.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := func(s string) int {
		v, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	var cell, block []int
	for _, row := range rows[1:] {
		cell = append(cell, 4*at(row[1])+2*at(row[2])+at(row[3]))
		block = append(block, at(row[0]))
	}
	got := byBoth(t, cell, 8, Category(block))
	if got.Lost != 1 || got.Rows != 24 || got.Full() {
		t.Errorf("%+v", got)
	}
	odd := func(c int) bool { return (c>>2+c>>1&1+c&1)&1 == 1 }
	for a := range 8 {
		for b := a + 1; b < 8; b++ {
			if tied := slices.Contains(got.Pairs, [2]int{a, b}); tied != (odd(a) != odd(b)) {
				t.Errorf("treatments %d and %d: tied %v", a, b, tied)
			}
		}
	}
}

// R: temp + time + batch with 60/10/1, 70/20/2, 80/30/3 twice each has 5 columns
// of rank 3; time and batch3 are dropped. The three temperatures lose 2 to the
// batch, 1 to the time, 2 to both.
func TestLostOfConfoundedTriple(t *testing.T) {
	t.Parallel()
	temp, batch := []int{0, 0, 1, 1, 2, 2}, []int{1, 1, 2, 2, 3, 3}
	time := []float64{10, 10, 20, 20, 30, 30}
	for _, c := range []struct {
		with []Nuisance
		lost int
	}{
		{nil, 0},
		{[]Nuisance{Category(batch)}, 2},
		{[]Nuisance{Number(time)}, 1},
		{[]Nuisance{Category(batch), Number(time)}, 2},
		{[]Nuisance{Number(time), Number(time)}, 1},
		{[]Nuisance{Number(time), Number([]float64{1, 1, 4, 4, 9, 9})}, 2},
	} {
		got, err := Lost(temp, 3, c.with...)
		if err != nil || got.Lost != c.lost {
			t.Errorf("%v: %+v, %v; want %d", c.with, got, err, c.lost)
		}
	}
}

// Two nuisances that cost nothing alone can cost something together: a level that
// counts in how many of two ways a cook was special is a sum of the two.
func TestLostToTwoTogether(t *testing.T) {
	t.Parallel()
	a, b := []int{0, 0, 1, 1}, []int{0, 1, 0, 1}
	level := []int{0, 1, 1, 2}
	for _, one := range [][]int{a, b} {
		if got := byBoth(t, level, 3, Category(one)); got.Lost != 0 {
			t.Errorf("alone: %+v", got)
		}
	}
	got, err := Lost(level, 3, Category(a), Category(b))
	// The sum of a and b is a combination of the two indicators: one direction of two is lost.
	if err != nil || got.Lost != 1 || !slices.Equal(got.Pairs, [][2]int{{0, 1}, {0, 2}, {1, 2}}) {
		t.Errorf("%+v, %v", got, err)
	}
}

func TestLostProperties(t *testing.T) {
	t.Parallel()
	for i := range 300 {
		rng := rand.New(rand.NewPCG(7, uint64(i)))
		n, k, codes := 2+rng.IntN(10), 2+rng.IntN(4), 1+rng.IntN(5)
		level, code, x := make([]int, n), make([]int, n), make([]float64, n)
		for r := range n {
			level[r], code[r] = rng.IntN(k+1)-1, rng.IntN(codes+1)-1
			x[r] = float64(rng.IntN(3))
			if level[r] >= 0 && i%2 == 0 {
				x[r] = float64(level[r] * level[r] % 3) // constant within levels
			}
		}
		before := fmt.Sprint(level, code, x)
		category, number := byBoth(t, level, k, Category(code)), byBoth(t, level, k, Number(x))
		if fmt.Sprint(level, code, x) != before {
			t.Fatal("inputs altered")
		}
		for _, got := range []*Tie{category, number} {
			if got.Lost < 0 || got.Levels > 0 && got.Lost > got.Levels-1 || got.Levels+len(got.Absent) != k || (got.Lost > 0) != (len(got.Pairs) > 0) {
				t.Fatalf("%+v", got)
			}
		}
		// Rows in another order, codes under other names, the number in another unit.
		perm := rng.Perm(n)
		level2, code2, x2 := make([]int, n), make([]int, n), make([]float64, n)
		for to, from := range perm {
			level2[to], code2[to], x2[to] = level[from], code[from], 32+1.8*x[from]
			if code2[to] >= 0 {
				code2[to] = 10 - code2[to]
			}
		}
		if again := byBoth(t, level2, k, Category(code2)); fmt.Sprint(again) != fmt.Sprint(category) {
			t.Fatalf("%+v, relabelled %+v", category, again)
		}
		if again := byBoth(t, level2, k, Number(x2)); fmt.Sprint(again) != fmt.Sprint(number) {
			t.Fatalf("%+v, in another unit %+v", number, again)
		}
		// A second nuisance never gives anything back.
		two, err := Lost(level, k, Category(code), Number(x))
		if err != nil {
			t.Fatal(err)
		}
		if known := slices.Index(code, -1) < 0; known && two.Lost < max(category.Lost, number.Lost) {
			t.Fatalf("two %+v, alone %+v and %+v", two, category, number)
		}
	}
}

func TestLostEdges(t *testing.T) {
	t.Parallel()
	wide := make([]int, 600)
	for i := range wide {
		wide[i] = i
	}
	for _, c := range []struct {
		name  string
		level []int
		k     int
		with  []Nuisance
		want  error
	}{
		{"no rows", nil, 2, nil, stats.ErrEmpty},
		{"no levels", []int{0}, 0, nil, stats.ErrDomain},
		{"level too large", []int{0, 2}, 2, nil, stats.ErrDomain},
		{"neither", []int{0, 1}, 2, []Nuisance{{}}, stats.ErrDomain},
		{"both", []int{0, 1}, 2, []Nuisance{{Code: []int{1, 2}, Number: []float64{1, 2}}}, stats.ErrDomain},
		{"lengths", []int{0, 1}, 2, []Nuisance{Category([]int{1})}, stats.ErrLengths},
		{"infinity", []int{0, 1}, 2, []Nuisance{Number([]float64{1, math.Inf(1)})}, stats.ErrNonFinite},
		{"too wide", wide, 600, []Nuisance{Category(wide), Category(wide)}, stats.ErrTooLarge},
		{"one row", []int{0}, 1, []Nuisance{Category([]int{0})}, nil},
		{"nothing known", []int{-1, 1}, 2, []Nuisance{Category([]int{0, -1})}, nil},
	} {
		got, err := Lost(c.level, c.k, c.with...)
		if !errors.Is(err, c.want) || c.want == nil && (err != nil || got.Lost != 0) {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
	}
}
