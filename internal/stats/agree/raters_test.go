package agree_test

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/agree"
	"tamis/internal/stats/internal/reftest"
)

type shroutFleiss struct {
	Source string
	Table  [][]float64
	ICC    struct {
		BMS, JMS, EMS, WMS  float64
		ICC11, ICC21, ICC31 float64
		ICC1k, ICC2k, ICC3k float64
		CI11                []float64 `json:"icc11_ci"`
		CI21                []float64 `json:"icc21_ci"`
		CI31                []float64 `json:"icc31_ci"`
		CI1k                []float64 `json:"icc1k_ci"`
		CI2k                []float64 `json:"icc2k_ci"`
		CI3k                []float64 `json:"icc3k_ci"`
		F                   float64   `json:"F_BMS_EMS"`
		P                   float64   `json:"F_p"`
	}
	Alpha   struct{ Raw, Standardized float64 }
	Kendall struct {
		W    float64 `json:"W_tie_corrected"`
		Wu   float64 `json:"W_uncorrected"`
		Chi2 float64
		DF   float64
		P    float64
		Rho  float64 `json:"mean_spearman"`
	}
}

func loadShroutFleiss(t *testing.T) shroutFleiss {
	t.Helper()
	b, err := os.ReadFile("testdata/shrout_fleiss.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref shroutFleiss
	if err := json.Unmarshal(b, &ref); err != nil {
		t.Fatal(err)
	}
	return ref
}

func clone(table [][]float64) [][]float64 {
	out := make([][]float64, len(table))
	for i := range table {
		out[i] = slices.Clone(table[i])
	}
	return out
}

const trust = 1e-10 // stated for the reference values

func TestShroutFleiss(t *testing.T) {
	t.Parallel()
	ref := loadShroutFleiss(t)
	before := clone(ref.Table)
	r, err := agree.ICC(ref.Table, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(before, ref.Table) {
		t.Error("input altered")
	}
	e := ref.ICC
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"BMS", r.TargetMS, e.BMS}, {"JMS", r.RaterMS, e.JMS}, {"EMS", r.ErrorMS, e.EMS}, {"WMS", r.WithinMS, e.WMS},
		{"ICC(2,1) F", r.ICC21.F.F, e.F}, {"ICC(2,1) p", r.ICC21.F.P, e.P},
	} {
		reftest.Within(t, c.name, c.got, c.want, trust, ref.Source)
	}
	for _, c := range []struct {
		name string
		got  agree.Intraclass
		want float64
		ci   []float64
	}{
		{"ICC(1,1)", r.ICC11, e.ICC11, e.CI11}, {"ICC(2,1)", r.ICC21, e.ICC21, e.CI21}, {"ICC(3,1)", r.ICC31, e.ICC31, e.CI31},
		{"ICC(1,k)", r.ICC1k, e.ICC1k, e.CI1k}, {"ICC(2,k)", r.ICC2k, e.ICC2k, e.CI2k}, {"ICC(3,k)", r.ICC3k, e.ICC3k, e.CI3k},
	} {
		reftest.Within(t, c.name, c.got.Value, c.want, trust, ref.Source)
		reftest.Within(t, c.name+" low", c.got.Interval.Low, c.ci[0], trust, ref.Source)
		reftest.Within(t, c.name+" high", c.got.Interval.High, c.ci[1], trust, ref.Source)
	}
	a, err := agree.CronbachAlpha(ref.Table)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "alpha", a.Raw, ref.Alpha.Raw, trust, ref.Source)
	reftest.Within(t, "standardised", a.Standardised.Value, ref.Alpha.Standardized, trust, ref.Source)
	w, err := agree.KendallW(ref.Table)
	if err != nil {
		t.Fatal(err)
	}
	k := ref.Kendall
	reftest.Within(t, "W", w.W, k.W, trust, ref.Source)
	reftest.Within(t, "W uncorrected", w.Uncorrected, k.Wu, trust, ref.Source)
	reftest.Within(t, "χ²", w.ChiSquare, k.Chi2, trust, ref.Source)
	reftest.Within(t, "p", w.P, k.P, trust, ref.Source)
	reftest.Within(t, "ρ", w.MeanSpearman, k.Rho, trust, ref.Source)
}

func TestICCShiftScale(t *testing.T) {
	t.Parallel()
	ref := loadShroutFleiss(t)
	base, _ := agree.ICC(ref.Table, 0.9)
	moved := clone(ref.Table)
	for i := range moved {
		for j := range moved[i] {
			moved[i][j] = 1e12 + 16*moved[i][j] // exact in float64
		}
	}
	got, err := agree.ICC(moved, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "ICC(2,1)", got.ICC21.Value, base.ICC21.Value, 1e-11, "offset of 1e12")
	reftest.Within(t, "low", got.ICC21.Interval.Low, base.ICC21.Interval.Low, 1e-9, "offset of 1e12")
	alpha, _ := agree.CronbachAlpha(moved)
	// The column means of values near 1e12 are rounded to 1e-4.
	reftest.Within(t, "alpha", alpha.Raw, base.ICC3k.Value, 1e-6, "alpha is ICC(3,k); rounding of means near 1e12")
	slices.Reverse(moved)
	again, _ := agree.ICC(moved, 0.9)
	reftest.Within(t, "rows reversed", again.ICC21.Value, got.ICC21.Value, 1e-11, "permutation")
}

func TestICCLimits(t *testing.T) {
	t.Parallel()
	perfect, err := agree.ICC([][]float64{{1, 1, 1}, {2, 2, 2}, {5, 5, 5}}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []agree.Intraclass{perfect.ICC11, perfect.ICC21, perfect.ICC31, perfect.ICC1k, perfect.ICC2k, perfect.ICC3k} {
		if c.Value != 1 || c.Interval.Low != 1 || c.Interval.High != 1 || c.F.Absent != agree.NoError {
			t.Errorf("perfect agreement: %+v", c)
		}
	}
	shifted, err := agree.ICC([][]float64{{1, 2}, {2, 3}, {5, 6}}, 0.95)
	if err != nil || shifted.ICC31.Value != 1 || !(shifted.ICC21.Value < 1) {
		t.Errorf("consistent raters with a bias: %+v %v", shifted, err)
	}
	for _, table := range [][][]float64{{{1, 2}, {2, 1}}, {{1, 2, 3}, {3, 2, 1}, {2, 2, 2}}} {
		r, err := agree.ICC(table, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		noNaN(t, reflect.ValueOf(r))
		if len(r.Warnings) == 0 || r.ICC31.Value >= 0 {
			t.Errorf("equal targets: %+v", r)
		}
	}
}

// noNaN walks through a result; conventions forbid NaN and infinities in it.
func noNaN(t *testing.T, v reflect.Value) {
	t.Helper()
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			t.Errorf("a result holds %v", f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			noNaN(t, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			noNaN(t, v.Index(i))
		}
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
		{"nil", nil, stats.ErrEmpty}, {"no columns", [][]float64{{}}, stats.ErrEmpty},
		{"one row", [][]float64{{1, 2}}, stats.ErrTooFew}, {"one column", [][]float64{{1}, {2}}, stats.ErrTooFew},
		{"ragged", [][]float64{{1, 2}, {1}}, stats.ErrLengths}, {"NaN", [][]float64{{1, 2}, {1, nan}}, stats.ErrNonFinite},
		{"infinite", [][]float64{{1, 2}, {1, inf}}, stats.ErrNonFinite}, {"constant", [][]float64{{3, 3}, {3, 3}}, stats.ErrNoVariation},
		{"too large", [][]float64{{3, 3}, {3, 1e300}}, stats.ErrDomain},
	} {
		if _, err := agree.ICC(c.table, 0.95); !errors.Is(err, c.want) {
			t.Errorf("ICC %s: %v", c.name, err)
		}
		if _, err := agree.CronbachAlpha(c.table); !errors.Is(err, c.want) {
			t.Errorf("alpha %s: %v", c.name, err)
		}
		if _, err := agree.KendallW(c.table); !errors.Is(err, c.want) {
			t.Errorf("W %s: %v", c.name, err)
		}
	}
	for _, level := range []float64{0, 1, nan} {
		if _, err := agree.ICC([][]float64{{1, 2}, {2, 4}}, level); !errors.Is(err, stats.ErrDomain) {
			t.Errorf("level %v: %v", level, err)
		}
	}
	if _, err := agree.CronbachAlpha([][]float64{{1, -1}, {2, -2}}); !errors.Is(err, stats.ErrNoVariation) {
		t.Errorf("sums all 0: %v", err)
	}
	a, err := agree.CronbachAlpha([][]float64{{1, 5}, {2, 5}, {4, 5}})
	if err != nil || a.Standardised.Absent != agree.NoSpread || a.Raw != 0 {
		t.Errorf("constant item: %+v %v", a, err)
	}
}

func TestLinConcordance(t *testing.T) {
	t.Parallel()
	x := []float64{1.2, 2.4, 3.1, 4.8, 5.0, 6.7, 7.1, 8.8}
	same, err := agree.LinConcordance(x, x, 0.95)
	if err != nil || math.Abs(same.Value-1) > 1e-12 || same.HasInterval {
		t.Errorf("%+v %v", same, err)
	}
	y := make([]float64, len(x))
	for i := range x {
		y[i] = x[i] + 1
	}
	moved, err := agree.LinConcordance(x, y, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// r = 1, equal variances: 2s²/(2s² + 1), s² = 5.876... with divisor n.
	m, s2 := 0.0, 0.0
	for _, v := range x {
		m += v / 8
	}
	for _, v := range x {
		s2 += (v - m) * (v - m) / 8
	}
	reftest.Within(t, "value", moved.Value, 2*s2/(2*s2+1), 1e-12, "definition for a pure shift")
	rng := rand.New(rand.NewPCG(1, 1))
	const n, draws = 100, 600
	inside := 0
	for range draws { // truth: equal means, variances 2, covariance 1
		a, b := make([]float64, n), make([]float64, n)
		for i := range a {
			c := rng.NormFloat64()
			a[i], b[i] = c+rng.NormFloat64(), c+rng.NormFloat64()
		}
		r, err := agree.LinConcordance(a, b, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if r.HasInterval && r.Interval.Contains(0.5) {
			inside++
		}
	}
	// 3 SE of 600 draws is 2.7 %.
	reftest.WithinAbs(t, "coverage", float64(inside)/draws, 0.95, 0, 0.027, "simulation, 3 Monte Carlo SE")
	for _, c := range []struct {
		x, y []float64
		want error
	}{
		{nil, nil, stats.ErrEmpty}, {x, x[:3], stats.ErrLengths}, {x[:2], x[:2], stats.ErrTooFew},
		{[]float64{1, 1, 1}, []float64{1, 2, 3}, stats.ErrNoVariation}, {[]float64{1, 2, 3}, []float64{1, 1, 1}, stats.ErrNoVariation},
		{[]float64{1, 2, math.NaN()}, []float64{1, 2, 3}, stats.ErrNonFinite},
	} {
		if _, err := agree.LinConcordance(c.x, c.y, 0.95); !errors.Is(err, c.want) {
			t.Errorf("%v %v: %v", c.x, c.y, err)
		}
	}
}

// kappaOf is the definition, for differentiation and for comparison.
func kappaOf(p [][]float64, w agree.Weights) float64 {
	c := len(p)
	row, col := make([]float64, c), make([]float64, c)
	for i := range p {
		for j, x := range p[i] {
			row[i] += x
			col[j] += x
		}
	}
	po, pe := 0.0, 0.0
	for i := range c {
		for j := range c {
			d := math.Abs(float64(i - j))
			v := 0.0
			switch w {
			case agree.Linear:
				v = 1 - d/float64(c-1)
			case agree.Quadratic:
				v = 1 - d*d/float64((c-1)*(c-1))
			default:
				if i == j {
					v = 1
				}
			}
			po += v * p[i][j]
			pe += v * row[i] * col[j]
		}
	}
	return (po - pe) / (1 - pe)
}

// deltaSE is √(gᵀ(diag p − ppᵀ)g/n) with the gradient taken by differences. Given
// the table seen it is the SE of kappa, given independence the SE under the null.
func deltaSE(p [][]float64, w agree.Weights, n float64) float64 {
	const h = 1e-5
	m1, m2 := 0.0, 0.0
	for i := range p {
		for j := range p[i] {
			at := p[i][j]
			p[i][j] = at + h
			up := kappaOf(p, w)
			p[i][j] = at - h
			g := (up - kappaOf(p, w)) / (2 * h)
			p[i][j] = at
			m1 += at * g
			m2 += at * g * g
		}
	}
	return math.Sqrt((m2 - m1*m1) / n)
}

func TestKappa(t *testing.T) {
	t.Parallel()
	// Cohen 1968's published table of three diagnoses, n = 200, as proportions
	// (from memory): kappa 0.492.
	cohen := [][]int{{88, 14, 18}, {10, 40, 10}, {2, 6, 12}}
	r, err := agree.KappaTable(cohen, agree.Unweighted, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.WithinAbs(t, "kappa", r.Kappa, 0.492, 0, 5e-4, "Cohen 1968, from memory, three decimals")
	rng := rand.New(rand.NewPCG(2, 3))
	for range 20 {
		c := 2 + rng.IntN(4)
		table := make([][]int, c)
		n := 0
		for i := range table {
			table[i] = make([]int, c)
			for j := range table[i] {
				table[i][j] = 1 + rng.IntN(20)
				if i == j {
					table[i][j] += 15
				}
				n += table[i][j]
			}
		}
		for _, w := range []agree.Weights{agree.Unweighted, agree.Linear, agree.Quadratic} {
			r, err := agree.KappaTable(table, w, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			p, q := make([][]float64, c), make([][]float64, c)
			row, col := make([]float64, c), make([]float64, c)
			for i := range p {
				p[i], q[i] = make([]float64, c), make([]float64, c)
				for j := range p[i] {
					p[i][j] = float64(table[i][j]) / float64(n)
					row[i] += p[i][j]
					col[j] += p[i][j]
				}
			}
			for i := range q {
				for j := range q[i] {
					q[i][j] = row[i] * col[j]
				}
			}
			reftest.WithinAbs(t, "kappa", r.Kappa, kappaOf(p, w), 1e-12, 1e-14, "definition")
			// Differences of step 1e-5 are good to about 1e-8.
			reftest.Within(t, "SE", r.SE, deltaSE(p, w, float64(n)), 1e-7, "delta method by numerical differences")
			reftest.Within(t, "null SE", r.NullSE, deltaSE(q, w, float64(n)), 1e-7, "delta method at independence")
		}
	}
}

func TestKappaEdges(t *testing.T) {
	t.Parallel()
	one := []int{1, 1, 1, 1}
	if _, err := agree.Kappa(one, one, 3, agree.Linear, 0.95); !errors.Is(err, stats.ErrNoVariation) {
		t.Errorf("one category: %v", err)
	}
	r, err := agree.Kappa(one, []int{0, 1, 2, 1}, 3, agree.Quadratic, 0.95)
	if err != nil || r.Kappa != 0 || r.Warnings[0].ID != "one-rater-constant" {
		t.Errorf("one rater constant: %+v %v", r, err)
	}
	noNaN(t, reflect.ValueOf(r))
	r, err = agree.Kappa(one, []int{2, 2, 2, 2}, 3, agree.Unweighted, 0.95)
	if err != nil || r.Kappa != 0 {
		t.Errorf("two constants that differ: %+v %v", r, err)
	}
	noNaN(t, reflect.ValueOf(r))
	r, err = agree.Kappa([]int{0, 1, 2, 1}, []int{0, 1, 2, 1}, 3, agree.Linear, 0.95)
	if err != nil || r.Kappa != 1 || r.SE != 0 || r.Interval.Low != 1 {
		t.Errorf("perfect: %+v %v", r, err)
	}
	for _, c := range []struct {
		name  string
		a, b  []int
		cat   int
		w     agree.Weights
		level float64
		want  error
	}{
		{"empty", nil, nil, 3, 0, 0.95, stats.ErrEmpty}, {"lengths", one, one[:2], 3, 0, 0.95, stats.ErrLengths},
		{"outside", []int{3}, []int{0}, 3, 0, 0.95, stats.ErrDomain}, {"negative", []int{0}, []int{-1}, 3, 0, 0.95, stats.ErrDomain},
		{"categories", one, one, 1, 0, 0.95, stats.ErrDomain}, {"many", one, one, 1 << 40, 0, 0.95, stats.ErrTooLarge},
		{"weights", one, one, 3, 7, 0.95, stats.ErrDomain}, {"level", one, one, 3, 0, 1, stats.ErrDomain},
	} {
		if _, err := agree.Kappa(c.a, c.b, c.cat, c.w, c.level); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	for _, c := range []struct {
		table [][]int
		want  error
	}{
		{nil, stats.ErrEmpty}, {[][]int{{0, 0}, {0, 0}}, stats.ErrEmpty}, {[][]int{{1, 2}, {1}}, stats.ErrLengths}, {[][]int{{1, -2}, {1, 1}}, stats.ErrDomain},
	} {
		if _, err := agree.KappaTable(c.table, agree.Linear, 0.95); !errors.Is(err, c.want) {
			t.Errorf("%v: %v", c.table, err)
		}
	}
}

func FuzzRaters(f *testing.F) {
	f.Add([]byte{9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8}, uint8(4))
	f.Add([]byte{1, 1, 2, 2}, uint8(2))
	f.Fuzz(func(t *testing.T, data []byte, width uint8) {
		k := int(width%6) + 1
		var table [][]float64
		var first, second []int
		for len(data) >= k && len(table) < 30 {
			row := make([]float64, k)
			for j := range row {
				row[j] = float64(data[j] % 8)
			}
			table = append(table, row)
			first, second = append(first, int(data[0]%4)), append(second, int(data[k-1]/8%4))
			data = data[k:]
		}
		if r, err := agree.ICC(table, 0.95); err == nil {
			noNaN(t, reflect.ValueOf(r))
		}
		if r, err := agree.CronbachAlpha(table); err == nil {
			noNaN(t, reflect.ValueOf(r))
		}
		for _, w := range []agree.Weights{agree.Unweighted, agree.Linear, agree.Quadratic} {
			if r, err := agree.Kappa(first, second, 4, w, 0.95); err == nil {
				noNaN(t, reflect.ValueOf(r))
			}
		}
	})
}
