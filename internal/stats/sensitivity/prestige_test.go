package sensitivity

import (
	"encoding/json"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/internal/reftest"
)

type prestige struct {
	Source string
	Data   struct{ Education, Income, Women, Prestige []float64 }
	Ref    struct {
		Estimate, SE, T, DF float64
		PartialR2           float64 `json:"partial_r2"`
		CohensF             float64 `json:"cohens_f"`
		RVQ1                float64 `json:"rv_q1"`
		RVQHalf             float64 `json:"rv_q_half"`
		RVAlpha             []struct {
			Alpha float64
			FCrit float64 `json:"f_crit"`
			RV    float64 `json:"rv_with_boundary_case"`
		} `json:"rv_q1_alpha"`
		Adjusted []struct {
			R2yz, R2dz, Bias float64
			Value            float64 `json:"adj_estimate"`
			SE               float64 `json:"adj_se"`
			T                float64 `json:"adj_t"`
		}
		Benchmark struct {
			R2y    float64 `json:"r2yxj_dx"`
			R2d    float64 `json:"r2dxj_x"`
			Bounds []struct {
				K           float64
				Valid       bool
				Capped      bool `json:"r2yz_capped_at_1"`
				R2yz, R2dz  float64
				Bias        float64
				AdjEstimate float64  `json:"adj_estimate"`
				AdjSE       float64  `json:"adj_se"`
				AdjT        *float64 `json:"adj_t"`
			}
		}
	} `json:"prestige_education"`
}

func readPrestige(t testing.TB) prestige {
	t.Helper()
	raw, err := os.ReadFile("testdata/prestige.json")
	if err != nil {
		t.Fatal(err)
	}
	var p prestige
	if err := json.Unmarshal(raw, &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func (p prestige) covariates() *mat.Dense {
	m := mat.NewDense(len(p.Data.Income), 2, nil)
	m.SetCol(0, p.Data.Income)
	m.SetCol(1, p.Data.Women)
	return m
}

func TestPrestige(t *testing.T) {
	t.Parallel()
	const rel = 1e-12
	p := readPrestige(t)
	ref, src := p.Ref, p.Source
	r, err := Regress(p.Data.Prestige, p.Data.Education, p.covariates())
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "estimate", r.Value, ref.Estimate, rel, src)
	reftest.Within(t, "SE", r.SE, ref.SE, rel, src)
	reftest.Within(t, "t", r.T(), ref.T, rel, src)
	reftest.Within(t, "df", r.DF, ref.DF, 0, src)
	b, err := r.Benchmark(0)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "benchmark outcome", b.R2Outcome, ref.Benchmark.R2y, rel, src)
	reftest.Within(t, "benchmark treatment", b.R2Treatment, ref.Benchmark.R2d, rel, src)

	// Once from the regression, once from the three numbers alone.
	for _, e := range []Estimate{r.Estimate, {ref.Estimate, ref.SE, ref.DF}} {
		r2, err := PartialR2(e)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "partial R2", r2, ref.PartialR2, rel, src)
		f, err := CohensF(e)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "f", f, ref.CohensF, rel, src)
		rv := func(q, alpha float64) Robustness {
			v, err := RobustnessValue(e, q, alpha)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		reftest.Within(t, "RV q 1", rv(1, 1).Value, ref.RVQ1, rel, src)
		reftest.Within(t, "RV q 0.5", rv(0.5, 1).Value, ref.RVQHalf, rel, src)
		reftest.Within(t, "extreme RV is the partial R2", rv(1, 1).Extreme, ref.PartialR2, rel, src)
		for _, a := range ref.RVAlpha {
			reftest.Within(t, "RV alpha", rv(1, a.Alpha).Value, a.RV, rel, src)
		}
		for _, a := range ref.Adjusted {
			got, err := Adjust(e, Confounder{R2Outcome: a.R2yz, R2Treatment: a.R2dz})
			if err != nil {
				t.Fatal(err)
			}
			reftest.Within(t, "bias", got.Bias, a.Bias, rel, src)
			// The last row is the robustness value itself: 0 up to rounding.
			reftest.WithinAbs(t, "adjusted", got.Value, a.Value, rel, 1e-14*100, src)
			reftest.Within(t, "adjusted SE", got.SE, a.SE, rel, src)
			reftest.WithinAbs(t, "adjusted t", got.T, a.T, rel, 1e-14*300, src)
		}
	}
	for _, want := range ref.Benchmark.Bounds {
		got, err := b.Bound(want.K, want.K)
		if err != nil {
			t.Fatal(err)
		}
		if got.Possible != want.Valid {
			t.Errorf("k = %g: possible %v, want %v", want.K, got.Possible, want.Valid)
		}
		if !want.Valid {
			continue
		}
		if got.Capped != want.Capped {
			t.Errorf("k = %g: capped %v, want %v", want.K, got.Capped, want.Capped)
		}
		reftest.Within(t, "bound outcome", got.R2Outcome, want.R2yz, rel, src)
		reftest.Within(t, "bound treatment", got.R2Treatment, want.R2dz, rel, src)
		a, err := Adjust(r.Estimate, got.Confounder)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "bound bias", a.Bias, want.Bias, rel, src)
		reftest.Within(t, "bound adjusted", a.Value, want.AdjEstimate, rel, src)
		reftest.Within(t, "bound SE", a.SE, want.AdjSE, rel, src)
		if a.HasT != (want.AdjT != nil) {
			t.Errorf("bound t present: %v", a.HasT)
		}
	}
}
