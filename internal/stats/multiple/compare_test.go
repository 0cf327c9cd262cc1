package multiple

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/internal/reftest"
)

type pairRow struct {
	Contrast         string
	Estimate, SE, DF float64
	Lower, Upper     *float64
	T, P             float64
}

type cakeModel struct {
	Means      []float64
	Ascending  map[string]string `json:"letters_ascending"`
	Descending map[string]string `json:"letters_descending"`
	Tukey      []pairRow
	None       []pairRow
	Holm       []pairRow
	Bonferroni []pairRow
	Sidak      []pairRow
	FDR        []pairRow
	Scheffe    []pairRow
}

func loadCake(t *testing.T) (source string, models map[string]cakeModel) {
	t.Helper()
	b, err := os.ReadFile("testdata/cake_pairs.json")
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Source                string
		Interaction, Additive cakeModel
	}
	if err := json.Unmarshal(b, &f); err != nil {
		t.Fatal(err)
	}
	return f.Source, map[string]cakeModel{"interaction": f.Interaction, "additive": f.Additive}
}

// cakeContrasts are the 15 pairs in the order of Pairs.
func cakeContrasts(rows []pairRow) []Contrast {
	var cs []Contrast
	i, j := 0, 1
	for _, r := range rows {
		cs = append(cs, Contrast{I: i, J: j, Estimate: r.Estimate, SE: r.SE, DF: r.DF})
		if j++; j == 6 {
			i++
			j = i + 1
		}
	}
	return cs
}

func TestCakePairs(t *testing.T) {
	t.Parallel()
	source, models := loadCake(t)
	for name, m := range models {
		for method, rows := range map[Method][]pairRow{
			None: m.None, Tukey: m.Tukey, Holm: m.Holm, Bonferroni: m.Bonferroni,
			Sidak: m.Sidak, BenjaminiHochberg: m.FDR, Scheffe: m.Scheffe,
		} {
			if len(rows) != 15 {
				t.Fatalf("%s %v: %d rows", name, method, len(rows))
			}
			got, err := Compare(method, cakeContrasts(rows), Options{})
			if err != nil {
				t.Fatal(err)
			}
			for i, r := range rows {
				c := got.Comparisons[i]
				label := fmt.Sprint(name, " ", method, " ", r.Contrast)
				reftest.Within(t, label+" t", c.T, r.T, 1e-12, source)
				// Tukey: R's ptukey is good to about 1e-9 absolute at 210 df.
				rel, abs := 1e-9, 1e-12
				if method == Tukey {
					abs = 5e-9
				}
				reftest.WithinAbs(t, label+" p", c.P, r.P, rel, abs, source)
				if r.Lower != nil {
					if c.Interval == nil {
						t.Errorf("%s: no interval", label)
						continue
					}
					// R's qtukey stops at 1e-4 in its probability search, about
					// 1e-6 in these ends.
					rel := 1e-9
					if method == Tukey {
						rel = 1e-5
					}
					reftest.Within(t, label+" low", c.Interval.Low, *r.Lower, rel, source)
					reftest.Within(t, label+" high", c.Interval.High, *r.Upper, rel, source)
				}
			}
		}
	}
}

func TestCakeLetters(t *testing.T) {
	t.Parallel()
	source, models := loadCake(t)
	temperatures := []string{"175", "185", "195", "205", "215", "225"}
	for name, m := range models {
		tukey, err := Compare(Tukey, cakeContrasts(m.Tukey), Options{})
		if err != nil {
			t.Fatal(err)
		}
		different, err := tukey.Significant(6, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		for order, want := range map[Order]map[string]string{LowestFirst: m.Ascending, HighestFirst: m.Descending} {
			d, err := Letters(m.Means, different, order)
			if err != nil {
				t.Fatal(err)
			}
			for i, temp := range temperatures {
				if d.Letters[i] != want[temp] {
					t.Errorf("%s order %d, %s: letters %q, want %q (%s)", name, order, temp, d.Letters[i], want[temp], source)
				}
			}
		}
	}
}

// The four wines of the worked panel example: product × judge is the error of a
// claim about this panel.
func TestWine(t *testing.T) {
	t.Parallel()
	const source = "Randall 1989 (R package ordinal, wine): classical strata by R 4.2.2 aov, product × judge 4100.06 on 24 df, 18 scores a product"
	means := []float64{31.06, 40.56, 50.00, 67.28} // as printed
	v := 4100.06 / 24 / 18
	cov := make([][]float64, 4)
	for i := range cov {
		cov[i] = make([]float64, 4)
		cov[i][i] = v
	}
	cs, err := Pairs(means, cov, []float64{24})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		method  Method
		half    float64
		rel     float64 // what the printed digits carry
		letters []string
	}{
		{None, 8.99, 5e-4, []string{"a", "b", "c", "d"}},
		{Tukey, 12.0, 3e-3, []string{"a", "ab", "b", "c"}},
	} {
		res, err := Compare(c.method, cs, Options{})
		if err != nil {
			t.Fatal(err)
		}
		w, ok := res.Comparisons[0].Interval.Width()
		if !ok {
			t.Fatal("open interval")
		}
		reftest.Within(t, c.method.String()+" least difference", w/2, c.half, c.rel, source)
		different, err := res.Significant(4, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Letters(means, different, LowestFirst)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(d.Letters, c.letters) {
			t.Errorf("%v letters %v, want %v", c.method, d.Letters, c.letters)
		}
	}
}

func TestDunnettPlantGrowth(t *testing.T) {
	t.Parallel()
	const source = "R PlantGrowth (Dobson 1983): multcomp 1.4-22 glht, single-step"
	means := []float64{5.032, 4.661, 5.526}
	se := 0.278781608405550
	v := se * se / 2
	cov := [][]float64{{v, 0, 0}, {0, v, 0}, {0, 0, v}}
	cs, corr, err := AgainstControl(means, cov, 0, []float64{27})
	if err != nil {
		t.Fatal(err)
	}
	res, err := Compare(Dunnett, cs, Options{Correlation: corr})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Warnings) != 0 {
		t.Errorf("warnings %v", res.Warnings)
	}
	for i, want := range []struct{ t, p, low, high float64 }{
		{-1.33079080116468, 0.322695685768781, -1.0214, 0.2794},
		{1.77199637675297, 0.153485861515124, -0.1564, 1.1444},
	} {
		c := res.Comparisons[i]
		reftest.Within(t, "t", c.T, want.t, 1e-12, source)
		reftest.Within(t, "p", c.P, want.p, 1e-10, source)
		// The critical value there is found by random quasi-Monte Carlo.
		reftest.Within(t, "low", c.Interval.Low, want.low, 1e-3, source)
		reftest.Within(t, "high", c.Interval.High, want.high, 1e-3, source)
	}
	// One-sided: the two directions mirror each other.
	less, err := Compare(Dunnett, cs, Options{Correlation: corr, Side: Less})
	if err != nil {
		t.Fatal(err)
	}
	for i := range cs {
		cs[i].Estimate = -cs[i].Estimate
	}
	greater, err := Compare(Dunnett, cs, Options{Correlation: corr, Side: Greater})
	if err != nil {
		t.Fatal(err)
	}
	for i := range cs {
		l, g := less.Comparisons[i], greater.Comparisons[i]
		if l.P != g.P || l.Interval.High != -g.Interval.Low || !l.Interval.LowOpen || !g.Interval.HighOpen {
			t.Errorf("one-sided comparison %d: %+v and %+v do not mirror", i, l, g)
		}
	}
}

func TestAdjustP(t *testing.T) {
	t.Parallel()
	const source = "R 4.2.2 p.adjust on these made-up values"
	p := []float64{0.001, 0.008, 0.039, 0.041, 0.042, 0.06, 0.074, 0.205, 0.212, 0.216, 0.222, 0.251, 0.269, 0.275, 0.34, 0.341, 0.384, 0.569, 0.594, 0.696, 0.762, 0.94, 0.942, 0.975, 0.986}
	for method, want := range map[Method][]float64{
		Holm:              {0.025, 0.192, 0.897, 0.902, 0.902, 1, 1},
		Hochberg:          {0.025, 0.192, 0.882, 0.882, 0.882, 0.986, 0.986},
		BenjaminiHochberg: {0.025, 0.1, 0.21, 0.21, 0.21, 0.25, 0.264285714285714, 0.491071428571429},
	} {
		got, err := AdjustP(method, p)
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range want {
			reftest.Within(t, fmt.Sprint(method, " ", i), got[i], w, 1e-13, source)
		}
		// Relabelling: the answers travel with the values.
		reversed := slices.Clone(p)
		slices.Reverse(reversed)
		back, err := AdjustP(method, reversed)
		if err != nil {
			t.Fatal(err)
		}
		slices.Reverse(back)
		if !slices.Equal(back, got) {
			t.Errorf("%v depends on the order", method)
		}
	}
	// Tiny values survive Šidák.
	got, err := AdjustP(Sidak, []float64{1e-200, 1})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "sidak of a tiny p", got[0], 2e-200, 1e-14, "2p to first order")
	reftest.Within(t, "sidak of 1", got[1], 1, 0, "certain")
}

// For any family: raw ≤ Holm ≤ Bonferroni, Hochberg ≤ Holm, BH ≤ Hochberg,
// Šidák ≤ Bonferroni, Tukey ≤ Scheffé; shift and scale leave p alone; an interval
// excludes 0 exactly when its p is below α.
func TestCompareProperties(t *testing.T) {
	t.Parallel()
	means := []float64{3.1, 4.7, 4.9, 8.2, 2.2}
	cov := make([][]float64, 5)
	for i := range cov {
		cov[i] = make([]float64, 5)
		for j := range cov[i] {
			cov[i][j] = 0.1
		}
		cov[i][i] = 0.3 + 0.2*float64(i)
	}
	df := []float64{4, 7, 9.5, 12, 30, 41, 8, math.Inf(1), 3, 6.6}
	run := func(m Method, scale, shift float64) Result {
		t.Helper()
		mm := slices.Clone(means)
		cc := make([][]float64, 5)
		for i := range mm {
			mm[i] = mm[i]*scale + shift
			cc[i] = slices.Clone(cov[i])
			for j := range cc[i] {
				cc[i][j] *= scale * scale
			}
		}
		cs, err := Pairs(mm, cc, df)
		if err != nil {
			t.Fatal(err)
		}
		before := slices.Clone(cs)
		res, err := Compare(m, cs, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(cs, before) {
			t.Error("input altered")
		}
		return res
	}
	p := map[Method]Result{}
	for m := None; m <= BenjaminiHochberg; m++ {
		if m == Dunnett {
			continue
		}
		p[m] = run(m, 1, 0)
		moved := run(m, 8, 1024)
		for i, c := range p[m].Comparisons {
			reftest.Within(t, fmt.Sprint(m, " moved"), moved.Comparisons[i].P, c.P, 1e-10, "equivariance; the shift costs three digits")
			if c.Interval != nil && c.Interval.Contains(0) != (c.P >= 0.05) {
				t.Errorf("%v: p %v beside interval %+v", m, c.P, *c.Interval)
			}
		}
	}
	for i := range p[None].Comparisons {
		at := func(m Method) float64 { return p[m].Comparisons[i].P }
		for _, pair := range [][2]Method{{None, Holm}, {Holm, Bonferroni}, {Hochberg, Holm}, {BenjaminiHochberg, Hochberg}, {Sidak, Bonferroni}, {None, Tukey}, {Tukey, Scheffe}} {
			if at(pair[0]) > at(pair[1])*(1+1e-12) {
				t.Errorf("comparison %d: %v %v above %v %v", i, pair[0], at(pair[0]), pair[1], at(pair[1]))
			}
		}
	}
}

// Unequal groups have exact loadings; other correlations are approximated and
// say so.
func TestLoadings(t *testing.T) {
	t.Parallel()
	v := []float64{1.0 / 9, 1.0 / 4, 1.0 / 7, 1.0 / 2, 1.0 / 12}
	cov := make([][]float64, len(v))
	for i := range cov {
		cov[i] = make([]float64, len(v))
		cov[i][i] = v[i]
	}
	_, corr, err := AgainstControl(make([]float64, len(v)), cov, 0, []float64{20})
	if err != nil {
		t.Fatal(err)
	}
	lambda, off, err := loadings(corr, 4)
	if err != nil {
		t.Fatal(err)
	}
	want, err := dist.DunnettLoadings(9, []int{4, 7, 2, 12})
	if err != nil {
		t.Fatal(err)
	}
	for i := range want {
		reftest.Within(t, "loading", lambda[i], want[i], 1e-9, "√(n/(n+n₀))")
	}
	if off > 1e-12 {
		t.Errorf("misfit %v", off)
	}
	odd := [][]float64{{1, 0.5, 0.1, 0.5}, {0.5, 1, 0.5, 0.1}, {0.1, 0.5, 1, 0.5}, {0.5, 0.1, 0.5, 1}}
	cs := []Contrast{{1, 0, 1, 1, 9}, {2, 0, 2, 1, 9}, {3, 0, 3, 1, 9}, {4, 0, 0, 1, 9}}
	res, err := Compare(Dunnett, cs, Options{Correlation: odd})
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Warnings) != 1 || res.Warnings[0].ID != "correlation-approximated" {
		t.Errorf("warnings %+v", res.Warnings)
	}
	for i, c := range res.Comparisons {
		if c.P < c.Raw-1e-12 || c.P > math.Min(1, 4*c.Raw)+1e-12 {
			t.Errorf("comparison %d: p %v outside raw %v and Bonferroni", i, c.P, c.Raw)
		}
	}
	if one, _, err := loadings([][]float64{{1}}, 1); err != nil || one[0] != 0 {
		t.Errorf("one comparison: %v, %v", one, err)
	}
	if two, off, err := loadings([][]float64{{1, -0.49}, {-0.49, 1}}, 2); err != nil || off > 1e-15 || two[0]*two[1] > 0 {
		t.Errorf("two comparisons: %v, %v, %v", two, off, err)
	}
}

func TestArguments(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	good := []Contrast{{0, 1, 1, 1, 5}}
	eye := [][]float64{{1, 0}, {0, 1}}
	second := func(_ any, err error) error { return err }
	pairs := func(m []float64, c [][]float64, df []float64) error { return second(Pairs(m, c, df)) }
	control := func(m []float64, c [][]float64, k int, df []float64) error {
		_, _, err := AgainstControl(m, c, k, df)
		return err
	}
	compare := func(m Method, c []Contrast, o Options) error { return second(Compare(m, c, o)) }
	for name, c := range map[string]struct{ err, want error }{
		"pairs empty":          {pairs(nil, nil, []float64{3}), stats.ErrEmpty},
		"pairs one":            {pairs([]float64{1}, [][]float64{{1}}, []float64{3}), stats.ErrTooFew},
		"pairs NaN":            {pairs([]float64{1, nan}, eye, []float64{3}), stats.ErrNonFinite},
		"pairs cov rows":       {pairs([]float64{1, 2}, eye[:1], []float64{3}), stats.ErrLengths},
		"pairs cov row":        {pairs([]float64{1, 2}, [][]float64{{1, 0}, {0}}, []float64{3}), stats.ErrLengths},
		"pairs cov NaN":        {pairs([]float64{1, 2}, [][]float64{{1, 0}, {0, inf}}, []float64{3}), stats.ErrNonFinite},
		"pairs no variance":    {pairs([]float64{1, 2}, [][]float64{{1, 1}, {1, 1}}, []float64{3}), stats.ErrNoVariation},
		"pairs df":             {pairs([]float64{1, 2}, eye, nil), stats.ErrLengths},
		"control outside":      {control([]float64{1, 2}, eye, 2, []float64{3}), stats.ErrDomain},
		"control df":           {control([]float64{1, 2}, eye, 0, []float64{3, 4}), stats.ErrLengths},
		"control empty":        {control(nil, nil, 0, nil), stats.ErrEmpty},
		"compare empty":        {compare(Tukey, nil, Options{}), stats.ErrEmpty},
		"compare SE 0":         {compare(Tukey, []Contrast{{0, 1, 1, 0, 5}}, Options{}), stats.ErrNoVariation},
		"compare SE below 0":   {compare(Holm, []Contrast{{0, 1, 1, -1, 5}}, Options{}), stats.ErrDomain},
		"compare NaN":          {compare(Holm, []Contrast{{0, 1, nan, 1, 5}}, Options{}), stats.ErrNonFinite},
		"compare df NaN":       {compare(Holm, []Contrast{{0, 1, 1, 1, nan}}, Options{}), stats.ErrNonFinite},
		"compare df 0":         {compare(Holm, []Contrast{{0, 1, 1, 1, 0}}, Options{}), stats.ErrDomain},
		"compare level":        {compare(Holm, good, Options{Level: 95}), stats.ErrDomain},
		"compare side":         {compare(Holm, good, Options{Side: 7}), stats.ErrDomain},
		"compare method":       {compare(99, good, Options{}), stats.ErrDomain},
		"compare t overflows":  {compare(None, []Contrast{{0, 1, 1e300, 1e-300, 5}}, Options{}), stats.ErrDomain},
		"interval overflows":   {compare(None, []Contrast{{0, 1, 0, 1e308, 5}}, Options{}), stats.ErrDomain},
		"tukey one-sided":      {compare(Tukey, good, Options{Side: Less}), stats.ErrDomain},
		"tukey one mean":       {compare(Tukey, good, Options{Means: 1}), stats.ErrDomain},
		"tukey too many":       {compare(Tukey, good, Options{Means: 5000}), stats.ErrTooLarge},
		"dunnett without corr": {compare(Dunnett, good, Options{}), stats.ErrLengths},
		"dunnett corr 2":       {compare(Dunnett, good, Options{Correlation: [][]float64{{2}}}), stats.ErrDomain},
		"adjust empty":         {second(AdjustP(Holm, nil)), stats.ErrEmpty},
		"adjust NaN":           {second(AdjustP(Holm, []float64{nan})), stats.ErrNonFinite},
		"adjust 2":             {second(AdjustP(Holm, []float64{2})), stats.ErrDomain},
		"adjust tukey":         {second(AdjustP(Tukey, []float64{0.1})), stats.ErrDomain},
		"parse":                {second(ParseMethod("scheff")), stats.ErrDomain},
		"significant alpha":    {second(Result{}.Significant(2, 0)), stats.ErrDomain},
		"significant index":    {second(Result{Comparisons: []Comparison{{Contrast: Contrast{I: 3}}}}.Significant(2, 0.05)), stats.ErrDomain},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: error %v, want %v", name, c.err, c.want)
		}
	}
	for m := None; m <= BenjaminiHochberg; m++ {
		if back, err := ParseMethod(m.String()); err != nil || back != m {
			t.Errorf("ParseMethod(%q) = %v, %v", m.String(), back, err)
		}
	}
	// Two equal means are an ordinary answer.
	res, err := Compare(Tukey, []Contrast{{0, 1, 0, 1, inf}}, Options{})
	if err != nil || res.Comparisons[0].P != 1 {
		t.Errorf("equal means: %+v, %v", res, err)
	}
}

func BenchmarkTukeySixMeans(b *testing.B) {
	var cs []Contrast
	for i := range 6 {
		for j := i + 1; j < 6; j++ {
			cs = append(cs, Contrast{i, j, float64(i - j), 0.95, 210})
		}
	}
	for b.Loop() {
		if _, err := Compare(Tukey, cs, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
