package curve

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

type refFit struct {
	Coef []struct {
		Term         string
		Estimate, SE float64
	}
	Sigma   float64
	DFResid int `json:"df_resid"`
	RSS     float64
	LogLik  float64
	AICc    float64
	Wald    []struct{ Lower, Upper float64 } `json:"wald_ci"`
	Profile []struct {
		Low  float64 `json:"2_5%"`
		High float64 `json:"97_5%"`
	} `json:"profile_ci"`
	LackOfFit struct {
		F, P float64
		DF   []float64
	} `json:"lack_of_fit"`
	Offset float64 `json:"final_relative_offset"`
}

type refIso struct {
	X    []float64 `json:"x_unique"`
	Up   []float64 `json:"pava_weighted_on_means"`
	Down []float64 `json:"pava_decreasing"`
}

type refExtra struct{ F, P float64 }

type references struct {
	Source string
	DNase  struct {
		Conc, Density  []float64
		SSlogis, SSfpl refFit
		Inverse        []struct {
			Y0      float64   `json:"y0"`
			LogConc float64   `json:"log_conc"`
			SE      float64   `json:"se_delta"`
			CI      []float64 `json:"ci_delta_log"`
		} `json:"inverse_fpl"`
		Extra    refExtra `json:"extra_ss_F"`
		Isotonic refIso
	} `json:"dnase"`
	Puromycin struct {
		Conc, Rate []float64
		State      []string
		Treated    refFit     `json:"treated"`
		Untreated  refFit     `json:"untreated"`
		Joint      refFit     `json:"joint_dV_dK"`
		Common     refFit     `json:"joint_common_K"`
		FdK        []refExtra `json:"F_dK"`
	} `json:"puromycin"`
	Cars struct {
		Speed, Dist       []float64
		Linear, Quadratic refFit
		WLS               refFit                 `json:"wls_inverse_speed"`
		LoF1              struct{ F, P float64 } `json:"lack_of_fit_linear"`
		LoF2              struct{ F, P float64 } `json:"lack_of_fit_quadratic"`
		Isotonic          refIso
		Anova             []refExtra `json:"anova_lin_vs_quad"`
	} `json:"cars"`
	Pressure struct {
		Temperature, Pressure []float64
		Quadratic             refFit
	} `json:"pressure"`
}

func loadReferences(t *testing.T) *references {
	t.Helper()
	raw, err := os.ReadFile("testdata/curves.json")
	if err != nil {
		t.Fatal(err)
	}
	var r references
	if err := json.Unmarshal(raw, &r); err != nil {
		t.Fatal(err)
	}
	return &r
}

// agrees compares a solution with a reference fit. rel is for estimates, the
// standard errors get ten times as much: nls stops at its relative offset.
func agrees(t *testing.T, name string, s *Solution, want refFit, rel float64, source string) {
	t.Helper()
	if !s.Status.Converged {
		t.Errorf("%s did not converge: %s", name, s.Status.Message)
	}
	if s.DF != want.DFResid || len(s.Coef) != len(want.Coef) {
		t.Fatalf("%s: df %d, %d parameters; want %d, %d", name, s.DF, len(s.Coef), want.DFResid, len(want.Coef))
	}
	for i, c := range want.Coef {
		reftest.Within(t, name+" "+c.Term, s.Coef[i], c.Estimate, rel, source)
		reftest.Within(t, name+" SE "+c.Term, s.SE[i], c.SE, 10*rel, source)
	}
	reftest.Within(t, name+" sigma", s.Sigma, want.Sigma, 1e-9, source)
	reftest.Within(t, name+" RSS", s.RSS, want.RSS, 1e-9, source)
	reftest.Within(t, name+" logLik", s.LogLik, want.LogLik, 1e-9, source)
	reftest.Within(t, name+" AICc", s.AICc, want.AICc, 1e-9, source)
	for i, w := range want.Wald {
		iv, err := s.Wald(i, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		// The ends cancel; they are as good as the standard error.
		reftest.WithinAbs(t, name+" Wald low", iv.Low, w.Lower, 0, 100*rel*s.SE[i]+1e-9*math.Abs(w.Lower), source)
		reftest.WithinAbs(t, name+" Wald high", iv.High, w.Upper, 0, 100*rel*s.SE[i]+1e-9*math.Abs(w.Upper), source)
	}
	for i, w := range want.Profile {
		iv, err := s.Profile(i, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		// R interpolates the profile by a spline: trusted to 1e-3.
		reftest.WithinAbs(t, name+" profile low", iv.Low, w.Low, 1e-3, 2e-3*s.SE[i], source)
		reftest.WithinAbs(t, name+" profile high", iv.High, w.High, 1e-3, 2e-3*s.SE[i], source)
	}
}

func TestDNase(t *testing.T) {
	t.Parallel()
	r := loadReferences(t)
	x := make([]float64, len(r.DNase.Conc))
	for i, c := range r.DNase.Conc {
		x[i] = math.Log(c)
	}
	three, err := FitFamily(Logistic3, x, r.DNase.Density, nil, &Scale{0, 3})
	if err != nil {
		t.Fatal(err)
	}
	four, err := FitFamily(Logistic4, x, r.DNase.Density, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	// The reference stopped at a relative offset of 8e-10 and 9e-9.
	agrees(t, "SSlogis", three, r.DNase.SSlogis, 1e-8, r.Source)
	agrees(t, "SSfpl", four, r.DNase.SSfpl, 1e-7, r.Source)

	for name, c := range map[string]struct {
		s *Solution
		w refFit
	}{"SSlogis": {three, r.DNase.SSlogis}, "SSfpl": {four, r.DNase.SSfpl}} {
		f, err := c.s.LackOfFit(x)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, name+" lack of fit F", f.F, c.w.LackOfFit.F, 1e-9, r.Source)
		reftest.Within(t, name+" lack of fit p", f.P, c.w.LackOfFit.P, 1e-8, r.Source)
		if f.DF1 != c.w.LackOfFit.DF[0] || f.DF2 != c.w.LackOfFit.DF[1] {
			t.Errorf("%s: lack of fit on %v and %v", name, f.DF1, f.DF2)
		}
	}
	f, err := ExtraSS(three, four)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "extra F", f.F, r.DNase.Extra.F, 1e-8, r.Source)
	reftest.Within(t, "extra p", f.P, r.DNase.Extra.P, 1e-8, r.Source)

	for _, v := range r.DNase.Inverse {
		// x = mid − scale·log((B − y)/(y − A)).
		at, se, err := four.Predict(func(b []float64) float64 {
			return b[2] - b[3]*math.Log((b[1]-v.Y0)/(v.Y0-b[0]))
		})
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "inverse", at, v.LogConc, 1e-7, r.Source)
		reftest.Within(t, "inverse SE", se, v.SE, 1e-6, r.Source)
	}
	testIso(t, "dnase", x, r.DNase.Density, r.DNase.Isotonic, r.Source)
}

func testIso(t *testing.T, name string, x, y []float64, want refIso, source string) {
	t.Helper()
	for _, down := range []bool{false, true} {
		iso, err := Isotonic(x, y, nil, down)
		if err != nil {
			t.Fatal(err)
		}
		w := want.Up
		if down {
			w = want.Down
		}
		if len(iso.Fitted) != len(w) {
			t.Fatalf("%s: %d steps, want %d", name, len(iso.Fitted), len(w))
		}
		for i := range w {
			reftest.Within(t, fmt.Sprintf("%s isotonic %d", name, i), iso.Fitted[i], w[i], 1e-12, source)
		}
	}
}

// michaelis is Vm·x/(K + x), with differences between two states.
func michaelis(x float64, b []float64) float64 { return b[0] * x / (b[1] + x) }

func TestPuromycin(t *testing.T) {
	t.Parallel()
	r := loadReferences(t)
	p := r.Puromycin
	for state, want := range map[string]refFit{"treated": p.Treated, "untreated": p.Untreated} {
		var x, y []float64
		for i, s := range p.State {
			if s == state {
				x, y = append(x, p.Conc[i]), append(y, p.Rate[i])
			}
		}
		s, err := Solve(problemOf(x, y, michaelis), []float64{100, 1}, SolveOptions{})
		if err != nil {
			t.Fatal(err)
		}
		// The reference stopped at a relative offset of 2e-8.
		agrees(t, state, s, want, 1e-6, r.Source)
	}
	treated := func(i int) float64 {
		if p.State[i] == "treated" {
			return 1
		}
		return 0
	}
	joint := func(k int) *Solution {
		s, err := Solve(Problem{Y: p.Rate, Mean: func(b, out []float64) {
			for i, x := range p.Conc {
				d := 0.0
				if k == 4 {
					d = b[3]
				}
				out[i] = (b[0] + b[1]*treated(i)) * x / (b[2] + d*treated(i) + x)
			}
		}}, []float64{150, 40, 0.05, 0.01}[:k], SolveOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	full, nested := joint(4), joint(3)
	agrees(t, "joint", full, p.Joint, 1e-6, r.Source)
	agrees(t, "common K", nested, p.Common, 1e-6, r.Source)
	f, err := ExtraSS(nested, full)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "F for dK", f.F, p.FdK[1].F, 1e-8, r.Source)
	reftest.Within(t, "p for dK", f.P, p.FdK[1].P, 1e-8, r.Source)
}

func TestCarsAndPressure(t *testing.T) {
	t.Parallel()
	r := loadReferences(t)
	c := r.Cars
	line, err := FitFamily(Line, c.Speed, c.Dist, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	agrees(t, "cars line", line, c.Linear, 1e-11, r.Source)
	quad, err := FitFamily(Quadratic, c.Speed, c.Dist, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	agrees(t, "cars quadratic", quad, c.Quadratic, 1e-10, r.Source)
	w := make([]float64, len(c.Speed))
	for i, s := range c.Speed {
		w[i] = 1 / s
	}
	wls, err := FitFamily(Line, c.Speed, c.Dist, w, nil)
	if err != nil {
		t.Fatal(err)
	}
	agrees(t, "cars weighted", wls, c.WLS, 1e-11, r.Source)
	for i, s := range []*Solution{line, quad} {
		f, err := s.LackOfFit(c.Speed)
		if err != nil {
			t.Fatal(err)
		}
		want := c.LoF1
		if i == 1 {
			want = c.LoF2
		}
		reftest.Within(t, "lack of fit F", f.F, want.F, 1e-10, r.Source)
		reftest.Within(t, "lack of fit p", f.P, want.P, 1e-10, r.Source)
	}
	f, err := ExtraSS(line, quad)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "line against quadratic", f.F, c.Anova[1].F, 1e-9, r.Source)
	testIso(t, "cars", c.Speed, c.Dist, c.Isotonic, r.Source)

	y := make([]float64, len(r.Pressure.Pressure))
	for i, v := range r.Pressure.Pressure {
		y[i] = math.Log(v)
	}
	quad, err = FitFamily(Quadratic, r.Pressure.Temperature, y, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	agrees(t, "pressure quadratic", quad, r.Pressure.Quadratic, 1e-10, r.Source)
}

// TestStageAgainstPlain: where every row is a cook, the second stage is plain
// least squares, and its lack of fit is the classical one.
func TestStageAgainstPlain(t *testing.T) {
	t.Parallel()
	r := loadReferences(t)
	st, err := New(Data{X: r.Cars.Speed, Y: r.Cars.Dist}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := st.Fit()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range f.Candidates {
		var want refFit
		var lof struct{ F, P float64 }
		switch c.Family {
		case Line:
			want, lof = r.Cars.Linear, r.Cars.LoF1
		case Quadratic:
			want, lof = r.Cars.Quadratic, r.Cars.LoF2
		default:
			continue
		}
		sigma := math.Sqrt(st.VResidual)
		reftest.Within(t, "logLik", c.LogLik, want.LogLik, 1e-10, r.Source)
		reftest.Within(t, "AICc", c.AICc, want.AICc, 1e-10, r.Source)
		reftest.Within(t, "RSS", c.RSS*st.VResidual, want.RSS, 1e-10, r.Source)
		for i, w := range want.Coef {
			reftest.Within(t, w.Term, c.Coef[i].Value, w.Estimate, 1e-9, r.Source)
			// The same curve with the error of repeats instead of the residual.
			reftest.Within(t, "SE "+w.Term, c.Coef[i].SE, w.SE*sigma/want.Sigma, 1e-9, r.Source)
		}
		reftest.Within(t, "lack of fit F", c.LackOfFit.F, lof.F, 1e-10, r.Source)
		reftest.Within(t, "lack of fit p", c.LackOfFit.P, lof.P, 1e-10, r.Source)
	}
	if _, err := f.Inverse(9, 0, 50, 0.95); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("candidate 9: %v", err)
	}
}
