package conduct

import (
	"errors"
	"math"
	"testing"
)

func TestSurfaces(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, s := range Surfaces() {
		if seen[s.Slug] || s.Name == "" || s.Source == "" || s.Lacks == "" {
			t.Errorf("%+v", s)
		}
		seen[s.Slug] = true
		if !(s.Low > 0 && s.Low <= s.Likely && s.Likely <= s.High) {
			t.Errorf("%s: %v, %v, %v", s.Slug, s.Low, s.Likely, s.High)
		}
		if got, ok := SurfaceOf(s.Slug); !ok || got != s {
			t.Errorf("%s is not found", s.Slug)
		}
	}
	for _, want := range []string{"stirred-bath", "still-bath", "steam", "still-air", "fan-oven", "iced-water"} {
		if !seen[want] {
			t.Errorf("no row for %s", want)
		}
	}
	if _, ok := SurfaceOf("lava"); ok {
		t.Error("lava is found")
	}
	Surfaces()[0].Low = 0
	if s, _ := SurfaceOf("stirred-bath"); s.Low != 95 || s.Likely != 95 || s.High != 300 {
		t.Errorf("stirred bath: %+v", s)
	}
}

// Numbers from a balance of resistances done elsewhere, rounded to whole W/m²/K.
func TestLayers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		layers []Layer
		want   float64
		tol    float64
	}{
		{nil, 95, 1e-12},
		{[]Layer{Bag(1e-4)}, 92.3, 0.051},
		{[]Layer{Gap(1e-4)}, 70, 0.51},
		{[]Layer{Gap(2.5e-4)}, 51, 0.51},
		{[]Layer{Gap(5e-4)}, 34, 0.51},
		{[]Layer{Gap(1e-3)}, 21, 0.51},
		{[]Layer{Gap(2e-3)}, 12, 0.51},
	} {
		got, err := Through(95, c.layers...)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "coefficient", got, c.want, c.tol)
	}
	if v, err := Through(math.Inf(1), Gap(1e-3)); err != nil || math.Abs(v-27) > 1e-9 {
		t.Errorf("a layer alone: %v, %v", v, err)
	}
	for _, f := range []func() (float64, error){
		func() (float64, error) { return Through(0) },
		func() (float64, error) { return Through(math.NaN()) },
		func() (float64, error) { return Through(95, Gap(-1)) },
		func() (float64, error) { return Through(95, Gap(math.NaN())) },
		func() (float64, error) { return Through(95, Layer{1e-3, 0}) },
	} {
		if _, err := f(); !errors.Is(err, ErrInput) {
			t.Errorf("bad layer: %v", err)
		}
	}
}

func TestLag(t *testing.T) {
	t.Parallel()
	b := body(t, Slab, 25, practical)
	var seconds, core []float64
	for s := 0.0; s <= 3600; s += 5 {
		seconds = append(seconds, s)
		core = append(core, 55-50*b.Centre(s))
	}
	const tau = 20.0
	read, err := Lagged(seconds, core, tau)
	if err != nil {
		t.Fatal(err)
	}
	fastest := 0.0
	for i := 1; i < len(core); i++ {
		fastest = math.Max(fastest, (core[i]-core[i-1])/5)
	}
	most, err := LagBound(tau, fastest)
	if err != nil {
		t.Fatal(err)
	}
	back, err := Unlag(seconds, read, tau)
	if err != nil {
		t.Fatal(err)
	}
	for i := range core {
		if behind := core[i] - read[i]; behind < 0 || behind > most {
			t.Fatalf("behind by %v K at %v s, bound %v", behind, seconds[i], most)
		}
		if i > 0 && i < len(core)-1 {
			// The slope of a parabola over 10 s, of a core that bends over minutes.
			near(t, "unlagged", back[i], core[i], 0.01)
		}
	}
	same, err := Unlag(seconds, core, 0)
	if err != nil || same[7] != core[7] {
		t.Errorf("no lag: %v, %v", same[7], err)
	}
	same, err = Lagged(seconds, core, 0)
	if err != nil || same[7] != core[7] {
		t.Errorf("no lag: %v, %v", same[7], err)
	}
	for _, f := range []func([]float64, []float64, float64) ([]float64, error){Unlag, Lagged} {
		if _, err := f(nil, nil, 1); !errors.Is(err, ErrLog) {
			t.Errorf("no log: %v", err)
		}
		if _, err := f([]float64{0, 1}, []float64{1}, 1); !errors.Is(err, ErrInput) {
			t.Errorf("unequal: %v", err)
		}
		if _, err := f([]float64{0, 0}, []float64{1, 2}, 1); !errors.Is(err, ErrInput) {
			t.Errorf("time stands: %v", err)
		}
		if _, err := f([]float64{0, 1}, []float64{1, math.Inf(1)}, 1); !errors.Is(err, ErrInput) {
			t.Errorf("infinite: %v", err)
		}
		for _, tau := range []float64{-1, math.NaN(), math.Inf(1)} {
			if _, err := f([]float64{0, 1}, []float64{1, 2}, tau); !errors.Is(err, ErrInput) {
				t.Errorf("lag %v: %v", tau, err)
			}
		}
	}
	if _, err := LagBound(-1, 1); !errors.Is(err, ErrInput) {
		t.Errorf("lag -1: %v", err)
	}
}
