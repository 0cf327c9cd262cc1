package mixed

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/internal/reftest"
)

// arms is the layout of a trial of two arms: cooks in turn, pieces in cooks.
func arms(cooks, pieces int) (*mat.Dense, Grouping) {
	x := mat.NewDense(cooks*pieces, 2, nil)
	g := Grouping{Name: "cook", Levels: make([]string, cooks)}
	for c := range cooks {
		for range pieces {
			x.SetRow(len(g.Codes), []float64{1, float64((c + 1) % 2)})
			g.Codes = append(g.Codes, c)
		}
	}
	return x, g
}

// The same draws give the same tests as the reference implementation, at the
// bound and away from it.
func TestStoredDraws(t *testing.T) {
	t.Parallel()
	all, source := readJSON(t, "draws.json")
	var draws []struct {
		Cooks int       `json:"cooks"`
		ICC   float64   `json:"icc"`
		Y     []float64 `json:"y"`
		P     float64   `json:"p"`
		DF    float64   `json:"df"`
		F     float64   `json:"F"`
		Theta float64   `json:"theta"`
	}
	decode(t, all["draws"], &draws)
	var mine, theirs float64
	bound := 0
	for _, d := range draws {
		x, g := arms(d.Cooks, 4)
		m := must(Fit(Data{Y: d.Y, X: x, Groups: []Grouping{g}}, Options{}))
		e := must(m.Contrast([]float64{0, 1}, Satterthwaite))
		mine += e.P / float64(len(draws))
		theirs += d.P / float64(len(draws))
		if m.Status.Boundary != (d.Theta < 1e-6) {
			t.Errorf("θ = %v, reference %v", m.Components[0].Theta, d.Theta)
		}
		if m.Status.Boundary {
			bound++
		}
		reftest.WithinAbs(t, "θ", m.Components[0].Theta, d.Theta, 1e-4, 1e-6, source+"; the objective is flat near its minimum")
		reftest.Within(t, "F", e.T*e.T, d.F, 1e-4, source)
		reftest.Within(t, "df", e.DF, d.DF, 1e-3, source+"; numerical second derivatives")
		reftest.Within(t, "p", e.P, d.P, 1e-4, source)
	}
	reftest.Within(t, "mean p", mine, theirs, 1e-6, source)
	if bound == 0 || bound == len(draws) {
		t.Errorf("%d of %d draws on the bound: the set does not test both sides", bound, len(draws))
	}
}

// Type I error of the mixed test at a nominal 5 %, two arms and four pieces a
// cook. Where REML often puts the cook variance at 0 the degrees of freedom jump
// to the pieces: at four cooks the known sizes are 3.1 % without and 6.6 % with a
// cook variance (quoted to one decimal, computed with lmerTest). At twenty cooks
// the test must stay below 5 % without, and near it with, a cook variance.
func TestTypeOneError(t *testing.T) {
	t.Parallel()
	draws := 8000
	if testing.Short() {
		draws = 1500
	}
	for _, tc := range []struct {
		cooks     int
		icc       float64
		low, high float64
	}{
		{4, 0, 0.0305, 0.0315}, {4, 0.5, 0.0655, 0.0675}, {20, 0, 0.03, 0.05}, {20, 0.5, 0.045, 0.055},
	} {
		x, g := arms(tc.cooks, 4)
		rejected := 0
		for k := range draws {
			rng := rand.New(rand.NewPCG(uint64(tc.cooks)*1000+uint64(tc.icc*10), uint64(k)))
			y := make([]float64, 4*tc.cooks)
			cook := make([]float64, tc.cooks)
			for c := range cook {
				cook[c] = math.Sqrt(tc.icc) * rng.NormFloat64()
			}
			for i := range y {
				y[i] = cook[g.Codes[i]] + math.Sqrt(1-tc.icc)*rng.NormFloat64()
			}
			m := must(Fit(Data{Y: y, X: x, Groups: []Grouping{g}}, Options{}))
			if must(m.Contrast([]float64{0, 1}, Satterthwaite)).P < 0.05 {
				rejected++
			}
		}
		rate := float64(rejected) / float64(draws)
		band := 3 * math.Sqrt(0.05*0.95/float64(draws))
		t.Logf("%d cooks, ICC %.1f: %.4f", tc.cooks, tc.icc, rate)
		if rate < tc.low-band || rate > tc.high+band {
			t.Errorf("%d cooks, ICC %.1f: rejects %.4f of true hypotheses, want %.4f to %.4f, each ± %.4f",
				tc.cooks, tc.icc, rate, tc.low, tc.high, band)
		}
	}
}
