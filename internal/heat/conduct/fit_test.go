package conduct

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

type inverse struct {
	Source  string
	Setting struct {
		Half, Diffusivity, Conductivity, Transfer, Start, Bath, Zeta, Centre, Slope float64
	}
	Readings [][2]float64
	TwoPoint struct{ Slope, Diffusivity float64 } `json:"two_point"`
	Weighted struct{ Diffusivity float64 }
	Noise    struct{ Slope, C1, Diffusivity, Transfer, Correlation float64 }
	Bath     struct{ Rows [][2]float64 }
	Short    struct{ Rows [][2]float64 } `json:"bath_short"`
	Thick    struct{ Rows [][2]float64 } `json:"thickness"`
	Transfer struct{ Rows [][2]float64 }
	Place    struct{ Rows [][5]float64 }
	C1       struct{ Rows [][2]float64 } `json:"intercept"`
	Zeta     struct{ Rows [][4]float64 } `json:"sensitivity"`
}

func loadInverse(t testing.TB) (inverse, *Series) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("testdata", "inverse.json"))
	if err != nil {
		t.Fatal(err)
	}
	var r inverse
	if err := json.Unmarshal(raw, &r); err != nil {
		t.Fatal(err)
	}
	x := r.Setting
	s, err := NewSeries(Slab, x.Half, Solid{x.Diffusivity, x.Conductivity, x.Transfer})
	if err != nil {
		t.Fatal(err)
	}
	return r, s
}

// every is the synthetic log, a reading each step seconds up to end.
func (r *inverse) every(s *Series, step, end float64) (seconds, core []float64) {
	for t := 0.0; t <= end; t += step {
		seconds = append(seconds, t)
		core = append(core, r.Setting.Bath-(r.Setting.Bath-r.Setting.Start)*s.Centre(t))
	}
	return seconds, core
}

func (r *inverse) log(seconds, core []float64) Log {
	x := r.Setting
	return Log{Shape: Slab, Half: x.Half, Seconds: seconds, Core: core, Start: x.Start, Bath: Constant(x.Bath), Conductivity: x.Conductivity}
}

func TestSyntheticLog(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	z, c, _ := s.OneTerm()
	near(t, "zeta", z, r.Setting.Zeta, 6e-7)
	near(t, "C", c, r.Setting.Centre, 6e-7)
	near(t, "slope", s.slowest().rate, r.Setting.Slope, 6e-11)
	for _, x := range r.Readings {
		near(t, fmt.Sprint(x[0], " s"), 55-50*s.Centre(x[0]), x[1], 6e-5) // four decimals
	}
	// From two readings alone.
	rate := math.Log((55-r.Readings[2][1])/(55-r.Readings[5][1])) / 1800
	near(t, "slope of two points", rate, r.TwoPoint.Slope, 5e-9)
	a, err := Slope{Rate: rate}.DiffusivityOf(Slab, r.Setting.Half, r.Setting.Conductivity, r.Setting.Transfer)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "diffusivity of two points", a, r.TwoPoint.Diffusivity, 1e-12)
}

// The weighted fit of the regular regime, and what wrong assumptions do to it.
func TestRegularRegime(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	x := r.Setting
	seconds, core := r.every(s, 60, 7200)
	fit := func(bath float64, w Window) Slope {
		f, err := SlopeOf(seconds, core, x.Start, bath, w)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	alpha := func(f Slope, half, transfer float64) float64 {
		a, err := f.DiffusivityOf(Slab, half, x.Conductivity, transfer)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	plain := fit(x.Bath, Regular)
	base := alpha(plain, x.Half, x.Transfer)
	near(t, "diffusivity", base, r.Weighted.Diffusivity, 2e-12)
	change := func(a float64) float64 { return 100 * (a/base - 1) }
	// One decimal of a per cent is printed; where samples fall in the window moves
	// a bath error by another.
	for _, b := range r.Bath.Rows {
		near(t, fmt.Sprint("bath ", b[0]), change(alpha(fit(x.Bath+b[0], Regular), x.Half, x.Transfer)), b[1], 0.15)
	}
	for _, b := range r.Short.Rows {
		near(t, fmt.Sprint("bath, short window ", b[0]), change(alpha(fit(x.Bath+b[0], Window{0.1, 0.6}), x.Half, x.Transfer)), b[1], 0.15)
	}
	for _, b := range r.Thick.Rows {
		near(t, fmt.Sprint("thickness ", b[0]), change(alpha(plain, x.Half*(1+b[0]/100), x.Transfer)), b[1], 0.051)
	}
	for _, b := range r.Transfer.Rows {
		h := x.Transfer * b[0]
		if b[0] == 0 {
			h = math.Inf(1)
		}
		near(t, fmt.Sprint("transfer × ", b[0]), change(alpha(plain, x.Half, h)), b[1], 0.051)
	}
}

// A probe off the centre has the same slope, and reads high.
func TestProbeOffTheCentre(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	x := r.Setting
	z, c, _ := s.OneTerm()
	base, err := SecondsTo(s, x.Start, x.Bath, 54.5)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range r.Place.Rows {
		place := p[0] / 1000 / x.Half
		near(t, "intercept", c*profile(Slab, z*place), p[1], 1e-3) // three decimals, of fitted lines
		for i, sec := range []float64{600, 1200} {
			near(t, "reads high", 50*(s.Centre(sec)-s.At(place, sec)), p[2+i], 0.0051)
		}
		// Whole seconds are printed.
		at := bisect(func(sec float64) float64 { return 0.01 - s.At(place, sec) }, 0, 2*base)
		near(t, "early", base-at, p[4], 0.6)
	}
	for _, p := range r.C1.Rows {
		bi := bisect(func(bi float64) float64 {
			b, _ := Dimensionless(Slab, bi)
			_, c1, _ := b.OneTerm()
			return c1 - c*(1+p[0]/100)
		}, 0.1, 50)
		near(t, "Biot number from the intercept", bi, p[1], 0.0051)
	}
	for _, p := range r.Zeta.Rows {
		for i, shape := range []Shape{Slab, Cylinder, Sphere} {
			const d = 1e-4
			up, down := eigenvalue(shape, p[0]*(1+d), 1), eigenvalue(shape, p[0]*(1-d), 1)
			near(t, "sensitivity", math.Log(up/down)/d, p[1+i], 6e-4)
		}
	}
}

func TestFitRecoversTheTruth(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	x := r.Setting
	seconds, core := r.every(s, 45, 4500)
	f, err := Fit(r.log(seconds, core), 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// Without noise least squares finds the truth, along a flat valley.
	near(t, "diffusivity", f.Diffusivity.Value/x.Diffusivity, 1, 1e-6)
	near(t, "transfer", f.Transfer.Value/x.Transfer, 1, 1e-5)
	known := r.log(seconds, core)
	known.Transfer = x.Transfer
	f, err = Fit(known, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "diffusivity alone", f.Diffusivity.Value/x.Diffusivity, 1, 1e-8)
	if f.Transfer != (Estimate{120, 0, 120, 120}) {
		t.Errorf("a given coefficient: %+v", f.Transfer)
	}
	// Every shape, and a bath that warms up.
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		b := body(t, shape, 30, Solid{1.5e-7, 0.5, 80})
		bath := ramp(t, 40, 56, 900)
		all, err := driven(t, b, 5, bath).Along(seconds)
		if err != nil {
			t.Fatal(err)
		}
		l := Log{Shape: shape, Half: 0.015, Seconds: seconds, Start: 5, Bath: bath, Conductivity: 0.5}
		for _, a := range all {
			l.Core = append(l.Core, a.Centre)
		}
		f, err := Fit(l, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(shape, " diffusivity"), f.Diffusivity.Value/1.5e-7, 1, 1e-5)
		near(t, fmt.Sprint(shape, " transfer"), f.Transfer.Value/80, 1, 1e-4)
	}
}

// With noise the standard errors are those of a simulation done elsewhere, and the
// intervals cover as often as they say.
func TestFitWithNoise(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	x := r.Setting
	seconds, truth := r.every(s, 45, 4455) // 100 samples
	draws := 300
	if testing.Short() {
		draws = 60
	}
	var covered int
	var alpha, h, sum, square float64
	var corr float64
	for i := range draws {
		rng := rand.New(rand.NewPCG(7, uint64(i)))
		core := make([]float64, len(truth))
		for j := range core {
			core[j] = truth[j] + 0.1*rng.NormFloat64()
		}
		f, err := Fit(r.log(seconds, core), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if f.Diffusivity.Low <= x.Diffusivity && x.Diffusivity <= f.Diffusivity.High {
			covered++
		}
		alpha += f.Diffusivity.SE / f.Diffusivity.Value / float64(draws)
		h += f.Transfer.SE / f.Transfer.Value / float64(draws)
		corr += f.Correlation / float64(draws)
		e := math.Log(f.Diffusivity.Value / x.Diffusivity)
		sum += e / float64(draws)
		square += e * e / float64(draws)
	}
	sd := math.Sqrt(square - sum*sum)
	t.Logf("sd of diffusivity %.3f %%, of transfer %.2f %%, correlation %.4f, spread %.3f %%, covered %d of %d", 100*alpha, 100*h, corr, 100*sd, covered, draws)
	// One digit is printed, and how the hundred samples were laid is not.
	near(t, "standard error of diffusivity", alpha, r.Noise.Diffusivity, 0.002)
	near(t, "standard error of transfer", h, r.Noise.Transfer, 0.006)
	near(t, "correlation", corr, r.Noise.Correlation, 0.004)
	// The spread of 60 draws is known to 9 %, of 300 to 4 %.
	near(t, "spread over standard error", sd/alpha, 1, 0.3)
	// 0.95 of the draws less four standard errors of that share.
	if share := float64(covered) / float64(draws); share < 0.95-4*math.Sqrt(0.95*0.05/float64(draws)) {
		t.Errorf("the interval of 95 %% covers %.1f %%", 100*share)
	}
}

func TestDoubt(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	seconds, core := r.every(s, 60, 6000)
	for i := range core {
		core[i] += 0.05 * math.Sin(float64(7*i))
	}
	l := r.log(seconds, core)
	l.Transfer = 120
	width := func(d Doubt) float64 {
		f, err := Doubted(l, 0.95, d)
		if err != nil {
			t.Fatal(err)
		}
		return math.Log(f.Diffusivity.High / f.Diffusivity.Low)
	}
	plain := width(Doubt{})
	last := plain
	for _, d := range []Doubt{{Bath: 0.1}, {Bath: 0.2}, {Bath: 0.2, Thickness: 0.05}, {Bath: 0.2, Thickness: 0.05, Transfer: 0.3}} {
		w := width(d)
		if w <= last {
			t.Errorf("%+v: width %v after %v with less doubt", d, w, last)
		}
		last = w
	}
	// A thickness 5 % wrong is worth 8 % of the diffusivity.
	near(t, "thickness", width(Doubt{Thickness: 0.05})/2, 0.08, 0.01)
	for _, d := range []Doubt{{Bath: -1}, {Bath: math.NaN()}, {Thickness: 1}, {Transfer: math.Inf(1)}} {
		if _, err := Doubted(l, 0.95, d); !errors.Is(err, ErrInput) {
			t.Errorf("%+v: %v", d, err)
		}
	}
}

func TestBadLogs(t *testing.T) {
	t.Parallel()
	r, s := loadInverse(t)
	seconds, core := r.every(s, 60, 3600)
	good := r.log(seconds, core)
	nan := math.NaN()
	for name, c := range map[string]struct {
		change func(*Log)
		want   error
	}{
		"empty":            {func(l *Log) { l.Seconds, l.Core = nil, nil }, ErrLog},
		"one":              {func(l *Log) { l.Seconds, l.Core = l.Seconds[:1], l.Core[:1] }, ErrLog},
		"three":            {func(l *Log) { l.Seconds, l.Core = l.Seconds[:3], l.Core[:3] }, ErrLog},
		"unequal":          {func(l *Log) { l.Core = l.Core[:9] }, ErrInput},
		"NaN":              {func(l *Log) { l.Core = append([]float64{nan}, l.Core[1:]...) }, ErrInput},
		"times stand":      {func(l *Log) { l.Seconds = make([]float64, len(l.Core)) }, ErrInput},
		"before the start": {func(l *Log) { l.Seconds = append([]float64{-1}, l.Seconds[1:]...) }, ErrInput},
		"no bath":          {func(l *Log) { l.Bath = Profile{} }, ErrInput},
		"no thickness":     {func(l *Log) { l.Half = 0 }, ErrInput},
		"no conductivity":  {func(l *Log) { l.Conductivity = nan }, ErrInput},
		"negative h":       {func(l *Log) { l.Transfer = -1 }, ErrInput},
		"never moved":      {func(l *Log) { l.Core = make([]float64, len(l.Core)); l.Start = 0; l.Bath = Constant(0) }, ErrLog},
		"cools":            {func(l *Log) { l.Bath = Constant(-30); l.Transfer = 100 }, ErrLog},
	} {
		l := good
		c.change(&l)
		if _, err := Fit(l, 0.95); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	for _, level := range []float64{0, 1, nan, -1} {
		if _, err := Fit(good, level); !errors.Is(err, ErrInput) {
			t.Errorf("confidence %v: %v", level, err)
		}
	}
	if _, err := SlopeOf(seconds, core, 5, 5, Regular); !errors.Is(err, ErrInput) {
		t.Errorf("bath at the start: %v", err)
	}
	if _, err := SlopeOf(seconds[:4], core[:4], 5, 55, Regular); !errors.Is(err, ErrLog) {
		t.Errorf("start only: %v", err)
	}
	if _, err := SlopeOf(seconds, core, 5, 55, Window{0.6, 0.02}); !errors.Is(err, ErrInput) {
		t.Errorf("window upside down: %v", err)
	}
	if _, err := (Slope{}).Diffusivity(Slab, 0.01, 1); !errors.Is(err, ErrInput) {
		t.Errorf("no slope: %v", err)
	}
	if _, err := (Slope{Rate: 1e-3}).DiffusivityOf(Slab, 0.01, 0, 1); !errors.Is(err, ErrInput) {
		t.Errorf("no conductivity: %v", err)
	}
}

func BenchmarkFit(b *testing.B) {
	r, s := loadInverse(b)
	seconds, core := r.every(s, 45, 4500)
	for i := range core {
		core[i] += 0.1 * math.Sin(float64(7*i))
	}
	for range b.N {
		if _, err := Fit(r.log(seconds, core), 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
