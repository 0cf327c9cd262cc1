package frame

import (
	"errors"
	"math"
	"slices"
	"testing"

	"tamis/internal/stats"
)

func TestFactorOrder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name       string
		values     []string
		wantLevels []string
	}{
		{"numbers by value", []string{"10", "9", "100", "-1"}, []string{"-1", "9", "10", "100"}},
		{"decimals", []string{"0.5", "2", "1"}, []string{"0.5", "1", "2"}},
		{"digits inside text", []string{"b10", "b2", "b1"}, []string{"b1", "b2", "b10"}},
		{"text", []string{"B", "A", "C"}, []string{"A", "B", "C"}},
		{"same number twice", []string{"1.0", "1"}, []string{"1", "1.0"}},
		{"leading zeros", []string{"a01", "a1"}, []string{"a01", "a1"}},
		{"not a number is text", []string{"NaN", "1"}, []string{"1", "NaN"}},
		{"empty string is a level", []string{"x", ""}, []string{"", "x"}},
	} {
		col, err := Factor("f", c.values)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if got := col.Levels(); !slices.Equal(got, c.wantLevels) {
			t.Errorf("%s: levels %q, want %q", c.name, got, c.wantLevels)
		}
		for i, code := range col.Codes() {
			if got := col.Levels()[code]; got != c.values[i] {
				t.Errorf("%s: row %d decodes to %q, want %q", c.name, i, got, c.values[i])
			}
		}
	}
}

func TestScores(t *testing.T) {
	t.Parallel()
	set, _ := Factor("set point", []string{"44", "50", "48"})
	if got, want := set.Scores(), []float64{44, 48, 50}; !slices.Equal(got, want) {
		t.Errorf("numeric levels: %v, want %v", got, want)
	}
	recipe, _ := Factor("recipe", []string{"A", "B"})
	if got, want := recipe.Scores(), []float64{1, 2}; !slices.Equal(got, want) {
		t.Errorf("text levels: %v, want %v", got, want)
	}
	given, err := recipe.WithScores([]float64{0, 7})
	if err != nil || !slices.Equal(given.Scores(), []float64{0, 7}) {
		t.Errorf("given scores: %v, %v", given.Scores(), err)
	}
	infinite, _ := Factor("f", []string{"1", "Inf"})
	if got, want := infinite.Scores(), []float64{1, 2}; !slices.Equal(got, want) {
		t.Errorf("an infinite level: %v, want %v", got, want)
	}
}

func TestColumnErrors(t *testing.T) {
	t.Parallel()
	num, _ := Numeric("x", []float64{1, 2})
	fac, _ := Factor("f", []string{"a", "b"})
	for _, c := range []struct {
		name string
		err  error
		want error
	}{
		{"no name", second(Numeric("", nil)), stats.ErrDomain},
		{"NaN", second(Numeric("x", []float64{math.NaN()})), stats.ErrNonFinite},
		{"infinity", second(Numeric("x", []float64{math.Inf(-1)})), stats.ErrNonFinite},
		{"factor without name", second(Factor("", []string{"a"})), stats.ErrDomain},
		{"value outside levels", second(FactorLevels("f", []string{"c"}, []string{"a"})), stats.ErrDomain},
		{"level twice", second(FactorLevels("f", []string{"a"}, []string{"a", "a"})), stats.ErrDomain},
		{"code too high", second(FactorCodes("f", []int{1}, []string{"a"})), stats.ErrDomain},
		{"code negative", second(FactorCodes("f", []int{-1}, []string{"a"})), stats.ErrDomain},
		{"scores for numbers", second(num.WithScores([]float64{1, 2})), stats.ErrDomain},
		{"too few scores", second(fac.WithScores([]float64{1})), stats.ErrLengths},
		{"equal scores", second(fac.WithScores([]float64{1, 1})), stats.ErrDomain},
		{"NaN score", second(fac.WithScores([]float64{1, math.NaN()})), stats.ErrNonFinite},
		{"no columns", second(New()), stats.ErrEmpty},
		{"no rows", second(New(mustNumeric(t, "x"))), stats.ErrEmpty},
		{"zero column", second(New(Column{})), stats.ErrDomain},
		{"name twice", second(New(num, num)), stats.ErrDomain},
		{"unequal lengths", second(New(num, mustNumeric(t, "y", 1))), stats.ErrLengths},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, c.err, c.want)
		}
	}
}

func TestFrameAccess(t *testing.T) {
	t.Parallel()
	values := []float64{3, 1, 2}
	x, _ := Numeric("x", values)
	g, _ := FactorLevels("g", []string{"b", "a", "b"}, []string{"b", "a", "unused"})
	f, err := New(x, g)
	if err != nil {
		t.Fatal(err)
	}
	values[0] = 99
	if c, _ := f.Column("x"); c.Values()[0] != 3 {
		t.Error("the frame follows a change of the caller's slice")
	}
	if _, err := f.Column("nope"); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("unknown column: %v", err)
	}
	sub, err := f.Subset([]int{2, 2, 0})
	if err != nil {
		t.Fatal(err)
	}
	sx, _ := sub.Column("x")
	sg, _ := sub.Column("g")
	if !slices.Equal(sx.Values(), []float64{2, 2, 3}) || !slices.Equal(sg.Codes(), []int{0, 0, 0}) || len(sg.Levels()) != 3 {
		t.Errorf("subset: %v %v %v", sx.Values(), sg.Codes(), sg.Levels())
	}
	if _, err := f.Subset([]int{3}); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("row outside: %v", err)
	}
	if _, err := f.Subset(nil); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no rows: %v", err)
	}
	if _, err := f.With(x); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("With a name twice: %v", err)
	}
}

func second[T any](_ T, err error) error { return err }

func mustNumeric(t testing.TB, name string, xs ...float64) Column {
	t.Helper()
	c, err := Numeric(name, xs)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func mustFactor(t testing.TB, name string, values ...string) Column {
	t.Helper()
	c, err := Factor(name, values)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func mustFrame(t testing.TB, cols ...Column) *Frame {
	t.Helper()
	f, err := New(cols...)
	if err != nil {
		t.Fatal(err)
	}
	return f
}
