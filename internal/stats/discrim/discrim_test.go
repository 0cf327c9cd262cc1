package discrim_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/discrim"
	"tamis/internal/stats/internal/reftest"
)

var byName = map[string]discrim.Method{
	"two_afc": discrim.TwoAFC, "three_afc": discrim.ThreeAFC, "duo_trio": discrim.DuoTrio, "triangle": discrim.Triangle,
}

type reference struct {
	Source       string
	Psychometric []struct {
		Method string
		D      float64 `json:"d_prime"`
		PC     float64
	}
	Inverse []struct {
		Method string
		PC     float64
		D      float64 `json:"d_prime"`
		PD     float64 `json:"pd_above_chance"`
		SE     float64 `json:"se_d_prime_n60"`
	}
	Simulation []struct {
		D        float64
		Triangle float64
		ThreeAFC float64 `json:"three_afc"`
		TwoAFC   float64 `json:"two_afc"`
		DuoTrio  float64 `json:"duo_trio"`
	} `json:"simulation_check_2e6"`
	MinCorrect []struct {
		Chance string
		N      int
		Min05  *int     `json:"min_05"`
		Min01  *int     `json:"min_01"`
		Min001 *int     `json:"min_001"`
		P      *float64 `json:"p_at_min_05"`
	} `json:"min_correct_one_sided"`
	MinAgree []struct {
		N      int
		Min05  *int `json:"min_05"`
		Min01  *int `json:"min_01"`
		Min001 *int `json:"min_001"`
	} `json:"min_agree_two_sided_paired"`
	Exact []struct {
		Correct, N  int
		P0          float64
		One         float64 `json:"p_one_sided"`
		Two         float64 `json:"p_two_sided"`
		CPLower     float64 `json:"cp_lower"`
		CPUpper     float64 `json:"cp_upper"`
		WilsonLower float64 `json:"wilson_lower"`
		WilsonUpper float64 `json:"wilson_upper"`
		Z           float64
	} `json:"exact_tests"`
}

func load(t *testing.T) reference {
	t.Helper()
	b, err := os.ReadFile("testdata/discrimination.json")
	if err != nil {
		t.Fatal(err)
	}
	var r reference
	if err := json.Unmarshal(b, &r); err != nil {
		t.Fatal(err)
	}
	if len(r.Psychometric) != 32 || len(r.Inverse) != 28 || len(r.MinCorrect) != 110 || len(r.MinAgree) != 55 || len(r.Exact) != 6 {
		t.Fatal("the reference file is not complete")
	}
	return r
}

// 1e-10 is the trust stated for the integrals of the reference.
const integralTrust = 1e-10

func TestPsychometricFunctions(t *testing.T) {
	t.Parallel()
	ref := load(t)
	for _, r := range ref.Psychometric {
		got, err := byName[r.Method].ProbCorrect(r.D)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, fmt.Sprintf("%s at %v", r.Method, r.D), got, r.PC, integralTrust, ref.Source)
	}
	for _, r := range ref.Simulation {
		for m, want := range map[discrim.Method]float64{discrim.Triangle: r.Triangle, discrim.ThreeAFC: r.ThreeAFC, discrim.TwoAFC: r.TwoAFC, discrim.DuoTrio: r.DuoTrio} {
			got, _ := m.ProbCorrect(r.D)
			// 2e6 draws: SE below 0.00036.
			reftest.WithinAbs(t, m.String(), got, want, 0, 0.0015, "simulation of the defining rule, 2e6 draws, 4 SE")
		}
	}
}

func TestInverseAndSE(t *testing.T) {
	t.Parallel()
	ref := load(t)
	for _, r := range ref.Inverse {
		m := byName[r.Method]
		d, err := m.DPrime(r.PC)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("%s %v", r.Method, r.PC)
		reftest.Within(t, name, d, r.D, integralTrust, ref.Source)
		reftest.Within(t, name+" pd", m.ShareFromPC(r.PC), r.PD, 1e-12, ref.Source)
		correct := int(math.Round(r.PC * 60))
		res, err := m.Analyse(correct, 60, false, 0.05, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		// The SE is relative to the square root of pc(1 − pc) and the slope at d′.
		if math.Abs(r.PC*60-float64(correct)) < 1e-9 {
			reftest.Within(t, name+" SE", res.DPrime.SE, r.SE, 1e-9, ref.Source)
			reftest.Within(t, name+" d′", res.DPrime.Value, r.D, integralTrust, ref.Source)
		}
	}
}

// trapezoid over [−20, 20]: for such integrands its error is far below rounding.
func trapezoid(f func(float64) float64) float64 {
	const h = 1. / 64
	s := 0.0
	for i := -20 * 64; i <= 20*64; i++ {
		s += f(float64(i) * h)
	}
	return s * h
}

func phi(x float64) float64 { return math.Exp(-x*x/2) / math.Sqrt(2*math.Pi) }
func cdf(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }

func TestDefiningIntegrals(t *testing.T) {
	t.Parallel()
	for _, d := range []float64{0, 0.01, 0.3, 1, 1.7, 2, 2.001, 2.5, 4, 6} {
		want := map[discrim.Method]float64{
			discrim.TwoAFC:   trapezoid(func(z float64) float64 { return phi(z-d) * cdf(z) }),
			discrim.ThreeAFC: trapezoid(func(z float64) float64 { return phi(z-d) * cdf(z) * cdf(z) }),
			// Both of one product below both of the other, or above: order
			// statistics of two pairs. Another derivation than the package's.
			discrim.Tetrad: trapezoid(func(z float64) float64 {
				return 2*phi(z)*cdf(z)*cdf(d-z)*cdf(d-z) + 2*phi(z-d)*cdf(z-d)*cdf(-z)*cdf(-z)
			}),
			// The two alike are nearer to each other than either to the odd one:
			// u = difference of the alike (SD √2), v = odd less their mean (SD √1.5).
			// |u| has a corner at 0, so the half line is stretched to the whole line.
			discrim.Triangle: trapezoid(func(s float64) float64 {
				u := math.Exp(s - math.Exp(-s))
				far := u * math.Sqrt2 * 1.5
				return 2 * u * (1 + math.Exp(-s)) * phi(u) * (cdf((d-far)/math.Sqrt(1.5)) + cdf((-d-far)/math.Sqrt(1.5)))
			}),
		}
		for m, w := range want {
			got, err := m.ProbCorrect(d)
			if err != nil {
				t.Fatal(err)
			}
			reftest.Within(t, fmt.Sprintf("%v at %v", m, d), got, w, 1e-12, "defining probability by the trapezoidal rule")
		}
	}
}

func TestRoundTripOverTheWholeRange(t *testing.T) {
	t.Parallel()
	for m := discrim.Triangle; m <= discrim.Tetrad; m++ {
		if got, _ := m.ProbCorrect(0); got != m.Chance() {
			t.Errorf("%v at 0: %v", m, got)
		}
		if got, _ := m.ProbCorrect(1e6); got != 1 {
			t.Errorf("%v far away: %v", m, got)
		}
		last := m.Chance()
		for d := 0.05; d < 9; d += 0.05 {
			pc, err := m.ProbCorrect(d)
			if err != nil || pc <= last && pc < 1-1e-15 {
				t.Fatalf("%v not rising at %v: %v after %v (%v)", m, d, pc, last, err)
			}
			last = pc
			if 1-pc < 1e-7 {
				continue // pc itself has lost the digits that would tell d′
			}
			back, err := m.DPrime(pc)
			if err != nil {
				t.Fatal(err)
			}
			// Near either end a rounding of pc by 1e-16 moves d′ by 1e-16/slope.
			reftest.Within(t, fmt.Sprintf("%v at %v", m, d), back, d, 2e-9, "round trip; the slope of pc is as low as 1e-7 here")
		}
	}
}

func counts(t *testing.T, name string, get func(alpha float64) (int, error), want05, want01, want001 *int) {
	t.Helper()
	for _, c := range []struct {
		alpha float64
		want  *int
	}{{0.05, want05}, {0.01, want01}, {0.001, want001}} {
		got, err := get(c.alpha)
		if c.want == nil {
			if !errors.Is(err, stats.ErrTooFew) {
				t.Errorf("%s at %v: %v, %v", name, c.alpha, got, err)
			}
			continue
		}
		if err != nil || got != *c.want {
			t.Errorf("%s at %v: %v, want %v (%v)", name, c.alpha, got, *c.want, err)
		}
	}
}

func TestLeastCorrect(t *testing.T) {
	t.Parallel()
	ref := load(t)
	for _, r := range ref.MinCorrect {
		m := discrim.Triangle
		if r.Chance == "half" {
			m = discrim.DuoTrio
		}
		counts(t, fmt.Sprintf("%s n %d", r.Chance, r.N), func(a float64) (int, error) { return m.LeastCorrect(r.N, a, false) }, r.Min05, r.Min01, r.Min001)
		if r.Min05 != nil {
			p, err := discrim.BinomialP(*r.Min05, r.N, m.Chance(), false)
			if err != nil {
				t.Fatal(err)
			}
			reftest.Within(t, "p", p, *r.P, 1e-12, ref.Source)
		}
	}
	for _, r := range ref.MinAgree {
		counts(t, fmt.Sprintf("paired n %d", r.N), func(a float64) (int, error) { return discrim.TwoAFC.LeastCorrect(r.N, a, true) }, r.Min05, r.Min01, r.Min001)
	}
	// Worked values of published tables, at 5 %.
	for _, c := range []struct {
		m       discrim.Method
		n, want int
	}{
		{discrim.Triangle, 12, 8}, {discrim.Triangle, 24, 13}, {discrim.Triangle, 30, 15}, {discrim.Triangle, 36, 18}, {discrim.Triangle, 48, 22}, {discrim.Triangle, 60, 27},
		{discrim.DuoTrio, 32, 22}, {discrim.DuoTrio, 36, 24},
	} {
		if got, err := c.m.LeastCorrect(c.n, 0.05, false); err != nil || got != c.want {
			t.Errorf("%v n %d: %d, want %d", c.m, c.n, got, c.want)
		}
	}
}

func TestExactTests(t *testing.T) {
	t.Parallel()
	ref := load(t)
	for _, r := range ref.Exact {
		name := fmt.Sprintf("%d of %d at %.3f", r.Correct, r.N, r.P0)
		m := discrim.Triangle
		if r.P0 == 0.5 {
			m = discrim.DuoTrio
		}
		res, err := m.Analyse(r.Correct, r.N, false, 0.05, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, name+" p", res.P, r.One, 1e-11, ref.Source)
		reftest.Within(t, name+" z", res.Z, r.Z, 1e-12, ref.Source)
		reftest.Within(t, name+" low", res.PCInterval.Low, r.CPLower, integralTrust, ref.Source)
		reftest.Within(t, name+" high", res.PCInterval.High, r.CPUpper, integralTrust, ref.Source)
		reftest.Within(t, name+" Wilson low", res.PCWilson.Low, r.WilsonLower, 1e-11, ref.Source)
		reftest.Within(t, name+" Wilson high", res.PCWilson.High, r.WilsonUpper, 1e-11, ref.Source)
		two, err := discrim.BinomialP(r.Correct, r.N, m.Chance(), true)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, name+" two-sided", two, r.Two, 1e-11, ref.Source)
	}
	one, _ := discrim.TwoAFC.Analyse(20, 30, false, 0.05, 0.95)
	two, _ := discrim.TwoAFC.Analyse(20, 30, true, 0.05, 0.95)
	reftest.WithinAbs(t, "one-sided", one.P, 0.049, 0, 5e-4, "20 of 30, worked, three decimals")
	reftest.WithinAbs(t, "two-sided", two.P, 0.099, 0, 5e-4, "20 of 30, worked, three decimals")
}

func TestBinomialPAgainstSums(t *testing.T) {
	t.Parallel()
	// Every count of every n up to 40, the two-sided rule spelled out.
	for _, p0 := range []float64{1. / 3, 0.5, 0.1, 0.77} {
		for n := 1; n <= 40; n++ {
			pmf := make([]float64, n+1)
			for k := range pmf {
				a, _ := math.Lgamma(float64(n + 1))
				b, _ := math.Lgamma(float64(k + 1))
				c, _ := math.Lgamma(float64(n - k + 1))
				pmf[k] = math.Exp(a - b - c + float64(k)*math.Log(p0) + float64(n-k)*math.Log1p(-p0))
			}
			for k := range pmf {
				want := 0.0
				for _, p := range pmf {
					if p <= pmf[k]*(1+1e-7) {
						want += p
					}
				}
				got, err := discrim.BinomialP(k, n, p0, true)
				if err != nil {
					t.Fatal(err)
				}
				// Log-gamma in the check costs digits: 1e-11.
				reftest.Within(t, fmt.Sprintf("%d of %d at %v", k, n, p0), got, want, 1e-11, "sum over all counts")
			}
		}
	}
}

func TestSimilarity(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ n, want int }{{36, 13}, {60, 25}} {
		got, err := discrim.Triangle.MostCorrect(c.n, 0.3, 0.05)
		if err != nil || got != c.want {
			t.Errorf("n %d: %d, want %d (published similarity table, β 5 %%, pd 30 %%) %v", c.n, got, c.want, err)
		}
	}
	for x := 0; x <= 60; x++ {
		res, err := discrim.Triangle.Similarity(x, 60, 0.3, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if res.Similar != (x <= 25) || res.Similar != (res.P <= 0.05) || res.Similar != (res.Upper <= 0.3) {
			t.Errorf("%d of 60: the three forms of the decision disagree: %+v", x, res)
		}
	}
	few, err := discrim.Triangle.Similarity(0, 3, 0.3, 0.05)
	if err != nil || few.CanReach || few.Similar || len(few.Warnings) != 1 || few.Warnings[0].Need != 4 {
		t.Errorf("0.4667³ = 0.10 is above 5 %%, 0.4667⁴ = 0.047 is not: %+v %v", few, err)
	}
	if _, err := discrim.Triangle.MostCorrect(3, 0.3, 0.05); !errors.Is(err, stats.ErrTooFew) {
		t.Errorf("%v", err)
	}
	odd, _ := discrim.Triangle.Similarity(8, 60, 0.3, 0.05)
	if len(odd.Warnings) != 1 || odd.Warnings[0].ID != "below-guessing" {
		t.Errorf("8 of 60 is far below guessing: %+v", odd.Warnings)
	}
}

func TestPowerAndSize(t *testing.T) {
	t.Parallel()
	tri := discrim.Triangle
	pc := tri.PCFromShare(0.3)
	for _, c := range []struct {
		m        discrim.Method
		pc       float64
		target   float64
		twoSided bool
	}{
		{tri, pc, 0.8, false}, {tri, pc, 0.95, false}, {discrim.DuoTrio, 0.75, 0.9, false}, {discrim.TwoAFC, 0.7, 0.8, true}, {tri, 1, 0.9, false},
	} {
		res, err := c.m.Size(0.05, c.pc, c.target, c.twoSided)
		if err != nil {
			t.Fatal(err)
		}
		first, lastBelow := 0, 0
		for n := 1; n <= 400; n++ {
			p, err := c.m.Power(n, 0.05, c.pc, c.twoSided)
			if err != nil {
				t.Fatal(err)
			}
			if p >= c.target && first == 0 {
				first = n
			}
			if p < c.target {
				lastBelow = n
			}
		}
		if res.First != first || res.Stays != lastBelow+1 {
			t.Errorf("%v: first %d stays %d, by search %d and %d", c, res.First, res.Stays, first, lastBelow+1)
		}
		k, err := c.m.LeastCorrect(res.Stays, 0.05, c.twoSided)
		if err != nil || k != res.Count {
			t.Errorf("%v: count %d, least correct %d %v", c, res.Count, k, err)
		}
		p, _ := c.m.Power(res.Stays, 0.05, c.pc, c.twoSided)
		reftest.Within(t, "power", res.StaysPower, p, 1e-12, "Power at that n")
	}
	sim, err := tri.SimilaritySize(0.3, 0.05, 0, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	first, lastBelow := 0, 0
	for n := 1; n <= 400; n++ {
		p, err := tri.SimilarityPower(n, 0.3, 0.05, 0)
		if err != nil {
			t.Fatal(err)
		}
		if p >= 0.8 && first == 0 {
			first = n
		}
		if p < 0.8 {
			lastBelow = n
		}
	}
	most, _ := tri.MostCorrect(sim.Stays, 0.3, 0.05)
	if sim.First != first || sim.Stays != lastBelow+1 || sim.Count != most {
		t.Errorf("%+v, by search %d, %d, count %d", sim, first, lastBelow+1, most)
	}
	if _, err := tri.Size(0.05, 0.334, 0.8, false); !errors.Is(err, stats.ErrTooLarge) {
		t.Errorf("tiny effect: %v", err)
	}
}

func TestPlaces(t *testing.T) {
	t.Parallel()
	tri := discrim.Triangle
	low, err := tri.Analyse(8, 30, false, 0.05, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	d := low.DPrime
	if d.Place != discrim.AtOrBelowGuessing || d.Value != 0 || d.HasWald || d.Exact.Low != 0 || !(d.Exact.High > 0.5) || !(d.Likelihood.High > 0) || low.PD != 0 || len(low.Warnings) != 1 {
		t.Errorf("%+v", low)
	}
	all, err := tri.Analyse(10, 10, false, 0.05, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	d = all.DPrime
	if d.Place != discrim.AllCorrect || !d.Exact.HighOpen || !d.Likelihood.HighOpen || d.HasWald || !(d.Exact.Low > 1) {
		t.Errorf("%+v", d)
	}
	none, err := discrim.TwoAFC.Analyse(0, 10, true, 0.05, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if d = none.DPrime; d.Place != discrim.NoneCorrect || !d.Exact.LowOpen || !(d.Exact.High < 0) || none.PD != -1 {
		t.Errorf("%+v", none)
	}
	few, _ := tri.Analyse(2, 2, false, 0.05, 0.95)
	if few.CanReach || few.Warnings[0].ID != "cannot-be-significant" || few.Warnings[0].Need != 3 {
		t.Errorf("3 of 3 has p = 1/27: %+v", few)
	}
}

func TestPairedIsOdd(t *testing.T) {
	t.Parallel()
	for k := 0; k <= 20; k++ {
		a, err := discrim.TwoAFC.Analyse(k, 20, true, 0.05, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := discrim.TwoAFC.Analyse(20-k, 20, true, 0.05, 0.9)
		src := "exchanging the samples changes signs"
		reftest.Within(t, "p", a.P, b.P, 1e-12, src)
		reftest.WithinAbs(t, "d′", a.DPrime.Value, -b.DPrime.Value, 1e-10, 1e-12, src)
		reftest.WithinAbs(t, "low", a.DPrime.Exact.Low, -b.DPrime.Exact.High, 1e-9, 1e-12, src)
		reftest.WithinAbs(t, "likelihood", a.DPrime.Likelihood.High, -b.DPrime.Likelihood.Low, 1e-9, 1e-12, src)
		reftest.WithinAbs(t, "pd", a.PD, -b.PD, 1e-12, 1e-15, src)
	}
}

// The stated coverage of the intervals holds when assessors really behave so.
func TestCoverage(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("simulation")
	}
	rng := rand.New(rand.NewPCG(21, 22))
	const draws = 4000
	for _, m := range []discrim.Method{discrim.Triangle, discrim.TwoAFC, discrim.Tetrad} {
		pc, _ := m.ProbCorrect(1.5)
		res := map[int]discrim.Result{}
		exact, like := 0, 0
		for range draws {
			x := 0
			for range 50 {
				if rng.Float64() < pc {
					x++
				}
			}
			r, ok := res[x]
			if !ok {
				var err error
				if r, err = m.Analyse(x, 50, false, 0.05, 0.95); err != nil {
					t.Fatal(err)
				}
				res[x] = r
			}
			if r.DPrime.Exact.Contains(1.5) {
				exact++
			}
			if r.DPrime.Likelihood.Contains(1.5) {
				like++
			}
		}
		// Exact: at least 95 % (3 SE = 1 %); likelihood: near 95 %, counts are coarse.
		if e := float64(exact) / draws; e < 0.94 {
			t.Errorf("%v exact coverage %v", m, e)
		}
		if l := float64(like) / draws; l < 0.91 || l > 0.985 {
			t.Errorf("%v likelihood coverage %v", m, l)
		}
	}
}

func TestEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	tri := discrim.Triangle
	cases := []struct {
		name string
		err  func() error
		want error
	}{
		{"method", func() error { _, err := discrim.Method(0).ProbCorrect(1); return err }, stats.ErrDomain},
		{"method inverse", func() error { _, err := discrim.Method(9).DPrime(0.5); return err }, stats.ErrDomain},
		{"negative d", func() error { _, err := tri.ProbCorrect(-1); return err }, stats.ErrDomain},
		{"NaN d", func() error { _, err := tri.ProbCorrect(nan); return err }, stats.ErrNonFinite},
		{"infinite d", func() error { _, err := tri.ProbCorrect(inf); return err }, stats.ErrNonFinite},
		{"pc 1", func() error { _, err := tri.DPrime(1); return err }, stats.ErrDomain},
		{"pc NaN", func() error { _, err := tri.DPrime(nan); return err }, stats.ErrNonFinite},
		{"n 0", func() error { _, err := tri.Analyse(0, 0, false, 0.05, 0.95); return err }, stats.ErrEmpty},
		{"more than n", func() error { _, err := tri.Analyse(4, 3, false, 0.05, 0.95); return err }, stats.ErrDomain},
		{"negative", func() error { _, err := tri.Analyse(-1, 3, false, 0.05, 0.95); return err }, stats.ErrDomain},
		{"huge", func() error { _, err := tri.Analyse(1, math.MaxInt, false, 0.05, 0.95); return err }, stats.ErrTooLarge},
		{"two-sided triangle", func() error { _, err := tri.Analyse(1, 3, true, 0.05, 0.95); return err }, stats.ErrDomain},
		{"alpha", func() error { _, err := tri.LeastCorrect(10, 1, false); return err }, stats.ErrDomain},
		{"alpha NaN", func() error { _, err := tri.LeastCorrect(10, nan, false); return err }, stats.ErrDomain},
		{"level", func() error { _, err := tri.Analyse(1, 3, false, 0.05, 0); return err }, stats.ErrDomain},
		{"level of the exact interval", func() error { _, err := discrim.ExactInterval(1, 3, nan); return err }, stats.ErrDomain},
		{"Wilson", func() error { _, err := discrim.WilsonInterval(5, 3, 0.95); return err }, stats.ErrDomain},
		{"p0", func() error { _, err := discrim.BinomialP(1, 3, 0, true); return err }, stats.ErrDomain},
		{"power pc", func() error { _, err := tri.Power(10, 0.05, nan, false); return err }, stats.ErrDomain},
		{"size pc", func() error { _, err := tri.Size(0.05, 1./3, 0.8, false); return err }, stats.ErrDomain},
		{"size target", func() error { _, err := tri.Size(0.05, 0.5, 1, false); return err }, stats.ErrDomain},
		{"limit", func() error { _, err := tri.Similarity(3, 10, 0, 0.05); return err }, stats.ErrDomain},
		{"similarity power", func() error { _, err := tri.SimilarityPower(10, 0.3, 0.05, 2); return err }, stats.ErrDomain},
		{"similarity size", func() error { _, err := tri.SimilaritySize(0.3, 0.05, 0.3, 0.8); return err }, stats.ErrDomain},
		{"name", func() error { _, err := discrim.ParseMethod("pentad"); return err }, stats.ErrDomain},
	}
	for _, c := range cases {
		if err := c.err(); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	for m := discrim.Triangle; m <= discrim.Tetrad; m++ {
		if back, err := discrim.ParseMethod(m.String()); err != nil || back != m {
			t.Errorf("%v: %v", m, err)
		}
	}
	if p, err := tri.Power(2, 0.05, 0.9, false); err != nil || p != 0 {
		t.Errorf("nothing can be significant: %v %v", p, err)
	}
	if d, err := tri.DPrime(0.2); err != nil || d != 0 {
		t.Errorf("below guessing: %v %v", d, err)
	}
}

func FuzzAnalyse(f *testing.F) {
	f.Add(uint8(1), 12, 30, false, 0.05, 0.95)
	f.Add(uint8(3), 0, 10, true, 0.01, 0.5)
	f.Add(uint8(5), 10, 10, false, 0.999, 1e-9)
	f.Fuzz(func(t *testing.T, m uint8, correct, n int, two bool, alpha, level float64) {
		r, err := discrim.Method(m%7).Analyse(correct%3000, n%3000, two, alpha, level)
		if err != nil {
			return
		}
		for _, x := range []float64{r.P, r.Z, r.PC, r.PD, r.DPrime.Value, r.DPrime.SE, r.DPrime.Exact.Low, r.DPrime.Exact.High, r.DPrime.Likelihood.Low, r.DPrime.Likelihood.High, r.DPrime.Wald.Low, r.DPrime.Wald.High} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%+v", r)
			}
		}
		if r.P < 0 || r.P > 1 || (r.DPrime.Place == discrim.Inside && !r.DPrime.Exact.Contains(r.DPrime.Value) && level > 0.2) {
			t.Fatalf("%+v", r)
		}
	})
}
