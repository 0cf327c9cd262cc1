package ranks_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
	"tamis/internal/stats/ranks"
)

func clone(t [][]float64) [][]float64 {
	out := make([][]float64, len(t))
	for i := range t {
		out[i] = slices.Clone(t[i])
	}
	return out
}

// scores of 4 samples by 6 people with ties.
var tied = [][]float64{{7, 9, 8, 6}, {5, 5, 8, 4}, {6, 7, 7, 3}, {8, 9, 9, 9}, {5, 6, 8, 5}, {4, 7, 6, 4}}

func TestFriedmanWithTies(t *testing.T) {
	t.Parallel()
	res, err := ranks.Friedman(tied)
	if err != nil {
		t.Fatal(err)
	}
	const src = "R 4.2.2 friedman.test"
	reftest.Within(t, "χ²", res.ChiSquare, 12.865384615384615, 1e-12, src)
	reftest.Within(t, "p", res.PChiSquare, 0.0049369498738671, 1e-11, src)
	if !res.Exact || !res.Ties {
		t.Fatalf("exact %v, ties %v: both expected", res.Exact, res.Ties)
	}
	// 1e6 draws at p = 0.001 have a relative SE of 3 %.
	reftest.Within(t, "exact p", res.PExact, 0.001015, 0.12, "coin 1.4-2 friedman_test, 1e6 draws; tolerance 4 Monte Carlo SE")
	reftest.Within(t, "exact p by enumeration", res.PExact, bruteFriedman(tied), 1e-10, "24^5 arrangements written out")
}

// bruteFriedman deals the mid-ranks of all rows but the first in every way.
func bruteFriedman(table [][]float64) float64 {
	k := len(table[0])
	perms := permutations(k)
	rows := make([][]float64, len(table))
	for i := range table {
		rows[i], _ = ranks.Midranks(table[i])
	}
	square := func(s []float64) float64 {
		q := 0.0
		for _, x := range s {
			q += x * x
		}
		return q
	}
	seen := make([]float64, k)
	for _, r := range rows {
		for j, x := range r {
			seen[j] += x
		}
	}
	target := square(seen)
	hit, all := 0, 0
	var walk func(i int, sums []float64)
	walk = func(i int, sums []float64) {
		if i == len(rows) {
			all++
			if square(sums) >= target-1e-9 {
				hit++
			}
			return
		}
		next := make([]float64, k)
		for _, p := range perms {
			for j := range next {
				next[j] = sums[j] + rows[i][p[j]]
			}
			walk(i+1, next)
		}
	}
	walk(1, rows[0])
	return float64(hit) / float64(all)
}

func permutations(k int) [][]int {
	if k == 0 {
		return [][]int{{}}
	}
	var out [][]int
	for _, p := range permutations(k - 1) {
		for at := range k {
			out = append(out, slices.Insert(slices.Clone(p), at, k-1))
		}
	}
	return out
}

func TestFriedmanCriticalPoints(t *testing.T) {
	t.Parallel()
	// Tolerance 5e-4: the published points have three decimals.
	for _, c := range []struct {
		k    int
		want []float64 // n = 5 … 10
	}{
		{3, []float64{6.4, 7.0, 7.143, 6.25, 6.222, 6.2}},
		{4, []float64{7.8, 7.6, 7.8, 7.65, 7.667, 7.68}},
	} {
		for i, want := range c.want {
			got, p, err := ranks.FriedmanCritical(5+i, c.k, 0.05)
			if err != nil {
				t.Fatal(err)
			}
			reftest.WithinAbs(t, fmt.Sprintf("k %d n %d", c.k, 5+i), got, want, 0, 5e-4, "exact 5 % points of Friedman's test, published tables")
			if p > 0.05 || p < 0.02 {
				t.Errorf("k %d n %d: tail %v", c.k, 5+i, p)
			}
		}
	}
	if _, _, err := ranks.FriedmanCritical(2, 3, 0.05); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("2 blocks of 3 cannot reach 5 %% (least p is 1/6): %v", err)
	}
	for _, bad := range []struct {
		n, k  int
		alpha float64
		want  error
	}{
		{1, 3, 0.05, stats.ErrDomain}, {5, 1, 0.05, stats.ErrDomain}, {5, 3, 0, stats.ErrDomain},
		{5, 3, math.NaN(), stats.ErrDomain}, {5, 9, 0.05, stats.ErrTooLarge}, {1 << 40, 3, 0.05, stats.ErrTooLarge}, {300, 7, 0.05, stats.ErrTooLarge},
	} {
		if _, _, err := ranks.FriedmanCritical(bad.n, bad.k, bad.alpha); !errors.Is(err, bad.want) {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

func TestFriedmanWorkedExamples(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		sums     []float64
		n        int
		chi, tol float64
		lsd      float64
		src      string
	}{
		{"wine bitterness", []float64{10, 18, 27, 35}, 9, 23.53, 0.005, 1.959964 * math.Sqrt(9*20/6.), "Randall 1989, judge means ranked; two decimals"},
		{"11 × 4", []float64{33, 14, 20, 43}, 11, 27.76, 0.005, 11.87, "worked panel example, two decimals"},
		// The slip: the difference was printed with the wrong divisor; 1 and 3 do differ.
		{"7 × 6", []float64{7, 14, 21, 28, 36, 41}, 7, 34.51, 0.005, 13.72, "published example with a slip in the difference"},
	} {
		res, err := ranks.FriedmanFromSums(c.sums, c.n)
		if err != nil {
			t.Fatal(c.name, err)
		}
		reftest.WithinAbs(t, c.name+" χ²", res.ChiSquare, c.chi, 0, c.tol, c.src)
		lsd, err := ranks.LeastSignificantRankDifference(c.n, len(c.sums), 0.05)
		if err != nil {
			t.Fatal(c.name, err)
		}
		reftest.WithinAbs(t, c.name+" LSD", lsd, c.lsd, 0, 0.005, c.src)
	}
	lsd, _ := ranks.LeastSignificantRankDifference(7, 6, 0.05)
	if !(21-7 > lsd) {
		t.Errorf("samples 1 and 3 are 14 apart and must differ at %v", lsd)
	}
}

func TestFriedmanFromSumsAgreesWithTable(t *testing.T) {
	t.Parallel()
	table := [][]float64{{1, 2, 3}, {2, 1, 3}, {1, 3, 2}, {1, 2, 3}}
	a, err := ranks.Friedman(table)
	if err != nil {
		t.Fatal(err)
	}
	b, err := ranks.FriedmanFromSums(a.RankSums, 4)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "χ²", b.ChiSquare, a.ChiSquare, 1e-14, "same data")
	reftest.Within(t, "F", b.F.F, a.F.F, 1e-12, "same data")
	// Iman and Davenport by their own formula.
	reftest.Within(t, "F", a.F.F, 3*a.ChiSquare/(4*2-a.ChiSquare), 1e-12, "Iman & Davenport 1980")
}

func TestFriedmanPerfectAgreement(t *testing.T) {
	t.Parallel()
	table := [][]float64{{1, 2, 3}, {4, 5, 6}, {0, 1, 2}}
	res, err := ranks.Friedman(table)
	if err != nil {
		t.Fatal(err)
	}
	if !res.F.Infinite || res.F.F != 0 || res.F.P != 0 || res.W != 1 {
		t.Errorf("%+v", res)
	}
	reftest.Within(t, "exact p", res.PExact, 1/36., 1e-12, "3! of (3!)³ arrangements")
	if _, err := ranks.Conover(table, 0.05); !errors.Is(err, stats.ErrNoVariation) {
		t.Errorf("Conover: %v", err)
	}
}

func TestFriedmanProperties(t *testing.T) {
	t.Parallel()
	before := clone(tied)
	want, err := ranks.Friedman(tied)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(before, tied) {
		t.Error("the input was altered")
	}
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		moved := clone(tied)
		perm := rng.Perm(4)
		for i, row := range tied {
			shift, scale := rng.NormFloat64(), math.Exp(rng.NormFloat64())
			for j := range row {
				moved[i][j] = shift + scale*row[perm[j]] // shifted and scaled per person, columns relabelled
			}
		}
		rng.Shuffle(len(moved), func(a, b int) { moved[a], moved[b] = moved[b], moved[a] })
		got, err := ranks.Friedman(moved)
		if err != nil {
			t.Fatal(err)
		}
		for j := range perm {
			if got.RankSums[j] != want.RankSums[perm[j]] {
				t.Fatalf("rank sums do not follow the labels")
			}
		}
		reftest.Within(t, "χ²", got.ChiSquare, want.ChiSquare, 1e-13, "invariance")
		reftest.Within(t, "exact p", got.PExact, want.PExact, 1e-12, "invariance")
	}
}

func TestTableEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		table [][]float64
		want  error
	}{
		{"nil", nil, stats.ErrEmpty},
		{"no columns", [][]float64{{}, {}}, stats.ErrEmpty},
		{"one row", [][]float64{{1, 2, 3}}, stats.ErrTooFew},
		{"one column", [][]float64{{1}, {2}}, stats.ErrTooFew},
		{"ragged", [][]float64{{1, 2, 3}, {1, 2}}, stats.ErrLengths},
		{"NaN", [][]float64{{1, 2, 3}, {1, nan, 2}}, stats.ErrNonFinite},
		{"infinite", [][]float64{{1, 2, 3}, {1, inf, 2}}, stats.ErrNonFinite},
		{"constant", [][]float64{{1, 1, 1}, {2, 2, 2}}, stats.ErrNoVariation},
	} {
		if _, err := ranks.Friedman(c.table); !errors.Is(err, c.want) {
			t.Errorf("Friedman %s: %v", c.name, err)
		}
		if _, err := ranks.Page(c.table, nil); !errors.Is(err, c.want) {
			t.Errorf("Page %s: %v", c.name, err)
		}
		if _, err := ranks.Conover(c.table, 0.05); !errors.Is(err, c.want) {
			t.Errorf("Conover %s: %v", c.name, err)
		}
	}
	if _, err := ranks.Conover(tied, 1); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("alpha 1: %v", err)
	}
	for _, c := range []struct {
		sums []float64
		n    int
		want error
	}{
		{nil, 4, stats.ErrEmpty}, {[]float64{1, nan}, 4, stats.ErrNonFinite}, {[]float64{4}, 4, stats.ErrTooFew},
		{[]float64{4, 8}, 1, stats.ErrTooFew}, {[]float64{5, 8}, 4, stats.ErrDomain}, {[]float64{3, 9}, 4, stats.ErrDomain},
	} {
		if _, err := ranks.FriedmanFromSums(c.sums, c.n); !errors.Is(err, c.want) {
			t.Errorf("FriedmanFromSums %v, %d: %v", c.sums, c.n, err)
		}
		if _, err := ranks.PageFromSums(c.sums, c.n); !errors.Is(err, c.want) {
			t.Errorf("PageFromSums %v, %d: %v", c.sums, c.n, err)
		}
	}
	for _, c := range []struct {
		n, k  int
		alpha float64
	}{{0, 3, 0.05}, {5, 1, 0.05}, {5, 3, 0}, {5, 3, 1}, {5, 3, nan}} {
		if _, err := ranks.LeastSignificantRankDifference(c.n, c.k, c.alpha); !errors.Is(err, stats.ErrDomain) {
			t.Errorf("difference %+v: %v", c, err)
		}
	}
}

func TestFriedmanLargeTableFallsBack(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	table := make([][]float64, 8)
	for i := range table {
		table[i] = make([]float64, 12)
		for j := range table[i] {
			table[i][j] = rng.NormFloat64()
		}
	}
	res, err := ranks.Friedman(table)
	if err != nil {
		t.Fatal(err)
	}
	if res.Exact || res.P != res.PChiSquare || len(res.Warnings) != 1 || res.Warnings[0].ID != "friedman-approximate" {
		t.Errorf("%+v", res)
	}
}

func TestConover(t *testing.T) {
	t.Parallel()
	res, err := ranks.Conover(tied, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	// The formula of the source, evaluated plainly from the ranks.
	n, k, a, b := 6.0, 4.0, 0.0, 0.0
	sums := make([]float64, 4)
	for _, row := range tied {
		r, _ := ranks.Midranks(row)
		for j, x := range r {
			a += x * x
			sums[j] += x
		}
	}
	for _, s := range sums {
		b += s * s
	}
	se := math.Sqrt(2 * (n*a - b) / ((n - 1) * (k - 1)))
	reftest.Within(t, "least difference", res.LeastDifference, 2.13144954555978*se, 1e-12, "qt(.975, 15) of R 4.2.2 times Conover's spread")
	if len(res.Pairs) != 6 {
		t.Fatalf("%d pairs", len(res.Pairs))
	}
	for _, p := range res.Pairs {
		reftest.WithinAbs(t, "difference", p.Difference, sums[p.I]-sums[p.J], 1e-14, 1e-14, "rank sums")
		if (math.Abs(p.Difference) > res.LeastDifference) != (p.P < 0.05) {
			t.Errorf("pair %d–%d: p %v disagrees with the least difference", p.I, p.J, p.P)
		}
	}
}

func FuzzFriedman(f *testing.F) {
	f.Add([]byte{7, 9, 8, 6, 5, 5, 8, 4, 6, 7, 7, 3}, uint8(4))
	f.Add([]byte{1, 1, 1, 1}, uint8(2))
	f.Add([]byte{}, uint8(0))
	f.Fuzz(func(t *testing.T, data []byte, width uint8) {
		k := int(width%9) + 1
		var table [][]float64
		for len(data) >= k && len(table) < 12 {
			row := make([]float64, k)
			for j := range row {
				row[j] = float64(data[j] % 16)
			}
			table = append(table, row)
			data = data[k:]
		}
		if res, err := ranks.Friedman(table); err == nil {
			if !(res.P >= 0 && res.P <= 1) || res.ChiSquare < 0 || res.W > 1+1e-12 {
				t.Fatalf("%+v", res)
			}
		}
		if res, err := ranks.Page(table, nil); err == nil && !(res.P >= 0 && res.P <= 1) {
			t.Fatalf("%+v", res)
		}
		_, _ = ranks.Conover(table, 0.05)
	})
}
