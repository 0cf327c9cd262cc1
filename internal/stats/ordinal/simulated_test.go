package ordinal

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/internal/reftest"
)

// scalarOrList reads names that the writer of the file unboxed.
type scalarOrList []string

func (n *scalarOrList) UnmarshalJSON(raw []byte) error {
	if len(raw) > 0 && raw[0] == '[' {
		return json.Unmarshal(raw, (*[]string)(n))
	}
	*n = make(scalarOrList, 1)
	return json.Unmarshal(raw, &(*n)[0])
}

func rowsOf(x [][]float64) *mat.Dense {
	m := mat.NewDense(len(x), len(x[0]), nil)
	for i, r := range x {
		m.SetRow(i, r)
	}
	return m
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
	const src = "testdata/simulated.json"
	fits := 0
	for _, set := range file.Sets {
		var d Data
		var name string
		var group []int
		var x [][]float64
		var names scalarOrList
		for key, into := range map[string]any{"name": &name, "y": &d.Y, "w": &d.Weights, "x": &x, "names": &names, "group": &group} {
			if raw, ok := set[key]; ok {
				if err := json.Unmarshal(raw, into); err != nil {
					t.Fatalf("%s: %v", key, err)
				}
			}
		}
		d.X, d.Names = rowsOf(x), names
		for key, raw := range set {
			kind, rest, found := strings.Cut(key, "_")
			if !found {
				continue
			}
			var want struct {
				Est, SE          []float64
				LogLik, SD, SDSE float64
				Npar             int
			}
			if err := json.Unmarshal(raw, &want); err != nil {
				t.Fatal(err)
			}
			fits++
			dd, opt := d, Options{}
			for l := Logit; l <= CLogLog; l++ {
				if strings.Contains(rest, l.String()) && (l == CLogLog || !strings.Contains(rest, "cloglog")) {
					opt.Link = l
				}
			}
			for s := Flexible; s <= Symmetric; s++ {
				if strings.Contains(rest, s.String()) {
					opt.Thresholds = s
				}
			}
			if strings.Contains(rest, "nominal") {
				dd.X, dd.Names = selectColumns(d.X, d.Names, []int{0}, "x")
				dd.Nominal, dd.NominalNames = selectColumns(d.X, d.Names, []int{1}, "x")
			}
			if strings.Contains(rest, "scale") {
				dd.Spread, dd.SpreadNames = selectColumns(d.X, d.Names, []int{1}, "x")
			}
			var got *Result
			// Newton on exact derivatives on both sides: 1e-8 is what is left
			// where a nominal and a scale effect share their information.
			rel, relSE, relLL := 1e-8, 1e-7, 1e-9
			switch kind {
			case "clmm":
				points := 1
				if strings.HasSuffix(rest, "10") {
					points = 10
				}
				// The reference stops early (see the source of the file); the
				// likelihood says which of the two is nearer to the maximum.
				rel, relSE, relLL = 2e-3, 2e-3, 2e-7
				got, err = FitMixed(dd, group, points, opt)
			case "brute":
				// Numeric derivatives on the side of the reference, and 20 adaptive
				// points on ours.
				rel, relSE = 1e-7, 1e-6
				got, err = FitMixed(dd, group, 20, opt)
				want.Npar = 12
			default:
				got, err = Fit(dd, opt)
			}
			at := name + ", " + key + ": "
			if err != nil {
				t.Errorf("%s%v", at, err)
				continue
			}
			if got.Outcome != Estimated || got.Parameters != want.Npar {
				t.Errorf("%s%v (%s), %d parameters, want %d", at, got.Outcome, got.Status.Message, got.Parameters, want.Npar)
			}
			reftest.Within(t, at+"logLik", got.LogLik, want.LogLik, relLL, src)
			for j := range want.Est {
				c := got.Coefficients[j]
				reftest.WithinAbs(t, at+c.Name, c.Estimate, want.Est[j], rel, rel*want.SE[j], src)
				reftest.Within(t, at+"SE "+c.Name, c.SE, want.SE[j], relSE, src)
			}
			if kind == "clmm" && got.LogLik < want.LogLik-1e-9 {
				t.Errorf("%slog likelihood %v, the reference found %v", at, got.LogLik, want.LogLik)
			}
			if kind == "brute" {
				reftest.Within(t, at+"SE of SD", got.Random.SE, want.SDSE, relSE, src)
			}
			if kind != "clm" {
				reftest.Within(t, at+"SD", got.Random.SD, want.SD, rel, src)
			}
		}
	}
	if fits != 30 {
		t.Errorf("%d fits compared, 30 expected", fits)
	}
}
