package sensitivity

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"tamis/internal/stats/dist"
	"tamis/internal/stats/internal/reftest"
)

// Leaving a covariate out and putting it back through Adjust must give the
// regression with it, exactly: the formula is an identity.
func TestAdjustIsAnIdentity(t *testing.T) {
	t.Parallel()
	const source = "identity of omitted variable bias (Cinelli & Hazlett 2020, section 3)"
	reduced := 0
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 1))
		n := 12 + int(seed)
		y, d, all, short := make([]float64, n), make([]float64, n), mat.NewDense(n, 2, nil), mat.NewDense(n, 1, nil)
		for i := range n {
			x, z := rng.NormFloat64(), rng.NormFloat64()
			d[i] = 0.5*x + 0.8*z + rng.NormFloat64()
			y[i] = 2*d[i] + x + 1.5*z + rng.NormFloat64()
			all.SetRow(i, []float64{x, z})
			short.Set(i, 0, x)
		}
		long, err := Regress(y, d, all)
		if err != nil {
			t.Fatal(err)
		}
		without, err := Regress(y, d, short)
		if err != nil {
			t.Fatal(err)
		}
		b, err := long.Benchmark(1)
		if err != nil {
			t.Fatal(err)
		}
		a, err := Adjust(without.Estimate, Confounder(b))
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "SE", a.SE, long.SE, 1e-9, source)
		reftest.Within(t, "df", a.DF, long.DF, 0, source)
		reftest.Within(t, "bias", a.Bias, math.Abs(without.Value-long.Value), 1e-9, source)
		if math.Abs(long.Value) < math.Abs(without.Value) {
			reduced++
			reftest.Within(t, "estimate", a.Value, long.Value, 1e-9, source)
		}
	}
	if reduced < 20 {
		t.Errorf("only %d of 40 data sets reduce the estimate; the test has lost its point", reduced)
	}
}

// At the robustness value the worst confounder within it just changes the call.
func TestRobustnessValueIsTheEdge(t *testing.T) {
	t.Parallel()
	const source = "definition of the robustness value"
	boundary := 0
	for _, e := range []Estimate{{4, 1, 30}, {-4, 1, 30}, {1.2, 0.1, 8}, {9, 1, 3}, {50, 1, 3}, {30, 1, 2.5}, {2.5, 1, 1000}} {
		for _, alpha := range []float64{1, 0.2, 0.05} {
			rv, err := RobustnessValue(e, 1, alpha)
			if err != nil {
				t.Fatal(err)
			}
			if rv.Value == 0 {
				continue
			}
			worst := math.Inf(1)
			for i := range 20001 {
				y := rv.Value * float64(i) / 20000
				a, err := Adjust(e, Confounder{y, rv.Value})
				if err != nil {
					t.Fatal(err)
				}
				worst = math.Min(worst, a.T*math.Copysign(1, e.Value))
			}
			crit := 0.0
			if alpha < 1 {
				q, err := dist.TQuantile(alpha/2, e.DF-1)
				if err != nil {
					t.Fatal(err)
				}
				crit = -q
			}
			if rv.Value == rv.Extreme && alpha < 1 {
				boundary++
			}
			// The grid over y is 20000 fine; the minimum is flat.
			reftest.WithinAbs(t, "t at the edge", worst, crit, 1e-6, 1e-9, source)
		}
	}
	if boundary == 0 {
		t.Error("no case reaches the boundary formula")
	}
}

func TestExtremeTakesTheEstimateAway(t *testing.T) {
	t.Parallel()
	e := Estimate{-3, 0.7, 11}
	s, err := Extreme(e, []float64{1, 0.75, 0.5, 0.01, 0})
	if err != nil {
		t.Fatal(err)
	}
	for _, sc := range s[:4] {
		a, err := Adjust(e, Confounder{sc.R2Outcome, sc.R2Treatment})
		if err != nil {
			t.Fatal(err)
		}
		reftest.WithinAbs(t, "adjusted", a.Value, 0, 0, 1e-13, "definition")
	}
	if s[4].Possible {
		t.Error("a confounder without any share of the outcome explains nothing")
	}
}

func TestRegressEquivariance(t *testing.T) {
	t.Parallel()
	p := readPrestige(t)
	base, err := Regress(p.Data.Prestige, p.Data.Education, p.covariates())
	if err != nil {
		t.Fatal(err)
	}
	b0, _ := base.Benchmark(0)
	n := len(p.Data.Prestige)
	perm := rand.New(rand.NewPCG(3, 3)).Perm(n)
	y, d, x := make([]float64, n), make([]float64, n), mat.NewDense(n, 2, nil)
	for i, k := range perm {
		y[i] = 1e6 + 3*p.Data.Prestige[k]
		d[i] = -500 + 0.5*p.Data.Education[k]
		x.SetRow(i, []float64{7e4 - 2*p.Data.Income[k], p.Data.Women[k]})
	}
	keepY, keepX := slices.Clone(y), mat.DenseCopyOf(x)
	r, err := Regress(y, d, x)
	if err != nil {
		t.Fatal(err)
	}
	b1, _ := r.Benchmark(0)
	// The offset of 1e6 costs about five digits of 16.
	const rel, source = 1e-9, "equivariance"
	reftest.Within(t, "estimate", r.Value, 6*base.Value, rel, source)
	reftest.Within(t, "SE", r.SE, 6*base.SE, rel, source)
	reftest.Within(t, "benchmark", b1.R2Outcome, b0.R2Outcome, rel, source)
	reftest.Within(t, "benchmark", b1.R2Treatment, b0.R2Treatment, rel, source)
	if !slices.Equal(y, keepY) || !mat.Equal(x, keepX) {
		t.Error("inputs altered")
	}
	// A group of all covariates explains at least what each explains.
	both, err := base.Benchmark(0, 1)
	if err != nil {
		t.Fatal(err)
	}
	if both.R2Outcome < b0.R2Outcome || both.R2Treatment < b0.R2Treatment {
		t.Errorf("group benchmark %v below its member %v", both, b0)
	}
}

func TestSpecifications(t *testing.T) {
	t.Parallel()
	specs := []Specification{
		{Name: "declared", Value: 2, SE: 0.5, DF: 10, Declared: true},
		{Name: "opposite", Value: -1, SE: 1, DF: 10},
		{Name: "weak", Value: 1, SE: 2, DF: 10},
		{Name: "normal", Value: 3, SE: 1, DF: math.Inf(1)},
	}
	s, err := Specifications(specs, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	const hand = "worked by hand"
	reftest.Within(t, "low", s.Low, -1, 0, hand)
	reftest.Within(t, "high", s.High, 3, 0, hand)
	reftest.Within(t, "median", s.Median, 1.5, 0, hand)
	reftest.Within(t, "same sign", s.SameSign, 0.75, 0, hand)
	reftest.Within(t, "same call", s.SameCall, 0.5, 0, hand)
	reftest.Within(t, "p", s.Lines[2].P, 0.00251833262473669, 1e-12, "R 4.2.2, 2*pt(-4, 10)")
	reftest.Within(t, "interval", s.Lines[3].Interval.Low, 3-1.959963984540054, 1e-14, "normal quantile")
	if s.Reference != "declared" || len(s.Warnings) != 0 {
		t.Errorf("reference %q, warnings %v", s.Reference, s.Warnings)
	}
	slices.Reverse(specs)
	specs[3].Declared = false
	u, err := Specifications(specs, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for i := range u.Lines {
		if u.Lines[i].Name != s.Lines[i].Name {
			t.Error("the order of the input shows")
		}
	}
	if len(u.Warnings) != 1 || u.Reference != "weak" {
		t.Errorf("without a declared one: reference %q, warnings %v", u.Reference, u.Warnings)
	}
}

func TestLeaveOneOut(t *testing.T) {
	t.Parallel()
	o, err := LeaveOneOut(1, []float64{1.1, -0.5, 0.9, 2.2})
	if err != nil {
		t.Fatal(err)
	}
	if o.Low != -0.5 || o.High != 2.2 || o.Unit != 1 || o.Largest != -1.5 || !slices.Equal(o.Turns, []int{1}) {
		t.Errorf("got %+v", o)
	}
}
