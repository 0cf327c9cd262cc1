package linear

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

type anovaRef []struct {
	Term string
	DF   int
	SS   float64
	F    *float64
	P    *float64
}

// checkRows compares tested rows and the residual; names in the reference files
// follow another notation, so rows go by position.
func checkRows(t *testing.T, label string, rows []AnovaRow, residual AnovaRow, want anovaRef, tol float64, source string) {
	t.Helper()
	if len(rows)+1 != len(want) {
		t.Fatalf("%s: %d rows, want %d", label, len(rows)+1, len(want))
	}
	for i, w := range want {
		got := residual
		if i < len(rows) {
			got = rows[i]
		}
		if got.DF != w.DF {
			t.Errorf("%s, %s: %d df, want %d", label, w.Term, got.DF, w.DF)
		}
		reftest.Within(t, label+" SS "+w.Term, got.SS, w.SS, tol, source)
		if w.F != nil {
			reftest.Within(t, label+" F "+w.Term, got.F, *w.F, tol, source)
			reftest.Within(t, label+" p "+w.Term, got.P, *w.P, 20*tol, source)
		} else if got.Tested {
			t.Errorf("%s: the row %s is tested", label, w.Term)
		}
	}
}

func cakeFrame(t testing.TB) (*frame.Frame, []float64) {
	d := readTable(t, "cake.csv")
	return d.frame("replicate", "recipe", "temperature", "#temp"), d.numbers("angle")
}

var (
	recipe, temperature  = frame.T("recipe"), frame.T("temperature")
	recipeTemperature    = frame.T("recipe", "temperature")
	replicate, batch     = frame.T("replicate"), frame.T("replicate", "recipe")
	crossedRecipeAndOven = []frame.Term{recipe, temperature, recipeTemperature}
	aov                  = "R 4.2.2 lm and aov"
)

func TestCake(t *testing.T) {
	t.Parallel()
	var want struct {
		Fixed  anovaRef            `json:"fixed_blocks"`
		RCBD   anovaRef            `json:"fixed_rcbd"`
		Nested map[string]anovaRef `json:"error_strata"`
		Blocks map[string]anovaRef `json:"error_strata_replicate_blocks"`
		Closed struct {
			Sigma2      float64
			Sigma2Block float64 `json:"sigma2_block"`
		} `json:"closed_form"`
	}
	readJSON(t, "cake.json", &want)
	f, y := cakeFrame(t)

	fixed := mustFit(t, f, y, recipe, temperature, batch, recipeTemperature)
	a, err := fixed.Anova(frame.TypeI)
	if err != nil {
		t.Fatal(err)
	}
	checkRows(t, "batches fixed", a.Rows, a.Residual, reorder(want.Fixed, "recipe", "tempU", "", "recipe:tempU"), 1e-11, aov)
	rcbd := mustFit(t, f, y, replicate, recipe, temperature, recipeTemperature)
	if a, err = rcbd.Anova(frame.TypeI); err != nil {
		t.Fatal(err)
	}
	checkRows(t, "replicates fixed", a.Rows, a.Residual, want.RCBD, 1e-11, aov)

	for _, c := range []struct {
		name   string
		blocks []frame.Term
		want   map[string]anovaRef
		strata []string
	}{
		{"nested", []frame.Term{batch}, want.Nested, []string{"Error: recipe:replicate", "Error: Within"}},
		{"replicate blocks", []frame.Term{replicate, batch}, want.Blocks, []string{"Error: replicate", "Error: replicate:recipe", "Error: Within"}},
	} {
		got, err := Strata(f, frame.Model{Terms: crossedRecipeAndOven}, c.blocks, y)
		if err != nil {
			t.Fatal(err)
		}
		if len(got.Strata) != len(c.strata) || len(got.Warnings) > 0 {
			t.Fatalf("%s: %d strata, warnings %v", c.name, len(got.Strata), got.Warnings)
		}
		for i, s := range got.Strata {
			checkRows(t, c.name+" "+s.Name, s.Rows, s.Residual, c.want[c.strata[i]], 1e-11, aov)
		}
	}
	within, err := Strata(f, frame.Model{Terms: crossedRecipeAndOven}, []frame.Term{batch}, y)
	if err != nil {
		t.Fatal(err)
	}
	sigma2, batchMS := within.Strata[1].Residual.MS, within.Strata[0].Residual.MS
	reftest.Within(t, "error variance", sigma2, want.Closed.Sigma2, 1e-11, aov)
	reftest.Within(t, "batch variance", (batchMS-sigma2)/6, want.Closed.Sigma2Block, 1e-11, aov)
}

// reorder puts reference rows into the order of our terms; "" takes the row that
// is not named.
func reorder(rows anovaRef, order ...string) anovaRef {
	var out anovaRef
	for _, name := range order {
		for _, r := range rows {
			if r.Term == name || name == "" && r.Term != "Residuals" && !slices.Contains(order, r.Term) {
				out = append(out, r)
			}
		}
	}
	return append(out, rows[len(rows)-1])
}

// TestCakeLine: the line in °F with the 45 batches as blocks.
func TestCakeLine(t *testing.T) {
	t.Parallel()
	const source = "R 4.2.2 lm(angle ~ recipe:replicate + temp), anova, logLik"
	f, y := cakeFrame(t)
	line := mustFit(t, f, y, batch, frame.T("temp"))
	slope := line.Coefficients[len(line.Coefficients)-1]
	reftest.Within(t, "slope", slope.Estimate, 1.58031746031746e-01, 1e-13, source)
	reftest.Within(t, "SE", slope.SE, 1.62157743308365e-02, 1e-13, source)
	reftest.Within(t, "t", slope.T, 9.74555656779381, 1e-13, source)
	reftest.Within(t, "p", slope.P, 6.19274905186937e-19, 1e-11, source)
	if line.DF != 224 {
		t.Errorf("%d df, want 224", line.DF)
	}
	l, err := line.LogLik()
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "log-likelihood", l, -767.0150743312, 1e-12, source)
	if l, err = line.RestrictedLogLik(); err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "restricted log-likelihood", l, -703.208938473765, 1e-12, source)
	lack, err := Compare(line, mustFit(t, f, y, batch, temperature))
	if err != nil {
		t.Fatal(err)
	}
	if lack.DF != 4 || lack.ResidualDF != 220 {
		t.Errorf("lack of linearity on %d and %d df", lack.DF, lack.ResidualDF)
	}
	reftest.Within(t, "lack of linearity, F", lack.F, 1.63106284349959, 1e-11, source)
	reftest.Within(t, "lack of linearity, p", lack.P, 0.167426053177898, 1e-11, source)
	// The linear contrast over the levels' own scores says the same.
	poly := mustFitModel(t, f, y, frame.Model{Intercept: true, Terms: []frame.Term{batch, temperature},
		Coding: map[string]frame.Coding{"temperature": {Contrast: frame.Polynomial}}}, Options{})
	n := len(poly.Coefficients)
	reftest.Within(t, "linear contrast", poly.Coefficients[n-5].Estimate, slope.Estimate*math.Sqrt(1750), 1e-12, "slope × root of Σ(score - mean)² = 1750")
}

// TestCakeUnits: the headline test of each factor on its own unit.
func TestCakeUnits(t *testing.T) {
	t.Parallel()
	f, y := cakeFrame(t)
	for _, c := range []struct {
		name   string
		model  UnitModel
		row    int
		f, p   float64
		df, re int
	}{
		{"temperature on its cooks", UnitModel{Unit: []string{"replicate", "recipe", "temperature"}, Blocks: []frame.Term{batch}, Terms: []frame.Term{temperature, recipeTemperature}},
			0, 20.5198604290514, 1.15316214745976e-16, 5, 210},
		{"interaction", UnitModel{Unit: []string{"replicate", "recipe", "temperature"}, Blocks: []frame.Term{batch}, Terms: []frame.Term{temperature, recipeTemperature}},
			1, 1.0061979, 0.4393, 10, 210},
		{"recipe on batches", UnitModel{Unit: []string{"replicate", "recipe"}, Terms: []frame.Term{recipe}}, 0, 0.24878878707208, 0.780885604400665, 2, 42},
		{"recipe on batches, replicates removed", UnitModel{Unit: []string{"replicate", "recipe"}, Blocks: []frame.Term{replicate}, Terms: []frame.Term{recipe}},
			0, 1.57805343865309, 0.224185670171871, 2, 28},
		{"recipe, adjusted for temperature within", UnitModel{Unit: []string{"replicate", "recipe"}, Blocks: []frame.Term{replicate}, Terms: []frame.Term{recipe}, Within: []frame.Term{temperature}},
			0, 1.57805343865309, 0.224185670171871, 2, 28},
		{"weights by count, all equal", UnitModel{Unit: []string{"replicate", "recipe"}, Terms: []frame.Term{recipe}, Weights: CountUnits}, 0, 0.24878878707208, 0.780885604400665, 2, 42},
	} {
		got, err := Units(f, y, c.model)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		row := got.Anova.Rows[c.row]
		tol := 1e-10
		if c.name == "interaction" {
			tol = 1e-4 // printed with few digits; checked to 1e-11 in TestCake
		}
		reftest.Within(t, c.name+" F", row.F, c.f, tol, aov)
		reftest.Within(t, c.name+" p", row.P, c.p, tol, aov)
		if row.DF != c.df || got.Anova.Residual.DF != c.re {
			t.Errorf("%s: %d and %d df, want %d and %d", c.name, row.DF, got.Anova.Residual.DF, c.df, c.re)
		}
	}
}

func TestTypes(t *testing.T) {
	t.Parallel()
	var want struct {
		Source      string
		Plant       anovaRef `json:"plantgrowth"`
		Spray       anovaRef `json:"insectsprays"`
		ToothGrowth struct {
			I   anovaRef `json:"type_I"`
			II  anovaRef `json:"type_II"`
			III anovaRef `json:"type_III"`
		}
	}
	readJSON(t, "anova.json", &want)
	supp, dose := frame.T("supp"), frame.T("dose")
	for _, c := range []struct {
		file, y string
		factors []string
		terms   []frame.Term
		want    map[frame.SumsOfSquares]anovaRef
	}{
		{"plantgrowth.csv", "weight", []string{"group"}, []frame.Term{frame.T("group")}, map[frame.SumsOfSquares]anovaRef{frame.TypeI: want.Plant, frame.TypeII: want.Plant, frame.TypeIII: want.Plant}},
		{"insectsprays.csv", "count", []string{"spray"}, []frame.Term{frame.T("spray")}, map[frame.SumsOfSquares]anovaRef{frame.TypeI: want.Spray, frame.TypeII: want.Spray, frame.TypeIII: want.Spray}},
		{"toothgrowth.csv", "len", []string{"supp", "dose"}, frame.Crossed(supp, dose), map[frame.SumsOfSquares]anovaRef{
			frame.TypeI: want.ToothGrowth.I, frame.TypeII: want.ToothGrowth.II, frame.TypeIII: want.ToothGrowth.III[1:]}},
	} {
		d := readTable(t, c.file)
		for _, contrast := range []frame.Contrast{frame.Treatment, frame.Sum, frame.Helmert} {
			coding := map[string]frame.Coding{}
			for _, name := range c.factors {
				coding[name] = frame.Coding{Contrast: contrast}
			}
			fit := mustFitModel(t, d.frame(c.factors...), d.numbers(c.y), frame.Model{Intercept: true, Terms: c.terms, Coding: coding}, Options{})
			for kind, rows := range c.want {
				a, err := fit.Anova(kind)
				if err != nil {
					t.Fatal(err)
				}
				checkRows(t, fmt.Sprint(c.file, " type ", kind, " coding ", contrast), a.Rows, a.Residual, rows, 1e-10, want.Source)
			}
		}
	}
}

type aliasRef struct {
	Rank      int
	Estimable []string
	Dropped   any
	RSS       float64
	DFResid   int `json:"df_resid"`
	Coef      map[string]*float64
	Alias     struct{ Matrix [][]float64 }
	Anova     anovaRef
}

func TestAliases(t *testing.T) {
	t.Parallel()
	var want struct {
		Source     string
		NPK        aliasRef
		Strata     map[string]anovaRef `json:"npk_aov_strata"`
		Confounded aliasRef            `json:"temp_time_batch_confounded"`
	}
	readJSON(t, "alias.json", &want)

	d := readTable(t, "npk.csv")
	f, y := d.frame("block", "N", "P", "K"), d.numbers("yield")
	terms := append([]frame.Term{frame.T("block")}, frame.Crossed(frame.T("N"), frame.T("P"), frame.T("K"))...)
	fit := mustFit(t, f, y, terms...)
	if fit.Rank != want.NPK.Rank || fit.DF != want.NPK.DFResid {
		t.Errorf("npk: rank %d, %d df", fit.Rank, fit.DF)
	}
	reftest.Within(t, "npk RSS", fit.RSS, want.NPK.RSS, 1e-12, want.Source)
	if len(fit.Aliases) != 1 || fit.Aliases[0].Name != "N[1]:P[1]:K[1]" {
		t.Fatalf("npk aliases %+v", fit.Aliases)
	}
	dense := make([]float64, len(fit.Coefficients))
	for i, name := range fit.Aliases[0].Of {
		dense[slices.IndexFunc(fit.Coefficients, func(c Coefficient) bool { return c.Name == name })] = fit.Aliases[0].Weights[i]
	}
	for j, w := range want.NPK.Alias.Matrix[0] {
		reftest.WithinAbs(t, "weight of "+fit.Coefficients[j].Name, dense[j], w, 1e-12, 1e-12, want.Source)
	}
	for j, ours := range []string{"(Intercept)", "block2", "block3", "block4", "block5", "block6", "N1", "P1", "K1", "N1:P1", "N1:K1", "P1:K1"} {
		reftest.Within(t, ours, fit.Coefficients[j].Estimate, *want.NPK.Coef[ours], 1e-12, want.Source)
	}
	a, err := fit.Anova(frame.TypeI)
	if err != nil {
		t.Fatal(err)
	}
	last := a.Rows[len(a.Rows)-1]
	if last.DF != 0 || last.Tested || last.Term != "N:P:K" {
		t.Errorf("the confounded term: %+v", last)
	}
	checkRows(t, "npk", a.Rows[:len(a.Rows)-1], a.Residual, want.NPK.Anova, 1e-11, want.Source)

	s, err := Strata(f, frame.Model{Terms: terms[1:]}, terms[:1], y)
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{"Error: block", "Error: Within"} {
		checkRows(t, "npk "+name, s.Strata[i].Rows, s.Strata[i].Residual, want.Strata[name], 1e-11, want.Source)
	}

	d = readTable(t, "confounded.csv")
	fit = mustFit(t, d.frame("#temp", "#time", "batch"), d.numbers("y"), frame.T("temp"), frame.T("time"), frame.T("batch"))
	var dropped []string
	for i, al := range fit.Aliases {
		dropped = append(dropped, al.Name)
		for k, name := range al.Of {
			j := slices.IndexFunc([]string{"(intercept)", "temp", "batch[2]"}, func(s string) bool { return s == name })
			reftest.Within(t, al.Name+" on "+name, al.Weights[k], want.Confounded.Alias.Matrix[i][j], 1e-12, want.Source)
		}
	}
	if !slices.Equal(dropped, []string{"time", "batch[3]"}) || fit.Rank != 3 {
		t.Errorf("confounded: dropped %q, rank %d", dropped, fit.Rank)
	}
	reftest.Within(t, "confounded RSS", fit.RSS, want.Confounded.RSS, 1e-12, want.Source)
}

// TestIncompleteStrata: npk without rows 3 and 10; terms that lie in both strata
// are reported in each. R 4.2.2 summary(aov(yield ~ N*P*K + Error(block))).
func TestIncompleteStrata(t *testing.T) {
	t.Parallel()
	d := readTable(t, "npk.csv")
	full, all := d.frame("block", "N", "P", "K"), d.numbers("yield")
	var rows []int
	var y []float64
	for i, v := range all {
		if i != 2 && i != 9 {
			rows, y = append(rows, i), append(y, v)
		}
	}
	f, err := full.Subset(rows)
	if err != nil {
		t.Fatal(err)
	}
	s, err := Strata(f, frame.Model{Terms: frame.Crossed(frame.T("N"), frame.T("P"), frame.T("K"))}, []frame.Term{frame.T("block")}, y)
	if err != nil {
		t.Fatal(err)
	}
	want := []map[string][3]float64{
		{"N": {1, 54.000000000000853, 0.61653512965791857}, "N:P": {1, 147.849166666665610, 1.68804083593789711}, "N:P:K": {1, 0.490000000000016, 0.00559448543578492}, "residual": {2, 175.172499999999957}},
		{"N": {1, 194.40750000000085, 17.055658315116826}, "P": {1, 3.98678571428577, 0.349766623810536}, "K": {1, 94.35571428571454, 8.277966760212067}, "N:P": {1, 1.88020833333328, 0.164953465759127},
			"N:K": {1, 7.71074404761893, 0.676475011671405}, "P:K": {1, 14.14321428571401, 1.240805166131019}, "residual": {10, 113.98416666666745}},
	}
	for i, st := range s.Strata {
		got := append(slices.Clone(st.Rows), st.Residual)
		if len(got) != len(want[i]) {
			t.Errorf("%s: %d rows, want %d: %+v", st.Name, len(got), len(want[i]), got)
		}
		for _, r := range got {
			w := want[i][r.Term]
			if r.DF != int(w[0]) {
				t.Errorf("%s, %s: %d df", st.Name, r.Term, r.DF)
			}
			reftest.Within(t, st.Name+" SS "+r.Term, r.SS, w[1], 1e-10, aov)
			reftest.WithinAbs(t, st.Name+" F "+r.Term, r.F, w[2], 1e-10, 0, aov)
		}
	}
	if len(s.Warnings) != 2 || s.Warnings[0].ID != "several-strata" {
		t.Errorf("warnings %v: N and N:P lie in two strata", s.Warnings)
	}
}
