package order

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// Balanced designs that exist for these sizes (Cochran and Cox, Experimental
// Designs, table 11.3, from memory). λ = r(k-1)/(v-1), E = λv/(rk).
func TestBalancedBlocksAreFound(t *testing.T) {
	t.Parallel()
	for _, d := range []struct{ v, b, k, r, lambda int }{
		{4, 4, 3, 3, 2}, {4, 6, 2, 3, 1}, {5, 10, 2, 4, 1}, {5, 5, 4, 4, 3}, {6, 10, 3, 5, 2}, {7, 7, 3, 3, 1}, {7, 7, 4, 4, 2},
		{8, 14, 4, 7, 3}, {9, 12, 3, 4, 1}, {9, 18, 4, 8, 3}, {10, 15, 4, 6, 2}, {10, 18, 5, 9, 4}, {11, 11, 5, 5, 2}, {13, 13, 4, 4, 1},
	} {
		got, err := Blocks(d.v, d.b, d.k, lot(7))
		if err != nil {
			t.Fatal(err)
		}
		c, err := CountBlocks(got, d.v)
		if err != nil {
			t.Fatal(err)
		}
		if !c.Balanced || c.UseLow != d.r || c.PairLow != d.lambda {
			t.Errorf("%d samples in %d blocks of %d: used %d to %d, pairs %d to %d, efficiency %.4f", d.v, d.b, d.k, c.UseLow, c.UseHigh, c.PairLow, c.PairHigh, c.Efficiency)
		}
		want := float64(d.lambda*d.v) / float64(d.r*d.k)
		if c.Balanced && math.Abs(c.Efficiency-want) > 1e-9 {
			t.Errorf("%d samples in blocks of %d: efficiency %v, want %v", d.v, d.k, c.Efficiency, want)
		}
	}
}

func TestEfficiency(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		blocks [][]int
		n      int
		want   float64
	}{
		{"complete", rows("ABC ABC"), 3, 1},
		{"pairs of three", rows("AB BC CA"), 3, 0.75},
		// A circle of four: canonical factors 1/2, 1/2 and 1, harmonic mean 3/5.
		{"a circle of four", rows("AB BC CD DA"), 4, 0.6},
		{"two groups that never meet", rows("AB CD"), 4, 0},
		{"a sample that nobody gets", rows("AB"), 3, 0},
		{"one sample", rows("A"), 1, 1},
	} {
		got, err := CountBlocks(c.blocks, c.n)
		if err != nil || math.Abs(got.Efficiency-c.want) > 1e-12 {
			t.Errorf("%s: %v, %v; want %v", c.name, got.Efficiency, err, c.want)
		}
	}
	for _, bad := range []struct {
		blocks [][]int
		n      int
	}{{nil, 0}, {rows("AA"), 2}, {rows("C"), 2}, {[][]int{{-1}}, 2}, {nil, MostSamples + 1}} {
		if _, err := CountBlocks(bad.blocks, bad.n); !errors.Is(err, ErrArgument) {
			t.Errorf("%v of %d: %v", bad.blocks, bad.n, err)
		}
	}
}

// Whatever the sizes, everybody gets the number asked for, nothing twice, and
// every sample is used equally often, give or take one.
func TestBlocksHoldTheirSizes(t *testing.T) {
	t.Parallel()
	rng := lot(11)
	for range 60 {
		v := 1 + rng.IntN(14)
		k, b := 1+rng.IntN(v), rng.IntN(20)
		got, err := Blocks(v, b, k, lot(rng.Uint64()))
		if err != nil || len(got) != b {
			t.Fatalf("%d blocks of %d out of %d: %v", b, k, v, err)
		}
		c, err := CountBlocks(got, v)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range got {
			if len(row) != k {
				t.Fatalf("a block of %d, not %d", len(row), k)
			}
		}
		if c.UseHigh-c.UseLow > 1 {
			t.Errorf("%d blocks of %d out of %d: used %d to %d times", b, k, v, c.UseLow, c.UseHigh)
		}
		if c.PairHigh-c.PairLow > 2 {
			t.Errorf("%d blocks of %d out of %d: pairs %d to %d times", b, k, v, c.PairLow, c.PairHigh)
		}
	}
}

// Two sittings of five out of ten: everybody gets everything once.
func TestChooseCoversEverything(t *testing.T) {
	t.Parallel()
	var s []Sitting
	labels := make([]int, 20) // samples 0–9 are of one day, 10–19 the same methods on another
	for i := range labels {
		labels[i] = i % 10
	}
	for who := range 12 {
		s = append(s, Sitting{Pool: upTo(0, 10), Size: 5, Who: who}, Sitting{Pool: upTo(10, 20), Size: 5, Who: who})
	}
	got, err := Choose(s, 20, [][]int{labels}, lot(1))
	if err != nil {
		t.Fatal(err)
	}
	uses := make([]int, 20)
	for who := range 12 {
		seen := map[int]bool{}
		for _, x := range slices.Concat(got[2*who], got[2*who+1]) {
			uses[x]++
			seen[labels[x]] = true
		}
		if len(seen) != 10 {
			t.Errorf("person %d gets %d of 10 methods", who, len(seen))
		}
	}
	if slices.Min(uses) != 6 || slices.Max(uses) != 6 {
		t.Errorf("samples are tasted %v times", uses)
	}
}

func upTo(from, to int) []int {
	var out []int
	for i := from; i < to; i++ {
		out = append(out, i)
	}
	return out
}

func TestChooseRefuses(t *testing.T) {
	t.Parallel()
	for name, s := range map[string]Sitting{
		"too many":      {Pool: []int{0, 1}, Size: 3},
		"twice":         {Pool: []int{0, 0}, Size: 1},
		"no such":       {Pool: []int{5}, Size: 1},
		"a negative":    {Pool: []int{0}, Size: -1},
		"nobody's":      {Pool: []int{0}, Size: 1, Who: -1},
		"below nothing": {Pool: []int{-1}, Size: 1},
	} {
		if _, err := Choose([]Sitting{s}, 2, nil, lot(1)); !errors.Is(err, ErrArgument) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Choose(nil, 2, [][]int{{0}}, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if _, err := Choose(nil, 2, [][]int{{0, -1}}, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if got, err := Choose(nil, 0, nil, lot(1)); err != nil || len(got) != 0 {
		t.Errorf("%v, %v", got, err)
	}
	if _, err := Choose(nil, 0, nil, nil); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
}

// Ten samples of five set points, five a sitting: places even by set point, and
// successions nearly so.
func TestArrangeEvensOut(t *testing.T) {
	t.Parallel()
	blocks, err := Blocks(10, 24, 5, lot(2))
	if err != nil {
		t.Fatal(err)
	}
	before := deep(nil, blocks)
	arm := []int{0, 0, 1, 1, 2, 2, 3, 3, 4, 4}
	got, err := Arrange(blocks, 10, [][]int{arm, upTo(0, 10)}, lot(3))
	if err != nil {
		t.Fatal(err)
	}
	if !equal(before, blocks) {
		t.Error("the orders given were altered")
	}
	arms := deep(nil, got)
	for i, row := range got {
		a, b := slices.Clone(row), slices.Clone(blocks[i])
		slices.Sort(a)
		slices.Sort(b)
		if !slices.Equal(a, b) {
			t.Fatalf("sitting %d lost a sample", i)
		}
		for j, x := range row {
			arms[i][j] = arm[x]
		}
	}
	c, err := Count(arms, 5)
	if err != nil || c.PlaceSpread > 1 || c.AfterSpread > 1 {
		t.Errorf("set points uneven by %d at a place, by %d after another", c.PlaceSpread, c.AfterSpread)
	}
	again, _ := Arrange(blocks, 10, [][]int{arm, upTo(0, 10)}, lot(3))
	if !equal(got, again) {
		t.Error("the same seed gives another order")
	}
	for _, bad := range [][][]int{{{10}}, {{-1}}} {
		if _, err := Arrange(bad, 10, [][]int{arm}, lot(1)); !errors.Is(err, ErrArgument) {
			t.Error(err)
		}
	}
	if _, err := Arrange(nil, 10, [][]int{{1}}, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if _, err := Arrange(nil, 1, [][]int{{-1}}, lot(1)); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
	if _, err := Arrange(nil, 1, nil, nil); !errors.Is(err, ErrArgument) {
		t.Error(err)
	}
}
