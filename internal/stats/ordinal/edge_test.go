package ordinal

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

func TestEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	y, x := []int{1, 2, 3, 2, 1, 3}, column(1, 3, 2, 4, 2, 5)
	g := []int{1, 1, 1, 2, 2, 2}
	fit := func(d Data, o Options) error { _, err := Fit(d, o); return err }
	mixed := func(d Data, g []int, q int) error { _, err := FitMixed(d, g, q, Options{}); return err }
	good, err := Fit(Data{Y: y, X: x}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	null, err := Fit(Data{Y: y}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	probit, err := Fit(Data{Y: y}, Options{Link: Probit})
	if err != nil {
		t.Fatal(err)
	}
	other, err := Fit(Data{Y: []int{1, 2, 3, 2, 1, 1}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	lr := func(a, b *Result) error { _, err := LikelihoodRatio(a, b); return err }
	predict := func(r *Result, p Point, s []float64) error { _, err := r.Predict(p, s); return err }
	profile := func(r *Result, name string, level float64) error { _, err := r.Profile(name, level); return err }
	terms := func(c ...int) error {
		_, err := NominalTests(Data{Y: y, X: x}, Options{}, []Term{{"a", c}})
		return err
	}
	for _, c := range []struct {
		name string
		got  error
		want error
	}{
		{"empty", fit(Data{}, Options{}), stats.ErrEmpty},
		{"one row", fit(Data{Y: []int{1}}, Options{}), stats.ErrNoVariation},
		{"one category", fit(Data{Y: []int{4, 4, 4}}, Options{}), stats.ErrNoVariation},
		{"two rows", fit(Data{Y: []int{1, 2}}, Options{}), nil},
		{"off the scale", fit(Data{Y: y, Scale: []int{1, 2}}, Options{}), stats.ErrDomain},
		{"matrix lengths", fit(Data{Y: y[:5], X: x}, Options{}), stats.ErrLengths},
		{"names", fit(Data{Y: y, X: x, Names: []string{"a", "b"}}, Options{}), stats.ErrLengths},
		{"names without columns", fit(Data{Y: y, Names: []string{"a"}}, Options{}), stats.ErrLengths},
		{"NaN", fit(Data{Y: y, X: column(1, 2, nan, 4, 5, 6)}, Options{}), stats.ErrNonFinite},
		{"infinite", fit(Data{Y: y, X: column(1, 2, inf, 4, 5, 6)}, Options{}), stats.ErrNonFinite},
		{"weights lengths", fit(Data{Y: y, Weights: []float64{1}}, Options{}), stats.ErrLengths},
		{"weight below 0", fit(Data{Y: y, Weights: []float64{1, 1, -1, 1, 1, 1}}, Options{}), stats.ErrDomain},
		{"weight NaN", fit(Data{Y: y, Weights: []float64{1, 1, nan, 1, 1, 1}}, Options{}), stats.ErrNonFinite},
		{"all weights 0", fit(Data{Y: y, Weights: make([]float64, 6)}, Options{}), stats.ErrEmpty},
		{"weight 0 hides a NaN", fit(Data{Y: y, X: column(nan, 2, 3, 4, 5, 6), Weights: []float64{0, 1, 1, 1, 1, 1}}, Options{}), stats.ErrNonFinite},
		{"link", fit(Data{Y: y}, Options{Link: 9}), stats.ErrDomain},
		{"thresholds", fit(Data{Y: y}, Options{Thresholds: -1}), stats.ErrDomain},
		{"nominal with equidistant", fit(Data{Y: y, Nominal: x}, Options{Thresholds: Equidistant}), stats.ErrDomain},
		{"empty matrix", fit(Data{Y: y, X: &mat.Dense{}}, Options{}), nil},
		{"constant column", fit(Data{Y: y, X: column(2, 2, 2, 2, 2, 2)}, Options{}), nil},
		{"equidistant, two categories", fit(Data{Y: []int{1, 2, 1, 2}}, Options{Thresholds: Equidistant}), nil},
		{"symmetric, two categories", fit(Data{Y: []int{1, 2, 1, 2}}, Options{Thresholds: Symmetric}), nil},
		{"symmetric, three categories", fit(Data{Y: y}, Options{Thresholds: Symmetric}), nil},
		{"group lengths", mixed(Data{Y: y}, g[:5], 1), stats.ErrLengths},
		{"one group", mixed(Data{Y: y}, []int{1, 1, 1, 1, 1, 1}, 1), stats.ErrTooFew},
		{"points 0", mixed(Data{Y: y}, g, 0), stats.ErrDomain},
		{"points 101", mixed(Data{Y: y}, g, MaxPoints+1), stats.ErrDomain},
		{"mixed with spread", mixed(Data{Y: y, Spread: x}, g, 1), stats.ErrDomain},
		{"mixed, empty", mixed(Data{}, nil, 1), stats.ErrEmpty},
		{"mixed, a group a row", mixed(Data{Y: y}, []int{1, 2, 3, 4, 5, 6}, 5), nil},
		{"compare nil", lr(nil, good), stats.ErrDomain},
		{"compare zero value", lr(&Result{}, good), stats.ErrDomain},
		{"compare links", lr(probit, good), stats.ErrDomain},
		{"compare rows", lr(other, good), stats.ErrDomain},
		{"compare reversed", lr(good, null), stats.ErrDomain},
		{"compare", lr(null, good), nil},
		{"predict nil", predict(nil, Point{}, nil), stats.ErrDomain},
		{"predict without the column", predict(good, Point{}, nil), stats.ErrLengths},
		{"predict NaN", predict(good, Point{X: []float64{nan}}, nil), stats.ErrNonFinite},
		{"predict scores", predict(good, Point{X: []float64{1}}, []float64{1}), stats.ErrLengths},
		{"predict infinite score", predict(good, Point{X: []float64{1}}, []float64{1, 2, inf}), stats.ErrNonFinite},
		{"predict far out", predict(good, Point{X: []float64{1e300}}, nil), nil},
		{"profile unknown", profile(good, "x9", 0.95), stats.ErrDomain},
		{"profile level", profile(good, "x1", 1), stats.ErrDomain},
		{"profile nil", profile(nil, "x1", 0.9), stats.ErrDomain},
		{"profile", profile(good, "x1", 0.9), nil},
		{"terms none", terms(), stats.ErrDomain},
		{"terms unknown", terms(1), stats.ErrDomain},
		{"terms negative", terms(-1), stats.ErrDomain},
	} {
		if c.want == nil && c.got != nil || !errors.Is(c.got, c.want) {
			t.Errorf("%s: error %v, want %v", c.name, c.got, c.want)
		}
	}
}

func TestEmptyAndAliased(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	d := w.data("rating ~ temp + contact")
	base, err := Fit(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(base.Warnings) != 0 {
		t.Errorf("warnings without a reason: %v", base.Warnings)
	}
	// An unused code, and codes with a gap, change nothing but the warning.
	gap := d
	gap.Y = make([]int, len(d.Y))
	for i, y := range d.Y {
		gap.Y[i] = 10 * y
	}
	gap.Scale = []int{50, 0, 10, 20, 30, 40, 60, 60}
	r, err := Fit(gap, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(r.Empty, []int{0, 60}) || !hasWarning(r, "empty-category") {
		t.Errorf("empty %v, warnings %v", r.Empty, r.Warnings)
	}
	// Columns that repeat others or the thresholds are left out and named.
	n := len(d.Y)
	wide := mat.NewDense(n, 4, nil)
	for i := range n {
		wide.SetRow(i, []float64{7.3, d.X.At(i, 0), d.X.At(i, 1), 1 - d.X.At(i, 0) + 2*d.X.At(i, 1)})
	}
	a, err := Fit(Data{Y: d.Y, X: wide, Names: []string{"one", "warm", "contact", "mix"}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(a.Aliased, []string{"one", "mix"}) || !hasWarning(a, "aliased") {
		t.Errorf("aliased %v", a.Aliased)
	}
	for j, c := range base.Coefficients {
		reftest.Within(t, "gap", r.Coefficients[j].Estimate, c.Estimate, 1e-12, "the same data relabelled")
		reftest.Within(t, "aliased", a.Coefficients[j].Estimate, c.Estimate, 1e-10, "the same columns without the copies")
	}
	p, err := a.Predict(Point{X: []float64{7.3, 1, 0, 0}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	q, err := base.Predict(Point{X: []float64{1, 0}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "mean", p.Mean, q.Mean, 1e-10, "the same columns without the copies")
	reftest.Within(t, "SE of the mean", p.SE, q.SE, 1e-9, "the same columns without the copies")
}

// Permuted rows, another unit and zero of a column, and a reversed scale.
func TestEquivariance(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	d := w.data("rating ~ temp + contact")
	n := len(d.Y)
	perm := rand.New(rand.NewPCG(9, 9)).Perm(n)
	const a, b = 1e-3, 5e4
	moved := Data{Y: make([]int, n), X: mat.NewDense(n, 2, nil), Names: d.Names}
	flipped := Data{Y: make([]int, n), X: d.X, Names: d.Names}
	judges, keepJudges := make([]int, n), slices.Clone(w.Data.Judge)
	for i, k := range perm {
		moved.Y[i] = d.Y[k]
		moved.X.SetRow(i, []float64{b + a*d.X.At(k, 0), d.X.At(k, 1)})
		judges[i] = 100 - w.Data.Judge[k]
		flipped.Y[k] = -d.Y[k]
	}
	keepY, keepX := slices.Clone(moved.Y), mat.DenseCopyOf(moved.X)
	const src = "equivariance"
	for _, thresholds := range []Thresholds{Flexible, Equidistant, Symmetric} {
		for _, link := range []Link{Logit, Probit, CLogLog} {
			o := Options{Link: link, Thresholds: thresholds}
			r, err := Fit(d, o)
			if err != nil {
				t.Fatal(err)
			}
			s, err := Fit(moved, o)
			if err != nil {
				t.Fatal(err)
			}
			k := len(r.Coefficients)
			reftest.Within(t, "log likelihood", s.LogLik, r.LogLik, 1e-12, src)
			// An offset of 5e4 against a step of 1e-3 leaves nine digits.
			reftest.Within(t, "moved column", s.Coefficients[k-2].Estimate*a, r.Coefficients[k-2].Estimate, 1e-6, src)
			reftest.Within(t, "moved column SE", s.Coefficients[k-2].SE*a, r.Coefficients[k-2].SE, 1e-6, src)
			reftest.Within(t, "other column", s.Coefficients[k-1].Estimate, r.Coefficients[k-1].Estimate, 1e-6, src)
			if link == CLogLog {
				continue // its tails differ, so a reversed scale is another model
			}
			f, err := Fit(flipped, o)
			if err != nil {
				t.Fatal(err)
			}
			reftest.Within(t, "reversed scale", f.Coefficients[k-1].Estimate, -r.Coefficients[k-1].Estimate, 1e-9, src)
			reftest.Within(t, "reversed scale SE", f.Coefficients[k-1].SE, r.Coefficients[k-1].SE, 1e-9, src)
		}
	}
	r, err := FitMixed(d, w.Data.Judge, 5, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := FitMixed(moved, judges, 5, Options{})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "mixed SD", s.Random.SD, r.Random.SD, 1e-7, src)
	reftest.Within(t, "mixed other column", s.Coefficients[5].Estimate, r.Coefficients[5].Estimate, 1e-6, src)
	for i, g := range s.Random.Groups {
		j := slices.Index(r.Random.Groups, 100-g)
		reftest.WithinAbs(t, "mode", s.Random.Mode[i], r.Random.Mode[j], 1e-6, 1e-7, src)
	}
	if !slices.Equal(moved.Y, keepY) || !mat.Equal(moved.X, keepX) || !slices.Equal(w.Data.Judge, keepJudges) {
		t.Error("inputs altered")
	}
}

// A weight of two is a row given twice, and a weight of 0 is no row.
func TestWeightsAreCopies(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	d := w.data("rating ~ temp + contact")
	var twice Data
	var rows []float64
	d.Weights = make([]float64, len(d.Y))
	for i, y := range d.Y {
		d.Weights[i] = float64(i % 3)
		for range i % 3 {
			twice.Y = append(twice.Y, y)
			rows = append(rows, d.X.At(i, 0), d.X.At(i, 1))
		}
	}
	twice.X = mat.NewDense(len(twice.Y), 2, rows)
	a, err := Fit(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := Fit(twice, Options{})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "BIC", a.BIC, b.BIC, 1e-12, "rows repeated")
	for j := range a.Coefficients {
		reftest.Within(t, "estimate", a.Coefficients[j].Estimate, b.Coefficients[j].Estimate, 1e-9, "rows repeated")
		reftest.Within(t, "SE", a.Coefficients[j].SE, b.Coefficients[j].SE, 1e-9, "rows repeated")
	}
}

// The standard error of a predicted mean against differences of the mean, and
// the population average against many draws of the random effect on a grid.
func TestPredict(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	d := w.data("rating ~ temp + contact")
	at := Point{X: []float64{1, 0}}
	for _, spread := range []bool{false, true} {
		dd := d
		if spread {
			dd.Spread = column(w.Data.Warm...)
			at.Spread = []float64{1}
		}
		r, err := Fit(dd, Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := r.Predict(at, nil)
		if err != nil {
			t.Fatal(err)
		}
		total, k := 0.0, len(r.psi)
		for _, q := range p.Probabilities {
			total += q
		}
		reftest.Within(t, "sum of probabilities", total, 1, 1e-12, "definition")
		grad := mat.NewVecDense(k, nil)
		for j := range k {
			const h = 1e-6
			copyOf := *r
			var m [2]float64
			for s, step := range []float64{h, -h} {
				copyOf.psi = slices.Clone(r.psi)
				copyOf.psi[j] += step
				q, err := copyOf.Predict(at, nil)
				if err != nil {
					t.Fatal(err)
				}
				m[s] = q.Mean
			}
			grad.SetVec(j, (m[0]-m[1])/(2*h))
		}
		reftest.Within(t, "SE of the mean", p.SE, math.Sqrt(mat.Inner(grad, r.cov, grad)), 1e-6, byDifferences)
	}
	m, err := FitMixed(d, w.Data.Judge, 10, Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := m.Predict(Point{X: []float64{1, 0}, Average: true}, nil)
	if err != nil {
		t.Fatal(err)
	}
	// P(Y = 5) averaged by the trapezoidal rule, which is exact to rounding for
	// a smooth integrand that fades at both ends.
	want := 0.0
	theta, beta := m.Coefficients[3].Estimate, m.Coefficients[4].Estimate
	for i := -4000; i <= 4000; i++ {
		u := float64(i) / 400
		want += Logit.cdf(-(theta - beta - m.Random.SD*u)) * math.Exp(-u*u/2) / math.Sqrt(2*math.Pi) / 400
	}
	reftest.Within(t, "population average", p.Probabilities[4], want, 1e-9, "trapezoidal rule")
}

// At each end of a profile interval the likelihood-ratio statistic is the
// quantile, and an infinite estimate leaves its side open.
func TestProfile(t *testing.T) {
	t.Parallel()
	r, err := Fit(Data{Y: []int{1, 2, 3, 1, 2, 3, 3, 3, 3}, X: column(0, 0, 0, 0, 0, 0, 1, 1, 1)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	iv, err := r.Profile("x1", 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !iv.HighOpen || iv.LowOpen || iv.Low < -1 || iv.Low > 3 {
		t.Errorf("profile of an infinite effect: %+v", iv)
	}
	w := readWine(t)
	null, err := Fit(w.data("rating ~ temp"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	full, err := Fit(w.data("rating ~ temp + contact"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	lr, err := LikelihoodRatio(null, full)
	if err != nil {
		t.Fatal(err)
	}
	// At the level of the likelihood-ratio test's own p, the interval ends at 0.
	iv, err = full.Profile("contactyes", 1-lr.P)
	if err != nil {
		t.Fatal(err)
	}
	reftest.WithinAbs(t, "end of the interval", iv.Low, 0, 0, 1e-7, "duality of test and interval")
}

// Whatever the table of counts, a fit ends in an error or in finite numbers.
func FuzzFit(f *testing.F) {
	f.Add([]byte{1, 2, 3, 1, 2, 3}, []byte{0, 0, 0, 1, 1, 1}, 1.0, 0.0, uint8(0))
	f.Add([]byte{1, 1, 1, 2, 2, 2}, []byte{1, 2, 3, 4, 5, 6}, 1e6, 1e9, uint8(4))
	f.Add([]byte{3, 1, 4, 1, 5, 9, 2, 6}, []byte{2, 7, 1, 8, 2, 8, 1, 8}, -1e-9, 3.0, uint8(8))
	f.Fuzz(func(t *testing.T, ys, xs []byte, scale, offset float64, kind uint8) {
		n := min(len(ys), len(xs), 40)
		if n == 0 {
			return
		}
		d := Data{X: mat.NewDense(n, 1, nil)}
		var groups []int
		for i := range n {
			d.Y = append(d.Y, int(ys[i]%7))
			d.X.Set(i, 0, offset+scale*float64(xs[i]%11))
			groups = append(groups, int(xs[i]/64))
		}
		o := Options{Link: Link(kind % 3), Thresholds: Thresholds(kind / 3 % 3)}
		r, err := Fit(d, o)
		if err == nil {
			checkClean(t, "fit", r)
			if r.LogLik > 1e-9 {
				t.Errorf("log likelihood %v above 0", r.LogLik)
			}
		}
		if kind >= 128 {
			if r, err := FitMixed(d, groups, 1+int(kind%5), o); err == nil {
				checkClean(t, "mixed", r)
			}
		}
	})
}
