package conduct

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

func ramp(t testing.TB, from, to, seconds float64) Profile {
	t.Helper()
	p, err := Ramp(from, to, seconds)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func driven(t testing.TB, r Response, start float64, bath Profile) *Driven {
	t.Helper()
	d, err := NewDriven(r, start, bath)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestRampBySuperposition(t *testing.T) {
	t.Parallel()
	ref := load(t).Ramp
	d := driven(t, body(t, Slab, 25, practical), 5, ramp(t, 20, 55, 1200))
	var times []float64
	for _, r := range ref.Rows {
		times = append(times, r.Seconds)
	}
	got, err := d.Along(times)
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range ref.Rows {
		near(t, "bath", got[i].Bath, r.Bath, 1e-12)
		near(t, "centre", got[i].Centre, r.Centre, 1e-5) // five decimals
		near(t, "mean", got[i].Mean, r.Mean, 1e-5)
		near(t, "surface", got[i].Surface, r.Surface, 1e-5)
	}
	s, err := d.Reach(54.5, 7200)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "reached", s, ref.Reached, 0.0051)
	s, err = driven(t, body(t, Slab, 25, practical), 5, Constant(55)).Reach(54.5, 7200)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "at once", s, ref.AtOnce, 0.0051)
	if _, err := d.Reach(56, 7200); !errors.Is(err, ErrNever) {
		t.Errorf("above the bath: %v", err)
	}
}

// In a constant bath superposition is the series itself, for a product too.
func TestSuperpositionIsTheSeries(t *testing.T) {
	t.Parallel()
	block, err := NewBlock([3]float64{0.02, 0.03, 0.05}, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []Response{body(t, Slab, 20, practical), body(t, Cylinder, 30, practical), body(t, Sphere, 30, practical), block} {
		times := []float64{60, 300, 900, 3600}
		got, err := driven(t, r, 5, Constant(55)).Along(times)
		if err != nil {
			t.Fatal(err)
		}
		tol := 1e-9
		if _, many := r.(Product); many {
			tol = 1e-6 // twelve terms in each direction are worth that after a minute
		}
		for i, s := range times {
			near(t, "centre", got[i].Centre, 55-50*r.Centre(s), tol)
			near(t, "mean", got[i].Mean, 55-50*r.Mean(s), tol)
			near(t, "surface", got[i].Surface, 55-50*r.Surface(s), tol)
		}
	}
}

// A bath that steps is the sum of its steps, and a jump is the limit of a steep
// ramp.
func TestSteps(t *testing.T) {
	t.Parallel()
	b := body(t, Cylinder, 30, practical)
	p, err := Steps([]float64{0, 600, 1500}, []float64{40, 60, 50})
	if err != nil {
		t.Fatal(err)
	}
	if p.At(599) != 40 || p.At(600) != 60 || p.look(600, false) != 40 || p.At(1e9) != 50 || p.At(-1) != 40 {
		t.Errorf("steps: %+v", p)
	}
	times := []float64{300, 600, 900, 1500, 2000}
	got, err := driven(t, b, 5, p).Along(times)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range times {
		want := p.At(s) - 35*b.Centre(s)
		if s >= 600 {
			want -= 20 * b.Centre(s-600)
		}
		if s >= 1500 {
			want += 10 * b.Centre(s-1500)
		}
		near(t, "stepped", got[i].Centre, want, 1e-9)
	}
	steep, _ := Logged([]float64{0, 600, 600.001, 1500, 1500.001}, []float64{40, 40, 60, 60, 50})
	soft, err := driven(t, b, 5, steep).Along([]float64{900, 2000})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "steep", soft[0].Centre, got[2].Centre, 1e-3)
	near(t, "steep", soft[1].Centre, got[4].Centre, 1e-3)
	// Asking in one go or one by one is the same.
	for i, s := range times {
		one, err := driven(t, b, 5, p).Along([]float64{s})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "alone", one[0].Centre, got[i].Centre, 1e-9)
	}
}

// The few modes of the centre weigh what all do, and lag what all do behind a bath
// that rises steadily: what 200 terms sum to, and the rest of an alternating series
// is at most its next term.
func TestCoreModes(t *testing.T) {
	t.Parallel()
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		for _, bi := range []float64{1e-6, 1e-3, 0.1, 1, 10, 100, math.Inf(1)} {
			s, err := newSeries(shape, bi, 1)
			if err != nil {
				t.Fatal(err)
			}
			weight, lag := 0.0, 0.0
			for _, m := range s.core() {
				weight += m.centre
				lag += m.centre / m.rate
			}
			near(t, "weight", weight, 1, 1e-12)
			near(t, "lag", lag, s.lag(), 1e-12*math.Max(1, s.lag()))
			var sum float64
			all := s.terms(mostTerms)
			for _, m := range all {
				sum += m.centre / m.square
			}
			last := all[len(all)-1]
			near(t, "lag by terms", s.lag(), sum, math.Abs(last.centre/last.square)+1e-13*s.lag())
		}
	}
}

// many follows a bath with 200 modes.
type many struct{ *Series }

func (m many) modes() []mode {
	var out []mode
	for _, t := range m.Series.terms(mostTerms) {
		out = append(out, mode{m.rate * t.square, t.centre, t.mean, t.surface})
	}
	return append(out, rest(out))
}

// Reach finds with a few modes where 200 of them say that the centre is, in a bath
// that wanders and jumps. A product has one list of modes for both.
func TestReachIsAlong(t *testing.T) {
	t.Parallel()
	at, value := []float64{0}, []float64{48}
	for i := 1; i < 60; i++ {
		at, value = append(at, 100*float64(i)), append(value, 55-7/float64(i)+0.4*math.Sin(float64(7*i)))
		if i%13 == 0 {
			at, value = append(at, 100*float64(i)), append(value, 54)
		}
	}
	bath, err := Logged(at, value)
	if err != nil {
		t.Fatal(err)
	}
	block, err := NewBlock([3]float64{0.02, 0.03, 0.05}, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []Response{body(t, Slab, 15, practical), body(t, Slab, 25, practical), body(t, Cylinder, 30, practical), body(t, Sphere, 40, practical), block} {
		d := driven(t, r, 5, bath)
		fine := d
		if s, ok := r.(*Series); ok {
			fine = driven(t, many{s}, 5, bath)
		}
		for _, target := range []float64{5.1, 20, 40, 50, 54, 54.4} {
			s, err := d.Reach(target, 6000)
			if err != nil {
				t.Errorf("%v °C: %v", target, err)
				continue
			}
			got, err := fine.Along([]float64{s})
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprintf("%T at %v s", r, s), got[0].Centre, target, 2e-6)
			same, err := d.Centres([]float64{s / 2, s})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "centres", same[1], target, 1e-9)
		}
	}
}

func TestBadProfiles(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, x := range [][2][]float64{
		{nil, nil}, {{0}, nil}, {{0, 1}, {1}}, {{0, -1}, {1, 2}}, {{0, nan}, {1, 2}}, {{0, inf}, {1, 2}}, {{0, 1}, {1, nan}}, {{0, 1}, {1, inf}},
	} {
		if _, err := Logged(x[0], x[1]); !errors.Is(err, ErrInput) {
			t.Errorf("%v: %v", x, err)
		}
		if _, err := Steps(x[0], x[1]); !errors.Is(err, ErrInput) {
			t.Errorf("steps %v: %v", x, err)
		}
	}
	if _, err := Ramp(5, 55, -1); !errors.Is(err, ErrInput) {
		t.Errorf("a ramp backwards: %v", err)
	}
	var zero Profile
	if zero.At(3) != 0 || zero.bends(0, 10) != nil {
		t.Error("the zero profile is not nothing")
	}
	b := body(t, Slab, 20, practical)
	for _, f := range []func() (*Driven, error){
		func() (*Driven, error) { return NewDriven(nil, 5, Constant(55)) },
		func() (*Driven, error) { return NewDriven(b, nan, Constant(55)) },
		func() (*Driven, error) { return NewDriven(b, 5, zero) },
	} {
		if _, err := f(); !errors.Is(err, ErrInput) {
			t.Errorf("bad drive: %v", err)
		}
	}
	d := driven(t, b, 5, Constant(55))
	for _, times := range [][]float64{{nan}, {inf}, {10, 5}} {
		if _, err := d.Centres(times); !errors.Is(err, ErrInput) {
			t.Errorf("centres at %v: %v", times, err)
		}
		if _, err := d.Along(times); !errors.Is(err, ErrInput) {
			t.Errorf("%v: %v", times, err)
		}
	}
	if got, err := d.Along(nil); len(got) != 0 || err != nil {
		t.Errorf("no times: %v, %v", got, err)
	}
	for _, limit := range []float64{0, -1, nan, inf} {
		if _, err := d.Reach(50, limit); !errors.Is(err, ErrInput) {
			t.Errorf("limit %v: %v", limit, err)
		}
	}
	// Inputs are copied.
	at, v := []float64{0, 10}, []float64{1, 2}
	p, _ := Logged(at, v)
	at[1], v[1] = 5, 9
	if p.At(10) != 2 {
		t.Error("a profile changed with its input")
	}
}

func BenchmarkDriven(b *testing.B) {
	s := body(b, Slab, 25, practical)
	bath := ramp(b, 20, 55, 1200)
	var times []float64
	for t := 0.0; t <= 3600; t += 5 {
		times = append(times, t)
	}
	for range b.N {
		d, err := NewDriven(s, 5, bath)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := d.Along(times); err != nil {
			b.Fatal(err)
		}
	}
}
