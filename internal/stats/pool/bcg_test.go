package pool

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

type bcgMethod struct {
	Est, SE, Z, P, Tau2 float64
	CI                  [2]float64
	SETau2              *float64 `json:"se_tau2"`
	I2                  float64  `json:"I2_pct"`
	H2, Q               float64
	QP                  float64 `json:"Q_p"`
	LogLik              float64
	PINormal            *[2]float64 `json:"pi_normal"`
	KnHa                *struct {
		SE, T, P float64
		CI       [2]float64
		PI       [2]float64 `json:"pi_t_km1"`
	}
	PIHiggins *[2]float64 `json:"pi_t_km2_higgins"`
}

type bcg struct {
	Source string
	Data   struct{ Yi, Vi, Ablat []float64 }
	RR     json.RawMessage
	Reg    struct {
		Est, SE           []float64
		Tau2, QM, QMp, QE float64
		R2                float64   `json:"R2_pct"`
		KnHaSE            []float64 `json:"knha_se"`
		F                 float64   `json:"knha_F"`
		FP                float64   `json:"knha_p"`
	} `json:"metareg_ablat_REML"`
	methods map[string]json.RawMessage
}

func readBCG(t testing.TB) bcg {
	t.Helper()
	raw, err := os.ReadFile("testdata/bcg.json")
	if err != nil {
		t.Fatal(err)
	}
	var b bcg
	if err := json.Unmarshal(raw, &b); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b.RR, &b.methods); err != nil {
		t.Fatal(err)
	}
	return b
}

func checkInterval(t *testing.T, name string, got *stats.Interval, want [2]float64, rel float64, source string) {
	t.Helper()
	if got == nil {
		t.Errorf("%s: no interval", name)
		return
	}
	reftest.Within(t, name+" low", got.Low, want[0], rel, source)
	reftest.Within(t, name+" high", got.High, want[1], rel, source)
}

// The reference stops its own iterations for τ² at 1e-5 of a step and is good
// for 1e-8, its stated trust.
const bcgTrust = 1e-8

func TestBCG(t *testing.T) {
	t.Parallel()
	b := readBCG(t)
	src := b.Source
	for name, m := range map[string]Method{"FE": Fixed, "DL": DerSimonianLaird, "REML": REML, "ML": ML,
		"PM": PauleMandel, "EB": PauleMandel, "HS": HunterSchmidt, "SJ": SidikJonkman} {
		var want bcgMethod
		if err := json.Unmarshal(b.methods[name], &want); err != nil {
			t.Fatal(err)
		}
		r, err := Pool(b.Data.Yi, b.Data.Vi, Options{Method: m})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !r.Status.Converged {
			t.Errorf("%s: %+v", name, r.Status)
		}
		c := r.Coefficients[0]
		reftest.Within(t, name+" estimate", c.Estimate, want.Est, bcgTrust, src)
		reftest.Within(t, name+" SE", c.SE, want.SE, bcgTrust, src)
		reftest.Within(t, name+" z", c.Stat, want.Z, bcgTrust, src)
		reftest.Within(t, name+" p", c.P, want.P, 10*bcgTrust, src)
		checkInterval(t, name, &c.Interval, want.CI, bcgTrust, src)
		reftest.Within(t, name+" tau2", r.Tau2, want.Tau2, bcgTrust, src)
		if r.HasTau2SE != (want.SETau2 != nil) {
			t.Errorf("%s: SE of tau2 present: %v", name, r.HasTau2SE)
		} else if r.HasTau2SE {
			reftest.Within(t, name+" SE of tau2", r.Tau2SE, *want.SETau2, bcgTrust, src)
		}
		reftest.Within(t, name+" I2", 100*r.I2, want.I2, bcgTrust, src)
		reftest.Within(t, name+" H2", r.H2, want.H2, bcgTrust, src)
		reftest.Within(t, name+" Q", r.Q, want.Q, bcgTrust, src)
		reftest.Within(t, name+" Q p", r.QP, want.QP, bcgTrust, src)
		reftest.Within(t, name+" logLik", r.LogLik, want.LogLik, bcgTrust, src)
		if m == Fixed {
			if r.Prediction != nil || r.PredictionNormal != nil || r.PredictionKH != nil || r.Tau2Interval != nil {
				t.Error("the fixed model has no new trial to predict")
			}
			continue
		}
		checkInterval(t, name+" normal prediction", r.PredictionNormal, *want.PINormal, bcgTrust, src)
		checkInterval(t, name+" prediction on k-2", r.Prediction, *want.PIHiggins, bcgTrust, src)
		checkInterval(t, name+" prediction Knapp-Hartung", r.PredictionKH, want.KnHa.PI, bcgTrust, src)
		k := r.KnappHartung[0]
		reftest.Within(t, name+" KH SE", k.SE, want.KnHa.SE, bcgTrust, src)
		reftest.Within(t, name+" KH t", k.Stat, want.KnHa.T, bcgTrust, src)
		reftest.Within(t, name+" KH p", k.P, want.KnHa.P, 10*bcgTrust, src)
		checkInterval(t, name+" KH", &k.Interval, want.KnHa.CI, bcgTrust, src)
	}
}

func TestBCGProfileWeightsShrinkage(t *testing.T) {
	t.Parallel()
	b := readBCG(t)
	r, err := Pool(b.Data.Yi, b.Data.Vi, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var profile struct{ Values [][3]float64 }
	if err := json.Unmarshal(b.methods["q_profile_ci_reml"], &profile); err != nil {
		t.Fatal(err)
	}
	// The reference brackets the ends of its profile to about 1e-4 of τ².
	const endTrust = 1e-4
	iv := *r.Tau2Interval
	for e, tau2 := range []float64{r.Tau2, iv.Low, iv.High} {
		tol := endTrust
		if e == 0 {
			tol = bcgTrust
		}
		i2, h2, err := r.Heterogeneity(tau2)
		if err != nil {
			t.Fatal(err)
		}
		for row, got := range []float64{tau2, math.Sqrt(tau2), 100 * i2, h2} {
			reftest.Within(t, "Q profile", got, profile.Values[row][e], tol, b.Source)
		}
	}
	var weights []float64
	if err := json.Unmarshal(b.methods["weights_REML_pct"], &weights); err != nil {
		t.Fatal(err)
	}
	var blup []struct{ Pred, SE float64 }
	if err := json.Unmarshal(b.methods["blup_REML"], &blup); err != nil {
		t.Fatal(err)
	}
	for i, s := range r.Shrink() {
		reftest.Within(t, "weight", 100*r.Weights[i], weights[i], bcgTrust, b.Source)
		// λ moves with τ², so do small predictions.
		reftest.WithinAbs(t, "shrunken", s.Value, blup[i].Pred, bcgTrust, 1e-9, b.Source)
		reftest.Within(t, "shrunken SE", s.SE, blup[i].SE, bcgTrust, b.Source)
	}
	var loo []struct{ Est, SE, Tau2, Q, I2 float64 }
	if err := json.Unmarshal(b.methods["leave_one_out_DL"], &loo); err != nil {
		t.Fatal(err)
	}
	all, err := LeaveOneOut(b.Data.Yi, b.Data.Vi, Options{Method: DerSimonianLaird})
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range loo {
		reftest.Within(t, "leave one out", all[i].Coefficients[0].Estimate, w.Est, bcgTrust, b.Source)
		reftest.Within(t, "leave one out SE", all[i].Coefficients[0].SE, w.SE, bcgTrust, b.Source)
		reftest.Within(t, "leave one out tau2", all[i].Tau2, w.Tau2, bcgTrust, b.Source)
		reftest.Within(t, "leave one out Q", all[i].Q, w.Q, bcgTrust, b.Source)
		reftest.Within(t, "leave one out I2", 100*all[i].I2, w.I2, bcgTrust, b.Source)
	}
	var egger struct{ T, P, DF float64 }
	if err := json.Unmarshal(b.methods["egger_lm"], &egger); err != nil {
		t.Fatal(err)
	}
	e, err := Egger(b.Data.Yi, b.Data.Vi)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "Egger t", e.T, egger.T, bcgTrust, b.Source)
	reftest.Within(t, "Egger p", e.P, egger.P, bcgTrust, b.Source)
	reftest.Within(t, "Egger df", float64(e.DF), egger.DF, 0, b.Source)
}

func TestBCGModerator(t *testing.T) {
	t.Parallel()
	b := readBCG(t)
	r, err := Pool(b.Data.Yi, b.Data.Vi, Options{Moderators: mat.NewDense(13, 1, b.Data.Ablat), Names: []string{"latitude"}})
	if err != nil {
		t.Fatal(err)
	}
	w := b.Reg
	for j := range w.Est {
		reftest.Within(t, "estimate", r.Coefficients[j].Estimate, w.Est[j], bcgTrust, b.Source)
		reftest.Within(t, "SE", r.Coefficients[j].SE, w.SE[j], bcgTrust, b.Source)
		reftest.Within(t, "KH SE", r.KnappHartung[j].SE, w.KnHaSE[j], bcgTrust, b.Source)
	}
	reftest.Within(t, "tau2", r.Tau2, w.Tau2, bcgTrust, b.Source)
	reftest.Within(t, "QM", r.Moderators.Q, w.QM, bcgTrust, b.Source)
	reftest.Within(t, "QM p", r.Moderators.P, w.QMp, 10*bcgTrust, b.Source)
	reftest.Within(t, "QE", r.Q, w.QE, bcgTrust, b.Source)
	reftest.Within(t, "R2", 100*r.Moderators.R2, w.R2, bcgTrust, b.Source)
	reftest.Within(t, "KH F", r.Moderators.F, w.F, bcgTrust, b.Source)
	reftest.Within(t, "KH p", r.Moderators.FP, w.FP, bcgTrust, b.Source)
}
