package mixed

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
	"tamis/internal/stats/multiple"
)

// refRow is a row of any of the reference tables.
type refRow struct {
	Term     string  `json:"term"`
	Group    string  `json:"group"`
	Var2     *string `json:"var2"`
	Variance float64 `json:"variance_or_cov"`
	Estimate float64 `json:"estimate"`
	EMMean   float64 `json:"emmean"`
	SE       float64 `json:"se"`
	DF       float64 `json:"df"`
	T        float64 `json:"t"`
	P        float64 `json:"p"`
	SS       float64 `json:"ss"`
	NumDF    float64 `json:"num_df"`
	DenDF    float64 `json:"den_df"`
	F        float64 `json:"F"`
	LogLik   float64 `json:"logLik"`
	LRT      float64 `json:"LRT"`
	AIC      float64 `json:"AIC"`
	Lower    float64 `json:"lower"`
	Upper    float64 `json:"upper"`
}

type refModel struct {
	Formula   string   `json:"formula"`
	VarComp   []refRow `json:"varcomp"`
	Criterion float64  `json:"criterion"`
	LogLik    float64  `json:"logLik"`
	NPar      int      `json:"npar"`
	AIC       float64  `json:"AIC"`
	BIC       float64  `json:"BIC"`
	Fixed     []refRow `json:"fixed_satterthwaite"`
	FixedKR   []refRow `json:"fixed_kenward_roger"`
	Vcov      struct {
		Values [][]float64 `json:"values"`
	} `json:"vcov_fixed"`
	ISat   []refRow `json:"anova_I_satterthwaite"`
	IISat  []refRow `json:"anova_II_satterthwaite"`
	IIISat []refRow `json:"anova_III_satterthwaite"`
	IKR    []refRow `json:"anova_I_kenward_roger"`
	IIKR   []refRow `json:"anova_II_kenward_roger"`
	IIIKR  []refRow `json:"anova_III_kenward_roger"`
	Ranova []refRow `json:"ranova"`
}

type refMeans struct {
	Means []refRow `json:"means"`
	Pairs []refRow `json:"pairs_none"`
	Tukey []refRow `json:"pairs_tukey"`
	Poly  struct {
		Tests []refRow `json:"tests"`
	} `json:"poly"`
}

func readJSON(t testing.TB, name string) (map[string]json.RawMessage, string) {
	t.Helper()
	raw, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(raw, &all); err != nil {
		t.Fatal(err)
	}
	var source string
	decode(t, all["source"], &source)
	return all, source
}

func decode(t testing.TB, raw json.RawMessage, into any) {
	t.Helper()
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatal(err)
	}
}

// tolerance per quantity, relative. The reference stops its own search at a
// gradient of about 1e-7, so its digits end there.
type tolerance struct{ variance, f, df, crit float64 }

func TestCake(t *testing.T) {
	t.Parallel()
	full := frame.Crossed(frame.T("recipe"), frame.T("tempU"))
	add := []frame.Term{frame.T("recipe"), frame.T("tempU")}
	sum := map[string]frame.Coding{"recipe": {Contrast: frame.Sum}, "tempU": {Contrast: frame.Sum}}
	poly := map[string]frame.Coding{"tempU": {Contrast: frame.Polynomial}}
	balanced := tolerance{variance: 1e-7, f: 1e-7, df: 1e-6, crit: 1e-12}
	unbalanced := tolerance{variance: 1e-6, f: 1e-6, df: 1e-5, crit: 1e-11}
	tests := []struct {
		file, key string
		terms     []frame.Term
		coding    map[string]frame.Coding
		tol       tolerance
	}{
		{"cake", "factor_sum_contrasts", full, sum, balanced},
		{"cake", "factor_poly_ordered", full, poly, balanced},
		{"cake", "factor_treatment", full, nil, balanced},
		{"cake", "factor_additive_treatment", add, nil, balanced},
		{"cake", "numeric_interaction", frame.Crossed(frame.T("recipe"), frame.T("temp")), nil, balanced},
		{"cake", "numeric_additive", []frame.Term{frame.T("recipe"), frame.T("temp")}, nil, balanced},
		{"cake", "quadratic_centered200_additive", []frame.Term{frame.T("recipe"), frame.T("c"), frame.T("c2")}, nil, balanced},
		{"cake", "two_random_additive", add, nil, balanced},
		{"cake_unbalanced", "model", full, sum, unbalanced},
		{"cake_unbalanced", "numeric", frame.Crossed(frame.T("recipe"), frame.T("temp")), nil, unbalanced},
	}
	for _, tc := range tests {
		t.Run(tc.file+"/"+tc.key, func(t *testing.T) {
			t.Parallel()
			all, source := readJSON(t, tc.file+".json")
			var ref refModel
			decode(t, all[tc.key], &ref)
			f, d := cakeFrame(t, tc.file+".csv")
			mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: tc.terms, Coding: tc.coding}))
			m := must(FitMatrix(floats(t, d["angle"]), mx, cakeGroups(d, strings.Contains(ref.Formula, "(1 | replicate)")), nil, Options{}))
			checkModel(t, m, ref, tc.tol, source)
		})
	}
}

// cakeGroups are recipe:replicate and, if asked for, replicate.
func cakeGroups(d map[string][]string, two bool) []Grouping {
	rep := grouping("replicate", d["replicate"])
	gs := []Grouping{must(Interaction(grouping("recipe", d["recipe"]), rep))}
	if two {
		gs = append([]Grouping{rep}, gs...)
	}
	return gs
}

func checkModel(t *testing.T, m *Layout, ref refModel, tol tolerance, source string) {
	t.Helper()
	if !m.Status.Converged {
		t.Errorf("not converged: %+v", m.Status)
	}
	for _, v := range ref.VarComp {
		if v.Group == "Residual" {
			reftest.Within(t, "residual variance", m.Sigma2, v.Variance, tol.variance, source)
			continue
		}
		for _, c := range m.Components {
			if c.Grouping == v.Group {
				reftest.Within(t, "variance of "+v.Group, c.Variance, v.Variance, tol.variance, source)
			}
		}
	}
	reftest.Within(t, "criterion", m.Criterion, ref.Criterion, tol.crit, source)
	reftest.Within(t, "log-likelihood", m.LogLik, ref.LogLik, tol.crit, source)
	reftest.Within(t, "AIC", m.AIC, ref.AIC, tol.crit, source)
	reftest.Within(t, "BIC", m.BIC, ref.BIC, tol.crit, source)
	if m.NPar != ref.NPar {
		t.Errorf("NPar = %d, want %d", m.NPar, ref.NPar)
	}
	checkCoefs(t, m, ref.Fixed, Satterthwaite, tol, source)
	checkCoefs(t, m, ref.FixedKR, KenwardRoger, tol, source)
	cov := m.Covariance()
	for i, row := range ref.Vcov.Values {
		for j, v := range row {
			scale := ref.Vcov.Values[i][i] + ref.Vcov.Values[j][j]
			reftest.WithinAbs(t, "covariance", cov.At(i, j), v, tol.variance, tol.variance*scale, source)
		}
	}
	checkTable(t, m, frame.TypeI, Satterthwaite, ref.ISat, tol, source)
	checkTable(t, m, frame.TypeIIByCovariates, Satterthwaite, ref.IISat, tol, source)
	checkTable(t, m, frame.TypeIII, Satterthwaite, ref.IIISat, tol, source)
	checkTable(t, m, frame.TypeI, KenwardRoger, ref.IKR, tol, source)
	checkTable(t, m, frame.TypeIIByCovariates, KenwardRoger, ref.IIKR, tol, source)
	checkTable(t, m, frame.TypeIII, KenwardRoger, ref.IIIKR, tol, source)
	lrts := must(m.RandomTests())
	for _, r := range ref.Ranova {
		for _, l := range lrts {
			if r.Term == "(1 | "+l.Name+")" {
				reftest.Within(t, "LRT of "+l.Name, l.Chi2, r.LRT, 1e-9, source)
				reftest.Within(t, "p of "+l.Name, l.P, r.P, 1e-8, source+"; p amplifies the error of the statistic")
			}
		}
	}
}

func checkCoefs(t *testing.T, m *Layout, ref []refRow, method Method, tol tolerance, source string) {
	t.Helper()
	if len(ref) == 0 {
		return
	}
	got := must(m.Coefficients(method))
	for i, r := range ref {
		name := method.String() + " " + r.Term
		reftest.WithinAbs(t, name+" estimate", got[i].Estimate, r.Estimate, tol.variance, tol.variance*r.SE, source)
		reftest.Within(t, name+" SE", got[i].SE, r.SE, tol.variance, source)
		reftest.Within(t, name+" df", got[i].DF, r.DF, tol.df, source)
		reftest.WithinAbs(t, name+" p", got[i].P, r.P, 100*tol.df, 1e-12, source+"; p amplifies the error of df")
	}
}

func checkTable(t *testing.T, m *Layout, kind frame.SumsOfSquares, method Method, ref []refRow, tol tolerance, source string) {
	t.Helper()
	if len(ref) == 0 {
		return
	}
	got := must(m.Table(kind, method))
	if len(got) != len(ref) {
		t.Fatalf("%d terms, want %d", len(got), len(ref))
	}
	for i, r := range ref {
		name := method.String() + " type " + string(rune('0'+kind)) + " " + r.Term
		reftest.Within(t, name+" F", got[i].F, r.F, tol.f, source)
		reftest.Within(t, name+" SS", got[i].SumSq, r.SS, tol.f+tol.variance, source)
		reftest.Within(t, name+" num df", float64(got[i].NumDF), r.NumDF, 0, source)
		reftest.Within(t, name+" den df", got[i].DenDF, r.DenDF, tol.df, source)
		reftest.WithinAbs(t, name+" p", got[i].P, r.P, 100*tol.df, 1e-30, source+"; p amplifies the error of df")
	}
}

func TestCakeMeans(t *testing.T) {
	t.Parallel()
	full := frame.Crossed(frame.T("recipe"), frame.T("tempU"))
	add := []frame.Term{frame.T("recipe"), frame.T("tempU")}
	tests := []struct {
		file, key, by string
		terms         []frame.Term
		method        Method
		tol           float64
	}{
		{"cake", "emm_temperature_satterthwaite", "tempU", full, Satterthwaite, 1e-6},
		{"cake", "emm_temperature_kr", "tempU", full, KenwardRoger, 1e-6},
		{"cake", "emm_recipe_satterthwaite", "recipe", full, Satterthwaite, 1e-6},
		{"cake", "emm_additive_temperature_kr", "tempU", add, KenwardRoger, 1e-6},
		{"cake_unbalanced", "emm_satterthwaite", "tempU", full, Satterthwaite, 1e-5},
		{"cake_unbalanced", "emm_kr", "tempU", full, KenwardRoger, 1e-5},
	}
	for _, tc := range tests {
		t.Run(tc.file+"/"+tc.key, func(t *testing.T) {
			t.Parallel()
			all, source := readJSON(t, tc.file+".json")
			var ref refMeans
			decode(t, all[tc.key], &ref)
			f, d := cakeFrame(t, tc.file+".csv")
			mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: tc.terms}))
			m := must(FitMatrix(floats(t, d["angle"]), mx, cakeGroups(d, false), nil, Options{}))
			ms := must(m.Means(frame.MeansSpec{By: []string{tc.by}}, tc.method))
			check := func(name string, e Estimate, r refRow, want float64) {
				reftest.WithinAbs(t, name, e.Estimate, want, 1e-7, 1e-7*r.SE, source)
				reftest.Within(t, name+" SE", e.SE, r.SE, 1e-6, source)
				reftest.Within(t, name+" df", e.DF, r.DF, tc.tol, source)
				reftest.WithinAbs(t, name+" p", e.P, r.P, 100*tc.tol, 1e-14, source)
				if r.Upper != 0 {
					iv := must(e.Interval(0.95))
					reftest.WithinAbs(t, name+" lower", iv.Low, r.Lower, 1e-6, 1e-6*r.SE, source)
					reftest.WithinAbs(t, name+" upper", iv.High, r.Upper, 1e-6, 1e-6*r.SE, source)
				}
			}
			for i, r := range ref.Means {
				check("mean "+ms.Means[i].Label, ms.Means[i].Estimate, r, r.EMMean)
			}
			pairs := must(ms.Pairs())
			if len(pairs) != len(ref.Pairs) || len(pairs) == 0 {
				t.Fatalf("%d pairs, want %d", len(pairs), len(ref.Pairs))
			}
			for i, r := range ref.Pairs {
				check(pairs[i].Label, pairs[i].Estimate, r, r.Estimate)
				p := pairs[i]
				v := ms.Covariance.At(p.First, p.First) + ms.Covariance.At(p.Second, p.Second) - 2*ms.Covariance.At(p.First, p.Second)
				reftest.Within(t, "variance of "+p.Label, v, p.SE*p.SE, 1e-9, "Var(a-b) = Var a + Var b - 2 Cov")
			}
			adjusted := must(ms.Adjust(pairs, multiple.Tukey, multiple.Options{}))
			for i, r := range ref.Tukey {
				// ptukey of R is good to about 1e-8 in absolute terms.
				reftest.WithinAbs(t, "Tukey "+pairs[i].Label, adjusted.Comparisons[i].P, r.P, 1e-5, 1e-8, source)
			}
			// The tabulated orthogonal polynomials for six levels.
			coef := [][]float64{{-5, -3, -1, 1, 3, 5}, {5, -1, -4, -4, -1, 5}, {-5, 7, 4, -4, -7, 5}, {1, -3, 2, 2, -3, 1}, {-1, 5, -10, 10, -5, 1}}
			for i, r := range ref.Poly.Tests {
				check("polynomial "+coefName(i), must(ms.Contrast(coef[i])), r, r.Estimate)
			}
		})
	}
}

func coefName(i int) string { return string(rune('1' + i)) }

// Dunnett against the first temperature: the differences of balanced means
// correlate by 1/2.
func TestCakeAgainst(t *testing.T) {
	t.Parallel()
	f, d := cakeFrame(t, "cake.csv")
	mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("recipe"), frame.T("tempU"))}))
	m := must(FitMatrix(floats(t, d["angle"]), mx, cakeGroups(d, false), nil, Options{}))
	ms := must(m.Means(frame.MeansSpec{By: []string{"tempU"}}, Satterthwaite))
	ds := must(ms.Against(0))
	pairs := must(ms.Pairs())
	for i, diff := range ds {
		reftest.Within(t, diff.Label, diff.Estimate.Estimate, -pairs[i].Estimate.Estimate, 1e-9, "the same pair the other way round")
		for j := range ds {
			if i != j {
				reftest.Within(t, "correlation", ms.correlation(ds)[i][j], 0.5, 1e-9, "balanced means with a shared control")
			}
		}
	}
	raw, dun := must(ms.Adjust(ds, multiple.None, multiple.Options{})), must(ms.Adjust(ds, multiple.Dunnett, multiple.Options{}))
	for i := range ds {
		lo, hi := raw.Comparisons[i].P, 5*raw.Comparisons[i].P
		if p := dun.Comparisons[i].P; p < lo || p > hi {
			t.Errorf("Dunnett p %v outside [%v, %v], no adjustment and Bonferroni", p, lo, hi)
		}
	}
	for _, c := range []int{-1, 6} {
		if _, err := ms.Against(c); !errors.Is(err, stats.ErrDomain) {
			t.Errorf("control %d: %v", c, err)
		}
	}
	if _, err := ms.Adjust([]Difference{{First: 0, Second: 9}}, multiple.None, multiple.Options{}); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("foreign difference: %v", err)
	}
	if _, err := ms.Contrast([]float64{1, math.Inf(1), 0, 0, 0, 0}); !errors.Is(err, stats.ErrNonFinite) {
		t.Errorf("infinite contrast: %v", err)
	}
	if _, err := ms.Contrast(nil); !errors.Is(err, stats.ErrLengths) {
		t.Errorf("no contrast: %v", err)
	}
	if _, err := ms.Contrast(make([]float64, 6)); !errors.Is(err, stats.ErrNoVariation) {
		t.Errorf("contrast of 0: %v", err)
	}
}

// A cell without data: its mean is not estimable, the others are.
func TestEmptyCell(t *testing.T) {
	t.Parallel()
	f, d := cakeFrame(t, "cake.csv")
	var keep []int
	for i := range d["recipe"] {
		if d["recipe"][i] != "B" || d["temperature"][i] != "205" {
			keep = append(keep, i)
		}
	}
	sub := must(f.Subset(keep))
	mx := must(frame.Build(sub, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("recipe"), frame.T("tempU"))}))
	all := cakeGroups(d, false)[0]
	g := Grouping{Name: all.Name, Levels: all.Levels}
	var y []float64
	for _, i := range keep {
		y, g.Codes = append(y, floats(t, d["angle"])[i]), append(g.Codes, all.Codes[i])
	}
	m := must(FitMatrix(y, mx, []Grouping{g}, nil, Options{}))
	if len(m.Aliased) != 1 {
		t.Fatalf("aliased %v", m.Aliased)
	}
	ms := must(m.Means(frame.MeansSpec{By: []string{"recipe", "tempU"}}, Satterthwaite))
	for _, mean := range ms.Means {
		if mean.Estimable != (mean.Label != "B, 205") {
			t.Errorf("%s estimable: %v", mean.Label, mean.Estimable)
		}
	}
	if n := len(must(ms.Pairs())); n != 17*16/2 {
		t.Errorf("%d pairs of 17 means", n)
	}
	for _, k := range []frame.SumsOfSquares{frame.TypeI, frame.TypeII, frame.TypeIII} {
		for _, row := range must(m.Table(k, KenwardRoger)) {
			if row.NumDF == 0 {
				t.Logf("type %d %s: not estimable", k, row.Name)
			}
		}
	}
}

func TestCakeML(t *testing.T) {
	t.Parallel()
	all, source := readJSON(t, "cake.json")
	var fits map[string]struct {
		LogLik   float64            `json:"logLik"`
		Deviance float64            `json:"deviance"`
		AIC      float64            `json:"AIC"`
		BIC      float64            `json:"BIC"`
		VarComp  []refRow           `json:"varcomp"`
		Fixef    map[string]float64 `json:"fixef"`
	}
	decode(t, all["ml_fits"], &fits)
	f, d := cakeFrame(t, "cake.csv")
	y := floats(t, d["angle"])
	fit := func(terms []frame.Term, ml bool) *Layout {
		mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: terms}))
		return must(FitMatrix(y, mx, cakeGroups(d, false), nil, Options{ML: ml}))
	}
	full := fit(frame.Crossed(frame.T("recipe"), frame.T("tempU")), true)
	add := fit([]frame.Term{frame.T("recipe"), frame.T("tempU")}, true)
	ref := fits["full"]
	reftest.Within(t, "log-likelihood", full.LogLik, ref.LogLik, 1e-12, source)
	reftest.Within(t, "deviance", full.Criterion, ref.Deviance, 1e-12, source)
	reftest.Within(t, "AIC", full.AIC, ref.AIC, 1e-12, source)
	reftest.Within(t, "BIC", full.BIC, ref.BIC, 1e-12, source)
	reftest.Within(t, "variance", full.Components[0].Variance, ref.VarComp[0].Variance, 1e-7, source+"; its search stops early")
	reftest.Within(t, "residual", full.Sigma2, ref.VarComp[1].Variance, 1e-7, source+"; its search stops early")
	reftest.Within(t, "intercept", full.Beta()[0], ref.Fixef["(Intercept)"], 1e-9, source)

	var lrt []struct {
		Chisq float64 `json:"Chisq"`
		DF    int     `json:"df"`
		P     float64 `json:"p"`
	}
	decode(t, all["lrt_ml_additive_vs_full"], &lrt)
	got := must(Compare(full.Model, add.Model))
	reftest.Within(t, "LRT", got.Chi2, lrt[1].Chisq, 1e-9, source)
	reftest.Within(t, "LRT p", got.P, lrt[1].P, 1e-9, source)
	if got.DF != lrt[1].DF {
		t.Errorf("df %d, want %d", got.DF, lrt[1].DF)
	}
	if _, err := full.Contrast([]float64{1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}, KenwardRoger); err == nil {
		t.Error("Kenward–Roger on an ML fit must be refused")
	}
	if _, err := Compare(full.Model, fit([]frame.Term{frame.T("recipe")}, false).Model); err == nil {
		t.Error("ML against REML must be refused")
	}
	if _, err := Compare(fit(frame.Crossed(frame.T("recipe"), frame.T("tempU")), false).Model, fit([]frame.Term{frame.T("recipe")}, false).Model); err == nil {
		t.Error("REML with different fixed parts must be refused")
	}
}

func TestCakeModes(t *testing.T) {
	t.Parallel()
	all, source := readJSON(t, "cake.json")
	var ref struct {
		Group []string  `json:"group"`
		Blup  []float64 `json:"blup"`
		Var   []float64 `json:"cond_var"`
	}
	decode(t, all["blup_trt"], &ref)
	f, d := cakeFrame(t, "cake.csv")
	mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("recipe"), frame.T("tempU"))}))
	m := must(FitMatrix(floats(t, d["angle"]), mx, cakeGroups(d, false), nil, Options{}))
	got := map[string]Mode{}
	for _, b := range m.Modes()[0] {
		got[b.Level] = b
	}
	for i, g := range ref.Group {
		reftest.WithinAbs(t, "mode of "+g, got[g].Mode, ref.Blup[i], 1e-7, 1e-7, source)
		reftest.Within(t, "variance of "+g, got[g].SD*got[g].SD, ref.Var[i], 1e-7, source)
	}
	// Marginal fitted values of the saturated cell model are the cell means.
	sum, n := 0.0, 0.0
	for i := range d["recipe"] {
		if d["recipe"][i] == "B" && d["tempU"] == nil && d["temperature"][i] == "195" {
			sum += floats(t, d["angle"])[i]
			n++
		}
	}
	for i, v := range m.Fitted(false) {
		if d["recipe"][i] == "B" && d["temperature"][i] == "195" {
			reftest.Within(t, "fitted", v, sum/n, 1e-12, "cell mean, balanced data")
		}
	}
	r, c := m.Residuals(true), m.Fitted(true)
	for i, y := range floats(t, d["angle"]) {
		reftest.Within(t, "fitted plus residual", r[i]+c[i], y, 1e-12, "definition")
	}
}
