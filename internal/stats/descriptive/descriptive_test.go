package descriptive

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
)

func must(t *testing.T) func(float64, error) float64 {
	return func(x float64, err error) float64 {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
}

// nist reads the groups of a one-way set.
func nist(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var groups [][]float64
	for _, row := range rows[1:] {
		g, err := strconv.Atoi(row[0])
		if err != nil {
			t.Fatal(err)
		}
		y, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		for len(groups) < g {
			groups = append(groups, nil)
		}
		groups[g-1] = append(groups[g-1], y)
	}
	return groups
}

// exact returns the mean and the sum of squares of the stored numbers in
// rational arithmetic.
func exact(x []float64) (mean, ss float64) {
	n := big.NewRat(int64(len(x)), 1)
	s := new(big.Rat)
	for _, v := range x {
		s.Add(s, new(big.Rat).SetFloat64(v))
	}
	m := new(big.Rat).Quo(s, n)
	q := new(big.Rat)
	for _, v := range x {
		d := new(big.Rat).Sub(new(big.Rat).SetFloat64(v), m)
		q.Add(q, d.Mul(d, d))
	}
	mean, _ = m.Float64()
	ss, _ = q.Float64()
	return mean, ss
}

func TestNISTWithinGroups(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		sd   float64
		df   int
		rel  float64
	}{
		{"SmLs01", 0.1, 180, 1e-13},
		// The values themselves are stored to 1e-10 of the last digit at an
		// offset of 1e6, and to 6e-5 at 1e12: that, not the method, limits
		// the agreement with the certified value.
		{"SmLs04", 0.1, 180, 1e-9},
		{"SmLs07", 0.1, 180, 1e-3},
		{"AtmWtAg", 1.5104831444641e-05, 46, 1e-9},
	} {
		groups := nist(t, c.name)
		p, err := PooledSD(groups)
		if err != nil {
			t.Fatal(err)
		}
		if p.DF != c.df {
			t.Errorf("%s: df %d, want %d", c.name, p.DF, c.df)
		}
		reftest.Within(t, c.name, p.SD, c.sd, c.rel, "NIST StRD, certified residual standard deviation")
		ss := 0.0
		for _, g := range groups {
			m, err := Describe(g)
			if err != nil {
				t.Fatal(err)
			}
			wantMean, wantSS := exact(g)
			reftest.Within(t, c.name+" mean", m.Mean, wantMean, 2.3e-16, "rational arithmetic on the stored values")
			reftest.Within(t, c.name+" SS", m.SS, wantSS, 1e-14, "rational arithmetic on the stored values")
			ss += wantSS
		}
		reftest.Within(t, c.name+" pooled", p.SD, math.Sqrt(ss/float64(p.DF)), 1e-14, "rational arithmetic on the stored values")
	}
}

// The accuracy sets of NIST's univariate collection, built from their
// description (from memory): one middle value and 500 pairs around it, so that
// mean and standard deviation follow by hand.
func TestOffsets(t *testing.T) {
	t.Parallel()
	ok := must(t)
	reftest.Within(t, "three numbers", ok(SD([]float64{10000001, 10000003, 10000002})), 1, 0, "by hand")
	for _, offset := range []float64{0, 1, 1e6, 1e7, 1e12} {
		x := []float64{offset + 0.2}
		for range 500 {
			x = append(x, offset+0.1, offset+0.3)
		}
		mean, ss := exact(x)
		m, err := Describe(x)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, fmt.Sprint("mean at ", offset), m.Mean, mean, 2.3e-16, "rational arithmetic")
		reftest.Within(t, fmt.Sprint("SD at ", offset), m.SD, math.Sqrt(ss/1000), 1e-14, "rational arithmetic")
		// Storing offset + 0.1 rounds by ε·offset; that much is lost for good.
		reftest.Within(t, fmt.Sprint("SD by hand at ", offset), m.SD, 0.1, 1e-12+2e-15*offset, "by hand")
	}
	// Any sample, at any offset and scale, against rational arithmetic.
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 5))
		x := make([]float64, 1+rng.IntN(40))
		offset, scale := math.Pow(10, float64(rng.IntN(24)-10)), math.Pow(10, float64(rng.IntN(16)-8))
		for i := range x {
			x[i] = offset + scale*rng.NormFloat64()
		}
		mean, ss := exact(x)
		m, err := Describe(x)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, fmt.Sprint("mean, seed ", seed), m.Mean, mean, 3.4e-16, "rational arithmetic")
		// A mean rounded by half a unit leaves (Σd)²/n, which is taken out; what
		// stays is the rounding of each deviation.
		reftest.WithinAbs(t, fmt.Sprint("SS, seed ", seed), m.SS, ss, 1e-13, 1e-31*offset*offset*float64(len(x)), "rational arithmetic")
	}
}

func TestQuantileDefinitions(t *testing.T) {
	t.Parallel()
	const source = "R 4.2.2 quantile(type = 2, 6, 7, 8)"
	x := []float64{2.5, 7.1, 3.3, 9.8, 4.4, 1.2, 6.6}
	before := slices.Clone(x)
	ps := []float64{0, .05, .1, .25, .33, .5, .9, .99, 1}
	for def, want := range map[Definition][]float64{
		Type2: {1.2, 1.2, 1.2, 2.5, 3.3, 4.4, 9.8, 9.8, 9.8},
		Type6: {1.2, 1.2, 1.2, 2.5, 3.012, 4.4, 9.8, 9.8, 9.8},
		Type7: {1.2, 1.59, 1.98, 2.9, 3.284, 4.4, 8.18, 9.638, 9.8},
		Type8: {1.2, 1.2, 1.2866666666666666, 2.6333333333333337, 3.1026666666666669, 4.4, 9.62, 9.8, 9.8},
	} {
		got, err := Quantiles(x, ps, def)
		if err != nil {
			t.Fatal(err)
		}
		for i := range ps {
			reftest.Within(t, fmt.Sprint("type ", def, " at ", ps[i]), got[i], want[i], 1e-14, source)
		}
	}
	if !slices.Equal(x, before) {
		t.Error("input altered")
	}
	ok := must(t)
	reftest.Within(t, "median of four", ok(Median([]float64{4, 1, 3, 2})), 2.5, 0, "by hand")
	reftest.Within(t, "type 2 at a jump", ok(Quantile([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}, 0.3, Type2)), 3.5, 0, "by hand: 0.3·10 is 3, whatever its last bit")
	reftest.Within(t, "MAD", ok(MAD(x)), 2.2, 1e-14, "R 4.2.2 mad(constant = 1)")
	reftest.Within(t, "normal MAD", NormalMAD*ok(MAD(x)), 3.2617199999999986, 2e-6, "R 4.2.2 mad, whose constant is rounded to 1.4826")
	f, err := FiveNumberSummary(x, Type7)
	if err != nil || f != (FiveNumbers{1.2, 2.9, 4.4, 6.85, 9.8}) {
		t.Errorf("five numbers %+v, %v", f, err)
	}
	// The ends of the range do not overflow.
	reftest.Within(t, "whole range", ok(Median([]float64{-math.MaxFloat64, math.MaxFloat64})), 0, 0, "symmetry")
}

func TestQuantileProperties(t *testing.T) {
	t.Parallel()
	ok := must(t)
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 3))
		x := make([]float64, 1+rng.IntN(30))
		for i := range x {
			x[i] = math.Round(rng.NormFloat64() * 4)
		}
		for def := Type7; def <= Type8; def++ {
			last := math.Inf(-1)
			for p := 0.0; p <= 1; p += 1.0 / 64 {
				q := ok(Quantile(x, p, def))
				if q < last {
					t.Errorf("type %d falls at %v", def, p)
				}
				last = q
				y := make([]float64, len(x))
				z := make([]float64, len(x))
				for i, v := range x {
					y[i] = 4*v + 32
					z[len(x)-1-i] = -v
				}
				reftest.WithinAbs(t, "moved", ok(Quantile(y, p, def)), 4*q+32, 1e-13, 1e-12, "equivariance")
				reftest.WithinAbs(t, "mirrored", ok(Quantile(z, 1-p, def)), -q, 1e-12, 1e-12, "all four definitions are symmetric")
			}
		}
	}
}

func TestRanksAndCorrelation(t *testing.T) {
	t.Parallel()
	const source = "R 4.2.2 rank, cor"
	ok := must(t)
	y, z := []float64{3, 1, 4, 1, 5, 9, 2}, []float64{2, 7, 1, 8, 2, 8, 1}
	r, ties, err := Ranks(z)
	if err != nil || !slices.Equal(r, []float64{3.5, 5, 1.5, 6.5, 3.5, 6.5, 1.5}) || !slices.Equal(ties, []int{2, 2, 2}) {
		t.Errorf("ranks %v, ties %v, %v (%s)", r, ties, err, source)
	}
	reftest.Within(t, "pearson", ok(Pearson(y, z)), 0.096114173708329767, 1e-13, source)
	reftest.Within(t, "spearman", ok(Spearman(y, z)), -0.083347625989871554, 1e-13, source)
	// Offsets and scales do not matter, not even huge ones.
	big, tiny := make([]float64, len(y)), make([]float64, len(z))
	for i := range y {
		big[i] = (y[i] - 4) * 0x1p+1019
		tiny[i] = z[i] * 0x1p-1000
	}
	reftest.Within(t, "huge and tiny", ok(Pearson(big, tiny)), 0.096114173708329767, 1e-12, "equivariance")
	for i := range y {
		big[i] = y[i] + 0x1p40
	}
	reftest.Within(t, "offset", ok(Pearson(big, z)), 0.096114173708329767, 1e-12, "equivariance")
	reftest.Within(t, "itself", ok(Pearson(y, y)), 1, 0, "definition")
	for i := range y {
		big[i] = -y[i]
	}
	reftest.Within(t, "its mirror", ok(Spearman(y, big)), -1, 1e-15, "definition")
}

func TestGroups(t *testing.T) {
	t.Parallel()
	ok := must(t)
	p, err := PooledSD([][]float64{{1, 3}, {}, {10, 10, 13}, {7}})
	if err != nil || p.DF != 3 {
		t.Fatal(p, err)
	}
	reftest.Within(t, "pooled", p.SD, math.Sqrt(8.0/3), 1e-15, "by hand: SS 2 + 6 on 3 df")
	reftest.Within(t, "d", ok(StandardisedDifference([][]float64{{1, 3}, {}, {10, 10, 13}, {7}})), 9/math.Sqrt(8.0/3), 1e-15, "by hand: means 2, 11, 7")
	reftest.Within(t, "8 tasters", ok(EffectiveSize(8, 0.3)), 2.6, 0.01, "8/3.1 = 2.58, printed as 2.6")
	reftest.Within(t, "design effect", ok(DesignEffect(8, 0.3)), 3.1, 1e-15, "1 + 7 × 0.3")
	reftest.Within(t, "one look", ok(DesignEffect(1, 0.9)), 1, 0, "definition")
}

func TestArguments(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	huge := []float64{math.MaxFloat64, -math.MaxFloat64}
	second := func(_ any, err error) error { return err }
	ranks := func(x []float64) error { _, _, err := Ranks(x); return err }
	for name, c := range map[string]struct{ err, want error }{
		"describe empty":       {second(Describe(nil)), stats.ErrEmpty},
		"describe NaN":         {second(Describe([]float64{1, nan})), stats.ErrNonFinite},
		"describe overflow":    {second(Describe(huge)), stats.ErrDomain},
		"mean empty":           {second(Mean(nil)), stats.ErrEmpty},
		"mean Inf":             {second(Mean([]float64{inf})), stats.ErrNonFinite},
		"variance one":         {second(Variance([]float64{1})), stats.ErrTooFew},
		"SD one":               {second(SD([]float64{1})), stats.ErrTooFew},
		"quantile empty":       {second(Quantile(nil, 0.5, Type7)), stats.ErrEmpty},
		"quantile p":           {second(Quantile([]float64{1}, 1.5, Type7)), stats.ErrDomain},
		"quantile p NaN":       {second(Quantile([]float64{1}, nan, Type7)), stats.ErrNonFinite},
		"quantile definition":  {second(Quantile([]float64{1}, 0.5, 9)), stats.ErrDomain},
		"quantiles NaN":        {second(Quantiles([]float64{nan}, nil, Type7)), stats.ErrNonFinite},
		"median empty":         {second(Median(nil)), stats.ErrEmpty},
		"MAD empty":            {second(MAD(nil)), stats.ErrEmpty},
		"MAD overflow":         {second(MAD([]float64{math.MaxFloat64, math.MaxFloat64, -math.MaxFloat64, -math.MaxFloat64, -math.MaxFloat64})), stats.ErrDomain},
		"five empty":           {second(FiveNumberSummary(nil, Type7)), stats.ErrEmpty},
		"ranks empty":          {ranks(nil), stats.ErrEmpty},
		"ranks NaN":            {ranks([]float64{nan}), stats.ErrNonFinite},
		"pearson lengths":      {second(Pearson([]float64{1}, nil)), stats.ErrLengths},
		"pearson empty":        {second(Pearson(nil, nil)), stats.ErrEmpty},
		"pearson one":          {second(Pearson([]float64{1}, []float64{1})), stats.ErrTooFew},
		"pearson constant":     {second(Pearson([]float64{1, 2}, []float64{3, 3})), stats.ErrNoVariation},
		"pearson NaN":          {second(Pearson([]float64{1, 2}, []float64{3, nan})), stats.ErrNonFinite},
		"spearman constant":    {second(Spearman([]float64{1, 1}, []float64{3, 4})), stats.ErrNoVariation},
		"spearman lengths":     {second(Spearman([]float64{1, 1}, []float64{3})), stats.ErrLengths},
		"pooled empty":         {second(PooledSD([][]float64{nil, {}})), stats.ErrEmpty},
		"pooled single values": {second(PooledSD([][]float64{{1}, {2}})), stats.ErrTooFew},
		"pooled NaN":           {second(PooledSD([][]float64{{1, nan}})), stats.ErrNonFinite},
		"pooled overflow":      {second(PooledSD([][]float64{huge})), stats.ErrDomain},
		"d one group":          {second(StandardisedDifference([][]float64{{1, 2}})), stats.ErrTooFew},
		"d no spread":          {second(StandardisedDifference([][]float64{{1, 1}, {2, 2}})), stats.ErrNoVariation},
		"d empty":              {second(StandardisedDifference(nil)), stats.ErrEmpty},
		"d NaN":                {second(StandardisedDifference([][]float64{{1, nan}, {1}})), stats.ErrNonFinite},
		"design looks":         {second(DesignEffect(0.5, 0.1)), stats.ErrDomain},
		"design icc":           {second(DesignEffect(3, -0.9)), stats.ErrDomain},
		"design NaN":           {second(DesignEffect(nan, 0)), stats.ErrNonFinite},
		"size cancels":         {second(EffectiveSize(2, -1)), stats.ErrDomain},
		"size icc":             {second(EffectiveSize(2, 1.5)), stats.ErrDomain},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: error %v, want %v", name, c.err, c.want)
		}
	}
	// Answers, not errors: constants, one value, the ends of the range.
	ok := must(t)
	m, err := Describe([]float64{7})
	if err != nil || m.HasSpread || m.Mean != 7 || m.SD != 0 {
		t.Errorf("one value: %+v, %v", m, err)
	}
	if v := ok(Variance([]float64{0.1, 0.1, 0.1, 0.1, 0.1, 0.1})); v != 0 {
		t.Errorf("variance of a constant = %v", v)
	}
	if v := ok(Mean([]float64{math.MaxFloat64, math.MaxFloat64, math.MaxFloat64})); math.Abs(v/math.MaxFloat64-1) > 1e-15 {
		t.Errorf("mean of huge values = %v", v)
	}
}

func BenchmarkDescribe(b *testing.B) {
	x := make([]float64, 10000)
	for i := range x {
		x[i] = 1e12 + float64(i%17)
	}
	for b.Loop() {
		if _, err := Describe(x); err != nil {
			b.Fatal(err)
		}
	}
}
