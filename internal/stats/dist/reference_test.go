package dist

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"tamis/internal/stats/internal/reftest"
)

// load reads a reference file; every file carries its source.
func load(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// df reads degrees of freedom, written as text because JSON has no infinity.
func df(t *testing.T, s string) float64 {
	t.Helper()
	if s == "Inf" {
		return math.Inf(1)
	}
	var v float64
	if _, err := fmt.Sscan(s, &v); err != nil {
		t.Fatal(err)
	}
	return v
}

// must turns an unexpected error into a failed test.
func must(t *testing.T) func(float64, error) float64 {
	return func(x float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

func TestBasicDistributions(t *testing.T) {
	t.Parallel()
	var d struct {
		Source string
		T      []struct{ P, DF, T float64 }            `json:"t_quantile"`
		FUpper []struct{ F, D1, D2, P_upper float64 }  `json:"F_upper"`
		Chi    []struct{ X, DF, P_upper float64 }      `json:"chisq_upper"`
		Normal []struct{ Z, CDF, Upper float64 }       `json:"normal"`
		NF     []struct{ F, D1, D2, NCP, CDF float64 } `json:"noncentral_F_cdf"`
		NT     []struct{ T, DF, NCP, CDF float64 }     `json:"noncentral_t_cdf"`
		NChi   []struct{ X, DF, NCP, CDF float64 }     `json:"noncentral_chisq_cdf"`
	}
	load(t, "basic.json", &d)
	ok := must(t)
	if len(d.T) == 0 || len(d.FUpper) == 0 || len(d.Chi) == 0 || len(d.Normal) == 0 || len(d.NF) == 0 || len(d.NT) == 0 || len(d.NChi) == 0 {
		t.Fatal("a section of the reference file is empty")
	}
	for _, r := range d.T {
		reftest.WithinAbs(t, fmt.Sprint("t quantile ", r), ok(TQuantile(r.P, r.DF)), r.T, 2e-14, 1e-15, d.Source)
	}
	for _, r := range d.FUpper {
		reftest.Within(t, fmt.Sprint("F upper ", r), ok(FUpper(r.F, r.D1, r.D2)), r.P_upper, 1e-12, d.Source)
	}
	for _, r := range d.Chi {
		reftest.Within(t, fmt.Sprint("chi-square upper ", r), ok(ChiSquareUpper(r.X, r.DF)), r.P_upper, 1e-12, d.Source)
	}
	for _, r := range d.Normal {
		reftest.Within(t, fmt.Sprint("normal ", r), NormalCDF(r.Z), r.CDF, 1e-13, d.Source)
		reftest.Within(t, fmt.Sprint("normal upper ", r), NormalUpper(r.Z), r.Upper, 1e-13, d.Source)
	}
	// R stops its noncentral beta series at an absolute error of 1e-9 and its
	// noncentral t and χ² at about 1e-12; the tolerances say the same. Our own
	// digits are tested against mpmath below.
	for _, r := range d.NF {
		reftest.WithinAbs(t, fmt.Sprint("noncentral F ", r), ok(NoncentralFCDF(r.F, r.D1, r.D2, r.NCP)), r.CDF, 0, 1e-9, d.Source)
	}
	for _, r := range d.NT {
		reftest.WithinAbs(t, fmt.Sprint("noncentral t ", r), ok(NoncentralTCDF(r.T, r.DF, r.NCP)), r.CDF, 1e-10, 2e-12, d.Source)
	}
	for _, r := range d.NChi {
		reftest.WithinAbs(t, fmt.Sprint("noncentral chi-square ", r), ok(NoncentralChiSquareCDF(r.X, r.DF, r.NCP)), r.CDF, 1e-11, 1e-12, d.Source)
	}
}

func TestStudentizedRangeReference(t *testing.T) {
	t.Parallel()
	var d struct {
		Source string
		Tail   []struct {
			Q     float64
			K     int
			DF    string
			Upper float64
		}
		Quantile []struct {
			P  float64
			K  int
			DF string
			Q  float64
		}
	}
	load(t, "studentized_range.json", &d)
	if len(d.Tail) < 100 || len(d.Quantile) < 100 {
		t.Fatal("reference file is short")
	}
	ok := must(t)
	for _, r := range d.Tail {
		// The reference integration is absolute: 2.3e-14. Tails of 1e-6 carry
		// fewer digits there than here.
		reftest.WithinAbs(t, fmt.Sprint("upper ", r), ok(RangeUpper(r.Q, r.K, df(t, r.DF))), r.Upper, 1e-12, 2.3e-14, d.Source)
		reftest.WithinAbs(t, fmt.Sprint("cdf ", r), ok(RangeCDF(r.Q, r.K, df(t, r.DF))), 1-r.Upper, 1e-12, 2.3e-14, d.Source)
	}
	for _, r := range d.Quantile {
		reftest.Within(t, fmt.Sprint("quantile ", r), ok(RangeQuantile(r.P, r.K, df(t, r.DF))), r.Q, 1e-12, d.Source)
	}
}

func TestDunnettReference(t *testing.T) {
	t.Parallel()
	var d struct {
		Source   string
		Critical []struct {
			K     int
			DF    string
			Alpha float64
			Two   float64 `json:"two_sided"`
			One   float64 `json:"one_sided"`
		}
		Plant struct {
			T []float64
			P []float64 `json:"p_glht_single_step"`
		} `json:"plantgrowth"`
	}
	load(t, "dunnett.json", &d)
	if len(d.Critical) < 40 {
		t.Fatal("reference file is short")
	}
	ok := must(t)
	for _, r := range d.Critical {
		lambda := make([]float64, r.K)
		for i := range lambda {
			lambda[i] = math.Sqrt(0.5)
		}
		two, err := NewDunnett(lambda, df(t, r.DF), true)
		if err != nil {
			t.Fatal(err)
		}
		one, err := NewDunnett(lambda, df(t, r.DF), false)
		if err != nil {
			t.Fatal(err)
		}
		// 1e-10: the reference solved its roots to about 1e-11 (its k = 1 row
		// differs from qt by that much).
		reftest.Within(t, fmt.Sprint("two-sided ", r), ok(two.Critical(r.Alpha)), r.Two, 1e-10, d.Source)
		reftest.Within(t, fmt.Sprint("one-sided ", r), ok(one.Critical(r.Alpha)), r.One, 1e-10, d.Source)
	}
	lambda, err := DunnettLoadings(10, []int{10, 10})
	if err != nil {
		t.Fatal(err)
	}
	plant, err := NewDunnett(lambda, 27, true)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range d.Plant.T {
		reftest.Within(t, "plant growth p", ok(plant.Upper(x)), d.Plant.P[i], 1e-12, d.Source)
	}
}

func TestDunnettUnequal(t *testing.T) {
	t.Parallel()
	const source = "nested integrate() of R 4.2.2 with rel.tol 1e-11, written for this test"
	ok := must(t)
	for _, r := range []struct {
		x        float64
		n0       int
		n        []int
		df       float64
		two      bool
		want     float64
		absolute float64
	}{
		{2.5, 10, []int{4, 6, 9}, 25, true, 0.0526063431657234, 0},
		{2.5, 10, []int{4, 6, 9}, 25, false, 0.0263362078367028, 0},
		{3.1, 5, []int{20, 2}, 8, true, 0.0264732239713588, 0},
		{-0.5, 6, []int{6, 6, 6}, 12, false, 0.890486358363331, 0},
		{6, 8, []int{3, 5, 7, 9}, math.Inf(1), true, 7.89131030824843e-09, 1e-15}, // formed there as 1 − product
	} {
		lambda, err := DunnettLoadings(r.n0, r.n)
		if err != nil {
			t.Fatal(err)
		}
		d, err := NewDunnett(lambda, r.df, r.two)
		if err != nil {
			t.Fatal(err)
		}
		reftest.WithinAbs(t, fmt.Sprint(r), ok(d.Upper(r.x)), r.want, 1e-10, r.absolute, source)
	}
	fifty := make([]float64, 50)
	seven := make([]float64, 7)
	for i := range fifty {
		fifty[i] = 0.9
	}
	for i := range seven {
		seven[i] = 0.99
	}
	for _, r := range []struct {
		x      float64
		lambda []float64
		two    bool
		want   float64
	}{
		{3, fifty, true, 0.028876858511771294},
		{3, seven, false, 0.0023559009897674358},
		{9, []float64{0.5, 0.8, -0.3}, true, 6.7715304297144242e-19},
	} {
		d, err := NewDunnett(r.lambda, math.Inf(1), r.two)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, fmt.Sprint(r.x, r.lambda), ok(d.Upper(r.x)), r.want, 1e-12, "mpmath 1.3, 25 digits: the one-factor integral")
	}
	mixed, err := NewDunnett([]float64{.3, -.5, .9}, math.Inf(1), false)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "mixed signs", ok(mixed.Upper(2)), 0.066226461575198, 1e-11, source)
}

// Extreme tails, where R itself is not always good: all digits from mpmath
// 1.3 at 30 to 60 digits (regularised incomplete functions, or the defining
// integral or Poisson sum).
func TestTailsAgainstMpmath(t *testing.T) {
	t.Parallel()
	const source = "mpmath 1.3, 30 to 60 digits"
	ok := must(t)
	for _, r := range []struct{ t, df, upper, rel float64 }{
		{40, 30, 6.8630225972032014e-28, 1e-13},
		{1000, 3, 1.1026538212882963e-9, 1e-13},
		{25, 210.5, 3.0798887371065443e-65, 1e-12},
		{1e60, 5, 9.4901672455623632e-300, 1e-12},
		{0.001, 7, 0.49961500862249942, 1e-14},
		{37, 1e9, 5.7282584287775696e-300, 1e-12},
		{3, 1e6, 0.0013499312707108985, 1e-13},
		{5, 0.5, 0.1429957015794294, 1e-13},
	} {
		reftest.Within(t, fmt.Sprint("t ", r), ok(TUpper(r.t, r.df)), r.upper, r.rel, source)
		reftest.Within(t, fmt.Sprint("t mirrored ", r), ok(TCDF(-r.t, r.df)), r.upper, r.rel, source)
	}
	for _, r := range []struct{ f, d1, d2, lower, upper float64 }{
		{300, 3, 150, 1, 3.7739538983697677e-63},
		{1e-8, 4, 20, 2.1999999648000004e-16, 0.99999999999999978},
		{1e40, 2, 15, 1, 3.6556067909661805e-294},
		{0.9, 5000, 7000, 3.0454401305163154e-5, 0.99996954559869484},
	} {
		reftest.Within(t, fmt.Sprint("F lower ", r), ok(FCDF(r.f, r.d1, r.d2)), r.lower, 2e-12, source)
		reftest.Within(t, fmt.Sprint("F upper ", r), ok(FUpper(r.f, r.d1, r.d2)), r.upper, 2e-12, source)
	}
	for _, r := range []struct{ x, df, lower, upper float64 }{
		{1400, 3, 1, 2.9456193610163087e-303},
		{1e-30, 5, 5.3192304053524368e-77, 1},
		{700, 200, 1, 1.0799008957302862e-56},
		{0.3, 0.7, 0.55614075248578745, 0.44385924751421255},
	} {
		reftest.Within(t, fmt.Sprint("chi-square lower ", r), ok(ChiSquareCDF(r.x, r.df)), r.lower, 1e-12, source)
		reftest.Within(t, fmt.Sprint("chi-square upper ", r), ok(ChiSquareUpper(r.x, r.df)), r.upper, 1e-12, source)
	}
	for _, r := range []struct{ z, upper float64 }{
		{5, 2.8665157187919391e-7}, {20, 2.7536241186062337e-89}, {37, 5.7255712225245768e-300}, {-3.7, 0.99989220026652261},
	} {
		reftest.Within(t, fmt.Sprint("normal ", r), NormalUpper(r.z), r.upper, 1e-12, source)
	}
	for _, r := range []struct{ t, df, ncp, lower, upper float64 }{
		{30, 12, 1, 0.9999999999844998, 1.5500201050433875e-11},
		{-6, 9, 3, 1.1474610850154982e-9, 0.99999999885253891},
		{0.5, 20, 8, 3.6477383831388967e-14, 0.99999999999996352},
		{100, 4, -2, 0.99999999987167236, 1.2832763949970665e-10},
		{2, 3.5, -4, 0.99999980465173496, 1.9534826503878854e-7},
		{60, 40, 55, 0.74961220556898935, 0.25038779443101065},
		{-1, 6, -0.5, 0.3295138896559674, 0.6704861103440326},
		{3, 150, 12, 3.6774791583956511e-19, 1},
	} {
		reftest.Within(t, fmt.Sprint("noncentral t lower ", r), ok(NoncentralTCDF(r.t, r.df, r.ncp)), r.lower, 1e-11, source)
		reftest.Within(t, fmt.Sprint("noncentral t upper ", r), ok(NoncentralTUpper(r.t, r.df, r.ncp)), r.upper, 1e-11, source)
	}
	for _, r := range []struct{ f, d1, d2, ncp, lower, upper float64 }{
		{0.01, 3, 20, 40, 3.3477370750285811e-12, 0.99999999999665226},
		{60, 2, 12, 5, 0.99994572571777638, 5.4274282223618521e-5},
		{400, 4, 30, 20, 1, 8.0716495432662779e-19},
		{1.2, 5, 100, 200, 1.9011216111062124e-32, 1},
		{1, 2, 12, 25, 0.00014217383360939352, 1 - 0.00014217383360939352},
	} {
		reftest.Within(t, fmt.Sprint("noncentral F lower ", r), ok(NoncentralFCDF(r.f, r.d1, r.d2, r.ncp)), r.lower, 1e-11, source)
		reftest.Within(t, fmt.Sprint("noncentral F upper ", r), ok(NoncentralFUpper(r.f, r.d1, r.d2, r.ncp)), r.upper, 1e-11, source)
	}
	inf := math.Inf(1)
	for _, r := range []struct {
		q     float64
		k     int
		df    float64
		upper float64
	}{
		{12, 4, inf, 1.2911823485653216e-16},
		{20, 3, inf, 6.2654627512876328e-45},
		{14, 10, inf, 1.8827214005049802e-21},
		{0.5, 5, inf, 0.99665968394344931},
		{3, 3, 1, 0.41033295547761836},
	} {
		reftest.Within(t, fmt.Sprint("range ", r), ok(RangeUpper(r.q, r.k, r.df)), r.upper, 1e-12, source)
	}
}

func TestPowerReference(t *testing.T) {
	t.Parallel()
	var d struct {
		Source string
		T      []struct {
			N, Delta, SD, Paired float64
			Two                  float64 `json:"two_sample"`
			Strict               float64 `json:"two_sample_strict"`
			One                  float64 `json:"one_sided"`
		} `json:"t_power"`
		TN []struct {
			Effect, Power float64
			Strict        float64 `json:"n_two_sample_strict"`
			Paired        float64 `json:"n_paired"`
		} `json:"t_n"`
		Anova []struct {
			Groups                int
			N, Between, Within, P float64
			BetweenVar            float64 `json:"between_var"`
			WithinVar             float64 `json:"within_var"`
			Power                 float64
			Power01               float64 `json:"power_alpha01"`
		} `json:"anova_power"`
		AnovaN []struct {
			Groups     int
			BetweenVar float64 `json:"between_var"`
			WithinVar  float64 `json:"within_var"`
			Power, N   float64
		} `json:"anova_n"`
		Blocks []struct {
			Blocks            float64
			Tau               string
			Sigma, NCP, Power float64
		} `json:"rcbd_power"`
		Binomial []struct {
			N         int
			PA, Power float64
			P0        float64
		} `json:"binomial_exact_power_p0_third"`
	}
	load(t, "power.json", &d)
	ok := must(t)
	for _, r := range d.T {
		name := fmt.Sprintf("n %v delta %v", r.N, r.Delta)
		effect := r.Delta / r.SD
		reftest.Within(t, name+" strict", ok(TPower(TwoSample, effect, r.N, 0.05, true)), r.Strict, 1e-9, d.Source)
		reftest.Within(t, name+" one-sided", ok(TPower(TwoSample, effect, r.N, 0.05, false)), r.One, 1e-9, d.Source)
		// The reference's unmarked rows count one rejection side only.
		c := -ok(TQuantile(0.025, 2*(r.N-1)))
		reftest.Within(t, name, ok(NoncentralTUpper(c, 2*(r.N-1), effect*math.Sqrt(r.N/2))), r.Two, 1e-9, d.Source)
		c = -ok(TQuantile(0.025, r.N-1))
		reftest.Within(t, name+" paired", ok(NoncentralTUpper(c, r.N-1, effect*math.Sqrt(r.N))), r.Paired, 1e-9, d.Source)
	}
	for _, r := range d.TN {
		n := ok(SolveSize(func(n float64) (float64, error) { return TPower(TwoSample, r.Effect, n, 0.05, true) }, r.Power, 2, 1e6))
		// 1e-5: uniroot's default tolerance in the reference.
		reftest.Within(t, "n two-sample", n, r.Strict, 1e-5, d.Source)
		n = ok(SolveSize(func(n float64) (float64, error) { return TPower(Paired, r.Effect, n, 0.05, true) }, r.Power, 2, 1e6))
		reftest.Within(t, "n paired", n, r.Paired, 1e-5, d.Source)
	}
	// 3e-9 for F: R's noncentral beta series ends at 1e-9 absolute.
	for _, r := range d.Anova {
		reftest.Within(t, "anova", ok(AnovaPower(r.Groups, r.N, r.BetweenVar, r.WithinVar, 0.05)), r.Power, 3e-9, d.Source)
		reftest.Within(t, "anova 1 %", ok(AnovaPower(r.Groups, r.N, r.BetweenVar, r.WithinVar, 0.01)), r.Power01, 3e-9, d.Source)
	}
	for _, r := range d.AnovaN {
		n := ok(SolveSize(func(n float64) (float64, error) { return AnovaPower(r.Groups, n, r.BetweenVar, r.WithinVar, 0.05) }, r.Power, 2, 1e5))
		reftest.Within(t, "anova n", n, r.N, 1e-5, d.Source) // uniroot again
	}
	for _, r := range d.Blocks {
		var tau []float64
		for _, field := range strings.Fields(r.Tau) {
			tau = append(tau, df(t, field))
		}
		reftest.Within(t, "blocks", ok(BlockPower(r.Blocks, tau, r.Sigma, 0.05)), r.Power, 3e-9, d.Source)
	}
	for _, r := range d.Binomial {
		// Exact test of 1/3: least count with tail ≤ 5 %, then its chance under pA.
		least := 0
		for ok(BinomialAtLeast(least, r.N, 1.0/3)) > 0.05 {
			least++
		}
		reftest.Within(t, fmt.Sprint("binomial ", r), ok(BinomialAtLeast(least, r.N, r.PA)), r.Power, 1e-11, d.Source)
	}
}
