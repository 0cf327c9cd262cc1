package pool

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

var everyMethod = []Method{REML, Fixed, DerSimonianLaird, PauleMandel, ML, HunterSchmidt, SidikJonkman}

func TestEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	y, v := []float64{1, 2, 3, 5}, []float64{1, 1, 1, 1}
	pool := func(y, v []float64, o Options) error { _, err := Pool(y, v, o); return err }
	loo := func(y, v []float64, o Options) error { _, err := LeaveOneOut(y, v, o); return err }
	egger := func(y, v []float64) error { _, err := Egger(y, v); return err }
	col := func(x ...float64) *mat.Dense { return mat.NewDense(len(x), 1, x) }
	for _, c := range []struct {
		name string
		got  error
		want error
	}{
		{"empty", pool(nil, nil, Options{}), stats.ErrEmpty},
		{"lengths", pool(y, v[:3], Options{}), stats.ErrLengths},
		{"NaN effect", pool([]float64{nan, 1, 2, 3}, v, Options{}), stats.ErrNonFinite},
		{"infinite variance", pool(y, []float64{1, inf, 1, 1}, Options{}), stats.ErrNonFinite},
		{"variance 0", pool(y, []float64{1, 0, 1, 1}, Options{}), stats.ErrDomain},
		{"variance below 0", pool(y, []float64{1, -1, 1, 1}, Options{}), stats.ErrDomain},
		{"variances out of proportion", pool(y, []float64{1, 1e-60, 1, 1}, Options{}), stats.ErrDomain},
		{"effect out of proportion", pool([]float64{1e200, 1, 2, 3}, v, Options{}), stats.ErrDomain},
		{"one trial, random", pool(y[:1], v[:1], Options{}), stats.ErrTooFew},
		{"one trial, fixed", pool(y[:1], v[:1], Options{Method: Fixed}), nil},
		{"two trials", pool(y[:2], v[:2], Options{}), nil},
		{"unknown method", pool(y, v, Options{Method: 99}), stats.ErrDomain},
		{"level", pool(y, v, Options{Level: 1}), stats.ErrDomain},
		{"level NaN", pool(y, v, Options{Level: nan}), stats.ErrDomain},
		{"moderator lengths", pool(y, v, Options{Moderators: col(1, 2)}), stats.ErrLengths},
		{"moderator names", pool(y, v, Options{Moderators: col(1, 2, 3, 4), Names: []string{"a", "b"}}), stats.ErrLengths},
		{"names without moderators", pool(y, v, Options{Names: []string{"a"}}), stats.ErrLengths},
		{"moderator NaN", pool(y, v, Options{Moderators: col(1, 2, nan, 4)}), stats.ErrNonFinite},
		{"moderator constant", pool(y, v, Options{Moderators: col(7, 7, 7, 7)}), stats.ErrSingular},
		{"moderators dependent", pool(y, v, Options{Moderators: mat.NewDense(4, 2, []float64{1, 2, 2, 4, 3, 6, 4, 8})}), stats.ErrSingular},
		{"moderators too many", pool(y[:2], v[:2], Options{Moderators: mat.NewDense(2, 2, []float64{1, 2, 2, 5})}), stats.ErrTooFew},
		{"no degrees of freedom", pool(y[:2], v[:2], Options{Moderators: col(1, 2)}), stats.ErrTooFew},
		{"empty matrix", pool(y, v, Options{Moderators: &mat.Dense{}}), nil},
		{"leave one out", loo(y, v, Options{}), nil},
		{"leave one out of one", loo(y[:1], v[:1], Options{Method: Fixed}), stats.ErrTooFew},
		{"leave one out of two", loo(y[:2], v[:2], Options{}), stats.ErrTooFew},
		{"leave one out, moderator only in one", loo(y, v, Options{Moderators: col(0, 0, 0, 1)}), stats.ErrSingular},
		{"Egger, empty", egger(nil, nil), stats.ErrEmpty},
		{"Egger, two", egger(y[:2], v[:2]), stats.ErrTooFew},
		{"Egger, equal variances", egger(y, v), stats.ErrSingular},
		{"Egger, variance 0", egger(y, []float64{1, 0, 2, 3}), stats.ErrDomain},
		{"Egger, exact", egger([]float64{1, 2, 3}, []float64{1, 4, 9}), stats.ErrNoVariation},
	} {
		if c.want == nil && c.got != nil || !errors.Is(c.got, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, c.got, c.want)
		}
	}
	var none *Result
	if _, err := none.At(nil); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("nil result: %v", err)
	}
	if none.Shrink() != nil {
		t.Error("nil result shrinks")
	}
	if _, _, err := none.Heterogeneity(1); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("nil result: %v", err)
	}
}

func hasWarning(r *Result, id string) bool {
	return slices.ContainsFunc(r.Warnings, func(w stats.Warning) bool { return w.ID == id })
}

func TestIdenticalTrials(t *testing.T) {
	t.Parallel()
	for _, m := range everyMethod {
		for _, effect := range []float64{0, 0.1, -3e7} {
			r, err := Pool([]float64{effect, effect, effect}, []float64{0.3, 0.3, 0.3}, Options{Method: m})
			if err != nil {
				t.Fatalf("%v: %v", m, err)
			}
			reftest.WithinAbs(t, "estimate", r.Coefficients[0].Estimate, effect, 1e-15, 0, "all effects equal")
			reftest.Within(t, "SE", r.Coefficients[0].SE, math.Sqrt(0.1), 1e-14, "all variances equal")
			if r.Tau2 != 0 || r.KnappHartung != nil || !hasWarning(r, "no-spread") {
				t.Errorf("%v: tau2 %v, Knapp-Hartung %v, warnings %v", m, r.Tau2, r.KnappHartung, r.Warnings)
			}
			if m != Fixed && !hasWarning(r, "boundary") {
				t.Errorf("%v: the boundary is not reported", m)
			}
		}
	}
}

func TestTwoTrials(t *testing.T) {
	t.Parallel()
	r, err := Pool([]float64{0, 2}, []float64{0.5, 0.5}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	// Equal variances: τ² is the sample variance 2 less 0.5, by every method
	// with k − 1 in it.
	reftest.Within(t, "tau2", r.Tau2, 1.5, 1e-12, "worked by hand")
	if r.Prediction != nil || !hasWarning(r, "no-prediction") || !hasWarning(r, "few-trials") {
		t.Errorf("two trials predict: %v, warnings %v", r.Prediction, r.Warnings)
	}
}

func TestEquivariance(t *testing.T) {
	t.Parallel()
	b := readBCG(t)
	k := len(b.Data.Yi)
	perm := rand.New(rand.NewPCG(5, 5)).Perm(k)
	const a, c = -2.5, 40.0
	y, v, x := make([]float64, k), make([]float64, k), mat.NewDense(k, 1, nil)
	for i, j := range perm {
		y[i], v[i] = c+a*b.Data.Yi[j], a*a*b.Data.Vi[j]
		x.Set(i, 0, 1900-3*b.Data.Ablat[j])
	}
	keepY, keepV, keepX := slices.Clone(y), slices.Clone(v), mat.DenseCopyOf(x)
	const rel, src = 1e-9, "equivariance"
	for _, m := range everyMethod {
		for _, mod := range []bool{false, true} {
			o, o2 := Options{Method: m}, Options{Method: m}
			if mod {
				o.Moderators, o2.Moderators = mat.NewDense(k, 1, b.Data.Ablat), x
			}
			r, err := Pool(b.Data.Yi, b.Data.Vi, o)
			if err != nil {
				t.Fatal(err)
			}
			s, err := Pool(y, v, o2)
			if err != nil {
				t.Fatal(err)
			}
			at := fmt.Sprint(m, " ", mod, " ")
			reftest.WithinAbs(t, at+"tau2", s.Tau2, a*a*r.Tau2, 1e-7, 0, src) // a flat maximum
			reftest.Within(t, at+"Q", s.Q, r.Q, rel, src)
			reftest.Within(t, at+"I2", s.I2, r.I2, 1e-7, src)
			if mod {
				reftest.Within(t, at+"slope", s.Coefficients[1].Estimate, a/-3*r.Coefficients[1].Estimate, 1e-7, src)
				reftest.Within(t, at+"slope SE", s.Coefficients[1].SE, a/-3*r.Coefficients[1].SE, 1e-7, src)
			} else {
				reftest.Within(t, at+"estimate", s.Coefficients[0].Estimate, c+a*r.Coefficients[0].Estimate, 1e-8, src)
				reftest.Within(t, at+"SE", s.Coefficients[0].SE, -a*r.Coefficients[0].SE, 1e-8, src)
			}
			total := 0.0
			for i, w := range s.Weights {
				total += w
				reftest.Within(t, at+"weight", w, r.Weights[perm[i]], 1e-7, src)
			}
			reftest.Within(t, at+"weights", total, 1, 1e-14, "shares")
		}
	}
	if !slices.Equal(y, keepY) || !slices.Equal(v, keepV) || !mat.Equal(x, keepX) {
		t.Error("inputs altered")
	}
}

// A constant moderator effect predicted at a value equals the pooled effect of
// the model re-centred there.
func TestAt(t *testing.T) {
	t.Parallel()
	b := readBCG(t)
	x, shifted := mat.NewDense(13, 1, slices.Clone(b.Data.Ablat)), mat.NewDense(13, 1, nil)
	for i := range 13 {
		shifted.Set(i, 0, b.Data.Ablat[i]-20)
	}
	r, err := Pool(b.Data.Yi, b.Data.Vi, Options{Moderators: x})
	if err != nil {
		t.Fatal(err)
	}
	s, err := Pool(b.Data.Yi, b.Data.Vi, Options{Moderators: shifted})
	if err != nil {
		t.Fatal(err)
	}
	p, err := r.At([]float64{20})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "mean at 20", p.Mean, s.Coefficients[0].Estimate, 1e-9, "recentred intercept")
	reftest.Within(t, "SE at 20", p.SE, s.Coefficients[0].SE, 1e-9, "recentred intercept")
	if _, err := r.At(nil); !errors.Is(err, stats.ErrLengths) {
		t.Errorf("no moderator: %v", err)
	}
	if _, err := r.At([]float64{math.NaN()}); !errors.Is(err, stats.ErrNonFinite) {
		t.Errorf("NaN: %v", err)
	}
}

// Whatever the numbers, the answer is an error or finite.
func FuzzPool(f *testing.F) {
	f.Add(1.0, 2.0, 3.0, 0.1, 0.2, 0.3, 0)
	f.Add(1e100, -1e-100, 0.0, 1e-80, 1e80, 1.0, 3)
	f.Add(5.0, 5.0, 5.0, 1e-12, 1.0, 1e12, 6)
	f.Fuzz(func(t *testing.T, y1, y2, y3, v1, v2, v3 float64, m int) {
		r, err := Pool([]float64{y1, y2, y3}, []float64{v1, v2, v3}, Options{Method: Method(m)})
		if err != nil {
			return
		}
		if r.Tau2 < 0 || r.I2 < 0 || r.I2 > 1 || r.QP < 0 || r.QP > 1 || math.IsNaN(r.Coefficients[0].Estimate) {
			t.Errorf("%+v", r)
		}
	})
}
