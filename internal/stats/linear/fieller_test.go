package linear

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats"
	"tamis/internal/stats/dist"
	"tamis/internal/stats/internal/reftest"
)

// TestFiellerIsItsDefinition: x is in the set exactly when the test of
// a - x·b = 0 does not reject.
func TestFiellerIsItsDefinition(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(5, 6))
	seen := map[Shape]int{}
	for range 3000 {
		a, b := rng.NormFloat64(), 2*rng.NormFloat64()
		vaa, vbb := rng.ExpFloat64(), rng.ExpFloat64()
		vab := (2*rng.Float64() - 1) * math.Sqrt(vaa*vbb)
		df := 1 + float64(rng.IntN(20))
		r, err := Ratio(a, b, vaa, vab, vbb, df, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		seen[r.Shape]++
		crit, err := dist.TQuantile(0.95, df)
		if err != nil {
			t.Fatal(err)
		}
		for range 8 {
			x := 3 * rng.NormFloat64()
			tt := math.Abs(a-x*b) / math.Sqrt(vaa-2*x*vab+x*x*vbb)
			if math.Abs(tt-crit) < 1e-6 {
				continue
			}
			if r.Contains(x) != (tt < crit) {
				t.Fatalf("a %v b %v var %v %v %v df %v: x = %v in the set %v, |t| %v, critical %v, %+v", a, b, vaa, vab, vbb, df, x, r.Contains(x), tt, crit, r)
			}
		}
		if !r.Contains(r.Estimate) {
			t.Fatalf("the estimate %v is outside %+v", r.Estimate, r)
		}
	}
	for _, s := range []Shape{Bounded, Outside, Everything} {
		if seen[s] < 50 {
			t.Errorf("shape %d was drawn %d times only", s, seen[s])
		}
	}
}

func TestFiellerEdges(t *testing.T) {
	t.Parallel()
	crit, err := dist.TQuantile(0.975, 10)
	if err != nil {
		t.Fatal(err)
	}
	v := 1 / crit / crit // a denominator of 1 with this variance has g = 1 up to rounding
	for _, c := range []struct {
		name                string
		a, b, vaa, vab, vbb float64
		shape               Shape
		low, high           float64
		lowOpen, highOpen   bool
	}{
		{"known denominator", 4, 2, 1, 0, 0, Bounded, (4 - crit) / 2, (4 + crit) / 2, false, false},
		{"negative denominator", 4, -2, 1, 0, 0, Bounded, -(4 + crit) / 2, -(4 - crit) / 2, false, false},
		{"everything known", 4, 2, 0, 0, 0, Bounded, 2, 2, false, false},
		{"numerator 0 without error", 0, 2, 0, 0, 0.01, Bounded, 0, 0, false, false},
		{"denominator 0, numerator far from 0", 100, 0, 1, 0, 1, Outside, 0, 0, true, true},
		{"nothing known", 0.1, 0.1, 1, 0, 1, Everything, 0, 0, true, true},
	} {
		r, err := Ratio(c.a, c.b, c.vaa, c.vab, c.vbb, 10, 0.95)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if r.Shape != c.shape || r.Interval.LowOpen != c.lowOpen || r.Interval.HighOpen != c.highOpen || r.HasEstimate != (c.b != 0) {
			t.Errorf("%s: %+v", c.name, r)
		}
		reftest.WithinAbs(t, c.name+", low", r.Interval.Low, c.low, 1e-12, 1e-12, "by hand")
		reftest.WithinAbs(t, c.name+", high", r.Interval.High, c.high, 1e-12, 1e-12, "by hand")
	}
	// On the limit the set is a half-line or, by rounding, has one very far end.
	limit, err := Ratio(3, 1, 0, 0, v, 10, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if !limit.Contains(3) || !limit.Contains(1e6) || limit.Contains(1) || limit.Contains(1.4) {
		t.Errorf("on the limit: %+v", limit)
	}
	for name, c := range map[string]struct {
		args  [6]float64
		level float64
		want  error
	}{
		"NaN":                  {[6]float64{nan, 1, 1, 0, 1, 5}, 0.95, stats.ErrNonFinite},
		"infinite":             {[6]float64{1, inf, 1, 0, 1, 5}, 0.95, stats.ErrNonFinite},
		"negative variance":    {[6]float64{1, 1, -1, 0, 1, 5}, 0.95, stats.ErrDomain},
		"covariance too large": {[6]float64{1, 1, 1, 2, 1, 5}, 0.95, stats.ErrDomain},
		"no df":                {[6]float64{1, 1, 1, 0, 1, 0}, 0.95, stats.ErrDomain},
		"level":                {[6]float64{1, 1, 1, 0, 1, 5}, 1, stats.ErrDomain},
		"0 without error":      {[6]float64{1, 0, 1, 0, 0, 5}, 0.95, stats.ErrNoVariation},
		"overflow":             {[6]float64{1e300, 1e300, 1, 0, 1, 5}, 0.95, stats.ErrNonFinite},
	} {
		a := c.args
		if _, err := Ratio(a[0], a[1], a[2], a[3], a[4], a[5], c.level); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func TestAffine(t *testing.T) {
	t.Parallel()
	r := Fieller{Estimate: 2, Shape: HalfLine, Interval: stats.Interval{Low: 1, HighOpen: true}}
	m := r.Affine(10, -2)
	if m.Estimate != 6 || m.Interval.High != 8 || !m.Interval.LowOpen || m.Interval.HighOpen || m.Interval.Low != 0 {
		t.Errorf("mirrored: %+v", m)
	}
	if same := r.Affine(3, 0); same != r {
		t.Errorf("factor 0: %+v", same)
	}
	gap := Fieller{Shape: Outside, Gap: stats.Interval{Low: 1, High: 2}, Interval: stats.Interval{LowOpen: true, HighOpen: true}}.Affine(0, -1)
	if gap.Gap.Low != -2 || gap.Gap.High != -1 || gap.Interval.Low != 0 || gap.Interval.High != 0 {
		t.Errorf("gap: %+v", gap)
	}
}

// TestInverseFromAfar: the same line in °C and in kelvin.
func TestInverseFromAfar(t *testing.T) {
	t.Parallel()
	xs := []float64{44, 47.2, 50.4, 53.6, 56.8, 60}
	y := []float64{3.1, 3.9, 4.4, 5.6, 5.9, 7.2}
	far := make([]float64, len(xs))
	for i, x := range xs {
		far[i] = x + 273.15
	}
	fit := func(x []float64) *Fit {
		f, err := New(line(x...), names(2), y, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	for m := range 3 {
		a, err := fit(xs).Inverse([]float64{1, 0}, []float64{0, 1}, 5.5, m, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		b, err := fit(far).Inverse([]float64{1, 0}, []float64{0, 1}, 5.5, m, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for name, p := range map[string][2]float64{"estimate": {b.Estimate, a.Estimate}, "low": {b.Interval.Low, a.Interval.Low}, "high": {b.Interval.High, a.Interval.High}} {
			reftest.Within(t, fmt.Sprint(name, " with ", m, " observations"), p[0]-273.15, p[1], 1e-12, "the same line")
		}
	}
	f := fit(xs)
	for name, err := range map[string]error{
		"negative": second(f.Inverse([]float64{1, 0}, []float64{0, 1}, 5, -1, 0.95)), "short": second(f.Inverse([]float64{1}, []float64{0, 1}, 5, 0, 0.95)),
		"NaN": second(f.Inverse([]float64{1, 0}, []float64{0, 1}, nan, 0, 0.95)),
	} {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// TestInverseCoverage: the set holds the true set point in 95 % of redraws, also
// where the slope is so uncertain that many sets are unbounded.
func TestInverseCoverage(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(9, 9))
	x := line(44, 47, 50, 53, 56, 59)
	for _, slope := range []float64{0.5, 0.1} {
		const draws = 4000
		hits, unbounded := 0, 0
		y := make([]float64, 6)
		for range draws {
			for i := range y {
				y[i] = slope*(x.At(i, 1)-50) + rng.NormFloat64()
			}
			f, err := New(x, names(2), y, Options{})
			if err != nil {
				t.Fatal(err)
			}
			r, err := f.Inverse([]float64{1, 0}, []float64{0, 1}, slope*2, 0, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if r.Contains(52) {
				hits++
			}
			if r.Shape != Bounded {
				unbounded++
			}
		}
		// Three Monte Carlo standard errors of a share of 0.95.
		if share := float64(hits) / draws; math.Abs(share-0.95) > 3*math.Sqrt(0.95*0.05/draws) {
			t.Errorf("slope %v: covered %v of 0.95", slope, share)
		}
		if slope == 0.1 && unbounded < draws/4 {
			t.Errorf("only %d of %d sets are unbounded; the case is meant to be hard", unbounded, draws)
		}
	}
}

func second[T any](_ T, err error) error { return err }
