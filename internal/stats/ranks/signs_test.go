package ranks_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
	"tamis/internal/stats/ranks"
)

func TestSign(t *testing.T) {
	t.Parallel()
	series := func(pos, neg int) []float64 {
		x := make([]float64, 0, pos+neg)
		for i := range pos {
			x = append(x, float64(i+1))
		}
		for i := range neg {
			x = append(x, -float64(i+1))
		}
		return x
	}
	for _, c := range []struct {
		pos, neg int
		alt      ranks.Alternative
		want     float64
		tol      float64
	}{
		{620, 580, ranks.TwoSided, 0.260227380296724320, 1e-11}, // n > 1000: log-gamma, hence 1e-11
		{1, 11, ranks.TwoSided, 0.006347656250000004, 1e-14},
		{2100, 1900, ranks.Greater, 0.000824633187567853, 1e-10}, // as above
		{5, 5, ranks.TwoSided, 1, 1e-15},
		{0, 3, ranks.Less, 0.125, 1e-15},
	} {
		r, err := ranks.Sign(series(c.pos, c.neg), c.alt, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "p", r.P, c.want, c.tol, "R 4.2.2 binom.test")
	}
	r, err := ranks.Sign([]float64{3, 1, 4, 1, 5, 9, 2, 6, 5, 3}, ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// n = 10: P(B ≤ 1) = 11/1024, so second smallest to second largest at 1 − 22/1024.
	want := stats.Interval{Low: 1, High: 6, Level: 1 - 22./1024}
	if r.Interval != want || r.Median != 3.5 {
		t.Errorf("%+v, median %v", r.Interval, r.Median)
	}
}

func TestMcNemar(t *testing.T) {
	t.Parallel()
	r, err := ranks.McNemar(14, 5)
	if err != nil {
		t.Fatal(err)
	}
	const src = "R 4.2.2 mcnemar.test, binom.test"
	reftest.Within(t, "corrected", r.Corrected, 3.3684210526315788, 1e-13, src)
	reftest.Within(t, "p corrected", r.PCorrected, 0.0664574200169311, 1e-11, src)
	reftest.Within(t, "χ²", r.ChiSquare, 4.2631578947368425, 1e-13, src)
	reftest.Within(t, "p", r.PChiSquare, 0.0389474557420256, 1e-11, src)
	reftest.Within(t, "exact", r.PExact, 0.0635681152343750, 1e-13, src)
	// C(19, 14) = 11628 of 2^19, counted by half on each side.
	reftest.Within(t, "mid", r.PMid, 0.0635681152343750-11628./524288, 1e-12, "exact p less the probability of the table seen")
	if len(r.Warnings) != 1 {
		t.Errorf("19 changes deserve a warning")
	}
	even, _ := ranks.McNemar(6, 6)
	if even.PExact != 1 || even.PMid != 1 || even.PCorrected != 1 {
		t.Errorf("%+v", even)
	}
	for _, c := range []struct {
		b, c int
		want error
	}{{0, 0, stats.ErrNoVariation}, {-1, 3, stats.ErrDomain}, {3, math.MaxInt, stats.ErrTooLarge}} {
		if _, err := ranks.McNemar(c.b, c.c); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	p, err := ranks.McNemarPairs([]bool{true, true, false, true}, []bool{false, true, true, false})
	if err != nil || p.B != 2 || p.C != 1 {
		t.Errorf("%+v %v", p, err)
	}
	if _, err := ranks.McNemarPairs([]bool{true}, nil); !errors.Is(err, stats.ErrLengths) {
		t.Errorf("lengths: %v", err)
	}
	if _, err := ranks.McNemarPairs(nil, nil); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("empty: %v", err)
	}
}

func TestKruskalWallis(t *testing.T) {
	t.Parallel()
	groups := [][]float64{{1, 2, 2, 5}, {3, 4, 4, 6, 7}, {2, 8, 9}}
	before := clone(groups)
	r, err := ranks.KruskalWallis(groups)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "H", r.H, 3.788018979833932, 1e-12, "R 4.2.2 kruskal.test")
	reftest.Within(t, "p", r.P, 0.150467300636709, 1e-12, "R 4.2.2 kruskal.test")
	if !reflect.DeepEqual(groups, before) {
		t.Error("input altered")
	}
	for _, c := range []struct {
		groups [][]float64
		want   error
	}{
		{nil, stats.ErrTooFew}, {[][]float64{{1, 2}}, stats.ErrTooFew}, {[][]float64{{1}, {}}, stats.ErrEmpty},
		{[][]float64{{1}, {2}}, stats.ErrTooFew}, {[][]float64{{1, 1}, {1}}, stats.ErrNoVariation},
		{[][]float64{{1, math.NaN()}, {1}}, stats.ErrNonFinite},
	} {
		if _, err := ranks.KruskalWallis(c.groups); !errors.Is(err, c.want) {
			t.Errorf("%v: %v", c.groups, err)
		}
	}
}

func asRated(table [][]float64) []ranks.Rated {
	var out []ranks.Rated
	for i, row := range table {
		for j, v := range row {
			out = append(out, ranks.Rated{Block: i, Treatment: j, Value: v})
		}
	}
	return out
}

func TestIncompleteEqualsFriedmanWhenComplete(t *testing.T) {
	t.Parallel()
	// Both pool the within-row variance of the ranks, so ties do not part them.
	want, _ := ranks.Friedman(tied)
	got, err := ranks.Incomplete(asRated(tied))
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "χ²", got.ChiSquare, want.ChiSquare, 1e-11, "Friedman on the same complete table")
	reftest.Within(t, "p", got.P, want.PChiSquare, 1e-10, "Friedman on the same complete table")
}

func TestIncompleteEqualsDurbin(t *testing.T) {
	t.Parallel()
	// 7 treatments in 7 blocks of 3 (every pair meets once), untied.
	design := [][]int{{0, 1, 3}, {1, 2, 4}, {2, 3, 5}, {3, 4, 6}, {4, 5, 0}, {5, 6, 1}, {6, 0, 2}}
	rng := rand.New(rand.NewPCG(12, 13))
	var rows []ranks.Rated
	sums := make([]float64, 7)
	for b, block := range design {
		for place, r := range rng.Perm(3) {
			rows = append(rows, ranks.Rated{Block: b, Treatment: block[place], Value: float64(r)})
			sums[block[place]] += float64(r + 1)
		}
	}
	// Durbin: 12(t−1)/(r·t(k−1)(k+1))·Σ(R_j − r(k+1)/2)², t = 7, k = 3, r = 3.
	d := 0.0
	for _, s := range sums {
		d += (s - 6) * (s - 6)
	}
	d *= 12 * 6. / (3 * 7 * 2 * 4)
	got, err := ranks.Incomplete(rows)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "χ²", got.ChiSquare, d, 1e-12, "Durbin 1951, closed form")
	shuffled := slices.Clone(rows)
	rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	again, _ := ranks.Incomplete(shuffled)
	if !reflect.DeepEqual(got, again) {
		t.Error("the order of rows matters")
	}
}

func TestIncompleteEdges(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		rows []ranks.Rated
		want error
	}{
		{"empty", nil, stats.ErrEmpty},
		{"NaN", []ranks.Rated{{0, 0, math.NaN()}}, stats.ErrNonFinite},
		{"one treatment", []ranks.Rated{{0, 0, 1}, {1, 0, 2}}, stats.ErrTooFew},
		{"never together", []ranks.Rated{{0, 0, 1}, {1, 1, 2}}, stats.ErrTooFew},
		{"twice", []ranks.Rated{{0, 0, 1}, {0, 0, 2}, {0, 1, 2}}, stats.ErrDomain},
		{"ties", []ranks.Rated{{0, 0, 1}, {0, 1, 1}}, stats.ErrNoVariation},
		{"apart", []ranks.Rated{{0, 0, 1}, {0, 1, 2}, {1, 2, 1}, {1, 3, 2}}, stats.ErrSingular},
	} {
		if _, err := ranks.Incomplete(c.rows); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	many := make([]ranks.Rated, 1001)
	for i := range many {
		many[i].Treatment = i
	}
	if _, err := ranks.Incomplete(many); !errors.Is(err, stats.ErrTooLarge) {
		t.Errorf("1001 treatments: %v", err)
	}
}
