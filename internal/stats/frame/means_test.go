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

// TestMeansAreAveragesOverTheGrid compares the rows with the average of encoded
// grid rows, written out.
func TestMeansAreAveragesOverTheGrid(t *testing.T) {
	t.Parallel()
	f, _ := unbalanced(t)
	ca, _ := f.Column("a")
	cb, _ := f.Column("b")
	cx, _ := f.Column("x")
	mean := 0.0
	for _, x := range cx.values {
		mean += x / float64(len(cx.values))
	}
	share := make([]float64, 3) // of the levels of b
	for _, c := range cb.codes {
		share[c] += 1 / float64(len(cb.codes))
	}
	for _, coding := range []Contrast{Treatment, Sum, Helmert, Polynomial} {
		m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("b"), T("a", "b"), Poly("x", 2, Scaled), Cross(T("a"), T("x"))},
			Coding: map[string]Coding{"b": {Contrast: coding}}})
		if err != nil {
			t.Fatal(err)
		}
		for w, weights := range map[Weighting][]float64{Equal: {1. / 3, 1. / 3, 1. / 3}, Proportional: share} {
			for _, at := range []float64{mean, 2} {
				spec := MeansSpec{By: []string{"a"}, Weighting: w}
				if at != mean {
					spec.At = map[string][]float64{"x": {at}}
				}
				got, err := m.Means(spec)
				if err != nil {
					t.Fatal(err)
				}
				for i := range 2 {
					var rows []float64
					for j := range 3 {
						point := mustFrame(t, mustCode(t, "a", i, ca.levels), mustCode(t, "b", j, cb.levels), mustNumeric(t, "x", at))
						row, err := m.Encode(point)
						if err != nil {
							t.Fatal(err)
						}
						if rows == nil {
							rows = make([]float64, len(m.Names))
						}
						for k, v := range row.RawRowView(0) {
							rows[k] += weights[j] * v
						}
					}
					for k, want := range rows {
						reftest.WithinAbs(t, fmt.Sprintf("%s of mean %d", m.Names[k], i), got.L.At(i, k), want, 1e-12, 1e-14, "average of grid rows")
					}
				}
			}
		}
	}
}

func mustCode(t testing.TB, name string, code int, levels []string) Column {
	t.Helper()
	c, err := FactorCodes(name, []int{code}, levels)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestMeansPoints(t *testing.T) {
	t.Parallel()
	f := factorial(t)
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("b"), T("x"), T("a", "x")}})
	if err != nil {
		t.Fatal(err)
	}
	got, err := m.Means(MeansSpec{By: []string{"x", "a"}, At: map[string][]float64{"x": {1, 2.5}}})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"1, a1", "1, a2", "2.5, a1", "2.5, a2"}; !slices.Equal(got.Labels, want) {
		t.Errorf("labels %q, want %q", got.Labels, want)
	}
	if !slices.Equal(got.Points.Names(), []string{"x", "a"}) || got.Points.Rows() != 4 {
		t.Errorf("points %v", got.Points.Names())
	}
	overall, err := m.Means(MeansSpec{})
	if err != nil || overall.Points != nil || len(overall.Labels) != 1 || overall.Labels[0] != "" {
		t.Errorf("overall mean: %+v, %v", overall, err)
	}
	if r, _ := overall.L.Dims(); r != 1 {
		t.Errorf("overall mean has %d rows", r)
	}
}

// TestMeansOfInterceptFreeModel: coding must not change what a mean is.
func TestMeansOfInterceptFreeModel(t *testing.T) {
	t.Parallel()
	f := factorial(t)
	m, err := Build(f, Model{Terms: []Term{T("a", "b")}})
	if err != nil {
		t.Fatal(err)
	}
	got, err := m.Means(MeansSpec{By: []string{"a"}})
	if err != nil {
		t.Fatal(err)
	}
	third := 1. / 3
	want := mat.NewDense(2, 6, []float64{third, 0, third, 0, third, 0, 0, third, 0, third, 0, third})
	if !mat.EqualApprox(got.L, want, 1e-15) {
		t.Errorf("rows %v", mat.Formatted(got.L))
	}
}

func TestMeansErrors(t *testing.T) {
	t.Parallel()
	f := factorial(t)
	m, err := Build(f, Model{Intercept: true, Terms: []Term{T("a"), T("x")}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		spec MeansSpec
		want error
	}{
		{"not in the model", MeansSpec{By: []string{"b"}}, stats.ErrDomain},
		{"unknown", MeansSpec{By: []string{"z"}}, stats.ErrDomain},
		{"twice", MeansSpec{By: []string{"a", "a"}}, stats.ErrDomain},
		{"numeric without values", MeansSpec{By: []string{"x"}}, stats.ErrDomain},
		{"values for a factor", MeansSpec{At: map[string][]float64{"a": {1}}}, stats.ErrDomain},
		{"values for nothing", MeansSpec{At: map[string][]float64{"z": {1}}}, stats.ErrDomain},
		{"no values", MeansSpec{At: map[string][]float64{"x": {}}}, stats.ErrEmpty},
		{"NaN", MeansSpec{At: map[string][]float64{"x": {math.NaN()}}}, stats.ErrNonFinite},
		{"two values outside By", MeansSpec{At: map[string][]float64{"x": {1, 2}}}, stats.ErrDomain},
		{"unknown weighting", MeansSpec{Weighting: 5}, stats.ErrDomain},
		{"too many", MeansSpec{By: []string{"x"}, At: map[string][]float64{"x": make([]float64, maxMeans+1)}}, stats.ErrTooLarge},
	} {
		if _, err := m.Means(c.spec); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
