package dist

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"sync"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

// Each quantile must return to the probability it was asked for, in both tails
// and far out.
func TestQuantilesInvertTails(t *testing.T) {
	t.Parallel()
	ok := must(t)
	inf := math.Inf(1)
	for _, p := range []float64{1e-290, 1e-100, 1e-20, 1e-6, 0.01, 0.2, 0.26, 0.4999, 0.5, 0.51, 0.8, 0.999} {
		const source = "inverse of its own tail"
		reftest.Within(t, fmt.Sprint("normal ", p), NormalCDF(ok(NormalQuantile(p))), p, 2e-13, source)
		for _, df := range []float64{0.5, 1, 2.5, 12, 210, 1e5, 1e9, inf} {
			if df*300 < -math.Log10(p) { // the quantile is above 1e300
				continue
			}
			reftest.Within(t, fmt.Sprint("t ", p, df), ok(TCDF(ok(TQuantile(p, df)), df)), p, 1e-12, source)
			for _, d1 := range []float64{1, 3, 40} {
				if math.Min(d1, df)*140 < -math.Log10(p) {
					continue
				}
				reftest.Within(t, fmt.Sprint("F ", p, d1, df), ok(FCDF(ok(FQuantile(p, d1, df)), d1, df)), p, 1e-11, source)
				reftest.Within(t, fmt.Sprint("F upper ", p, d1, df), ok(FUpper(ok(FUpperQuantile(p, d1, df)), d1, df)), p, 1e-11, source)
			}
		}
		for _, df := range []float64{1, 4.5, 300, 1e6} {
			if df*140 < -math.Log10(p) {
				continue
			}
			reftest.Within(t, fmt.Sprint("chi-square ", p, df), ok(ChiSquareCDF(ok(ChiSquareQuantile(p, df)), df)), p, 1e-9, source) // √df digits go into x
			reftest.Within(t, fmt.Sprint("chi-square upper ", p, df), ok(ChiSquareUpper(ok(ChiSquareUpperQuantile(p, df)), df)), p, 1e-9, source)
		}
		if p < 1e-20 {
			continue
		}
		for _, df := range []float64{2, 9.5, 210, inf} {
			for _, k := range []int{2, 3, 7, 50} {
				reftest.Within(t, fmt.Sprint("range ", p, k, df), ok(RangeUpper(ok(RangeUpperQuantile(p, k, df)), k, df)), p, 1e-11, source)
			}
			for _, two := range []bool{true, false} {
				d, err := NewDunnett([]float64{0.3, 0.7, 0.7}, df, two)
				if err != nil {
					t.Fatal(err)
				}
				reftest.Within(t, fmt.Sprint("dunnett ", p, df, two), ok(d.Upper(ok(d.Critical(p)))), p, 1e-10, source)
			}
		}
	}
}

// Relations between families that the code computes by different routes.
func TestFamiliesAgree(t *testing.T) {
	t.Parallel()
	ok := must(t)
	inf := math.Inf(1)
	for _, x := range []float64{0.3, 1, 2.2, 5} {
		for _, df := range []float64{0.7, 1, 3, 11, 15.99, 16.01, 60, 1e4} {
			reftest.Within(t, "t² is F", ok(FUpper(x*x, 1, df)), ok(TTwoSided(x, df)), 1e-13, "T² ~ F(1, df)")
			reftest.Within(t, fmt.Sprint("t by mixture ", x, df), noncentralTTail(x, df, 0), ok(TUpper(x, df)), 2e-13, "noncentral t at 0")
			reftest.Within(t, "F at ncp 0", ok(NoncentralFUpper(x, 4, df, 0)), ok(FUpper(x, 4, df)), 1e-15, "ncp 0")
			reftest.Within(t, "range of two", rangeUpperGeneral(x*math.Sqrt2, 2, df, rangeTable(2)), ok(TTwoSided(x, df)), 2e-12, "Q = √2|T| for k = 2")
			one, err := NewDunnett([]float64{0.6}, df, true)
			if err != nil {
				t.Fatal(err)
			}
			reftest.Within(t, "one comparison", ok(one.Upper(x)), ok(TTwoSided(x, df)), 2e-12, "one comparison is t")
			// T² noncentral is noncentral F with ncp δ².
			f := ok(NoncentralFUpper(x*x, 1, df, 1.7*1.7))
			tt := ok(NoncentralTUpper(x, df, 1.7)) + ok(NoncentralTCDF(-x, df, 1.7))
			reftest.Within(t, fmt.Sprint("noncentral t² is F ", x, df), tt, f, 2e-12, "T² ~ F(1, df, δ²)")
		}
		reftest.Within(t, "χ² on 1", ok(ChiSquareUpper(x*x, 1)), 2*NormalUpper(x), 1e-13, "Z² ~ χ²(1)")
		reftest.Within(t, "F with infinite df", ok(FUpper(x, 5, inf)), ok(ChiSquareUpper(5*x, 5)), 1e-15, "limit")
		reftest.Within(t, "F near infinite df", ok(FUpper(x, 5, 1e13)), ok(ChiSquareUpper(5*x, 5)), 1e-10, "limit")
		reftest.Within(t, "reciprocal F", ok(FCDF(1/x, 7, 3)), ok(FUpper(x, 3, 7)), 1e-13, "1/F swaps the df")
		reftest.Within(t, "noncentral F limit", ok(NoncentralFCDF(x, 3, inf, 4)), ok(NoncentralChiSquareCDF(3*x, 3, 4)), 1e-15, "limit")
	}
	// Far tails of the mixture and of its table, down to 1e-280, where t is exact.
	for _, c := range []struct{ x, df float64 }{{60, 3}, {1e4, 11}, {40, 60}, {35, 2000}, {36, 1e7}, {35.5, inf}} {
		want := ok(TTwoSided(c.x, c.df))
		reftest.Within(t, fmt.Sprint("far range of two ", c), rangeUpperGeneral(c.x*math.Sqrt2, 2, c.df, rangeTable(2)), want, 1e-11, "Q = √2|T| for k = 2")
		one, err := NewDunnett([]float64{0.6}, c.df, true)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, fmt.Sprint("far comparison ", c), ok(one.Upper(c.x)), want, 1e-11, "one comparison is t")
	}
	// At the size limit the laws are normal to 1e-5: slow paths end, and right.
	reftest.WithinAbs(t, "F at the limit", ok(FUpper(1+2e-5, 1e10, 1e10)), NormalUpper(1), 1e-4, 0, "log F is normal with variance 4e-10")
	reftest.WithinAbs(t, "χ² at the limit", ok(ChiSquareUpper(1e10+math.Sqrt(2e10), 1e10)), NormalUpper(1), 1e-4, 0, "central limit")
	// χ² on 2 df is exponential; its noncentral form on 2 df at ncp 0 too.
	reftest.Within(t, "χ² on 2", ok(ChiSquareUpper(1300, 2)), math.Exp(-650), 1e-13, "exponential")
}

// The rules behind the integrals must not depend on the step: finer nodes give
// the same digits.
func TestRangeDoesNotDependOnTheStep(t *testing.T) {
	t.Parallel()
	for _, df := range []float64{0.5, 1, 2.3, 8, 15.9, 16.1, 100} {
		for _, k := range []int{3, 10, 100, 1000} {
			fine := newTailTable(newMaxGridStep(k, 0.06).upper)
			for _, q := range []float64{0.3, 2, 4, 8, 30} {
				got := rangeUpper(q, k, df)
				want := scaleMixture(func(s float64) float64 { return fine.at(q * s) }, df, tailPeak(q*q/2, 4.5, df), 0.02)
				reftest.Within(t, fmt.Sprint(q, k, df), got, want, 2e-12, "the same integral, 2.5 times as many nodes")
			}
		}
	}
}

func TestRangeLowerTail(t *testing.T) {
	t.Parallel()
	ok := must(t)
	// Two means: P(|T| ≤ q/√2), from the other code path.
	for _, q := range []float64{0.01, 0.1} {
		lower := scaleMixture(func(s float64) float64 { return rangeLowerNormal(q*s, 2) }, 9, 1, tailStep(2))
		x := q / math.Sqrt2 / 3
		want := ok(BetaCDF(x*x/(1+x*x), 0.5, 4.5))
		reftest.Within(t, "lower tail", lower, want, 1e-11, "central area of t by the beta distribution")
	}
	// Small ranges grow as q^{k−1}.
	a, b := ok(RangeCDF(0.02, 5, 20)), ok(RangeCDF(0.01, 5, 20))
	reftest.Within(t, "power law", a/b, 16, 1e-3, "leading term of the density, next term of order q²")
}

func TestBinomialAgainstIntegers(t *testing.T) {
	t.Parallel()
	ok := must(t)
	// p = 1/3 by exact rational arithmetic; p itself is rounded to a double,
	// which moves the tails by n·ε.
	p := new(big.Rat).SetFloat64(1.0 / 3)
	q := new(big.Rat).Sub(big.NewRat(1, 1), p)
	for _, n := range []int{1, 7, 36} {
		pow := func(r *big.Rat, k int) *big.Rat {
			out := big.NewRat(1, 1)
			for range k {
				out.Mul(out, r)
			}
			return out
		}
		tail := new(big.Rat)
		for k := n; k >= 0; k-- {
			term := new(big.Rat).SetInt(new(big.Int).Binomial(int64(n), int64(k)))
			term.Mul(term, pow(p, k)).Mul(term, pow(q, n-k))
			tail.Add(tail, term)
			want, _ := tail.Float64()
			pmf, _ := term.Float64()
			reftest.Within(t, fmt.Sprint("pmf ", k, n), ok(BinomialPMF(k, n, 1.0/3)), pmf, 1e-13, "exact fractions")
			reftest.Within(t, fmt.Sprint("at least ", k, n), ok(BinomialAtLeast(k, n, 1.0/3)), want, 1e-13, "exact fractions")
			below, _ := new(big.Rat).Sub(big.NewRat(1, 1), tail).Float64()
			reftest.WithinAbs(t, fmt.Sprint("below ", k, n), ok(BinomialAtMost(k-1, n, 1.0/3)), below, 1e-13, 0, "exact fractions")
		}
	}
	for _, c := range []struct {
		k, n int
		p    float64
		want float64
	}{{0, 0, 0.5, 1}, {0, 5, 0, 1}, {1, 5, 0, 0}, {5, 5, 1, 1}, {6, 5, 0.5, 0}, {-3, 5, 0.5, 1}} {
		reftest.WithinAbs(t, fmt.Sprint(c), ok(BinomialAtLeast(c.k, c.n, c.p)), c.want, 0, 0, "definition")
	}
	// Clopper–Pearson for 0 of n has the closed form 1 − (α/2)^{1/n} above.
	reftest.Within(t, "upper limit of 0 of 12", ok(BetaQuantile(0.975, 1, 12)), 1-math.Pow(0.025, 1.0/12), 1e-13, "closed form")
}

func TestDunnettProperties(t *testing.T) {
	t.Parallel()
	ok := must(t)
	lambda := []float64{0.2, 0.8, 0.5}
	before := slices.Clone(lambda)
	a, err := NewDunnett(lambda, 14, true)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(lambda, before) {
		t.Error("input altered")
	}
	b, err := NewDunnett([]float64{0.8, -0.5, -0.2}, 14, true)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{0, 0.5, 2, 9} {
		if ok(a.Upper(x)) != ok(b.Upper(-x)) {
			t.Errorf("two-sided tail at %v depends on order or signs", x)
		}
		// Bonferroni bounds from above, one comparison from below.
		single := ok(TTwoSided(x, 14))
		if p := ok(a.Upper(x)); p < single-1e-13 || p > math.Min(1, 3*single)+1e-13 {
			t.Errorf("tail at %v = %v outside [%v, %v]", x, p, single, 3*single)
		}
	}
	other, err := a.WithDF(3.5)
	if err != nil {
		t.Fatal(err)
	}
	fresh, err := NewDunnett(lambda, 3.5, true)
	if err != nil {
		t.Fatal(err)
	}
	if ok(other.Upper(2)) != ok(fresh.Upper(2)) {
		t.Error("a shared table changes the tail")
	}
	// Uncorrelated with known variance: the Šidák product.
	c, err := NewDunnett([]float64{0, 0, 0, 0}, math.Inf(1), true)
	if err != nil {
		t.Fatal(err)
	}
	p := 2 * NormalUpper(2.1)
	reftest.Within(t, "independent", ok(c.Upper(2.1)), 1-math.Pow(1-p, 4), 1e-13, "product of independent chances")
	// A one-sided critical value may lie below 0.
	d, err := NewDunnett([]float64{0.5}, 8, false)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "one-sided, alpha 0.8", ok(d.Critical(0.8)), ok(TQuantile(0.2, 8)), 1e-10, "one comparison is t")
	reftest.Within(t, "one-sided, alpha 0.3", ok(d.Critical(0.3)), ok(TQuantile(0.7, 8)), 1e-11, "one comparison is t")
}

// Tables are shared: many callers at once get what one caller gets.
func TestConcurrentUse(t *testing.T) {
	t.Parallel()
	ok := must(t)
	const k = 23 // a family no other test has filled
	family, err := NewDunnett([]float64{0.4, 0.6}, 7, true)
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	got := make([][2]float64, 16)
	for i := range got {
		wg.Go(func() {
			a, err1 := RangeUpper(4.5, k, 9)
			b, err2 := family.Upper(2.5)
			if err1 == nil && err2 == nil {
				got[i] = [2]float64{a, b}
			}
		})
	}
	wg.Wait()
	want := [2]float64{ok(RangeUpper(4.5, k, 9)), ok(family.Upper(2.5))}
	for i := range got {
		if got[i] != want {
			t.Errorf("caller %d got %v, want %v", i, got[i], want)
		}
	}
}

// Bad arguments give a typed error from every exported function.
func TestArguments(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	good, err := NewDunnett([]float64{0.5}, 5, true)
	if err != nil {
		t.Fatal(err)
	}
	second := func(_ any, err error) error { return err }
	for name, c := range map[string]struct{ err, want error }{
		"t NaN":              {second(TCDF(nan, 3)), stats.ErrNonFinite},
		"t df NaN":           {second(TUpper(1, nan)), stats.ErrNonFinite},
		"t df 0":             {second(TTwoSided(1, 0)), stats.ErrDomain},
		"t quantile 0":       {second(TQuantile(0, 3)), stats.ErrDomain},
		"t quantile NaN":     {second(TQuantile(nan, 3)), stats.ErrNonFinite},
		"normal quantile 1":  {second(NormalQuantile(1)), stats.ErrDomain},
		"F negative df":      {second(FCDF(1, -1, 3)), stats.ErrDomain},
		"F NaN":              {second(FUpper(nan, 1, 3)), stats.ErrNonFinite},
		"F quantile 1.5":     {second(FQuantile(1.5, 1, 3)), stats.ErrDomain},
		"F upper quantile":   {second(FUpperQuantile(-1, 1, 3)), stats.ErrDomain},
		"chi infinite df":    {second(ChiSquareCDF(1, inf)), stats.ErrNonFinite},
		"chi large df":       {second(ChiSquareUpper(1, 1e13)), stats.ErrTooLarge},
		"F both large":       {second(FUpper(1, 1e12, 1e13)), stats.ErrTooLarge},
		"F quantile large":   {second(FQuantile(0.1, 1e12, 1e13)), stats.ErrTooLarge},
		"binomial large":     {second(BinomialAtMost(1, 1e11, 0.1)), stats.ErrTooLarge},
		"beta large":         {second(BetaCDF(0.5, 1e11, 1e11)), stats.ErrTooLarge},
		"chi quantile":       {second(ChiSquareQuantile(0, 1)), stats.ErrDomain},
		"chi upper quantile": {second(ChiSquareUpperQuantile(2, 1)), stats.ErrDomain},
		"ncF negative":       {second(NoncentralFCDF(1, 2, 3, -1)), stats.ErrDomain},
		"ncF large":          {second(NoncentralFUpper(1, 2, 3, 1e7)), stats.ErrTooLarge},
		"nct infinite":       {second(NoncentralTCDF(1, 3, inf)), stats.ErrNonFinite},
		"nct large":          {second(NoncentralTUpper(1, 3, 1e5)), stats.ErrTooLarge},
		"ncchi NaN":          {second(NoncentralChiSquareCDF(1, 3, nan)), stats.ErrNonFinite},
		"ncchi df":           {second(NoncentralChiSquareUpper(1, 0, 1)), stats.ErrDomain},
		"range one mean":     {second(RangeUpper(3, 1, 10)), stats.ErrDomain},
		"range many":         {second(RangeCDF(3, 1001, 10)), stats.ErrTooLarge},
		"range NaN":          {second(RangeUpper(nan, 3, 10)), stats.ErrNonFinite},
		"range quantile":     {second(RangeQuantile(1, 3, 10)), stats.ErrDomain},
		"range upper q":      {second(RangeUpperQuantile(0.05, 3, -1)), stats.ErrDomain},
		"dunnett empty":      {second(NewDunnett(nil, 5, true)), stats.ErrEmpty},
		"dunnett NaN":        {second(NewDunnett([]float64{nan}, 5, true)), stats.ErrNonFinite},
		"dunnett one":        {second(NewDunnett([]float64{1}, 5, true)), stats.ErrDomain},
		"dunnett many":       {second(NewDunnett(make([]float64, 1001), 5, true)), stats.ErrTooLarge},
		"dunnett t NaN":      {second(good.Upper(nan)), stats.ErrNonFinite},
		"dunnett alpha":      {second(good.Critical(0)), stats.ErrDomain},
		"dunnett df":         {second(good.WithDF(0)), stats.ErrDomain},
		"loadings empty":     {second(DunnettLoadings(3, nil)), stats.ErrEmpty},
		"loadings zero":      {second(DunnettLoadings(0, []int{1})), stats.ErrDomain},
		"loadings negative":  {second(DunnettLoadings(3, []int{-1})), stats.ErrDomain},
		"binomial p":         {second(BinomialAtLeast(1, 3, 1.1)), stats.ErrDomain},
		"binomial NaN":       {second(BinomialAtMost(1, 3, nan)), stats.ErrNonFinite},
		"binomial n":         {second(BinomialPMF(1, -3, 0.1)), stats.ErrDomain},
		"beta":               {second(BetaCDF(0.5, 0, 1)), stats.ErrDomain},
		"beta quantile":      {second(BetaQuantile(0.5, 1, inf)), stats.ErrTooLarge},
		"power n":            {second(TPower(TwoSample, 1, 1, 0.05, true)), stats.ErrTooFew},
		"power design":       {second(TPower(9, 1, 5, 0.05, true)), stats.ErrDomain},
		"power effect":       {second(TPower(Paired, nan, 5, 0.05, true)), stats.ErrNonFinite},
		"F power":            {second(FPower(1, 2, 3, 0)), stats.ErrDomain},
		"anova groups":       {second(AnovaPower(1, 5, 1, 1, 0.05)), stats.ErrDomain},
		"anova n":            {second(AnovaPower(3, 1, 1, 1, 0.05)), stats.ErrTooFew},
		"blocks sd":          {second(BlockPower(3, []float64{0, 1}, 0, 0.05)), stats.ErrDomain},
		"blocks one":         {second(BlockPower(1, []float64{0, 1}, 1, 0.05)), stats.ErrTooFew},
		"blocks empty":       {second(BlockPower(3, nil, 1, 0.05)), stats.ErrEmpty},
		"solve unreachable":  {second(SolveSize(func(float64) (float64, error) { return 0.1, nil }, 0.8, 2, 9)), stats.ErrDomain},
		"solve trivial":      {second(SolveSize(func(float64) (float64, error) { return 0.9, nil }, 0.8, 2, 9)), stats.ErrDomain},
		"solve passes on":    {second(SolveSize(func(float64) (float64, error) { return 0, stats.ErrTooFew }, 0.8, 2, 9)), stats.ErrTooFew},
		"solve bounds":       {second(SolveSize(nil, 0.8, 9, 2)), stats.ErrDomain},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: error %v, want %v", name, c.err, c.want)
		}
	}
}

// Infinite arguments have answers: the end of a tail.
func TestInfiniteArguments(t *testing.T) {
	t.Parallel()
	ok := must(t)
	inf := math.Inf(1)
	for name, c := range map[string]struct{ got, want float64 }{
		"t":               {ok(TCDF(inf, 3)), 1},
		"t lower":         {ok(TCDF(-inf, 3)), 0},
		"F":               {ok(FUpper(inf, 1, 3)), 0},
		"F negative":      {ok(FUpper(-2, 1, 3)), 1},
		"both df":         {ok(FUpper(2, inf, inf)), 0},
		"chi":             {ok(ChiSquareCDF(inf, 3)), 1},
		"range":           {ok(RangeUpper(inf, 3, 3)), 0},
		"range negative":  {ok(RangeCDF(-1, 3, 3)), 0},
		"noncentral t":    {ok(NoncentralTCDF(inf, 3, 1)), 1},
		"noncentral F":    {ok(NoncentralFCDF(inf, 3, 3, 1)), 1},
		"noncentral chi":  {ok(NoncentralChiSquareUpper(inf, 3, 1)), 0},
		"normal":          {NormalCDF(inf), 1},
		"normal lower":    {NormalCDF(-inf), 0},
		"far range tail":  {ok(RangeUpper(1e9, 4, inf)), 0},
		"noncentral at 0": {ok(NoncentralTCDF(0, 5, 0)), 0.5},
	} {
		if c.got != c.want {
			t.Errorf("%s = %v, want %v", name, c.got, c.want)
		}
	}
}

// Whatever the arguments: no panic, and either an error or a probability.
func FuzzTails(f *testing.F) {
	f.Add(2.0, 3.0, 4.0, 1.0, 3)
	f.Add(-1e300, 1e-3, 1e300, 1e6, 2)
	f.Add(1e-300, 0.5, 1e18, -1e4, 1000)
	f.Add(math.Inf(1), math.NaN(), math.Inf(1), 0.0, -1)
	f.Fuzz(func(t *testing.T, x, d1, d2, ncp float64, k int) {
		check := func(name string, p float64, err error) {
			if err == nil && !(p >= 0 && p <= 1) {
				t.Errorf("%s(%v, %v, %v, %v, %d) = %v", name, x, d1, d2, ncp, k, p)
			}
		}
		if d1 > 1e6 || d2 > 1e6 { // large ones are tested above; here they only cost time
			return
		}
		p, err := TUpper(x, d1)
		check("TUpper", p, err)
		p, err = FUpper(x, d1, d2)
		check("FUpper", p, err)
		p, err = ChiSquareUpper(x, d1)
		check("ChiSquareUpper", p, err)
		p, err = NoncentralTUpper(x, d1, math.Mod(ncp, 50))
		check("NoncentralTUpper", p, err)
		p, err = NoncentralFUpper(x, d1, d2, math.Mod(ncp, 1000))
		check("NoncentralFUpper", p, err)
		p, err = RangeUpper(x, k%40, d1)
		check("RangeUpper", p, err)
		p, err = BinomialAtLeast(k%1000, 500, x)
		check("BinomialAtLeast", p, err)
	})
}

func BenchmarkRange(b *testing.B) {
	for _, df := range []float64{3, 210} {
		b.Run(fmt.Sprint("upper/df", df), func(b *testing.B) {
			for b.Loop() {
				if _, err := RangeUpper(3.6, 6, df); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprint("quantile/df", df), func(b *testing.B) {
			for b.Loop() {
				if _, err := RangeUpperQuantile(0.05, 6, df); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
