package frame

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

// factorial is a frame with all combinations of a (a1, a2), b (b1 … b3) and a
// number x.
func factorial(t testing.TB) *Frame {
	var a, b []string
	var x []float64
	for i := range 2 {
		for j := range 3 {
			a, b = append(a, fmt.Sprintf("a%d", i+1)), append(b, fmt.Sprintf("b%d", j+1))
			x = append(x, float64(1+i*j+j*j))
		}
	}
	return mustFrame(t, mustFactor(t, "a", a...), mustFactor(t, "b", b...), mustNumeric(t, "x", x...))
}

func TestMarginality(t *testing.T) {
	t.Parallel()
	f := factorial(t)
	for _, c := range []struct {
		name      string
		intercept bool
		terms     []Term
		want      []string
	}{
		{"intercept only", true, nil, []string{"(intercept)"}},
		{"additive", true, []Term{T("a"), T("b")}, []string{"(intercept)", "a[a2]", "b[b2]", "b[b3]"}},
		{"cell means", false, []Term{T("a", "b")}, []string{
			"a[a1]:b[b1]", "a[a2]:b[b1]", "a[a1]:b[b2]", "a[a2]:b[b2]", "a[a1]:b[b3]", "a[a2]:b[b3]"}},
		{"no intercept, second factor by contrasts", false, []Term{T("a"), T("b")}, []string{"a[a1]", "a[a2]", "b[b2]", "b[b3]"}},
		{"b nested in a", true, []Term{T("a"), T("a", "b")}, []string{"(intercept)", "a[a2]",
			"a[a1]:b[b2]", "a[a2]:b[b2]", "a[a1]:b[b3]", "a[a2]:b[b3]"}},
		{"a slope for each level", true, []Term{T("a"), T("a", "x")}, []string{"(intercept)", "a[a2]", "a[a1]:x", "a[a2]:x"}},
		{"difference of slopes", true, []Term{T("a"), T("x"), T("x", "a")}, []string{"(intercept)", "a[a2]", "x", "x:a[a2]"}},
		{"polynomial", true, []Term{Poly("x", 2, Scaled)}, []string{"(intercept)", "x^1", "x^2"}},
		{"orthogonal polynomial by factor", true, []Term{T("a"), Poly("x", 2, Orthogonal), Cross(T("a"), Poly("x", 2, Orthogonal))},
			[]string{"(intercept)", "a[a2]", "x[linear]", "x[quadratic]", "a[a2]:x[linear]", "a[a2]:x[quadratic]"}},
	} {
		m, err := Build(f, Model{Intercept: c.intercept, Terms: c.terms})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if !slices.Equal(m.Names, c.want) {
			t.Errorf("%s: %q, want %q", c.name, m.Names, c.want)
		}
		if _, p := m.X.Dims(); p != len(m.Names) || len(m.Assign) != p {
			t.Errorf("%s: %d columns, %d names, %d assigned", c.name, p, len(m.Names), len(m.Assign))
		}
		again, err := m.Encode(f)
		if err != nil || !mat.Equal(again, m.X) {
			t.Errorf("%s: encoding the data again gives another matrix (%v)", c.name, err)
		}
	}
}

// TestColumnsFollowNames checks every cell of a matrix with indicator coding
// against what its column's name says.
func TestColumnsFollowNames(t *testing.T) {
	t.Parallel()
	f := factorial(t)
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("b"), T("a", "b"), T("x"), T("b", "x")}})
	if err != nil {
		t.Fatal(err)
	}
	a, _ := f.Column("a")
	b, _ := f.Column("b")
	x, _ := f.Column("x")
	for i := range f.Rows() {
		want := map[string]float64{"(intercept)": 1, "x": x.Values()[i]}
		la, lb := a.Levels()[a.Codes()[i]], b.Levels()[b.Codes()[i]]
		want["a["+la+"]"], want["b["+lb+"]"] = 1, 1
		want["a["+la+"]:b["+lb+"]"] = 1
		want["b["+lb+"]:x"] = x.Values()[i]
		for j, n := range m.Names {
			if m.X.At(i, j) != want[n] {
				t.Errorf("row %d, %s = %v, want %v", i, n, m.X.At(i, j), want[n])
			}
		}
	}
}

func TestCodings(t *testing.T) {
	t.Parallel()
	f := mustFrame(t, mustFactor(t, "d", "0", "1", "3"))
	s := math.Sqrt
	for _, c := range []struct {
		name   string
		coding Coding
		want   []float64 // 3 × 2, by rows
	}{
		{"treatment", Coding{}, []float64{0, 0, 1, 0, 0, 1}},
		{"treatment, base 1", Coding{Base: "1"}, []float64{1, 0, 0, 0, 0, 1}},
		{"sum", Coding{Contrast: Sum}, []float64{1, 0, 0, 1, -1, -1}},
		{"sum, base 0", Coding{Contrast: Sum, Base: "0"}, []float64{-1, -1, 1, 0, 0, 1}},
		{"Helmert", Coding{Contrast: Helmert}, []float64{-1, -1, 1, -1, 0, 2}},
		// Equal spacing: the textbook -1 0 1 and 1 -2 1, scaled to length 1.
		{"polynomial, equal spacing", Coding{Contrast: Polynomial, Scores: []float64{10, 20, 30}},
			[]float64{-1 / s(2), 1 / s(6), 0, -2 / s(6), 1 / s(2), 1 / s(6)}},
		// Scores 0 1 3 by hand: linear -4 -1 5, quadratic (orthogonal to it and to
		// the constant) 2 -3 1.
		{"polynomial, levels as scores", Coding{Contrast: Polynomial},
			[]float64{-4 / s(42), 2 / s(14), -1 / s(42), -3 / s(14), 5 / s(42), 1 / s(14)}},
		{"user", Coding{Contrast: User, Matrix: mat.NewDense(3, 2, []float64{1, 2, 3, 4, 5, 6})}, []float64{1, 2, 3, 4, 5, 6}},
	} {
		m, err := Build(f, Model{Intercept: true, Terms: []Term{T("d")}, Coding: map[string]Coding{"d": c.coding}})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		for i := range 3 {
			for j := range 2 {
				reftest.WithinAbs(t, fmt.Sprintf("%s (%d,%d)", c.name, i, j), m.X.At(i, j+1), c.want[2*i+j], 1e-14, 1e-15, "by hand from the definition")
			}
		}
	}
}

func TestOrthogonalBasis(t *testing.T) {
	t.Parallel()
	xs := []float64{44, 47, 47, 50, 53, 56, 60, 60}
	f := mustFrame(t, mustNumeric(t, "x", xs...))
	m, err := Build(f, Model{Intercept: true, Terms: []Term{Poly("x", 4, Orthogonal)}})
	if err != nil {
		t.Fatal(err)
	}
	var g mat.Dense
	g.Mul(m.X.T(), m.X)
	for i := range 5 {
		for j := range 5 {
			want := 0.0
			if i == j {
				want = 1
			}
			if i == 0 && j == 0 {
				want = float64(len(xs))
			}
			reftest.WithinAbs(t, fmt.Sprintf("inner product %d %d", i, j), g.At(i, j), want, 1e-13, 1e-13, "orthonormal by definition")
		}
	}
}

// TestUnitsOfTemperature holds the scaled basis to its promise: °C, kelvin and
// °F give the same matrix.
func TestUnitsOfTemperature(t *testing.T) {
	t.Parallel()
	celsius := []float64{44, 47.2, 50.4, 53.6, 56.8, 60}
	build := func(to func(float64) float64, basis Basis) *mat.Dense {
		xs := make([]float64, len(celsius))
		for i, c := range celsius {
			xs[i] = to(c)
		}
		m, err := Build(mustFrame(t, mustNumeric(t, "x", xs...)), Model{Intercept: true, Terms: []Term{Poly("x", 3, basis)}})
		if err != nil {
			t.Fatal(err)
		}
		return m.X
	}
	for _, basis := range []Basis{Scaled, Orthogonal} {
		want := build(func(c float64) float64 { return c }, basis)
		for name, to := range map[string]func(float64) float64{
			"kelvin":     func(c float64) float64 { return c + 273.15 },
			"fahrenheit": func(c float64) float64 { return c*1.8 + 32 },
		} {
			got := build(to, basis)
			for i := range celsius {
				for j := range 4 {
					reftest.WithinAbs(t, name, got.At(i, j), want.At(i, j), 1e-11, 1e-12, "the same temperatures; the set points themselves carry rounding error of 1e-14 relative")
				}
			}
		}
	}
}

func TestEncodeOtherFrame(t *testing.T) {
	t.Parallel()
	f := factorial(t)
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("b"), Poly("x", 2, Scaled)}})
	if err != nil {
		t.Fatal(err)
	}
	// The same rows with levels in another order and an extra unused level.
	a, _ := f.Column("a")
	values := make([]string, f.Rows())
	for i, c := range a.Codes() {
		values[i] = a.Levels()[c]
	}
	other, err := FactorLevels("a", values, []string{"new", "a2", "a1"})
	if err != nil {
		t.Fatal(err)
	}
	b, _ := f.Column("b")
	x, _ := f.Column("x")
	got, err := m.Encode(mustFrame(t, x, other, b))
	if err != nil || !mat.Equal(got, m.X) {
		t.Errorf("levels in another order change the rows (%v)", err)
	}
	used, _ := FactorLevels("a", []string{"new"}, []string{"new"})
	for name, bad := range map[string]*Frame{
		"unseen level":   mustFrame(t, used, mustFactor(t, "b", "b1"), mustNumeric(t, "x", 1)),
		"missing column": mustFrame(t, mustFactor(t, "b", "b1"), mustNumeric(t, "x", 1)),
		"wrong kind":     mustFrame(t, mustNumeric(t, "a", 1), mustFactor(t, "b", "b1"), mustNumeric(t, "x", 1)),
	} {
		if _, err := m.Encode(bad); !errors.Is(err, stats.ErrDomain) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := m.Encode(nil); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no frame: %v", err)
	}
}

func TestBuildErrors(t *testing.T) {
	t.Parallel()
	f := mustFrame(t, mustFactor(t, "a", "1", "2"), mustFactor(t, "one", "x", "x"),
		mustNumeric(t, "x", 1, 2), mustNumeric(t, "same", 5, 5), mustNumeric(t, "huge", 1e200, 1))
	coded := func(c Coding) Model {
		return Model{Intercept: true, Terms: []Term{T("a")}, Coding: map[string]Coding{"a": c}}
	}
	for _, c := range []struct {
		name string
		m    Model
		want error
	}{
		{"nothing", Model{}, stats.ErrEmpty},
		{"unknown variable", Model{Terms: []Term{T("z")}}, stats.ErrDomain},
		{"empty term", Model{Terms: []Term{{}}}, stats.ErrDomain},
		{"term twice", Model{Terms: []Term{T("a", "x"), T("x", "a")}}, stats.ErrDomain},
		{"variable twice", Model{Terms: []Term{T("a", "a")}}, stats.ErrDomain},
		{"power of a factor", Model{Terms: []Term{Poly("a", 2, Scaled)}}, stats.ErrDomain},
		{"degree too high", Model{Terms: []Term{Poly("x", 21, Scaled)}}, stats.ErrDomain},
		{"negative degree", Model{Terms: []Term{Poly("x", -1, Scaled)}}, stats.ErrDomain},
		{"plain square", Model{Terms: []Term{Poly("x", 2, Plain)}}, stats.ErrDomain},
		{"unknown basis", Model{Terms: []Term{Poly("x", 2, Basis(9))}}, stats.ErrDomain},
		{"orthogonal, too few values", Model{Terms: []Term{Poly("x", 2, Orthogonal)}}, stats.ErrTooFew},
		{"polynomial of a constant", Model{Terms: []Term{Poly("same", 2, Scaled)}}, stats.ErrNoVariation},
		{"two polynomials", Model{Terms: []Term{Poly("x", 1, Scaled), Poly("x", 2, Powers)}}, stats.ErrDomain},
		{"overflow", Model{Terms: []Term{Poly("huge", 2, Powers)}}, stats.ErrNonFinite},
		{"one level", Model{Intercept: true, Terms: []Term{T("one")}}, stats.ErrNoVariation},
		{"nine variables", Model{Terms: []Term{T("a", "b", "c", "d", "e", "f", "g", "h", "i")}}, stats.ErrTooLarge},
		{"coding of a number", Model{Terms: []Term{T("x")}, Coding: map[string]Coding{"x": {}}}, stats.ErrDomain},
		{"coding of nothing", Model{Terms: []Term{T("x")}, Coding: map[string]Coding{"q": {}}}, stats.ErrDomain},
		{"unknown contrast", coded(Coding{Contrast: 9}), stats.ErrDomain},
		{"unknown base", coded(Coding{Base: "3"}), stats.ErrDomain},
		{"no user matrix", coded(Coding{Contrast: User}), stats.ErrEmpty},
		{"user matrix too short", coded(Coding{Contrast: User, Matrix: mat.NewDense(1, 1, nil)}), stats.ErrLengths},
		{"user matrix with NaN", coded(Coding{Contrast: User, Matrix: mat.NewDense(2, 1, []float64{math.NaN(), 1})}), stats.ErrNonFinite},
		{"user names", coded(Coding{Contrast: User, Matrix: mat.NewDense(2, 1, []float64{0, 1}), Names: []string{"p", "q"}}), stats.ErrLengths},
		{"scores of the wrong length", coded(Coding{Contrast: Polynomial, Scores: []float64{1}}), stats.ErrLengths},
		{"equal scores", coded(Coding{Contrast: Polynomial, Scores: []float64{1, 1}}), stats.ErrDomain},
	} {
		if _, err := Build(f, c.m); !errors.Is(err, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := Build(nil, Model{Intercept: true}); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no frame: %v", err)
	}
}

// TestNamesStayDistinct: levels with brackets and colons can spell another
// column's name.
func TestNamesStayDistinct(t *testing.T) {
	t.Parallel()
	f := mustFrame(t, mustFactor(t, "a", "1", "2", "2]:b[2"), mustFactor(t, "b", "1", "2", "2"))
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("b"), T("a", "b")}})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"(intercept)", "a[2]", "a[2]:b[2]", "b[2]", "a[2]:b[2] (2)", "a[2]:b[2]:b[2]"}
	if !slices.Equal(m.Names, want) {
		t.Errorf("%q, want %q", m.Names, want)
	}
}

func TestScale(t *testing.T) {
	t.Parallel()
	f := mustFrame(t, mustNumeric(t, "x", 44, 60, 50), mustFactor(t, "a", "1", "2", "1"))
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), Poly("x", 2, Scaled)}})
	if err != nil {
		t.Fatal(err)
	}
	if c, w, ok := m.Scale("x"); c != 52 || w != 8 || !ok {
		t.Errorf("scale %v, %v, %v", c, w, ok)
	}
	for _, name := range []string{"a", "nope"} {
		if _, _, ok := m.Scale(name); ok {
			t.Errorf("%s has a scale", name)
		}
	}
}

func TestCrossed(t *testing.T) {
	t.Parallel()
	var got []string
	for _, term := range Crossed(T("a"), T("b"), T("c")) {
		got = append(got, term.String())
	}
	want := []string{"a", "b", "c", "a:b", "a:c", "b:c", "a:b:c"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got := (Term{}).String(); got != "(intercept)" {
		t.Errorf("empty term is called %q", got)
	}
}

func TestPolynomialContrasts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		scores []float64
		want   error
	}{
		"one":      {[]float64{1}, stats.ErrTooFew},
		"none":     {nil, stats.ErrTooFew},
		"equal":    {[]float64{1, 1}, stats.ErrDomain},
		"NaN":      {[]float64{1, math.NaN()}, stats.ErrNonFinite},
		"too many": {make22(), stats.ErrTooLarge},
	} {
		if _, err := PolynomialContrasts(c.scores); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	got, err := PolynomialContrasts([]float64{1, 2, 3, 4})
	if err != nil {
		t.Fatal(err)
	}
	// Fisher & Yates table XXIII for k = 4, divided by the root of its sum of
	// squares (20, 4, 20); from memory.
	want := [][]float64{{-3, 1, -1}, {-1, -1, 3}, {1, -1, -3}, {3, 1, 1}}
	for i, row := range want {
		for j, w := range row {
			reftest.WithinAbs(t, fmt.Sprintf("(%d,%d)", i, j), got.At(i, j), w/math.Sqrt([]float64{20, 4, 20}[j]), 1e-13, 0, "Fisher & Yates, from memory")
		}
	}
}

func make22() []float64 {
	xs := make([]float64, 22)
	for i := range xs {
		xs[i] = float64(i)
	}
	return xs
}
