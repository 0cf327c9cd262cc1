package alias

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

func TestExactTest(t *testing.T) {
	t.Parallel()
	const r = "fisher.test of R 4.2.2"
	for _, c := range []struct {
		table [][]int
		p     float64
	}{
		{[][]int{{5, 0}, {19, 24}}, 0.049645390070922016},
		{[][]int{{3, 1}, {1, 3}}, 0.48571428571428582}, // Fisher's tea
		{[][]int{{4, 0, 1}, {6, 10, 9}}, 0.09372236958444001},
		{[][]int{{7, 2, 0, 1}, {5, 10, 12, 11}}, 0.0042314487343695579},
		{[][]int{{1, 1}, {23, 23}}, 1},
		{[][]int{{10, 3, 5, 1, 0}, {2, 9, 7, 11, 12}}, 3.9816872811202361e-05},
	} {
		got, err := ExactTest(c.table, 0, 1)
		if err != nil || !got.Full {
			t.Fatal(got, err)
		}
		reftest.Within(t, "p", got.P, c.p, 1e-10, r) // R sums the same probabilities in another order
		// Sampled: within five standard errors of the exact p, and the same again.
		drawn, err := ExactTest(c.table, 1, 7)
		if err != nil || drawn.Full {
			t.Fatal(drawn, err)
		}
		if se := math.Sqrt(c.p * (1 - c.p) / draws); math.Abs(drawn.P-c.p) > 5*se+2.0/draws {
			t.Errorf("%v: drawn p %v, exact %v", c.table, drawn.P, c.p)
		}
		if again, err := ExactTest(c.table, 1, 7); err != nil || again.P != drawn.P {
			t.Errorf("the same seed gives %v and %v", drawn, again)
		}
	}
}

func TestExactTestProperties(t *testing.T) {
	t.Parallel()
	for i := range 200 {
		rng := rand.New(rand.NewPCG(11, uint64(i)))
		k := 1 + rng.IntN(4)
		a, b := make([]int, k), make([]int, k)
		for j := range k {
			a[j], b[j] = rng.IntN(5), rng.IntN(5)
		}
		got, err := ExactTest([][]int{a, b}, 0, 0)
		if errors.Is(err, stats.ErrEmpty) {
			continue
		}
		if err != nil || !(got.P > 0 && got.P <= 1) {
			t.Fatal(got, err)
		}
		turned, err := ExactTest([][]int{b, a}, 0, 0) // the rows change places
		if err != nil || !reftest.Close(turned.P, got.P, 1e-9, 0) || turned.Tables != got.Tables {
			t.Fatalf("%v %v: %+v, turned %+v", a, b, got, turned)
		}
		slices.Reverse(a)
		slices.Reverse(b)
		if again, err := ExactTest([][]int{a, b}, 0, 0); err != nil || !reftest.Close(again.P, got.P, 1e-9, 0) {
			t.Fatalf("columns turned: %+v, %+v", got, again)
		}
	}
}

func TestExactTestEdges(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		table [][]int
		limit int
		want  error
	}{
		"nothing": {nil, 0, stats.ErrEmpty}, "zeros": {[][]int{{0, 0}, {0, 0}}, 0, stats.ErrEmpty}, "three rows": {[][]int{{1}, {1}, {1}}, 0, stats.ErrDomain},
		"below 0": {[][]int{{-1, 2}, {1, 1}}, 0, stats.ErrDomain}, "ragged": {[][]int{{1, 2}, {1}}, 0, stats.ErrLengths}, "limit": {[][]int{{1, 2}, {1, 1}}, -1, stats.ErrDomain},
		"too many": {[][]int{{2_000_000, 2}, {1, 1}}, 0, stats.ErrTooLarge},
	} {
		if _, err := ExactTest(c.table, c.limit, 0); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, table := range map[string][][]int{"empty row": {{0, 0}, {3, 4}}, "one column": {{3}, {4}}, "empty columns": {{3, 0, 0}, {4, 0, 0}}} {
		if got, err := ExactTest(table, 0, 0); err != nil || !reftest.Close(got.P, 1, 1e-12, 0) {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	// Twenty columns of twenty are far beyond the limit.
	a, b := make([]int, 20), make([]int, 20)
	for j := range a {
		a[j], b[j] = 10+j%3, 10-j%3
	}
	if got, err := ExactTest([][]int{a, b}, 0, 3); err != nil || got.Full || got.P <= 0.05 {
		t.Errorf("%+v, %v", got, err)
	}
}

func FuzzExactTest(f *testing.F) {
	f.Add([]byte{5, 0, 19, 24}, uint64(1))
	f.Add([]byte{4, 0, 1, 6, 10, 9}, uint64(2))
	f.Fuzz(func(t *testing.T, cells []byte, seed uint64) {
		k := min(len(cells)/2, 8)
		a, b := make([]int, k), make([]int, k)
		for j := range k {
			a[j], b[j] = int(cells[j])%16, int(cells[k+j])%16
		}
		got, err := ExactTest([][]int{a, b}, 2000, seed)
		if err == nil && !(got.P > 0 && got.P <= 1) {
			t.Errorf("%v %v: %+v", a, b, got)
		}
	})
}
