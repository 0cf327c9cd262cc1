package mixed

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

// small is a layout of 6 groups × 4 rows with a covariate and some noise.
func small() Data {
	rng := rand.New(rand.NewPCG(1, 2))
	const groups, each = 6, 4
	d := Data{X: mat.NewDense(groups*each, 2, nil), Names: []string{"one", "x"}}
	g := Grouping{Name: "g", Levels: []string{"a", "b", "c", "d", "e", "f"}}
	for l := range groups {
		b := 2 * rng.NormFloat64()
		for range each {
			i := len(d.Y)
			x := rng.NormFloat64()
			d.X.SetRow(i, []float64{1, x})
			d.Y = append(d.Y, 10+b+0.5*x+rng.NormFloat64())
			g.Codes = append(g.Codes, l)
		}
	}
	d.Groups = []Grouping{g}
	return d
}

func TestFitErrors(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name   string
		change func(*Data)
		want   error
		reason string
		group  string
	}{
		{"no rows", func(d *Data) { d.Y = nil }, stats.ErrEmpty, "", ""},
		{"no columns", func(d *Data) { d.X = nil }, stats.ErrEmpty, "", ""},
		{"empty matrix", func(d *Data) { d.X = &mat.Dense{} }, stats.ErrEmpty, "", ""},
		{"short y", func(d *Data) { d.Y = d.Y[:23] }, stats.ErrLengths, "", ""},
		{"short names", func(d *Data) { d.Names = []string{"one"} }, stats.ErrLengths, "", ""},
		{"short codes", func(d *Data) { d.Groups[0].Codes = d.Groups[0].Codes[1:] }, stats.ErrLengths, "", ""},
		{"short weights", func(d *Data) { d.Weights = []float64{1} }, stats.ErrLengths, "", ""},
		{"NaN in y", func(d *Data) { d.Y[3] = math.NaN() }, stats.ErrNonFinite, "", ""},
		{"infinite x", func(d *Data) { d.X.Set(2, 1, math.Inf(1)) }, stats.ErrNonFinite, "", ""},
		{"NaN weight", func(d *Data) { d.Weights = append(slices.Repeat([]float64{1}, 23), math.NaN()) }, stats.ErrNonFinite, "", ""},
		{"weight of 0", func(d *Data) { d.Weights = append(slices.Repeat([]float64{1}, 23), 0) }, stats.ErrDomain, "", ""},
		{"code below 0", func(d *Data) { d.Groups[0].Codes[0] = -1 }, stats.ErrDomain, "", ""},
		{"code too large", func(d *Data) { d.Groups[0].Codes[0] = 6 }, stats.ErrDomain, "", ""},
		{"two of a name", func(d *Data) { d.Groups = append(d.Groups, d.Groups[0]) }, stats.ErrDomain, "", ""},
		{"one row", func(d *Data) { *d = Data{Y: []float64{1}, X: ones(1)} }, stats.ErrTooFew, "", ""},
		{"as many columns as rows", func(d *Data) { *d = Data{Y: []float64{1, 3}, X: mat.NewDense(2, 2, []float64{1, 0, 1, 1})} }, stats.ErrTooFew, "", ""},
		{"constant y", func(d *Data) { d.Y = slices.Repeat([]float64{7}, 24) }, stats.ErrNoVariation, "", ""},
		{"columns of 0", func(d *Data) { d.X = mat.NewDense(24, 1, nil); d.Names = nil }, stats.ErrNoVariation, "", ""},
		{"y is a fixed column", func(d *Data) {
			for i := range d.Y {
				d.Y[i] = 3 + 2*d.X.At(i, 1)
			}
		}, stats.ErrNoVariation, "", ""},
		{"y is a function of the grouping", func(d *Data) {
			for i := range d.Y {
				d.Y[i] = float64(d.Groups[0].Codes[i] % 4)
			}
		}, stats.ErrNoVariation, NoResidualLeft, "g"},
		{"one level", func(d *Data) { clear(d.Groups[0].Codes) }, stats.ErrSingular, OneLevel, "g"},
		{"one row per level", func(d *Data) {
			d.Groups[0].Levels = make([]string, 24)
			for i := range d.Y {
				d.Groups[0].Codes[i] = i
			}
		}, stats.ErrSingular, OnePerRow, "g"},
		{"twice the same", func(d *Data) {
			o := Grouping{Name: "h", Levels: make([]string, 9)}
			for _, c := range d.Groups[0].Codes {
				o.Codes = append(o.Codes, (c+3)%6+2)
			}
			d.Groups = append(d.Groups, o)
		}, stats.ErrSingular, SameAsOther, "h"},
		{"fixed as well", func(d *Data) {
			d.Names = nil
			d.X = mat.NewDense(24, 6, nil)
			for i, c := range d.Groups[0].Codes {
				d.X.Set(i, c, 1)
			}
		}, stats.ErrSingular, WithinFixed, "g"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			d := small()
			tc.change(&d)
			m, err := Fit(d, Options{})
			if m != nil || !errors.Is(err, tc.want) {
				t.Fatalf("got %v, %v; want %v", m, err, tc.want)
			}
			if ge, ok := AsGroupingError(err); ok != (tc.reason != "") || ok && (ge.Reason != tc.reason || ge.Grouping != tc.group) {
				t.Errorf("got %#v, want reason %q of %q", err, tc.reason, tc.group)
			}
		})
	}
}

// Groupings {1, 2, 3, 4} and {1, 2, 3∪4} differ only by what the column for level
// 4 already explains: their variances act as one.
func TestNotSeparable(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(8, 1))
	const n = 40
	d := Data{X: mat.NewDense(n, 2, nil)}
	a, b := Grouping{Name: "a", Levels: make([]string, 4)}, Grouping{Name: "b", Levels: make([]string, 3)}
	effect := []float64{-2, 0, 3, 1}
	for i := range n {
		l := i % 4
		a.Codes, b.Codes = append(a.Codes, l), append(b.Codes, min(l, 2))
		d.X.Set(i, 0, 1)
		if l == 3 {
			d.X.Set(i, 1, 1)
		}
		d.Y = append(d.Y, effect[l]+rng.NormFloat64())
	}
	d.Groups = []Grouping{a, b}
	both := must(Fit(d, Options{}))
	d.Groups = []Grouping{a}
	one := must(Fit(d, Options{}))
	reftest.Within(t, "sum of variances", both.Components[0].Variance+both.Components[1].Variance, one.Components[0].Variance, 1e-6, "one of them alone")
	reftest.Within(t, "criterion", both.Criterion, one.Criterion, 1e-10, "one of them alone")
	found := false
	for _, w := range both.Warnings {
		found = found || w.ID == "not-separable"
	}
	if !found {
		t.Errorf("no warning: %+v", both)
	}
	for _, w := range one.Warnings {
		t.Errorf("warning without need: %+v", w)
	}
}

func TestAliased(t *testing.T) {
	t.Parallel()
	d := small()
	x := mat.NewDense(24, 4, nil)
	for i := range d.Y {
		v := d.X.At(i, 1)
		x.SetRow(i, []float64{1, v, 3 - 2*v, v * v})
	}
	full := must(Fit(Data{Y: d.Y, X: x, Names: []string{"one", "x", "twin", "square"}, Groups: d.Groups}, Options{}))
	if !slices.Equal(full.Aliased, []string{"twin"}) || full.P != 3 {
		t.Fatalf("aliased %v, P %d", full.Aliased, full.P)
	}
	c := must(full.Coefficients(Satterthwaite))
	if !c[2].Aliased || c[2].Estimate != 0 {
		t.Errorf("twin: %+v", c[2])
	}
	// x - twin/(-2) … a function of both that no data can tell from nothing.
	if _, err := full.Contrast([]float64{0, 1, 0, 0}, Satterthwaite); !errors.Is(err, stats.ErrSingular) {
		t.Errorf("a slope whose twin is in the model is not estimable: %v", err)
	}
	// twin = 3 - 2x: the function (1, x, 3-2x, x²) at x = 2 is estimable.
	e := must(full.Contrast([]float64{1, 2, -1, 4}, Satterthwaite))
	keep := must(Fit(Data{Y: d.Y, X: mat.DenseCopyOf(pick(x, 0, 1, 3)), Groups: d.Groups}, Options{}))
	w := must(keep.Contrast([]float64{1, 2, 4}, Satterthwaite))
	reftest.Within(t, "estimate", e.Estimate, w.Estimate, 1e-9, "the model without the twin")
	reftest.Within(t, "SE", e.SE, w.SE, 1e-9, "the model without the twin")
	reftest.Within(t, "df", e.DF, w.DF, 1e-7, "the model without the twin")
}

func pick(x *mat.Dense, cols ...int) *mat.Dense {
	n, _ := x.Dims()
	out := mat.NewDense(n, len(cols), nil)
	for i := range n {
		for k, j := range cols {
			out.Set(i, k, x.At(i, j))
		}
	}
	return out
}

func TestContrastErrors(t *testing.T) {
	t.Parallel()
	m := must(Fit(small(), Options{}))
	for _, tc := range []struct {
		name string
		l    []float64
		want error
	}{
		{"empty", nil, stats.ErrLengths},
		{"short", []float64{1}, stats.ErrLengths},
		{"NaN", []float64{1, math.NaN()}, stats.ErrNonFinite},
		{"zero", []float64{0, 0}, stats.ErrNoVariation},
	} {
		if _, err := m.Contrast(tc.l, Satterthwaite); !errors.Is(err, tc.want) {
			t.Errorf("Contrast %s: %v, want %v", tc.name, err, tc.want)
		}
		if _, err := m.Test([][]float64{tc.l}, KenwardRoger); !errors.Is(err, tc.want) {
			t.Errorf("Test %s: %v, want %v", tc.name, err, tc.want)
		}
	}
	if _, err := m.Test(nil, Satterthwaite); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no rows: %v", err)
	}
	if _, err := m.Contrast([]float64{1, 0}, Method(9)); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("unknown method: %v", err)
	}
	// Two rows that say the same are one degree of freedom.
	a := must(m.Test([][]float64{{0, 1}}, Satterthwaite))
	b := must(m.Test([][]float64{{0, 1}, {0, -3}}, Satterthwaite))
	if b.NumDF != 1 {
		t.Errorf("rank %d, want 1", b.NumDF)
	}
	reftest.Within(t, "F", b.F, a.F, 1e-9, "the same hypothesis")
	for _, level := range []float64{0, 1, -1, math.NaN()} {
		if _, err := (Estimate{SE: 1, DF: 5}).Interval(level); !errors.Is(err, stats.ErrDomain) {
			t.Errorf("level %v: %v", level, err)
		}
	}
	if _, err := m.Simulate(1, -1); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("draw -1: %v", err)
	}
	if _, err := Compare(m, nil); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no model: %v", err)
	}
	if _, err := Compare(m, m); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("a model against itself: %v", err)
	}
	if _, err := FitMatrix(nil, nil, nil, nil, Options{}); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("no matrix: %v", err)
	}
	if _, err := FromColumn(must(frame.Numeric("x", []float64{1, 2}))); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("numeric grouping: %v", err)
	}
	if _, err := Interaction(Grouping{Codes: []int{0}, Levels: []string{"a"}}, Grouping{Codes: []int{1}, Levels: []string{"a"}}); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("interaction with a bad code: %v", err)
	}
}

func TestKenwardLimit(t *testing.T) {
	t.Parallel()
	n := MaxKenwardRows + 1
	rng := rand.New(rand.NewPCG(5, 6))
	d := Data{Y: make([]float64, n), X: ones(n), Groups: []Grouping{{Name: "g", Codes: make([]int, n), Levels: make([]string, 10)}}}
	for i := range d.Y {
		d.Y[i], d.Groups[0].Codes[i] = rng.NormFloat64(), i%10
	}
	m := must(Fit(d, Options{}))
	if _, err := m.Contrast([]float64{1}, KenwardRoger); !errors.Is(err, stats.ErrTooLarge) {
		t.Errorf("%d rows: %v", n, err)
	}
}

// Without groupings the model is a linear model: same F, exact df.
func TestNoGrouping(t *testing.T) {
	t.Parallel()
	d := small()
	d.Groups = nil
	m := must(Fit(d, Options{}))
	e := must(m.Contrast([]float64{0, 1}, Satterthwaite))
	reftest.Within(t, "df", e.DF, 22, 1e-9, "n - p")
	k := must(m.Contrast([]float64{0, 1}, KenwardRoger))
	reftest.Within(t, "df", k.DF, 22, 1e-9, "n - p")
	reftest.Within(t, "SE", k.SE, e.SE, 1e-9, "nothing to adjust")
	rss := 0.0
	for _, r := range m.Residuals(false) {
		rss += r * r
	}
	reftest.Within(t, "variance", m.Sigma2, rss/22, 1e-12, "residual mean square")
	reftest.Within(t, "ML variance", must(Fit(d, Options{ML: true})).Sigma2, rss/24, 1e-12, "residual sum of squares over n")
}

// What must not change, or must change along.
func TestEquivariance(t *testing.T) {
	t.Parallel()
	base := must(Fit(small(), Options{}))
	be := must(base.Contrast([]float64{0, 1}, Satterthwaite))
	bk := must(base.Contrast([]float64{0, 1}, KenwardRoger))
	check := func(t *testing.T, d Data, scale, slope float64, l []float64) {
		t.Helper()
		m := must(Fit(d, Options{}))
		reftest.Within(t, "residual", m.Sigma2, base.Sigma2*scale*scale, 1e-9, "equivariance")
		reftest.Within(t, "group", m.Components[0].Variance, base.Components[0].Variance*scale*scale, 1e-9, "equivariance")
		e := must(m.Contrast(l, Satterthwaite))
		reftest.Within(t, "slope", e.Estimate, be.Estimate*scale*slope, 1e-9, "equivariance")
		reftest.Within(t, "SE", e.SE, be.SE*math.Abs(scale*slope), 1e-9, "equivariance")
		reftest.Within(t, "df", e.DF, be.DF, 1e-7, "equivariance; second derivatives")
		k := must(m.Contrast(l, KenwardRoger))
		reftest.Within(t, "KR SE", k.SE, bk.SE*math.Abs(scale*slope), 1e-9, "equivariance")
		reftest.Within(t, "KR df", k.DF, bk.DF, 1e-7, "equivariance")
	}
	t.Run("scale", func(t *testing.T) {
		t.Parallel()
		for _, s := range []float64{1e-150, 1e-6, 1e6, 1e140, -2} {
			d := small()
			for i := range d.Y {
				d.Y[i] *= s
			}
			check(t, d, s, 1, []float64{0, 1})
		}
	})
	t.Run("shift", func(t *testing.T) {
		t.Parallel()
		d := small()
		for i := range d.Y {
			d.Y[i] += 1 << 20 // a power of two, so that the sums are exact to 1e-10
		}
		check(t, d, 1, 1, []float64{0, 1})
	})
	t.Run("scale of a column", func(t *testing.T) {
		t.Parallel()
		d := small()
		for i := range d.Y {
			d.X.Set(i, 1, d.X.At(i, 1)*1e7)
		}
		check(t, d, 1, 1e-7, []float64{0, 1})
	})
	t.Run("rows, labels and columns in another order", func(t *testing.T) {
		t.Parallel()
		d, o := small(), small()
		perm := rand.New(rand.NewPCG(9, 9)).Perm(24)
		for i, p := range perm {
			o.Y[i] = d.Y[p]
			o.X.SetRow(i, []float64{d.X.At(p, 1), 1})
			o.Groups[0].Codes[i] = 5 - d.Groups[0].Codes[p]
		}
		check(t, o, 1, 1, []float64{1, 0})
	})
	t.Run("weights of 4 are a residual half as wide", func(t *testing.T) {
		t.Parallel()
		d := small()
		d.Weights = slices.Repeat([]float64{4}, 24)
		m := must(Fit(d, Options{}))
		reftest.Within(t, "residual", m.Sigma2, 4*base.Sigma2, 1e-9, "σ²/w is the variance of a row")
		reftest.Within(t, "group", m.Components[0].Variance, base.Components[0].Variance, 1e-9, "the weights do not touch it")
		reftest.Within(t, "log-likelihood", m.LogLik, base.LogLik, 1e-10, "the same model")
	})
	t.Run("many distinct weights", func(t *testing.T) {
		t.Parallel()
		// Nearly equal weights leave the path of equal classes; the answer is
		// continuous.
		rng := rand.New(rand.NewPCG(4, 4))
		d, reps := Data{}, 12
		x := mat.NewDense(24*reps, 2, nil)
		g := Grouping{Name: "g", Levels: make([]string, 6*reps)}
		for r := range reps {
			s := small()
			for i := range s.Y {
				x.SetRow(len(d.Y), s.X.RawRowView(i))
				d.Y = append(d.Y, s.Y[i]+rng.NormFloat64())
				g.Codes = append(g.Codes, s.Groups[0].Codes[i]+6*r)
				d.Weights = append(d.Weights, 1+1e-12*rng.Float64())
			}
		}
		d.X, d.Groups = x, []Grouping{g}
		a := must(Fit(d, Options{}))
		d.Weights = nil
		b := must(Fit(d, Options{}))
		if len(a.sys.size) != 0 || len(b.sys.size) == 0 {
			t.Fatal("the two paths are not both taken")
		}
		reftest.Within(t, "variance", a.Components[0].Variance, b.Components[0].Variance, 1e-9, "continuity")
		reftest.Within(t, "criterion", a.Criterion, b.Criterion, 1e-10, "continuity")
	})
}

func TestInputsUnchanged(t *testing.T) {
	t.Parallel()
	d, c := small(), small()
	d.Weights = slices.Repeat([]float64{2}, 24)
	m := must(Fit(d, Options{}))
	must(m.RandomTests())
	m.Modes()
	if !slices.Equal(d.Y, c.Y) || !mat.Equal(d.X, c.X) || !slices.Equal(d.Groups[0].Codes, c.Groups[0].Codes) || d.Weights[7] != 2 {
		t.Error("an input was changed")
	}
	d.Y[0], d.Groups[0].Codes[0] = 1e9, 3 // and the model keeps no reference
	reftest.Within(t, "fitted plus residual", m.Fitted(true)[0]+m.Residuals(true)[0], c.Y[0], 1e-12, "definition")
}

func TestSimulateIsSeeded(t *testing.T) {
	t.Parallel()
	m := must(Fit(small(), Options{}))
	a, b := must(m.Simulate(7, 3)), must(m.Simulate(7, 3))
	if !slices.Equal(a, b) {
		t.Error("the same seed and draw give different responses")
	}
	if slices.Equal(a, must(m.Simulate(7, 4))) || slices.Equal(a, must(m.Simulate(8, 3))) {
		t.Error("another draw gives the same responses")
	}
	if r := must(m.Refit(a)); r.N != m.N {
		t.Error("refit")
	}
}

// The derivatives in jets agree with central differences of the values.
func TestJetsAgainstDifferences(t *testing.T) {
	t.Parallel()
	f, y, groups := panel(9, 4, 3, 0.2)
	s := Grouping{Name: "sample", Codes: must(f.Column("sample")).Codes(), Levels: must(f.Column("sample")).Levels()}
	m := must(Fit(Data{Y: y, X: ones(len(y)), Groups: append(groups, s)}, Options{}))
	at := []float64{0.9, 0.6, 0.3}
	pt, ok := m.sys.at(at, goal{})
	if !ok {
		t.Fatal("not evaluated")
	}
	const h = 1e-4
	value := func(i, j int, di, dj float64) float64 {
		th := slices.Clone(at)
		th[i] += di
		th[j] += dj
		p, _ := m.sys.at(th, goal{})
		return p.f
	}
	for i := range at {
		d := (value(i, i, h/2, h/2) - value(i, i, -h/2, -h/2)) / (2 * h)
		reftest.WithinAbs(t, "gradient", pt.g[i], d, 1e-6, 1e-6, "central difference, error h²")
		for j := range at {
			d := (value(i, j, h, h) - value(i, j, h, -h) - value(i, j, -h, h) + value(i, j, -h, -h)) / (4 * h * h)
			reftest.WithinAbs(t, "Hessian", pt.h.At(i, j), d, 1e-5, 1e-4, "central difference, error h² and rounding/h²")
		}
	}
}

func FuzzFit(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16}, uint8(3), uint8(2), false)
	f.Add([]byte{0, 0, 0, 0, 255, 255}, uint8(1), uint8(2), true)
	f.Add([]byte{}, uint8(0), uint8(0), false)
	f.Fuzz(func(t *testing.T, raw []byte, a, b uint8, ml bool) {
		n := min(len(raw), 60)
		d := Data{Y: make([]float64, n)}
		ga := Grouping{Name: "a", Levels: make([]string, int(a%8))}
		gb := Grouping{Name: "b", Levels: make([]string, int(b%8))}
		x := make([]float64, 0, 2*n)
		for i := range n {
			v := int(raw[i])
			d.Y[i] = float64(v%37) * math.Pow(10, float64(v%5-2))
			x = append(x, 1, float64(v%3))
			ga.Codes = append(ga.Codes, i%max(1, len(ga.Levels)))
			gb.Codes = append(gb.Codes, v%max(1, len(gb.Levels)))
		}
		if n > 0 {
			d.X = mat.NewDense(n, 2, x)
		}
		d.Groups = []Grouping{ga, gb}
		m, err := Fit(d, Options{ML: ml})
		if err != nil {
			return
		}
		for _, method := range []Method{Satterthwaite, KenwardRoger} {
			cs, err := m.Coefficients(method)
			if err != nil {
				continue
			}
			for _, c := range cs {
				for _, v := range []float64{c.Estimate, c.SE, c.DF, c.T, c.P} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("%v %+v of %+v", method, c, m.Components)
					}
				}
			}
		}
		for _, c := range m.Components {
			if !(c.Variance >= 0) || math.IsInf(c.Variance, 0) {
				t.Fatalf("%+v", c)
			}
		}
	})
}
