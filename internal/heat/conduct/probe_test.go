package conduct

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// probeLog is a log made from a known piece, read every step seconds by a probe with
// a lag and an offset, with noise: a slab of 30 mm, 1.35e-7 m²/s, 0.50 W/m/K and
// 120 W/m²/K, from 5 °C into 55 °C, the synthetic case of the check values.
func probeLog(t testing.TB, lag, offset, noise, step float64, r *rand.Rand) Log {
	t.Helper()
	s, err := NewSeries(Slab, 0.015, Solid{1.35e-7, 0.5, 120})
	if err != nil {
		t.Fatal(err)
	}
	var fine, course []float64
	for at := 0.0; at <= 7200; at += 1 {
		fine, course = append(fine, at), append(course, 55-50*s.Centre(at))
	}
	read, err := Lagged(fine, course, lag)
	if err != nil {
		t.Fatal(err)
	}
	l := Log{Shape: Slab, Half: 0.015, Start: 5, Bath: Constant(55), Conductivity: 0.5}
	for i := range fine {
		if math.Mod(fine[i], step) == 0 {
			e := 0.0
			if r != nil {
				e = noise * r.NormFloat64()
			}
			l.Seconds, l.Core = append(l.Seconds, fine[i]), append(l.Core, read[i]+offset+e)
		}
	}
	return l
}

func TestProbeFindsLagAndOffset(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ lag, offset float64 }{{0, 0}, {20, 0}, {60, 0.3}, {120, -0.5}, {0, 0.4}} {
		got, err := Probe(probeLog(t, c.lag, c.offset, 0, 30, nil), 0.95)
		if err != nil {
			t.Errorf("%v s, %v K: %v", c.lag, c.offset, err)
			continue
		}
		// Between readings the course is taken on a grid, and the series begins to move
		// late: a second and a thousandth of a kelvin are left of that.
		if math.Abs(got.Lag.Value-c.lag) > 1 || math.Abs(got.Offset.Value-c.offset) > 2e-3 {
			t.Errorf("%v s and %v K come back as %+v and %+v", c.lag, c.offset, got.Lag, got.Offset)
		}
	}
}

// The intervals hold what they say: 95 of 100 draws, give or take three binomial
// errors.
func TestProbeIntervals(t *testing.T) {
	t.Parallel()
	n := 40
	if testing.Short() {
		n = 12
	}
	r := rand.New(rand.NewPCG(5, 9))
	lag, offset := 0, 0
	for range n {
		got, err := Probe(probeLog(t, 45, 0.2, 0.1, 60, r), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if got.Lag.Low <= 45 && 45 <= got.Lag.High {
			lag++
		}
		if got.Offset.Low <= 0.2 && 0.2 <= got.Offset.High {
			offset++
		}
	}
	least := int(float64(n)*0.95 - 3*math.Sqrt(float64(n)*0.95*0.05))
	if lag < least || offset < least {
		t.Errorf("of %d draws %d intervals hold the lag and %d the offset", n, lag, offset)
	}
}

func TestProbeRefuses(t *testing.T) {
	t.Parallel()
	good := probeLog(t, 20, 0, 0, 60, nil)
	for name, change := range map[string]func(*Log){
		"four readings": func(l *Log) { l.Seconds, l.Core = l.Seconds[:4], l.Core[:4] },
		"no shape":      func(l *Log) { l.Shape = 7 },
		"no thickness":  func(l *Log) { l.Half = 0 },
		"NaN":           func(l *Log) { l.Core = append([]float64(nil), l.Core...); l.Core[3] = math.NaN() },
		"flat": func(l *Log) {
			l.Core = make([]float64, len(l.Core))
			for i := range l.Core {
				l.Core[i] = 5
			}
		},
	} {
		l := good
		change(&l)
		if p, err := Probe(l, 0.95); !errors.Is(err, ErrInput) && !errors.Is(err, ErrLog) {
			t.Errorf("%s: %+v, %v", name, p, err)
		}
	}
	seconds, core := append([]float64(nil), good.Seconds...), append([]float64(nil), good.Core...)
	if _, err := Probe(good, 0.95); err != nil {
		t.Fatal(err)
	}
	for i := range core {
		if core[i] != good.Core[i] || seconds[i] != good.Seconds[i] {
			t.Fatal("the log was changed")
		}
	}
}

func BenchmarkProbe(b *testing.B) {
	l := probeLog(b, 45, 0.2, 0.1, 60, rand.New(rand.NewPCG(5, 9)))
	for b.Loop() {
		if _, err := Probe(l, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
