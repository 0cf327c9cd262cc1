package sensitivity

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
)

func TestEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	good := Estimate{1, 1, 10}
	ys, ds := []float64{1, 3, 2, 5, 4}, []float64{1, 2, 3, 4, 6}
	reg := func(y, d []float64, x *mat.Dense) error { _, err := Regress(y, d, x); return err }
	r, err := Regress(ys, ds, mat.NewDense(5, 1, []float64{1, 0, 1, 1, 0}))
	if err != nil {
		t.Fatal(err)
	}
	col := func(v ...float64) *mat.Dense { return mat.NewDense(len(v), 1, v) }
	rv := func(e Estimate, q, alpha float64) error { _, err := RobustnessValue(e, q, alpha); return err }
	adj := func(e Estimate, y, d float64) error { _, err := Adjust(e, Confounder{y, d}); return err }
	bound := func(y, d, ky, kd float64) error { _, err := (Benchmark{y, d}).Bound(ky, kd); return err }
	ext := func(e Estimate, y ...float64) error { _, err := Extreme(e, y); return err }
	spec := func(level float64, s ...Specification) error { _, err := Specifications(s, level); return err }
	loo := func(f float64, w ...float64) error { _, err := LeaveOneOut(f, w); return err }
	bench := func(c ...int) error { _, err := r.Benchmark(c...); return err }
	for _, c := range []struct {
		name string
		got  error
		want error
	}{
		{"no effect is an answer", rv(Estimate{0, 1, 10}, 1, 0.05), nil},
		{"NaN estimate", rv(Estimate{nan, 1, 10}, 1, 1), stats.ErrNonFinite},
		{"infinite SE", rv(Estimate{1, inf, 10}, 1, 1), stats.ErrNonFinite},
		{"SE 0", rv(Estimate{1, 0, 10}, 1, 1), stats.ErrDomain},
		{"df 0", rv(Estimate{1, 1, 0}, 1, 1), stats.ErrTooFew},
		{"df 1, estimate alone", rv(Estimate{1, 1, 1}, 1, 1), nil},
		{"df 1, test", rv(Estimate{1, 1, 1}, 1, 0.05), stats.ErrTooFew},
		{"q 0", rv(good, 0, 1), stats.ErrDomain},
		{"q NaN", rv(good, nan, 1), stats.ErrDomain},
		{"alpha 0", rv(good, 1, 0), stats.ErrDomain},
		{"alpha NaN", rv(good, 1, nan), stats.ErrDomain},
		{"t overflows", rv(Estimate{1e300, 1e-300, 5}, 1, 1), stats.ErrDomain},
		{"huge t", rv(Estimate{1e100, 1, 5}, 1, 0.05), nil},
		{"tiny t", rv(Estimate{1e-200, 1, 5}, 1, 1), nil},
		{"adjust, treatment explained", adj(good, 0.5, 1), stats.ErrDomain},
		{"adjust, below 0", adj(good, -0.1, 0.5), stats.ErrDomain},
		{"adjust, NaN", adj(good, nan, 0.5), stats.ErrNonFinite},
		{"adjust, df 1", adj(Estimate{1, 1, 1}, 0.1, 0.1), stats.ErrTooFew},
		{"adjust, all of the outcome", adj(good, 1, 0.5), nil},
		{"bound, k 0", bound(0.1, 0.1, 0, 1), stats.ErrDomain},
		{"bound, NaN", bound(nan, 0.1, 1, 1), stats.ErrNonFinite},
		{"bound, R2 1", bound(0.1, 1, 1, 1), stats.ErrDomain},
		{"bound, R2 0", bound(0, 0, 1, 1), nil},
		{"extreme, no share", ext(good), nil},
		{"extreme, share 2", ext(good, 2), stats.ErrDomain},
		{"extreme, NaN", ext(good, nan), stats.ErrNonFinite},
		{"extreme, bad estimate", ext(Estimate{}, 1), stats.ErrDomain},
		{"regress, empty", reg(nil, nil, nil), stats.ErrEmpty},
		{"regress, lengths", reg(ys, ds[:4], nil), stats.ErrLengths},
		{"regress, covariate lengths", reg(ys, ds, col(1, 2)), stats.ErrLengths},
		{"regress, NaN", reg(ys, []float64{1, nan, 3, 4, 5}, nil), stats.ErrNonFinite},
		{"regress, infinite covariate", reg(ys, ds, col(1, 2, inf, 4, 4)), stats.ErrNonFinite},
		{"regress, two rows", reg([]float64{1, 2}, []float64{1, 3}, nil), stats.ErrTooFew},
		{"regress, one row", reg([]float64{1}, []float64{1}, nil), stats.ErrNoVariation},
		{"regress, constant outcome", reg([]float64{2, 2, 2, 2, 2}, ds, nil), stats.ErrNoVariation},
		{"regress, constant treatment", reg(ys, []float64{2, 2, 2, 2, 2}, nil), stats.ErrSingular},
		{"regress, constant covariate", reg(ys, ds, col(0.1, 0.1, 0.1, 0.1, 0.1)), stats.ErrSingular},
		{"regress, covariate is treatment", reg(ys, ds, col(2, 4, 6, 8, 12)), stats.ErrSingular},
		{"regress, exact fit", reg([]float64{3, 5, 7, 9, 13}, ds, nil), stats.ErrNoVariation},
		{"regress, empty matrix", reg(ys, ds, &mat.Dense{}), nil},
		{"benchmark, none", bench(), stats.ErrDomain},
		{"benchmark, unknown", bench(1), stats.ErrDomain},
		{"benchmark, negative", bench(-1), stats.ErrDomain},
		{"benchmark, twice", bench(0, 0), stats.ErrDomain},
		{"benchmark", bench(0), nil},
		{"specifications, none", spec(0.95), stats.ErrEmpty},
		{"specifications, one", spec(0.95, Specification{Name: "a", SE: 1, DF: 1}), nil},
		{"specifications, SE 0", spec(0.95, Specification{Name: "a", DF: 1}), stats.ErrDomain},
		{"specifications, df NaN", spec(0.95, Specification{Name: "a", SE: 1, DF: nan}), stats.ErrDomain},
		{"specifications, NaN", spec(0.95, Specification{Name: "a", Value: nan, SE: 1, DF: 3}), stats.ErrNonFinite},
		{"specifications, level", spec(1, Specification{Name: "a", SE: 1, DF: 3}), stats.ErrDomain},
		{"specifications, twice", spec(0.9, Specification{Name: "a", SE: 1, DF: 3}, Specification{Name: "a", SE: 1, DF: 3}), stats.ErrDomain},
		{"specifications, two declared", spec(0.9, Specification{Name: "a", SE: 1, DF: 3, Declared: true}, Specification{Name: "b", SE: 1, DF: 3, Declared: true}), stats.ErrDomain},
		{"leave one out, none", loo(1), stats.ErrEmpty},
		{"leave one out, NaN", loo(nan, 1), stats.ErrNonFinite},
		{"leave one out, overflow", loo(1.7e308, -1.7e308), stats.ErrDomain},
	} {
		if c.want == nil && c.got != nil || !errors.Is(c.got, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, c.got, c.want)
		}
	}
	if _, err := (*Regression)(nil).Benchmark(0); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("nil regression: %v", err)
	}
}

// Whatever the three numbers, the answer is an error or lies in [0, 1].
func FuzzRobustnessValue(f *testing.F) {
	f.Add(4.0, 1.0, 30.0, 1.0, 0.05)
	f.Add(1e100, 1e-40, 1.5, 1e-3, 1e-12)
	f.Add(-1e-300, 1e300, 1e9, 1e300, 1.0)
	f.Fuzz(func(t *testing.T, v, se, df, q, alpha float64) {
		r, err := RobustnessValue(Estimate{v, se, df}, q, alpha)
		if err != nil {
			return
		}
		if !(r.Value >= 0 && r.Value <= 1 && r.Extreme >= 0 && r.Extreme <= 1) {
			t.Errorf("%+v", r)
		}
	})
}
