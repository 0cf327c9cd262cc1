package ranks_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/internal/reftest"
	"tamis/internal/stats/ranks"
)

type twoSample struct {
	Source   string
	Expected struct {
		Plant struct {
			W      float64
			PExact float64   `json:"p_exact"`
			HL     float64   `json:"hodges_lehmann"`
			Conf   []float64 `json:"conf"`
		} `json:"mann_whitney_plantgrowth_ctrl_trt2"`
		Sleep struct {
			V           float64
			PNormalNocc float64 `json:"p_normal_nocc"`
			PExactCoin  float64 `json:"p_exact_coin"`
		} `json:"sleep_signed_rank"`
		Depression struct {
			X, Y   []float64
			V      float64
			PExact float64 `json:"p_exact"`
		} `json:"depression_signed_rank"`
		SleepMWU struct{ W, P float64 } `json:"sleep_mwu_normal_cc"`
		Kruskal  struct{ H, P float64 } `json:"kruskal_plantgrowth"`
	}
	Sleep       map[string][]float64
	PlantGrowth map[string][]float64
}

func minus(x, y []float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] - y[i]
	}
	return out
}

func TestTwoSampleReferences(t *testing.T) {
	t.Parallel()
	var ref twoSample
	readJSON(t, "testdata/two_sample.json", &ref)
	e, src := ref.Expected, ref.Source

	plant, err := ranks.RankSum(ref.PlantGrowth["ctrl"], ref.PlantGrowth["trt2"], ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "W", plant.Statistic, e.Plant.W, 1e-15, src)
	reftest.Within(t, "p", plant.PExact, e.Plant.PExact, 1e-12, src)
	reftest.Within(t, "Hodges–Lehmann", plant.Shift, e.Plant.HL, 1e-12, src)
	reftest.Within(t, "low", plant.Interval.Low, e.Plant.Conf[0], 1e-12, src)
	reftest.Within(t, "high", plant.Interval.High, e.Plant.Conf[1], 1e-12, src)

	sleep, err := ranks.SignedRank(minus(ref.Sleep["1"], ref.Sleep["2"]), ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "V", sleep.Statistic, e.Sleep.V, 1e-15, src)
	reftest.Within(t, "p exact", sleep.PExact, e.Sleep.PExactCoin, 1e-12, src)
	reftest.Within(t, "p normal", sleep.PNormalPlain, e.Sleep.PNormalNocc, 1e-12, src)
	if sleep.Zeros != 1 || sleep.N != 9 || !sleep.Ties {
		t.Errorf("zeros %d, n %d, ties %v", sleep.Zeros, sleep.N, sleep.Ties)
	}

	dep, err := ranks.SignedRank(minus(e.Depression.X, e.Depression.Y), ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "V", dep.Statistic, e.Depression.V, 1e-15, src)
	reftest.Within(t, "p", dep.PExact, e.Depression.PExact, 1e-12, src)
	const r = "R 4.2.2 wilcox.test(conf.int = TRUE)"
	reftest.Within(t, "shift", dep.Shift, 0.46, 1e-12, r)
	reftest.Within(t, "low", dep.Interval.Low, 0.01, 1e-12, r)
	reftest.Within(t, "high", dep.Interval.High, 0.786, 1e-12, r)
	dep90, _ := ranks.SignedRank(minus(e.Depression.X, e.Depression.Y), ranks.Greater, 0.9)
	reftest.Within(t, "low 90", dep90.Interval.Low, 0.175, 1e-12, r)
	reftest.Within(t, "high 90", dep90.Interval.High, 0.726, 1e-12, r)
	reftest.Within(t, "p greater", dep90.PExact, 0.01953125, 1e-14, r)

	mwu, err := ranks.RankSum(ref.Sleep["1"], ref.Sleep["2"], ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "W", mwu.Statistic, e.SleepMWU.W, 1e-15, src)
	reftest.Within(t, "p", mwu.PNormal, e.SleepMWU.P, 1e-12, src)

	kw, err := ranks.KruskalWallis([][]float64{ref.PlantGrowth["ctrl"], ref.PlantGrowth["trt1"], ref.PlantGrowth["trt2"]})
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "H", kw.H, e.Kruskal.H, 1e-12, src)
	reftest.Within(t, "p", kw.P, e.Kruskal.P, 1e-12, src)
}

func TestSignedRankTiesAndZeros(t *testing.T) {
	t.Parallel()
	x := []float64{1.1, 2.3, 2.3, 0, -0.5, 3.1, 1.1, -1.1, 4, 0.5}
	two, err := ranks.SignedRank(x, ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	reftest.Within(t, "V", two.Statistic, 39.5, 1e-15, "R 4.2.2 wilcox.test")
	reftest.Within(t, "p cc", two.PNormal, 0.0494001879912037, 1e-12, "R 4.2.2 wilcox.test(exact = FALSE)")
	reftest.Within(t, "p plain", two.PNormalPlain, 0.0429012060114014, 1e-12, "R 4.2.2 wilcox.test(correct = FALSE)")
	reftest.Within(t, "p exact", two.PExact, 0.05078125, 1e-14, "coin 1.4-2 wilcoxsign_test(exact, Wilcoxon)")
	up, _ := ranks.SignedRank(x, ranks.Greater, 0.95)
	reftest.Within(t, "p greater", up.PNormal, 0.0247000939956018, 1e-12, "R 4.2.2 wilcox.test")
	down, _ := ranks.SignedRank(x, ranks.Less, 0.95)
	reftest.Within(t, "mirror", mirrored(x).PExact, down.PExact, 1e-14, "changing all signs exchanges the sides")
}

func mirrored(x []float64) ranks.WilcoxonResult {
	y := make([]float64, len(x))
	for i := range x {
		y[i] = -x[i]
	}
	r, _ := ranks.SignedRank(y, ranks.Greater, 0.95)
	return r
}

func TestRankSumTies(t *testing.T) {
	t.Parallel()
	a, b := []float64{3, 4, 4, 5, 7, 8, 8}, []float64{1, 2, 4, 4, 5, 3}
	for _, c := range []struct {
		alt           ranks.Alternative
		exact, normal float64
	}{
		{ranks.TwoSided, 0.0734265734265734, 0.0689904314825146},
		{ranks.Greater, 0.0396270396270396, 0.0344952157412573},
		{ranks.Less, 0.98018648018648, 0.975232693282187},
	} {
		r, err := ranks.RankSum(a, b, c.alt, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		reftest.Within(t, "W", r.Statistic, 34, 1e-15, "R 4.2.2 wilcox.test")
		reftest.Within(t, c.alt.String()+" exact", r.PExact, c.exact, 1e-12, "coin 1.4-2 wilcox_test(exact)")
		reftest.Within(t, c.alt.String()+" normal", r.PNormal, c.normal, 1e-12, "R 4.2.2 wilcox.test(exact = FALSE)")
	}
}

func TestRankSumMiddling(t *testing.T) {
	t.Parallel()
	a := []float64{-0.626, 0.184, -0.836, 1.595, 0.330, -0.820, 0.487, 0.738, 0.576, -0.305, 1.512, 0.390, -0.621, -2.215, 1.125, -0.045, -0.016, 0.944, 0.821, 0.594, 0.919, 0.782, 0.075, -1.989, 0.620, -0.056, -0.156, -1.471, -0.478, 0.418}
	b := []float64{1.759, 0.297, 0.788, 0.346, -0.977, -0.015, 0.006, 0.341, 1.500, 1.163, 0.235, 0.147, 1.097, 0.957, -0.289, -0.307, 0.765, 1.169, 0.288, 1.281, 0.798, -0.212, 0.741, -0.729, 1.833}
	r, err := ranks.RankSum(a, b, ranks.TwoSided, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	const src = "R 4.2.2 wilcox.test(exact = TRUE, conf.int = TRUE)"
	reftest.Within(t, "W", r.Statistic, 279, 1e-15, src)
	reftest.Within(t, "p", r.PExact, 0.106869166596444, 1e-12, src)
	reftest.Within(t, "low", r.Interval.Low, -0.826, 1e-12, src)
	reftest.Within(t, "high", r.Interval.High, 0.095, 1e-12, src)
	reftest.Within(t, "shift", r.Shift, -0.355, 1e-12, src)
	back, _ := ranks.RankSum(b, a, ranks.TwoSided, 0.95)
	reftest.Within(t, "exchange", back.PExact, r.PExact, 1e-12, "symmetry")
	reftest.Within(t, "exchange", back.Shift, -r.Shift, 1e-12, "symmetry")
	reftest.Within(t, "exchange", back.Interval.Low, -r.Interval.High, 1e-12, "symmetry")
}

// The exact laws and the order statistics against lists written out in full.
func TestWilcoxonAgainstEnumeration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 6))
	for trial := range 60 {
		n := 1 + rng.IntN(9)
		d := make([]float64, n)
		for i := range d {
			d[i] = float64(rng.IntN(9) - 4)
		}
		if r, err := ranks.SignedRank(d, ranks.TwoSided, 0.9); err == nil {
			reftest.Within(t, "signed p", r.PExact, bruteSigned(d), 1e-12, "all signs written out")
			var walsh []float64
			for i := range d {
				for j := i; j < n; j++ {
					walsh = append(walsh, (d[i]+d[j])/2)
				}
			}
			reftest.WithinAbs(t, "shift", r.Shift, median(walsh), 1e-13, 1e-13, "all averages written out")
		}
		m, k := 1+rng.IntN(5), 1+rng.IntN(6)
		x, y := make([]float64, m), make([]float64, k)
		for i := range x {
			x[i] = float64(rng.IntN(6))
		}
		for i := range y {
			y[i] = float64(rng.IntN(6))
		}
		if r, err := ranks.RankSum(x, y, ranks.TwoSided, 0.9); err == nil {
			reftest.Within(t, "sum p", r.PExact, bruteSum(x, y), 1e-12, "all splits written out")
			var diffs []float64
			for _, a := range x {
				for _, b := range y {
					diffs = append(diffs, a-b)
				}
			}
			reftest.WithinAbs(t, "shift", r.Shift, median(diffs), 1e-13, 1e-13, "all differences written out")
			if !r.Interval.Contains(r.Shift) {
				t.Errorf("trial %d: %v outside %+v", trial, r.Shift, r.Interval)
			}
		}
	}
}

func median(xs []float64) float64 {
	s := slices.Clone(xs)
	slices.Sort(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

func bruteSigned(d []float64) float64 {
	var abs []float64
	for _, x := range d {
		if x != 0 {
			abs = append(abs, math.Abs(x))
		}
	}
	r, _ := ranks.Midranks(abs)
	v, mean, i := 0.0, 0.0, 0
	for _, x := range d {
		if x == 0 {
			continue
		}
		if x > 0 {
			v += r[i]
		}
		mean += r[i] / 2
		i++
	}
	hit := 0
	for set := range 1 << len(r) {
		s := 0.0
		for i := range r {
			if set>>i&1 == 1 {
				s += r[i]
			}
		}
		if math.Abs(s-mean) >= math.Abs(v-mean)-1e-9 {
			hit++
		}
	}
	return float64(hit) / float64(int(1)<<len(r))
}

func bruteSum(x, y []float64) float64 {
	all := append(slices.Clone(x), y...)
	r, _ := ranks.Midranks(all)
	seen := 0.0
	for i := range x {
		seen += r[i]
	}
	mean := float64(len(x)*(len(all)+1)) / 2
	hit, total := 0, 0
	for set := range 1 << len(r) {
		s, c := 0.0, 0
		for i := range r {
			if set>>i&1 == 1 {
				s += r[i]
				c++
			}
		}
		if c != len(x) {
			continue
		}
		total++
		if math.Abs(s-mean) >= math.Abs(seen-mean)-1e-9 {
			hit++
		}
	}
	return float64(hit) / float64(total)
}

func TestWilcoxonShiftScale(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(8, 9))
	x, y := make([]float64, 20), make([]float64, 15)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	for i := range y {
		y[i] = rng.NormFloat64()
	}
	x0, y0 := slices.Clone(x), slices.Clone(y)
	base, _ := ranks.RankSum(x, y, ranks.TwoSided, 0.95)
	sx := make([]float64, len(x))
	for i := range x {
		sx[i] = 3*x[i] + 7
	}
	sy := make([]float64, len(y))
	for i := range y {
		sy[i] = 3*y[i] + 5
	}
	// Adding constants moves the shift, not the shape of its distribution.
	moved, _ := ranks.RankSum(sx, sy, ranks.TwoSided, 0.95)
	reftest.Within(t, "shift", moved.Shift, 3*base.Shift+2, 1e-12, "equivariance")
	reftest.Within(t, "low", moved.Interval.Low, 3*base.Interval.Low+2, 1e-12, "equivariance")
	s, _ := ranks.SignedRank(x, ranks.TwoSided, 0.95)
	s2, _ := ranks.SignedRank(sx, ranks.TwoSided, 0.95)
	reftest.Within(t, "one-sample shift", s2.Shift, 3*s.Shift+7, 1e-12, "equivariance")
	rng.Shuffle(len(x), func(i, j int) { x[i], x[j] = x[j], x[i] })
	again, _ := ranks.RankSum(x, y, ranks.TwoSided, 0.95)
	if !reflect.DeepEqual(base, again) {
		t.Error("the order of rows matters")
	}
	slices.Sort(x)
	slices.Sort(x0)
	if !slices.Equal(x, x0) || !slices.Equal(y, y0) {
		t.Error("inputs altered")
	}
}

func TestLargeSamplesAreQuick(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(10, 11))
	x := make([]float64, 20_000)
	for i := range x {
		x[i] = rng.NormFloat64() + 0.02
	}
	s, err := ranks.SignedRank(x, ranks.TwoSided, 0.95)
	if err != nil || s.Exact || s.Interval.Level != 0.95 || !s.Interval.Contains(s.Shift) {
		t.Errorf("%+v %v", s, err)
	}
	r, err := ranks.RankSum(x[:10_000], x[10_000:], ranks.TwoSided, 0.95)
	if err != nil || r.Exact || !r.Interval.Contains(r.Shift) {
		t.Errorf("%+v %v", r, err)
	}
}

func TestWilcoxonEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(-1)
	for _, c := range []struct {
		name  string
		x     []float64
		alt   ranks.Alternative
		level float64
		want  error
	}{
		{"empty", nil, ranks.TwoSided, 0.95, stats.ErrEmpty},
		{"NaN", []float64{1, nan}, ranks.TwoSided, 0.95, stats.ErrNonFinite},
		{"infinite", []float64{1, inf}, ranks.TwoSided, 0.95, stats.ErrNonFinite},
		{"zeros", []float64{0, 0}, ranks.TwoSided, 0.95, stats.ErrNoVariation},
		{"alternative", []float64{1, 2}, ranks.Alternative(9), 0.95, stats.ErrDomain},
		{"level", []float64{1, 2}, ranks.TwoSided, 1, stats.ErrDomain},
		{"level NaN", []float64{1, 2}, ranks.TwoSided, nan, stats.ErrDomain},
		{"one", []float64{2}, ranks.TwoSided, 0.95, nil},
		{"constant", []float64{2, 2, 2}, ranks.TwoSided, 0.95, nil},
	} {
		s, err := ranks.SignedRank(c.x, c.alt, c.level)
		if !errors.Is(err, c.want) {
			t.Errorf("SignedRank %s: %v", c.name, err)
		}
		if err == nil && (len(s.Warnings) == 0 || s.Warnings[0].ID != "level-not-reached" || s.Warnings[0].Need != 6) {
			t.Errorf("SignedRank %s: 6 differences are needed for 95 %%: %+v", c.name, s.Warnings)
		}
		if _, err := ranks.Sign(c.x, c.alt, c.level); !errors.Is(err, c.want) {
			t.Errorf("Sign %s: %v", c.name, err)
		}
		want := c.want
		if c.name == "zeros" || c.name == "constant" {
			continue
		}
		if _, err := ranks.RankSum(c.x, []float64{1, 3}, c.alt, c.level); !errors.Is(err, want) {
			t.Errorf("RankSum %s: %v", c.name, err)
		}
	}
	if _, err := ranks.RankSum([]float64{1, 1}, []float64{1}, ranks.TwoSided, 0.95); !errors.Is(err, stats.ErrNoVariation) {
		t.Errorf("constant: %v", err)
	}
	if _, err := ranks.RankSum([]float64{1}, nil, ranks.TwoSided, 0.95); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("empty y: %v", err)
	}
	if _, err := ranks.RankSum([]float64{1e308}, []float64{-1e308}, ranks.TwoSided, 0.95); !errors.Is(err, stats.ErrDomain) {
		t.Errorf("overflow: %v", err)
	}
	r, err := ranks.RankSum([]float64{1, 2}, []float64{3, 4}, ranks.TwoSided, 0.95)
	if err != nil || len(r.Warnings) != 1 || r.Warnings[0].Need != 4 {
		t.Errorf("2 and 2 cannot give 95 %%, 4 and 4 can (1 − 2/70): %+v %v", r.Warnings, err)
	}
	if _, err := ranks.Midranks(nil); !errors.Is(err, stats.ErrEmpty) {
		t.Errorf("Midranks: %v", err)
	}
	if _, err := ranks.Midranks([]float64{nan}); !errors.Is(err, stats.ErrNonFinite) {
		t.Errorf("Midranks: %v", err)
	}
	got, _ := ranks.Midranks([]float64{3, 1, 3, math.Copysign(0, -1), 0})
	if !slices.Equal(got, []float64{4.5, 3, 4.5, 1.5, 1.5}) {
		t.Errorf("Midranks: %v", got)
	}
}

func TestAlternativeNames(t *testing.T) {
	t.Parallel()
	for a, want := range map[ranks.Alternative]string{ranks.TwoSided: "two-sided", ranks.Greater: "greater", ranks.Less: "less", 7: "unknown alternative"} {
		if a.String() != want {
			t.Errorf("%d: %s", int(a), a)
		}
	}
}

func FuzzWilcoxon(f *testing.F) {
	f.Add([]byte{1, 2, 3, 250, 128}, []byte{4, 4, 9})
	f.Add([]byte{128}, []byte{128})
	f.Fuzz(func(t *testing.T, a, b []byte) {
		x, y := make([]float64, min(len(a), 40)), make([]float64, min(len(b), 40))
		for i := range x {
			x[i] = float64(a[i]) - 128
		}
		for i := range y {
			y[i] = float64(b[i]) - 128
		}
		for _, alt := range []ranks.Alternative{ranks.TwoSided, ranks.Greater, ranks.Less} {
			for _, f := range []func() (ranks.WilcoxonResult, error){
				func() (ranks.WilcoxonResult, error) { return ranks.SignedRank(x, alt, 0.95) },
				func() (ranks.WilcoxonResult, error) { return ranks.RankSum(x, y, alt, 0.95) },
			} {
				if r, err := f(); err == nil && (!(r.P >= 0 && r.P <= 1) || !r.Interval.Contains(r.Shift) || math.IsNaN(r.Z)) {
					t.Fatalf("%+v", r)
				}
			}
		}
	})
}
