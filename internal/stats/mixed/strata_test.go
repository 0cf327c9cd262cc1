package mixed

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"tamis/internal/stats/frame"
	"tamis/internal/stats/internal/reftest"
)

// Balanced data whose variance estimates are all above 0 give the classical
// strata exactly (Cochran & Cox 1957, chapter 7).
func TestCakeStrata(t *testing.T) {
	t.Parallel()
	all, source := readJSON(t, "cake.json")
	var one, two map[string][]struct {
		Term string  `json:"term"`
		F    float64 `json:"F"`
		P    float64 `json:"p"`
		DF   float64 `json:"df"`
		MS   float64 `json:"ms"`
	}
	var closed struct {
		Sigma2 float64 `json:"sigma2"`
		Block  float64 `json:"sigma2_block"`
	}
	decode(t, all["error_strata"], &one)
	decode(t, all["error_strata_replicate_blocks"], &two)
	decode(t, all["closed_form"], &closed)
	f, d := cakeFrame(t, "cake.csv")
	mx := must(frame.Build(f, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("recipe"), frame.T("tempU"))}))
	y := floats(t, d["angle"])

	m := must(FitMatrix(y, mx, cakeGroups(d, false), nil, Options{}))
	reftest.Within(t, "residual", m.Sigma2, closed.Sigma2, 1e-9, source+", mean squares")
	reftest.Within(t, "block", m.Components[0].Variance, closed.Block, 1e-9, source+", mean squares")
	tab := must(m.Table(frame.TypeI, Satterthwaite))
	whole, within := one["Error: recipe:replicate"], one["Error: Within"]
	reftest.Within(t, "recipe F", tab[0].F, whole[0].F, 1e-9, source+", strata")
	reftest.Within(t, "recipe den df", tab[0].DenDF, 42, 1e-8, "strata; the second derivatives keep about eight digits of the optimum")
	reftest.Within(t, "temperature F", tab[1].F, within[0].F, 1e-9, source+", strata")
	reftest.Within(t, "interaction F", tab[2].F, within[1].F, 1e-9, source+", strata")

	m = must(FitMatrix(y, mx, cakeGroups(d, true), nil, Options{}))
	tab = must(m.Table(frame.TypeI, Satterthwaite))
	mid, within := two["Error: replicate:recipe"], two["Error: Within"]
	reftest.Within(t, "recipe F with replicates random", tab[0].F, mid[0].F, 1e-9, source+", strata")
	reftest.Within(t, "recipe den df", tab[0].DenDF, 28, 1e-8, "strata")
	reftest.Within(t, "temperature F", tab[1].F, within[0].F, 1e-9, source+", strata")
	reftest.Within(t, "temperature den df", tab[1].DenDF, 210, 1e-8, "strata")
}

// Wine bitterness: 9 judges, 4 products, 2 bottles of each (Randall 1989; R
// package ordinal, wine).
func TestWinePanel(t *testing.T) {
	t.Parallel()
	d := readCSV(t, "wine.csv")
	product := make([]string, len(d["temp"]))
	for i := range product {
		product[i] = d["temp"][i] + "/" + d["contact"][i]
	}
	judge := grouping("judge", d["judge"])
	jp := must(Interaction(judge, grouping("product", product)))
	fr := must(frame.New(must(frame.Factor("product", product))))
	mx := must(frame.Build(fr, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("product")}}))
	y := floats(t, d["response"])
	m := must(FitMatrix(y, mx, []Grouping{judge, jp}, nil, Options{}))
	f := must(m.Table(frame.TypeIII, Satterthwaite))[0]
	// MS product 12883.4444/3 over MS product × judge 4100.0556/24.
	reftest.Within(t, "F", f.F, (12883.4444444/3)/(4100.0555556/24), 1e-8, "mean squares of the balanced layout, printed to 4 decimals")
	reftest.Within(t, "F", f.F, 25.14, 2e-4, "Randall 1989 data, two decimals")
	reftest.Within(t, "den df", f.DenDF, 24, 1e-7, "mean squares")
	reftest.Within(t, "residual", m.Sigma2, 5025.0/36, 1e-9, "mean square of error")
	ms := must(m.Means(frame.MeansSpec{By: []string{"product"}}, Satterthwaite))
	want := map[string]float64{"cold/no": 31.0556, "cold/yes": 40.5556, "warm/no": 50, "warm/yes": 67.2778}
	for _, mean := range ms.Means {
		reftest.Within(t, mean.Label, mean.Estimate.Estimate, want[mean.Label], 1e-5, "product means, four decimals")
	}
	// Product × judge against error: F = 1.22, and its variance (170.836 - 139.583)/2.
	reftest.Within(t, "product × judge", m.Components[1].Variance, (4100.0555556/24-5025.0/36)/2, 1e-8, "mean squares, printed to 4 decimals")

	// The wrong answer of leaving out product × judge differs.
	wrong := must(must(FitMatrix(y, mx, []Grouping{judge}, nil, Options{})).Table(frame.TypeIII, Satterthwaite))[0]
	reftest.Within(t, "F with judges only", wrong.F, (12883.4444444/3)/((4100.0555556+5025)/60), 1e-8, "pooled mean squares")
}

// NIST's small-and-large data: the group effects are the same at offsets 1, 1e6
// and 1e12. As a one-way layout with random treatments the REML estimates are
// the mean squares, certified as 0.21 and 0.01 (NIST StRD, SmLs01); storing
// 1e12 + 0.3 as a float64 moves the data by up to 6e-5, so the exact answer for
// the stored numbers is computed here in differences from 1e12.
func TestLargeOffset(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		file   string
		offset float64
	}{{"SmLs01.csv", 1}, {"SmLs04.csv", 1e6}, {"SmLs07.csv", 1e12}} {
		t.Run(tc.file, func(t *testing.T) {
			t.Parallel()
			d := readCSV(t, tc.file)
			y := floats(t, d["y"])
			g := grouping("treatment", d["treatment"])
			low := make([]float64, len(y))
			for i := range y {
				low[i] = y[i] - tc.offset // exact: the two are within a factor of two of each other or small
			}
			between, within, k, n := meanSquares(low, g.Codes, len(g.Levels))
			reftest.Within(t, "F of the stored numbers", between/within, 21, map[float64]float64{1: 1e-12, 1e6: 1e-7, 1e12: 5e-3}[tc.offset],
				"NIST StRD, certified F 21; storage rounds the data")

			m := must(Fit(Data{Y: y, X: ones(len(y)), Groups: []Grouping{g}}, Options{}))
			reftest.Within(t, "residual", m.Sigma2, within, 1e-9, "mean square")
			reftest.Within(t, "treatment", m.Components[0].Variance, (between-within)/(n/k), 1e-9, "mean squares, balanced")

			// The same data with treatments fixed and runs of three replicates as
			// random blocks. (Single replicates would leave no residual: the
			// deviations are alike in all treatments.)
			seen := make([]int, len(g.Levels))
			rep := Grouping{Name: "replicate", Codes: make([]int, len(y))}
			for i, c := range g.Codes {
				rep.Codes[i] = seen[c] / 3
				seen[c]++
			}
			rep.Levels = make([]string, seen[0]/3)
			fr := must(frame.New(must(frame.Factor("treatment", d["treatment"]))))
			mx := must(frame.Build(fr, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("treatment")}}))
			far := must(FitMatrix(y, mx, []Grouping{rep}, nil, Options{}))
			near := must(FitMatrix(low, mx, []Grouping{rep}, nil, Options{}))
			ff, fn := must(far.Table(frame.TypeIII, Satterthwaite))[0], must(near.Table(frame.TypeIII, Satterthwaite))[0]
			reftest.Within(t, "F far against F near", ff.F, fn.F, 1e-9, "shift equivariance")
			reftest.Within(t, "den df", ff.DenDF, fn.DenDF, 1e-7, "shift equivariance")
			p := must(must(far.Means(frame.MeansSpec{By: []string{"treatment"}}, Satterthwaite)).Pairs())
			q := must(must(near.Means(frame.MeansSpec{By: []string{"treatment"}}, Satterthwaite)).Pairs())
			for i := range p {
				reftest.WithinAbs(t, "difference "+p[i].Label, p[i].Estimate.Estimate, q[i].Estimate.Estimate, 1e-9, 1e-12, "shift equivariance")
			}
		})
	}
}

// meanSquares of a balanced one-way layout, by deviations.
func meanSquares(y []float64, code []int, levels int) (between, within, k, n float64) {
	sum, cnt := make([]float64, levels), make([]float64, levels)
	total := 0.0
	for i, v := range y {
		sum[code[i]] += v
		cnt[code[i]]++
		total += v
	}
	k, n = float64(levels), float64(len(y))
	for l := range sum {
		between += cnt[l] * math.Pow(sum[l]/cnt[l]-total/n, 2)
	}
	for i, v := range y {
		within += math.Pow(v-sum[code[i]]/cnt[code[i]], 2)
	}
	return between / (k - 1), within / (n - k), k, n
}

// A split-plot layout made up so that the strata differ by orders of size (block
// variances up to 5e5 times the residual's):
// 6 blocks, 4 whole plots in each with treatment A, 3 subplots in each with
// treatment B. F of A is MS A over MS of plots, F of B MS B over the residual,
// whatever the ratio of the variances, and the means do not depend on it.
func TestStrataOfUnlikeSize(t *testing.T) {
	t.Parallel()
	for _, ratio := range []float64{1, 10, 30} {
		t.Run(fmt.Sprint(ratio), func(t *testing.T) {
			t.Parallel()
			rng := rand.New(rand.NewPCG(17, 3))
			const blocks, na, nb = 6, 4, 3
			var y []float64
			var ca, cb []int
			block := Grouping{Name: "block", Levels: make([]string, blocks)}
			plot := Grouping{Name: "plot", Levels: make([]string, blocks*na)}
			for b := range blocks {
				eb := ratio * ratio * rng.NormFloat64()
				for a := range na {
					ep := ratio * (rng.NormFloat64() + 0.5*float64(a))
					for s := range nb {
						y = append(y, eb+ep+0.4*float64(s)+rng.NormFloat64())
						ca, cb = append(ca, a), append(cb, s)
						block.Codes, plot.Codes = append(block.Codes, b), append(plot.Codes, b*na+a)
					}
				}
			}
			// Classical sums of squares by successive means, in deviations.
			mean := func(v []float64, code []int, levels int) []float64 {
				s, c := make([]float64, levels), make([]float64, levels)
				for i, x := range v {
					s[code[i]] += x
					c[code[i]]++
				}
				out := make([]float64, len(v))
				for i := range v {
					out[i] = s[code[i]] / c[code[i]]
				}
				return out
			}
			sub := func(v, w []float64) []float64 {
				out := make([]float64, len(v))
				for i := range v {
					out[i] = v[i] - w[i]
				}
				return out
			}
			sq := func(v []float64) (s float64) {
				for _, x := range v {
					s += x * x
				}
				return s
			}
			r := sub(y, mean(y, block.Codes, blocks))
			effA := mean(r, ca, na)
			plots := sub(mean(r, plot.Codes, blocks*na), effA)
			r = sub(r, mean(r, plot.Codes, blocks*na))
			effB := mean(r, cb, nb)
			r = sub(r, effB)
			ab := make([]int, len(y))
			for i := range ab {
				ab[i] = ca[i]*nb + cb[i]
			}
			effAB := mean(r, ab, na*nb)
			r = sub(r, effAB)
			msPlot, msRes := sq(plots)/((blocks-1)*(na-1)), sq(r)/(na*(blocks-1)*(nb-1))
			names := func(n int) []string { return strings.Split("abcdef"[:n], "") }
			fr := must(frame.New(must(frame.FactorCodes("A", ca, names(na))), must(frame.FactorCodes("B", cb, names(nb)))))
			mx := must(frame.Build(fr, frame.Model{Intercept: true, Terms: frame.Crossed(frame.T("A"), frame.T("B"))}))
			m := must(FitMatrix(y, mx, []Grouping{block, plot}, nil, Options{}))
			if m.Status.Boundary {
				t.Fatalf("the example is meant to lie inside: %+v", m.Components)
			}
			tab := must(m.Table(frame.TypeIII, Satterthwaite))
			reftest.Within(t, "residual", m.Sigma2, msRes, 1e-9, "mean square")
			reftest.Within(t, "plot", m.Components[1].Variance, (msPlot-msRes)/nb, 1e-9, "mean squares")
			reftest.Within(t, "F of A", tab[0].F, sq(effA)/(na-1)/msPlot, 1e-9, "mean squares")
			reftest.Within(t, "F of B", tab[1].F, sq(effB)/(nb-1)/msRes, 1e-9, "mean squares")
			reftest.Within(t, "F of A:B", tab[2].F, sq(effAB)/((na-1)*(nb-1))/msRes, 1e-9, "mean squares")
			reftest.Within(t, "df of A", tab[0].DenDF, (blocks-1)*(na-1), 1e-6, "strata; second derivatives keep fewer digits")
			reftest.Within(t, "df of B", tab[1].DenDF, na*(blocks-1)*(nb-1), 1e-6, "strata; second derivatives keep fewer digits")
		})
	}
}
