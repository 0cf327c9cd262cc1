package heat

import (
	"errors"
	"math"
	"testing"
)

func TestThetaFallsFromOneToZero(t *testing.T) {
	t.Parallel()
	for name := range shapes {
		for _, bi := range []float64{1e-3, 0.1, 1, 3.7, 50, 1e6, math.Inf(1)} {
			b := unit(t, name, bi)
			centre, mean := 1.0, 1.0
			for fo := 1e-4; fo < 100; fo *= 1.07 {
				c, m := b.Centre(fo), b.Mean(fo)
				if c > centre+1e-14 || m > mean+1e-14 || c < 0 || m < 0 || m > c+1e-12 {
					t.Fatalf("%s Bi %v Fo %v: centre %v after %v, mean %v after %v", name, bi, fo, c, centre, m, mean)
				}
				centre, mean = c, m
			}
		}
	}
}

// The core changes with L, α and h the way the groups say: the same Bi and Fo
// give the same θ.
func TestSimilarity(t *testing.T) {
	t.Parallel()
	a, err := New(Slab, 0.01, practical)
	if err != nil {
		t.Fatal(err)
	}
	b, err := New(Slab, 0.03, Material{Diffusivity: 2.8e-7, Conductivity: 0.96, Transfer: 190.0 / 3})
	if err != nil {
		t.Fatal(err)
	}
	for s := 100.0; s < 5000; s *= 1.5 {
		near(t, "theta", b.Centre(s*9/2), a.Centre(s), 1e-13)
	}
}

func TestSecondsInvertsCentre(t *testing.T) {
	t.Parallel()
	for name, shape := range shapes {
		b, err := New(shape, 0.0125, practical)
		if err != nil {
			t.Fatal(err)
		}
		for _, theta := range []float64{0.999, 0.9, 0.5, 0.1, 0.01, 1e-6} {
			s, err := Seconds(b, theta)
			if err != nil {
				t.Fatal(err)
			}
			near(t, name, b.Centre(s), theta, 1e-9*theta)
		}
	}
}

func TestEdges(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, bad := range []struct {
		shape Shape
		half  float64
		m     Material
	}{
		{Slab, 0, practical}, {Slab, -1, practical}, {Slab, nan, practical}, {Slab, inf, practical}, {9, 1, practical},
		{Slab, 1e-300, practical}, {Slab, 1e300, practical},
		{Slab, 1, Material{0, 0.48, 95}}, {Slab, 1, Material{nan, 0.48, 95}}, {Slab, 1, Material{inf, 0.48, 95}},
		{Slab, 1, Material{1e-7, 0, 95}}, {Slab, 1, Material{1e-7, 0.48, 0}}, {Slab, 1, Material{1e-7, 0.48, nan}},
	} {
		if b, err := New(bad.shape, bad.half, bad.m); !errors.Is(err, ErrShape) || b != nil {
			t.Errorf("New(%v, %v, %+v) = %v, %v; want ErrShape", bad.shape, bad.half, bad.m, b, err)
		}
	}
	if _, err := NewBlock([3]float64{0.03, 0, 0.12}, practical); !errors.Is(err, ErrShape) {
		t.Errorf("a block without a side: %v", err)
	}
	b, err := New(Slab, 0.01, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, theta := range []float64{0, 1, -1, 2, nan, inf} {
		if _, err := Seconds(b, theta); !errors.Is(err, ErrTarget) {
			t.Errorf("Seconds(%v): %v", theta, err)
		}
	}
	for _, c := range [][3]float64{{5, 55, 60}, {5, 55, 55}, {5, 55, 4}, {55, 55, 54}, {nan, 55, 54}, {5, nan, 54}, {5, 55, nan}} {
		if _, err := SecondsTo(b, c[0], c[1], c[2]); !errors.Is(err, ErrTarget) {
			t.Errorf("SecondsTo(%v): %v", c, err)
		}
	}
	if s, err := SecondsTo(b, 60, 5, 20); err != nil || !(s > 0) {
		t.Errorf("cooling: %v, %v", s, err)
	}
	if s, err := SecondsTo(b, 5, 55, 5); err != nil || s != 0 {
		t.Errorf("already there: %v, %v", s, err)
	}
	for _, s := range []float64{0, -1, nan} {
		if b.Centre(s) != 1 || b.Mean(s) != 1 {
			t.Errorf("θ after %v s is not 1", s)
		}
	}
	if b.Centre(inf) != 0 || b.Mean(inf) != 0 {
		t.Error("θ after forever is not 0")
	}
}

func BenchmarkNewSlab(b *testing.B) {
	for b.Loop() {
		if _, err := New(Slab, 0.0125, practical); err != nil {
			b.Fatal(err)
		}
	}
}
