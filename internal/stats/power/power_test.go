package power

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/internal/reftest"
)

// complete is arms × blocks with each units of every arm in every block.
func complete(arms, blocks, each int) [][]int {
	out := make([][]int, arms)
	for i := range out {
		out[i] = make([]int, blocks)
		for j := range out[i] {
			out[i][j] = each
		}
	}
	return out
}

func layout(t *testing.T, counts [][]int) *Layout {
	t.Helper()
	l, err := New(counts)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func got(t *testing.T) func(float64, error) float64 {
	return func(v float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func TestReference(t *testing.T) {
	t.Parallel()
	var d struct {
		Source string
		T      []struct {
			N                int
			Delta, SD        float64
			Strict           float64 `json:"two_sample_strict"`
			OneSided, Paired float64
			One              float64 `json:"one_sided"`
		} `json:"t_power"`
		TN []struct {
			Effect, Power float64
			Strict        float64 `json:"n_two_sample_strict"`
			Paired        float64 `json:"n_paired"`
		} `json:"t_n"`
		Anova []struct {
			Groups, N  int
			BetweenVar float64 `json:"between_var"`
			WithinVar  float64 `json:"within_var"`
			Power      float64
			Power01    float64 `json:"power_alpha01"`
		} `json:"anova_power"`
		AnovaN []struct {
			Groups     int
			BetweenVar float64 `json:"between_var"`
			WithinVar  float64 `json:"within_var"`
			Power, N   float64
		} `json:"anova_n"`
		Blocks []struct {
			Blocks            int
			Tau               string
			Sigma, NCP, Power float64
		} `json:"rcbd_power"`
		Prop float64 `json:"prop_test_n50_50_75"`
	}
	b, err := os.ReadFile("testdata/power.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &d); err != nil {
		t.Fatal(err)
	}
	if len(d.T) == 0 || len(d.TN) == 0 || len(d.Anova) == 0 || len(d.AnovaN) == 0 || len(d.Blocks) == 0 {
		t.Fatal("a section of the reference file is empty")
	}
	ok := got(t)
	for _, r := range d.T {
		name := fmt.Sprintf("n %d delta %v ", r.N, r.Delta)
		two := layout(t, complete(2, 1, r.N))
		reftest.Within(t, name+"two-sided", ok(two.Pair(0, 1, r.Delta, r.SD, 0.05, true)), r.Strict, 1e-9, d.Source)
		reftest.Within(t, name+"one-sided", ok(two.Pair(0, 1, r.Delta, r.SD, 0.05, false)), r.One, 1e-9, d.Source)
		// Two arms: F is t squared. 3e-9: see the next loop.
		reftest.Within(t, name+"F", ok(two.F([]float64{0, r.Delta}, r.SD, 0.05)), r.Strict, 3e-9, d.Source)
		// A pair is a block of two; the sd of its difference is √2 times that of a
		// unit. The reference counts the side of the true difference only: one-sided
		// at 2.5 %.
		pairs := layout(t, complete(2, r.N, 1))
		reftest.Within(t, name+"paired", ok(pairs.Pair(0, 1, r.Delta, r.SD/math.Sqrt2, 0.025, false)), r.Paired, 1e-9, d.Source)
	}
	// 3e-9 for F: R's noncentral beta series ends at 1e-9 absolute.
	for _, r := range d.Anova {
		means := withVariance(r.Groups, r.BetweenVar)
		l := layout(t, complete(r.Groups, 1, r.N))
		reftest.Within(t, "anova", ok(l.F(means, math.Sqrt(r.WithinVar), 0.05)), r.Power, 3e-9, d.Source)
		reftest.Within(t, "anova 1 %", ok(l.F(means, math.Sqrt(r.WithinVar), 0.01)), r.Power01, 3e-9, d.Source)
	}
	// The solved n of the reference are real numbers: the whole number above has
	// the power, the one below does not.
	for _, r := range d.TN {
		power := func(n int) float64 { return ok(layout(t, complete(2, 1, n)).Pair(0, 1, r.Effect, 1, 0.05, true)) }
		straddles(t, "two-sample", power, r.Strict, r.Power)
	}
	for _, r := range d.AnovaN {
		means := withVariance(r.Groups, r.BetweenVar)
		power := func(n int) float64 {
			return ok(layout(t, complete(r.Groups, 1, n)).F(means, math.Sqrt(r.WithinVar), 0.05))
		}
		straddles(t, "anova", power, r.N, r.Power)
	}
	for _, r := range d.Blocks {
		var tau []float64
		for _, f := range strings.Fields(r.Tau) {
			v, err := strconv.ParseFloat(f, 64)
			if err != nil {
				t.Fatal(err)
			}
			tau = append(tau, v)
		}
		l := layout(t, complete(len(tau), r.Blocks, 1))
		reftest.Within(t, "ncp", ok(l.Noncentrality(tau, r.Sigma)), r.NCP, 1e-12, d.Source)
		reftest.Within(t, "blocks", ok(l.F(tau, r.Sigma, 0.05)), r.Power, 3e-9, d.Source)
	}
	reftest.Within(t, "two shares", ok(TwoShares(50, 0.5, 0.75, 0.05, true)), d.Prop, 1e-10, d.Source)
}

func straddles(t *testing.T, name string, power func(int) float64, n, target float64) {
	t.Helper()
	above := int(math.Ceil(n))
	if p, q := power(above), power(above-1); p < target || q >= target {
		t.Errorf("%s: %d units have power %v and %d have %v, want %v between", name, above, p, above-1, q, target)
	}
}

// withVariance are means whose variance (divisor groups − 1) is v.
func withVariance(groups int, v float64) []float64 {
	out := make([]float64, groups)
	ss, mid := 0.0, float64(groups-1)/2
	for i := range out {
		out[i] = float64(i) - mid
		ss += out[i] * out[i]
	}
	for i := range out {
		out[i] *= math.Sqrt(v * float64(groups-1) / ss)
	}
	return out
}

// The fifteen pairs of six days in three rounds of the beef roast data: each pair
// a block, λ = 5. The standard error of a difference is √(2·2/(λ·6)·s²)
// = √(2k/(λv)·s²), and the published one with s² = 77.33/10 is 2.271.
func TestIncompleteBlocks(t *testing.T) {
	t.Parallel()
	counts := make([][]int, 6)
	for i := range counts {
		counts[i] = make([]int, 15)
	}
	block := 0
	for i := range 6 {
		for j := i + 1; j < 6; j++ {
			counts[i][block], counts[j][block] = 1, 1
			block++
		}
	}
	l := layout(t, counts)
	const source = "Cochran & Cox 1957, §11.51"
	v := got(t)(l.PairVariance(2, 4))
	reftest.Within(t, "variance of a difference", v, 2*2./6, 1e-12, "balanced incomplete blocks: 2k/(λv), with k = 2, λ = 1, v = 6")
	if a, b := l.DF(); a != 5 || b != 10 {
		t.Errorf("%d and %d degrees of freedom, published 5 and 10", a, b)
	}
	// 5e-4: three decimals are published.
	reftest.Within(t, "SED", math.Sqrt(v*7.733), 2.271, 5e-4, source)
	// The published adjusted means give the published sum of squares as τ′Cτ; they
	// have two decimals, so 1e-3.
	means := []float64{14.63, 23.80, 26.97, 28.30, 30.80, 29.30}
	reftest.Within(t, "adjusted sum of squares", got(t)(l.Noncentrality(means, 1)), 520.17, 1e-3, source)
}

func TestVisibleIsTheInverse(t *testing.T) {
	t.Parallel()
	ok := got(t)
	for _, counts := range [][][]int{complete(2, 1, 2), complete(3, 2, 1), complete(6, 3, 1), {{1, 1, 0}, {1, 0, 1}, {0, 1, 1}}, complete(2, 1, 300)} {
		l := layout(t, counts)
		effects := make([]float64, l.Arms())
		effects[0], effects[1] = -0.5, 0.5
		for _, power := range []float64{0.3, 0.8, 0.95} {
			c := ok(l.VisibleF(effects, 0.7, 0.05, power))
			scaled := slices.Clone(effects)
			for i := range scaled {
				scaled[i] *= c
			}
			reftest.Within(t, "F", ok(l.F(scaled, 0.7, 0.05)), power, 1e-9, "its own inverse")
			for _, two := range []bool{true, false} {
				d := ok(l.VisiblePair(0, 1, 0.7, 0.05, power, two))
				reftest.Within(t, "pair", ok(l.Pair(0, 1, d, 0.7, 0.05, two)), power, 1e-9, "its own inverse")
			}
		}
	}
}

func TestProperties(t *testing.T) {
	t.Parallel()
	ok := got(t)
	counts := [][]int{{2, 1, 0}, {1, 1, 1}, {0, 1, 2}, {1, 0, 1}}
	effects := []float64{0, 1, 0.5, 3}
	l := layout(t, counts)
	base := ok(l.F(effects, 1.3, 0.05))
	shifted := []float64{1e6, 1e6 + 1, 1e6 + 0.5, 1e6 + 3}
	// 1e-8: a shift by 1e6 costs six digits of the effects.
	reftest.Within(t, "shift", ok(l.F(shifted, 1.3, 0.05)), base, 1e-8, "equivariance")
	scaled := []float64{0, 10, 5, 30}
	reftest.Within(t, "scale", ok(l.F(scaled, 13, 0.05)), base, 1e-12, "equivariance")
	relabelled := layout(t, [][]int{counts[3], counts[0], counts[2], counts[1]})
	reftest.Within(t, "relabelling", ok(relabelled.F([]float64{3, 0, 0.5, 1}, 1.3, 0.05)), base, 1e-12, "permutation of arms")
	blocks := layout(t, [][]int{{0, 1, 2}, {1, 1, 1}, {2, 1, 0}, {1, 0, 1}})
	reftest.Within(t, "blocks", ok(blocks.F(effects, 1.3, 0.05)), base, 1e-12, "permutation of blocks")
	empty := layout(t, [][]int{{2, 0, 1, 0}, {1, 0, 1, 1}, {0, 0, 1, 2}, {1, 0, 0, 1}})
	reftest.Within(t, "an empty block", ok(empty.F(effects, 1.3, 0.05)), base, 1e-12, "nothing is in it")
	if !slices.Equal(effects, []float64{0, 1, 0.5, 3}) || counts[0][0] != 2 {
		t.Error("an input was altered")
	}
	// No effect: the power is the level.
	reftest.Within(t, "null", ok(l.F(make([]float64, 4), 1, 0.05)), 0.05, 1e-12, "definition")
	// Units only ever help.
	last := 0.0
	for n := 2; n < 30; n++ {
		p := ok(layout(t, complete(3, 1, n)).F([]float64{0, 0.5, 1}, 1, 0.05))
		if p <= last {
			t.Errorf("%d units: power %v, with one less %v", n, p, last)
		}
		last = p
	}
	i, j := layout(t, [][]int{{4}, {1}, {4}, {2}}).WorstPair()
	if i != 1 || j != 3 {
		t.Errorf("the worst pair is %d and %d", i, j)
	}
	fewer := layout(t, complete(2, 1, 5)).Less(3).Less(-2)
	if _, b := fewer.DF(); b != 5 {
		t.Errorf("8 degrees of freedom less 3 are %d", b)
	}
	reftest.Within(t, "fewer df", ok(fewer.HalfWidth(0, 1, 1, 0.95)), -ok(dist.TQuantile(0.025, 5))*math.Sqrt(0.4), 1e-12, "t on 5 degrees of freedom")
	reftest.Within(t, "half width", ok(layout(t, complete(2, 1, 5)).HalfWidth(0, 1, 1, 0.95)),
		-ok(dist.TQuantile(0.025, 8))*math.Sqrt(0.4), 1e-12, "t on 8 degrees of freedom times √(2/5)")
}

func TestEdges(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		counts [][]int
		want   error
	}{
		{"nothing", nil, stats.ErrTooFew},
		{"one arm", [][]int{{3}}, stats.ErrTooFew},
		{"an arm without units", [][]int{{3}, {0}}, stats.ErrTooFew},
		{"no block", [][]int{{}, {}}, stats.ErrTooFew},
		{"ragged", [][]int{{1, 1}, {1}}, stats.ErrLengths},
		{"below 0", [][]int{{1, 1}, {2, -1}}, stats.ErrDomain},
		{"arms are blocks", [][]int{{2, 0}, {0, 2}}, stats.ErrSingular},
		{"two islands", [][]int{{2, 0}, {2, 0}, {0, 2}, {0, 2}}, stats.ErrSingular},
		{"too many", complete(MostArms+1, 1, 1), stats.ErrTooLarge},
	} {
		if _, err := New(c.counts); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	l := layout(t, complete(2, 1, 3))
	nan, inf := math.NaN(), math.Inf(1)
	single := layout(t, complete(4, 1, 1))
	if a, b := single.DF(); a != 3 || b != 0 {
		t.Errorf("one unit each: %d and %d degrees of freedom", a, b)
	}
	for _, c := range []struct {
		name string
		call func() (float64, error)
		want error
	}{
		{"no df", func() (float64, error) { return single.F(make([]float64, 4), 1, 0.05) }, stats.ErrTooFew},
		{"no df, pair", func() (float64, error) { return single.Pair(0, 1, 1, 1, 0.05, true) }, stats.ErrTooFew},
		{"effects", func() (float64, error) { return l.F([]float64{1}, 1, 0.05) }, stats.ErrLengths},
		{"NaN", func() (float64, error) { return l.F([]float64{1, nan}, 1, 0.05) }, stats.ErrNonFinite},
		{"infinite", func() (float64, error) { return l.Pair(0, 1, inf, 1, 0.05, true) }, stats.ErrNonFinite},
		{"sd 0", func() (float64, error) { return l.F([]float64{0, 1}, 0, 0.05) }, stats.ErrDomain},
		{"sd NaN", func() (float64, error) { return l.Pair(0, 1, 1, nan, 0.05, true) }, stats.ErrNonFinite},
		{"overflow", func() (float64, error) { return l.F([]float64{0, 1e308}, 1e-308, 0.05) }, stats.ErrTooLarge},
		{"alpha", func() (float64, error) { return l.F([]float64{0, 1}, 1, 1.5) }, stats.ErrDomain},
		{"same arm", func() (float64, error) { return l.Pair(1, 1, 1, 1, 0.05, true) }, stats.ErrDomain},
		{"no such arm", func() (float64, error) { return l.PairVariance(0, 2) }, stats.ErrDomain},
		{"flat", func() (float64, error) { return l.VisibleF([]float64{1, 1}, 1, 0.05, 0.8) }, stats.ErrNoVariation},
		{"power below level", func() (float64, error) { return l.VisiblePair(0, 1, 1, 0.05, 0.04, false) }, stats.ErrDomain},
		{"power 1", func() (float64, error) { return l.VisiblePair(0, 1, 1, 0.05, 1, true) }, stats.ErrDomain},
		{"level", func() (float64, error) { return l.HalfWidth(0, 1, 1, 1) }, stats.ErrDomain},
		{"shares", func() (float64, error) { return TwoShares(10, 0, 0.5, 0.05, true) }, stats.ErrDomain},
		{"shares n", func() (float64, error) { return TwoShares(0, 0.4, 0.5, 0.05, true) }, stats.ErrDomain},
		{"shares NaN", func() (float64, error) { return TwoShares(10, nan, 0.5, 0.05, true) }, stats.ErrNonFinite},
	} {
		if _, err := c.call(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
