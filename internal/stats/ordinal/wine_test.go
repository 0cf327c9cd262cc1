package ordinal

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/internal/reftest"
)

type refCoef struct {
	Term     string
	Estimate float64
	SE, Z, P float64
	_        struct{}
}

type refFit struct {
	Formula, Link    string
	Coef             []refCoef
	LogLik, AIC, BIC float64
	Npar             int
	Vcov             struct {
		Names  []string
		Values [][]float64
	}
	VarJudge float64 `json:"var_judge"`
	SdJudge  float64 `json:"sd_judge"`
	Naive    struct {
		LR    float64
		PDf1  float64 `json:"p_df1"`
		PHalf float64 `json:"p_half"`
	} `json:"lr_random_naive_df1"`
	Blup    []float64
	CondVar []float64 `json:"cond_var"`
}

type wineFile struct {
	Source string
	Data   struct {
		Rating, Judge []int
		Warm, Contact []float64
	}
	fits map[string]json.RawMessage
}

func readWine(t testing.TB) wineFile {
	t.Helper()
	raw, err := os.ReadFile("testdata/wine.json")
	if err != nil {
		t.Fatal(err)
	}
	var w wineFile
	if err := json.Unmarshal(raw, &w); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, &w.fits); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w wineFile) get(t testing.TB, key string, into any) {
	t.Helper()
	raw, ok := w.fits[key]
	if !ok {
		t.Fatalf("no %s in the reference file", key)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatalf("%s: %v", key, err)
	}
}

// data builds the model of a formula of the reference file.
func (w wineFile) data(formula string) Data {
	n := len(w.Data.Rating)
	d := Data{Y: w.Data.Rating, Scale: []int{1, 2, 3, 4, 5}}
	both := make([]float64, n)
	for i := range both {
		both[i] = w.Data.Warm[i] * w.Data.Contact[i]
	}
	var cols [][]float64
	add := func(name string, c []float64) {
		d.Names = append(d.Names, name)
		cols = append(cols, c)
	}
	formula, _, _ = strings.Cut(formula, " + (1")
	if strings.Contains(formula, "temp") {
		add("tempwarm", w.Data.Warm)
	}
	if strings.Contains(formula, "contact") {
		add("contactyes", w.Data.Contact)
	}
	if strings.Contains(formula, "*") {
		add("tempwarm:contactyes", both)
	}
	d.X = fromColumns(cols...)
	return d
}

func fromColumns(cols ...[]float64) *mat.Dense {
	if len(cols) == 0 {
		return nil
	}
	m := mat.NewDense(len(cols[0]), len(cols), nil)
	for j, c := range cols {
		m.SetCol(j, c)
	}
	return m
}

func linkOf(t testing.TB, name string) Link {
	for l := Logit; l <= CLogLog; l++ {
		if l.String() == name {
			return l
		}
	}
	t.Fatalf("unknown link %q", name)
	return 0
}

// checkFit compares coefficients (rel), their standard errors and covariances
// (relSE) and the criteria (rel).
func checkFit(t *testing.T, name string, got *Result, want refFit, rel, relSE float64, source string) {
	t.Helper()
	if got.Outcome != Estimated {
		t.Errorf("%s: outcome %v, %s", name, got.Outcome, got.Status.Message)
	}
	if got.Parameters != want.Npar {
		t.Errorf("%s: %d parameters, want %d", name, got.Parameters, want.Npar)
	}
	reftest.Within(t, name+" logLik", got.LogLik, want.LogLik, rel, source)
	reftest.Within(t, name+" AIC", got.AIC, want.AIC, rel, source)
	reftest.Within(t, name+" BIC", got.BIC, want.BIC, rel, source)
	if len(got.Coefficients) != len(want.Coef) {
		t.Fatalf("%s: %d coefficients, want %d", name, len(got.Coefficients), len(want.Coef))
	}
	for i, c := range want.Coef {
		g := got.Coefficients[i]
		if g.Name != c.Term {
			t.Errorf("%s: coefficient %d is %q, want %q", name, i, g.Name, c.Term)
		}
		reftest.Within(t, name+" "+c.Term, g.Estimate, c.Estimate, rel, source)
		reftest.Within(t, name+" SE "+c.Term, g.SE, c.SE, relSE, source)
		reftest.Within(t, name+" z "+c.Term, g.Z, c.Z, relSE, source)
		// A p of z: relative error about z² times that of z, at most 50 here.
		reftest.Within(t, name+" p "+c.Term, g.P, c.P, 60*relSE, source)
		for j := range want.Coef {
			reftest.WithinAbs(t, name+" covariance", got.Covariance[i][j], want.Vcov.Values[i][j], 2*relSE, relSE*c.SE*c.SE, source)
		}
	}
}

// The reference iterates until its gradient is below 1e-6, which leaves up to
// eight digits in the estimates; that is where 1e-8 comes from.
const wineFixed = 1e-8

func TestWineFixed(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	type lr struct{ LR, Df, P float64 }
	for _, link := range []string{"logit", "probit", "cloglog"} {
		var set map[string]json.RawMessage
		w.get(t, "clm_"+link, &set)
		fits := map[string]*Result{}
		for _, name := range []string{"null", "temp", "additive", "interaction"} {
			var want refFit
			if err := json.Unmarshal(set[name], &want); err != nil {
				t.Fatal(err)
			}
			got, err := Fit(w.data(want.Formula), Options{Link: linkOf(t, link)})
			if err != nil {
				t.Fatalf("%s %s: %v", link, name, err)
			}
			fits[name] = got
			checkFit(t, link+" "+name, got, want, wineFixed, wineFixed, w.Source)
		}
		for key, pair := range map[string][2]string{"lr_temp_vs_null": {"null", "temp"},
			"lr_contact": {"temp", "additive"}, "lr_interaction": {"additive", "interaction"}} {
			var want lr
			if err := json.Unmarshal(set[key], &want); err != nil {
				t.Fatal(err)
			}
			got, err := LikelihoodRatio(fits[pair[0]], fits[pair[1]])
			if err != nil {
				t.Fatal(err)
			}
			// A difference of two log likelihoods loses up to three digits.
			reftest.Within(t, link+" "+key, got.Statistic, want.LR, wineFixed, w.Source)
			reftest.Within(t, link+" "+key+" p", got.P, want.P, wineFixed, w.Source)
			if got.DF != int(want.Df) {
				t.Errorf("%s %s: df %d, want %g", link, key, got.DF, want.Df)
			}
		}

		var probs []map[string]any
		if err := json.Unmarshal(set["fitted_class_probs"], &probs); err != nil {
			t.Fatal(err)
		}
		for _, row := range probs {
			x := []float64{0, 0}
			if row["temp"] == "warm" {
				x[0] = 1
			}
			if row["contact"] == "yes" {
				x[1] = 1
			}
			got, err := fits["additive"].Predict(Point{X: x}, nil)
			if err != nil {
				t.Fatal(err)
			}
			for j, p := range got.Probabilities {
				reftest.Within(t, "probability", p, row[string(rune('1'+j))].(float64), wineFixed, w.Source)
			}
		}

		var profile []map[string]any
		if err := json.Unmarshal(set["profile_ci"], &profile); err != nil {
			t.Fatal(err)
		}
		for _, row := range profile {
			iv, err := fits["additive"].Profile(row["term"].(string), 0.95)
			if err != nil {
				t.Fatal(err)
			}
			// The reference interpolates its profile with a spline.
			reftest.Within(t, link+" profile low", iv.Low, row["2_5_%"].(float64), 1e-3, w.Source)
			reftest.Within(t, link+" profile high", iv.High, row["97_5_%"].(float64), 1e-3, w.Source)
		}
	}
}

func TestWineNominalAndScale(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	type row struct {
		Term             string
		Df               *int
		LogLik, AIC, LRT *float64
		P                *float64
	}
	terms := []Term{{"temp", []int{0}}, {"contact", []int{1}}}
	for key, run := range map[string]func(Data, Options, []Term) ([]TermTest, error){
		"nominal_test_logit_additive": NominalTests, "scale_test": ScaleTests,
	} {
		var want []row
		w.get(t, key, &want)
		got, err := run(w.data("rating ~ temp + contact"), Options{}, terms)
		if err != nil {
			t.Fatal(err)
		}
		for i, g := range got {
			r := want[i+1]
			if g.Term != r.Term || g.DF != *r.Df {
				t.Errorf("%s: %s with %d df, want %s with %d", key, g.Term, g.DF, r.Term, *r.Df)
			}
			reftest.Within(t, key+" logLik "+g.Term, g.LogLik, *r.LogLik, wineFixed, w.Source)
			reftest.Within(t, key+" AIC "+g.Term, g.AIC, *r.AIC, wineFixed, w.Source)
			// The statistic is a difference of 0.1 between values near 86.
			reftest.Within(t, key+" LRT "+g.Term, g.Statistic, *r.LRT, 1e-7, w.Source)
			reftest.Within(t, key+" p "+g.Term, g.P, *r.P, 1e-7, w.Source)
		}
	}
}

func TestWineMixed(t *testing.T) {
	t.Parallel()
	w := readWine(t)
	// The reference maximises with a numeric gradient and differences its
	// Hessian: 1e-5 for estimates and 1e-4 for standard errors is what it holds.
	const rel, relSE = 1e-5, 1e-4
	for key, points := range map[string]int{
		"clmm_logit_nAGQ1": 1, "clmm_logit_nAGQ10": 10, "clmm_logit_nAGQ30": 30,
		"clmm_probit_nAGQ1": 1, "clmm_probit_nAGQ10": 10, "clmm_probit_nAGQ30": 30,
	} {
		var want refFit
		w.get(t, key, &want)
		d := w.data(want.Formula)
		opt := Options{Link: linkOf(t, want.Link)}
		got, err := FitMixed(d, w.Data.Judge, points, opt)
		if err != nil {
			t.Fatalf("%s: %v", key, err)
		}
		checkFit(t, key, got, want, rel, relSE, w.Source)
		reftest.Within(t, key+" sd", got.Random.SD, want.SdJudge, rel, w.Source)
		reftest.Within(t, key+" variance", got.Random.VarianceComponent(), want.VarJudge, 2*rel, w.Source)
		// The reference's covariance is in terms of log SD. Its Laplace fit is
		// good for 2e-4 there: TestMarginalDerivatives differences the likelihood
		// itself and sides with ours.
		sd := got.Random.SD
		for j := range want.Coef {
			reftest.WithinAbs(t, key+" covariance with log SD", got.Covariance[j][6]/sd, want.Vcov.Values[j][6], 10*relSE, relSE*want.Vcov.Values[j][j], w.Source)
		}
		reftest.Within(t, key+" SE of log SD", got.Random.SE/sd, math.Sqrt(want.Vcov.Values[6][6]), 2*relSE, w.Source)
		for g := range want.Blup {
			// A mode near 0 inherits the absolute error of the thresholds.
			reftest.WithinAbs(t, key+" mode", got.Random.Mode[g], want.Blup[g], 10*rel, 4*rel, w.Source)
			reftest.Within(t, key+" variance of mode", got.Random.Variance[g], want.CondVar[g], 10*rel, w.Source)
		}
		plain, err := Fit(d, opt)
		if err != nil {
			t.Fatal(err)
		}
		lr, err := LikelihoodRatio(plain, got)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, key+" LR of the judges", lr.Statistic, want.Naive.LR, 1e-6, w.Source)
		reftest.Within(t, key+" half p", lr.P, want.Naive.PHalf, rel, w.Source)
	}
	small, err := FitMixed(w.data("rating ~ temp"), w.Data.Judge, 10, Options{})
	if err != nil {
		t.Fatal(err)
	}
	large, err := FitMixed(w.data("rating ~ temp + contact"), w.Data.Judge, 10, Options{})
	if err != nil {
		t.Fatal(err)
	}
	lr, err := LikelihoodRatio(small, large)
	if err != nil {
		t.Fatal(err)
	}
	var want struct{ LR, Df, P float64 }
	w.get(t, "clmm_lr_contact_nAGQ10", &want)
	reftest.Within(t, "clmm contact", lr.Statistic, want.LR, rel, w.Source)
	reftest.Within(t, "clmm contact p", lr.P, want.P, 10*rel, w.Source)
}
