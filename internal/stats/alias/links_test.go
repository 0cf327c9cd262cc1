package alias

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

func TestCramersV(t *testing.T) {
	t.Parallel()
	const chi = "chisq.test(correct = FALSE) of R 4.2.2, Bergsma's formula by hand from it"
	for _, c := range []struct {
		table               [][]int
		chi2, v, corrected  float64
		rows, columns, size int
	}{
		{[][]int{{5, 1, 0}, {1, 4, 2}, {0, 2, 6}}, 16.25297619047619, 0.62207364803756671, 0.56467849612044863, 3, 3, 21},
		{[][]int{{3, 3}, {3, 3}}, 0, 0, 0, 2, 2, 12},
		{[][]int{{4, 1}, {2, 5}, {0, 6}}, 7.9714285714285715, 0.66547512564869238, 0.5878228596147943, 3, 2, 18},
		{[][]int{{4, 1, 0}, {0, 0, 0}, {2, 5, 0}, {0, 6, 0}}, 7.9714285714285715, 0.66547512564869238, 0.5878228596147943, 3, 2, 18}, // empty ones dropped
		{[][]int{{1, 0}, {0, 1}}, 2, 1, 0, 2, 2, 2},                                                                                  // φ² = 1, bias 1, so 0: by hand
		{[][]int{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, 6, 1, 0, 3, 3, 3},                                                                 // φ² = 2, bias 4/2: by hand
	} {
		got, err := CramersV(c.table)
		if err != nil {
			t.Fatal(err)
		}
		reftest.WithinAbs(t, "chi-squared", got.ChiSquared, c.chi2, 1e-12, 1e-12, chi)
		reftest.WithinAbs(t, "V", got.V, c.v, 1e-12, 1e-12, chi)
		reftest.WithinAbs(t, "corrected V", got.Corrected, c.corrected, 1e-9, 1e-7, chi) // √ of a difference that is 0 in exact arithmetic
		if got.Rows != c.rows || got.Columns != c.columns || got.N != c.size {
			t.Errorf("%v: %+v", c.table, got)
		}
	}
	for name, c := range map[string]struct {
		table [][]int
		want  error
	}{
		"nothing": {nil, stats.ErrEmpty}, "no columns": {[][]int{{}}, stats.ErrEmpty}, "zeros": {[][]int{{0, 0}, {0, 0}}, stats.ErrEmpty},
		"ragged": {[][]int{{1, 2}, {1}}, stats.ErrLengths}, "below 0": {[][]int{{1, -1}, {1, 1}}, stats.ErrDomain},
		"one row": {[][]int{{1, 2}, {0, 0}}, stats.ErrNoVariation}, "one column": {[][]int{{1, 0}, {2, 0}}, stats.ErrNoVariation},
		"too many": {[][]int{{math.MaxInt, 1}, {1, 1}}, stats.ErrTooLarge},
	} {
		if _, err := CramersV(c.table); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestCramersVProperties(t *testing.T) {
	t.Parallel()
	for i := range 200 {
		rng := rand.New(rand.NewPCG(3, uint64(i)))
		a, b := make([]int, 20), make([]int, 20)
		for r := range a {
			a[r], b[r] = rng.IntN(4)-1, rng.IntN(4)-1
		}
		table := Count(a, b)
		got, err := CramersV(table)
		if errors.Is(err, stats.ErrNoVariation) {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		turned, err := CramersV(Count(b, a))
		if err != nil {
			t.Fatal(err)
		}
		if !reftest.Close(turned.V, got.V, 1e-12, 1e-12) || !reftest.Close(turned.Corrected, got.Corrected, 1e-9, 1e-7) {
			t.Errorf("%+v, turned %+v", got, turned)
		}
		if got.V < 0 || got.V > 1 || got.Corrected < 0 || got.Corrected > got.V+1e-9 {
			t.Errorf("%+v", got)
		}
	}
}

func TestImbalance(t *testing.T) {
	t.Parallel()
	got, err := Imbalance([][]float64{{30, 31}, {25, 26}, {27, 29, 28}})
	if err != nil {
		t.Fatal(err)
	}
	const r = "lm and means in R 4.2.2"
	reftest.Within(t, "d", got.D, 5.7735026918962413, 1e-12, r)
	reftest.Within(t, "rel", got.Rel, 0.17857142857142858, 1e-12, r)
	reftest.Within(t, "CV", got.CV, 1.0/28, 1e-12, "27, 29, 28 have SD 1 and mean 28, by hand")
	if got.Low != 1 || got.High != 0 || got.DF != 4 {
		t.Errorf("%+v", got)
	}
	// Another unit changes neither D nor Rel; a shift changes Rel alone.
	inches, err := Imbalance([][]float64{{30 / 25.4, 31 / 25.4}, {25 / 25.4, 26 / 25.4}, {27 / 25.4, 29 / 25.4, 28 / 25.4}})
	if err != nil || !reftest.Close(inches.D, got.D, 1e-12, 0) || !reftest.Close(inches.Rel, got.Rel, 1e-12, 0) {
		t.Errorf("%+v, %v", inches, err)
	}
	shifted, err := Imbalance([][]float64{{1030, 1031}, {1025, 1026}, {1027, 1029, 1028}})
	if err != nil || !reftest.Close(shifted.D, got.D, 1e-9, 0) || shifted.Rel >= got.Rel {
		t.Errorf("%+v, %v", shifted, err)
	}
	equal, err := Imbalance([][]float64{{0.3, 0.1 + 0.2}, {0.4, 0.4}})
	if err != nil || equal.HasD || !equal.HasRel {
		t.Errorf("no spread within groups: %+v, %v", equal, err)
	}
	single, err := Imbalance([][]float64{{1}, {-1}})
	if err != nil || single.HasD || single.HasRel || single.Range != 2 || single.CV != 0 {
		t.Errorf("one value each around 0: %+v, %v", single, err)
	}
	for name, c := range map[string]struct {
		groups [][]float64
		want   error
	}{
		"nothing": {nil, stats.ErrTooFew}, "one group": {[][]float64{{1, 2}}, stats.ErrTooFew}, "empty group": {[][]float64{{1}, {}}, stats.ErrEmpty},
		"NaN": {[][]float64{{1}, {math.NaN()}}, stats.ErrNonFinite}, "Inf": {[][]float64{{1}, {math.Inf(-1)}}, stats.ErrNonFinite},
		"overflow": {[][]float64{{1e308}, {-1e308}}, stats.ErrNonFinite},
	} {
		if _, err := Imbalance(c.groups); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestOrderFollows(t *testing.T) {
	t.Parallel()
	nan := math.NaN()
	got, err := OrderFollows([]int{1, 1, 1, 2, 2, 2, 3, 3, 4}, []float64{1, 2, 3, 1, 2, 3, 1, 2, 1}, []float64{50, 54, 52, 54, 50, 56, 50, 56, 90})
	if err != nil {
		t.Fatal(err)
	}
	const r = "cor of values less session means, and of ranks within sessions, in R 4.2.2"
	reftest.Within(t, "r", got.R, 0.49374193110101877, 1e-12, r)
	reftest.Within(t, "rho", got.Rho, 0.55555555555555558, 1e-12, r)
	if got.Rows != 8 || got.Sessions != 3 {
		t.Errorf("%+v", got)
	}
	for _, c := range []struct {
		name     string
		session  []int
		order, x []float64
		r, rho   float64
		want     error
	}{
		{"rising", nil, []float64{1, 2, 3, 4}, []float64{46, 50, 54, 58}, 1, 1, nil},
		{"falling", nil, []float64{4, 3, 2, 1}, []float64{46, 50, 54, 58}, -1, -1, nil},
		{"mixed", nil, []float64{1, 2, 3, 4}, []float64{50, 58, 46, 54}, 0, 0, nil}, // Σ(order-2.5)(x-52) = 3-3-3+3: by hand
		{"days apart", []int{0, 0, 1, 1}, []float64{1, 2, 1, 2}, []float64{46, 54, 54, 46}, 0, 0, nil},
		{"unknown passed over", []int{0, 0, 0, -1}, []float64{1, 2, nan, 9}, []float64{1, 2, 0, 0}, 1, 1, nil},
		{"empty", nil, nil, nil, 0, 0, stats.ErrEmpty},
		{"lengths", nil, []float64{1}, []float64{1, 2}, 0, 0, stats.ErrLengths},
		{"session lengths", []int{1}, []float64{1, 2}, []float64{1, 2}, 0, 0, stats.ErrLengths},
		{"infinity", nil, []float64{1, math.Inf(1)}, []float64{1, 2}, 0, 0, stats.ErrNonFinite},
		{"one a session", []int{0, 1}, []float64{1, 2}, []float64{1, 2}, 0, 0, stats.ErrTooFew},
		{"all at once", nil, []float64{1, 1}, []float64{1, 2}, 0, 0, stats.ErrNoVariation},
		{"one level", nil, []float64{1, 2}, []float64{0.1, 0.1}, 0, 0, stats.ErrNoVariation},
	} {
		got, err := OrderFollows(c.session, c.order, c.x)
		if c.want != nil {
			if !errors.Is(err, c.want) {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if err != nil || !reftest.Close(got.R, c.r, 1e-12, 1e-12) || !reftest.Close(got.Rho, c.rho, 1e-12, 1e-12) {
			t.Errorf("%s: %+v, %v", c.name, got, err)
		}
	}
}

func TestOrderProperties(t *testing.T) {
	t.Parallel()
	for i := range 200 {
		rng := rand.New(rand.NewPCG(5, uint64(i)))
		n := 4 + rng.IntN(12)
		s, o, x := make([]int, n), make([]float64, n), make([]float64, n)
		for r := range n {
			s[r], o[r], x[r] = rng.IntN(3), float64(rng.IntN(6)), 50+2*float64(rng.IntN(4))
		}
		before := fmt.Sprint(s, o, x)
		got, err := OrderFollows(s, o, x)
		if errors.Is(err, stats.ErrNoVariation) || errors.Is(err, stats.ErrTooFew) {
			continue
		}
		if err != nil || fmt.Sprint(s, o, x) != before {
			t.Fatal(err, "or inputs altered")
		}
		// In °F, with the sessions counted on, backwards.
		o2, x2 := make([]float64, n), make([]float64, n)
		for r := range n {
			o2[r], x2[r] = -(o[r] + 100*float64(s[r])), 32+1.8*x[r]
		}
		turned, err := OrderFollows(s, o2, x2)
		if err != nil || !reftest.Close(turned.R, -got.R, 1e-9, 1e-12) || !reftest.Close(turned.Rho, -got.Rho, 1e-9, 1e-12) {
			t.Fatalf("%+v, turned %+v, %v", got, turned, err)
		}
		if got.Most() > 1 || got.Most() < 0 {
			t.Fatal(got)
		}
	}
}

func TestMoves(t *testing.T) {
	t.Parallel()
	// Two levels, three units each, one block: 20 arrangements; the perfect split
	// and its mirror image are 2 of them, so p = 0.1. By hand.
	got, err := Moves([]float64{46, 46, 46, 54, 54, 54}, []float64{1, 2, 3, 7, 8, 9}, nil, 0.2, 1)
	if err != nil || !got.HasP {
		t.Fatal(got, err)
	}
	reftest.Within(t, "p", got.P, 0.1, 1e-12, "2 of 20 arrangements, by hand")
	// In blocks of two a side has no more than a coin for each: 2³ = 8 arrangements,
	// 2 as extreme.
	got, err = Moves([]float64{46, 54, 46, 54, 46, 54}, []float64{1, 7, 2, 8, 3, 9}, []int{0, 0, 1, 1, 2, 2}, 0.5, 1)
	if err != nil || !got.HasP {
		t.Fatal(got, err)
	}
	reftest.Within(t, "p in blocks", got.P, 0.25, 1e-12, "2 of 8 arrangements, by hand")
	few, err := Moves([]float64{46, 54, 46, 54}, []float64{1, 7, 2, 8}, []int{0, 0, 1, 1}, 0.1, 1)
	if err != nil || few.HasP || few.R <= 0.9 {
		t.Errorf("too few arrangements: %+v, %v", few, err)
	}
	tied, err := Moves([]float64{46, 46, 54, 54}, []float64{1, 1, 2, 2}, []int{0, 0, 1, 1}, 0.1, 1)
	if err != nil || tied.HasP || !reftest.Close(tied.R, 1, 1e-12, 0) {
		t.Errorf("levels tied to blocks: %+v, %v", tied, err)
	}
	nan := math.NaN()
	for name, c := range map[string]struct {
		x, y  []float64
		alpha float64
		want  error
	}{
		"empty": {nil, nil, 0.1, stats.ErrEmpty}, "two": {[]float64{1, 2}, []float64{1, 2}, 0.1, stats.ErrTooFew},
		"two known": {[]float64{1, 2, nan}, []float64{1, 2, 3}, 0.1, stats.ErrTooFew}, "alpha": {[]float64{1, 2, 3}, []float64{1, 2, 3}, 1, stats.ErrDomain},
		"constant": {[]float64{1, 1, 1}, []float64{1, 2, 3}, 0.1, stats.ErrNoVariation}, "infinity": {[]float64{1, 2, 3}, []float64{1, math.Inf(1), 3}, 0.1, stats.ErrNonFinite},
		"lengths": {[]float64{1, 2, 3}, []float64{1, 2}, 0.1, stats.ErrLengths},
	} {
		if _, err := Moves(c.x, c.y, nil, c.alpha, 1); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestBestOrder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		session []int
		x       []float64
		best    float64
		ok      bool
	}{
		// 48, 62, 50: ρ is ±1/2 or ±1, and r of this order is 2/(√2·√114.67). By hand.
		{"three", nil, []float64{48, 50, 62}, 0.5, true},
		{"one pair", nil, []float64{48, 56}, 1, true},
		{"two pairs undo each other", []int{0, 0, 1, 1}, []float64{48, 56, 48, 56}, 0, true},
		{"a pair, and one of equals", []int{0, 0, 1, 1}, []float64{48, 56, 48, 48}, math.Sqrt(0.5), true},
		{"too many", nil, []float64{1, 2, 3, 4, 5, 6, 7, 8}, 0, false},
		{"equals", nil, []float64{48, 48}, 0, false},
		{"empty", nil, nil, 0, false},
	} {
		order := make([]float64, len(c.x))
		for i := range order {
			order[i] = float64(i + 1)
		}
		before := fmt.Sprint(order, c.x)
		got, ok := BestOrder(c.session, order, c.x)
		if ok != c.ok || ok && !reftest.Close(got, c.best, 1e-12, 1e-12) {
			t.Errorf("%s: %v, %v; want %v", c.name, got, ok, c.best)
		}
		if fmt.Sprint(order, c.x) != before {
			t.Errorf("%s: inputs altered", c.name)
		}
		if o, err := OrderFollows(c.session, order, c.x); ok && err == nil && o.Most() < got-1e-12 {
			t.Errorf("%s: an order with %v is better than the best", c.name, o.Most())
		}
	}
}
