package pool

import (
	"encoding/json"
	"os"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/internal/reftest"
)

// numbers reads a list, or a single number as a list of one.
type numbers []float64

func (n *numbers) UnmarshalJSON(raw []byte) error {
	if len(raw) > 0 && raw[0] == '[' {
		return json.Unmarshal(raw, (*[]float64)(n))
	}
	*n = make(numbers, 1)
	return json.Unmarshal(raw, &(*n)[0])
}

func TestSimulated(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("testdata/simulated.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Source string
		Sets   []map[string]json.RawMessage
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	const rel, src = 1e-9, "testdata/simulated.json"
	for _, set := range file.Sets {
		var name string
		var y, v numbers
		var mods [][]float64
		for key, into := range map[string]any{"name": &name, "y": &y, "v": &v, "mods": &mods} {
			if raw, ok := set[key]; ok {
				if err := json.Unmarshal(raw, into); err != nil {
					t.Fatal(err)
				}
			}
		}
		var moderators *mat.Dense
		if mods != nil {
			moderators = mat.NewDense(len(mods), len(mods[0]), nil)
			for i, r := range mods {
				moderators.SetRow(i, r)
			}
		}
		for short, m := range map[string]Method{"FE": Fixed, "DL": DerSimonianLaird, "REML": REML, "ML": ML,
			"PM": PauleMandel, "HS": HunterSchmidt, "SJ": SidikJonkman} {
			var w struct {
				Est, SE, KHse, KHp                   numbers
				Tau2, I2, H2, Q, Qp, QM, KHF, LogLik float64
				R2                                   *float64
				CI                                   []float64
			}
			if err := json.Unmarshal(set[short], &w); err != nil {
				t.Fatal(err)
			}
			r, err := Pool(y, v, Options{Method: m, Moderators: moderators})
			if err != nil {
				t.Fatalf("%s, %v: %v", name, m, err)
			}
			at := name + ", " + m.String() + ": "
			for j := range w.Est {
				reftest.Within(t, at+"estimate", r.Coefficients[j].Estimate, w.Est[j], rel, src)
				reftest.Within(t, at+"SE", r.Coefficients[j].SE, w.SE[j], rel, src)
				reftest.Within(t, at+"KH SE", r.KnappHartung[j].SE, w.KHse[j], rel, src)
				reftest.Within(t, at+"KH p", r.KnappHartung[j].P, w.KHp[j], rel, src)
			}
			// τ² of a likelihood is known to the square root of its flat top.
			reftest.WithinAbs(t, at+"tau2", r.Tau2, w.Tau2, 1e-8, 1e-12, src)
			reftest.WithinAbs(t, at+"I2", 100*r.I2, w.I2, 1e-8, 1e-9, src)
			reftest.Within(t, at+"H2", r.H2, w.H2, 1e-8, src)
			reftest.Within(t, at+"Q", r.Q, w.Q, rel, src)
			reftest.Within(t, at+"Q p", r.QP, w.Qp, rel, src)
			reftest.Within(t, at+"logLik", r.LogLik, w.LogLik, rel, src)
			if mods != nil {
				reftest.Within(t, at+"QM", r.Moderators.Q, w.QM, rel, src)
				reftest.Within(t, at+"F", r.Moderators.F, w.KHF, rel, src)
				if m != Fixed && w.R2 != nil {
					reftest.WithinAbs(t, at+"R2", 100*r.Moderators.R2, *w.R2, 1e-7, 1e-9, src)
				}
			}
			if w.CI != nil {
				reftest.WithinAbs(t, at+"Q profile low", r.Tau2Interval.Low, w.CI[0], 1e-7, 1e-9, src)
				reftest.WithinAbs(t, at+"Q profile high", r.Tau2Interval.High, w.CI[1], 1e-7, 1e-9, src)
			}
		}
	}
}
