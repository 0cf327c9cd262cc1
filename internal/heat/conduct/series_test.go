package conduct

import (
	"errors"
	"fmt"
	"math"
	"testing"
)

func TestThetaBySeries(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).Theta {
		s, err := Dimensionless(r.Shape.Shape, float64(r.Bi))
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprint(r.Shape, " Bi ", r.Bi, " Fo ", r.Fo)
		// Seven significant digits are printed, one unit in the last of them.
		near(t, name+" centre", s.Centre(r.Fo), r.Centre, 1e-6*r.Centre)
		near(t, name+" mean", s.Mean(r.Fo), r.Mean, 1e-6*r.Mean)
	}
}

func TestEigenvalues(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).Eigenvalues {
		for i, want := range r.Roots {
			// Ten decimals are printed.
			near(t, fmt.Sprint(r.Shape, " Bi ", r.Bi, " root ", i+1), eigenvalue(r.Shape.Shape, float64(r.Bi), i+1), want, 1e-10)
		}
	}
}

// Every root solves its equation, lies in its bracket and is found for any Biot
// number, across the change of method at 1e-4.
func TestEigenvaluesOverAllBiotNumbers(t *testing.T) {
	t.Parallel()
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		last := 0.0
		for e := -12.0; e <= 12; e += 0.125 {
			bi := math.Pow(10, e)
			first := eigenvalue(shape, bi, 1)
			if !(first > last) {
				t.Fatalf("%v: the first root does not grow at Bi %g: %v after %v", shape, bi, first, last)
			}
			last = first
			if e < -2 {
				// ζ² → dims × Bi, with a relative error of the order of Bi.
				near(t, fmt.Sprint(shape, " small Bi ", bi), first*first/(float64(shape.dims())*bi), 1, bi)
			}
			before := 0.0
			for n := 1; n <= manyTerms; n++ {
				z := eigenvalue(shape, bi, n)
				if !(z > before) {
					t.Fatalf("%v Bi %g: root %d is %v after %v", shape, bi, n, z, before)
				}
				before = z
				var f, slope float64 // residual without poles, as another form than the one solved
				s, c := math.Sincos(z)
				switch shape {
				case Slab:
					f, slope = (z*s-bi*c)/(1+bi), z+bi
				case Cylinder:
					f, slope = (z*math.J1(z)-bi*math.J0(z))/(1+bi), z+bi
				default:
					f, slope = (z*c+(bi-1)*s)/(1+bi), z+bi
				}
				// What rounding of z itself makes of the residual.
				if math.Abs(f) > 1e-14*(1+z)*(slope/(1+bi)+1) {
					t.Fatalf("%v Bi %g root %d: residual %g", shape, bi, n, f)
				}
			}
		}
	}
}

func TestOneTerm(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).OneTerm {
		s, err := Dimensionless(r.Shape.Shape, float64(r.Bi))
		if err != nil {
			t.Fatal(err)
		}
		z, c, m := s.OneTerm()
		name := fmt.Sprint(r.Shape, " Bi ", r.Bi)
		// Six decimals are printed.
		near(t, name+" zeta", z, r.Zeta, 6e-7)
		near(t, name+" C", c, r.Centre, 6e-7)
		near(t, name+" D", m, r.Mean, 6e-7)
	}
}

func TestMinutesToTheBath(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).Minutes.Rows {
		for i, bath := range []float64{45, 50, 55, 60} {
			s, err := SecondsTo(body(t, r.Shape.Shape, r.MM, practical), 5, bath, bath-0.5)
			if err != nil {
				t.Fatal(err)
			}
			// Two decimals of a minute are printed.
			near(t, fmt.Sprint(r.Shape, " ", r.MM, " mm ", bath), s/60, r.Minutes[i], 0.0051)
		}
	}
	for _, r := range load(t).Handy {
		b := body(t, r.Shape.Shape, r.MM, practical)
		s, err := Seconds(b, 0.01)
		if err != nil {
			t.Fatal(err)
		}
		z, c, _ := b.OneTerm()
		near(t, "Bi", b.Biot(), r.Bi, 6e-7) // six decimals
		near(t, "zeta", z, r.Zeta, 6e-9)    // eight
		near(t, "C", c, r.Centre, 6e-9)
		near(t, fmt.Sprint(r.Shape, " ", r.MM, " mm"), s, r.Seconds, 6e-5) // four
	}
}

func TestEffectOfTheCoefficient(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).Transfer.Rows {
		for i, mm := range []float64{15, 25, 40} {
			m := practical
			m.Transfer = r.Transfer
			s, err := SecondsTo(body(t, Slab, mm, m), 5, 55, 54.5)
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprint("h ", r.Transfer, " ", mm, " mm"), s/60, r.Minutes[i], 0.0051)
		}
	}
}

func TestMinutesInRange(t *testing.T) {
	t.Parallel()
	for _, r := range load(t).InRange.Rows {
		b := body(t, Slab, r.MM, practical)
		for bath, want := range map[float64][]float64{55: r.Bath55, 60: r.Bath60} {
			for i, x := range [][2]float64{{10, 52.3}, {10, 54.4}, {21.1, 52.3}} {
				from, err1 := SecondsTo(b, 5, bath, x[0])
				to, err2 := SecondsTo(b, 5, bath, x[1])
				if err1 != nil || err2 != nil {
					t.Fatal(err1, err2)
				}
				near(t, fmt.Sprint(r.MM, " mm ", bath, " °C ", x), (to-from)/60, want[i], 0.1) // the difference of two times, each printed to one decimal
			}
		}
	}
}

func TestProducts(t *testing.T) {
	t.Parallel()
	block, err := NewBlock([3]float64{0.03, 0.06, 0.12}, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range load(t).Block {
		near(t, "block centre", block.Centre(r.Seconds), r.Centre, 1e-6) // six decimals
		near(t, "block mean", block.Mean(r.Seconds), r.Mean, 1e-6)
		near(t, "block core", 55-50*block.Centre(r.Seconds), r.Core, 1e-4)
		near(t, "slab core", 55-50*block[0].Centre(r.Seconds), r.SlabCore, 1e-4)
	}
	short, err := NewShortCylinder(0.05, 0.1, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range load(t).Short {
		near(t, "cylinder centre", short.Centre(r.Seconds), r.Centre, 1e-6)
		near(t, "cylinder mean", short.Mean(r.Seconds), r.Mean, 1e-6)
		near(t, "at the centre", short.At(nil, r.Seconds), short.Centre(r.Seconds), 0)
	}
}

// One wet face is a slab of twice the half thickness.
func TestOneWetFace(t *testing.T) {
	t.Parallel()
	// Factors from the same source as the tables, two decimals.
	for mm, want := range map[float64]float64{10: 2.58, 20: 2.92, 25: 3.04} {
		two, err1 := SecondsTo(body(t, Slab, mm, practical), 5, 55, 54.5)
		one, err2 := SecondsTo(body(t, Slab, 2*mm, practical), 5, 55, 54.5)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		near(t, fmt.Sprint(mm, " mm"), one/two, want, 0.0051)
	}
}

// θ at a place runs from the centre to the surface, its volume mean is the mean,
// and near the start it is that of a half space.
func TestPlaces(t *testing.T) {
	t.Parallel()
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		for _, bi := range []float64{0.1, 1, 5, 20, math.Inf(1)} {
			s, err := Dimensionless(shape, bi)
			if err != nil {
				t.Fatal(err)
			}
			for _, fo := range []float64{0.005, 0.02, 0.1, 0.5, 2} {
				near(t, "centre", s.At(0, fo), s.Centre(fo), 1e-15)
				near(t, "surface", s.At(1, fo), s.Surface(fo), 1e-15)
				// Volume mean by Simpson with 400 intervals.
				const n = 400
				var sum float64
				last := 2.0
				for i := range n + 1 {
					x := float64(i) / n
					v := s.At(x, fo)
					if v > last+1e-12 {
						t.Fatalf("%v Bi %v Fo %v: θ grows outwards at %v", shape, bi, fo, x)
					}
					last = v
					w := 2.0 + 2*float64(i%2)
					if i == 0 || i == n {
						w = 1
					}
					sum += w * v * math.Pow(x, float64(shape.dims()-1))
				}
				// Simpson's rule: 1e-7 for the steepest profile here.
				near(t, "mean", sum/(3*n)*float64(shape.dims()), s.Mean(fo), 2e-7)
			}
		}
	}
	// A half space with a surface coefficient (Carslaw and Jaeger 1959), while the
	// other face is not felt: at 0.1 from the surface, Fo 0.01, Bi 5.
	s, _ := Dimensionless(Slab, 5)
	x, fo, bi := 0.1, 0.01, 5.0
	r := math.Sqrt(fo)
	want := math.Erf(x/(2*r)) + math.Exp(bi*x+bi*bi*fo)*math.Erfc(x/(2*r)+bi*r)
	near(t, "half space", s.At(1-x, fo), want, 1e-9) // the other face: erfc(9.5) is nothing
	near(t, "half space surface", s.Surface(fo), math.Exp(bi*bi*fo)*math.Erfc(bi*r), 1e-9)
}

// A longer time, a thinner body and a better surface never raise θ, and a body
// scaled in length by c takes c² as long at the same Biot number.
func TestMonotone(t *testing.T) {
	t.Parallel()
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		last := 0.0
		for mm := 2.0; mm <= 120; mm += 2 {
			s, err := SecondsTo(body(t, shape, mm, practical), 5, 55, 54.5)
			if err != nil || s <= last {
				t.Fatalf("%v %v mm: %v s after %v, %v", shape, mm, s, last, err)
			}
			last = s
		}
		last = math.Inf(1)
		for h := 1.0; h < 1e5; h *= 1.3 {
			m := practical
			m.Transfer = h
			s, err := SecondsTo(body(t, shape, 25, m), 5, 55, 54.5)
			if err != nil || s >= last {
				t.Fatalf("%v h %v: %v s after %v, %v", shape, h, s, last, err)
			}
			last = s
		}
		b := body(t, shape, 25, practical)
		th := 1.0
		for sec := 0.0; sec < 8000; sec += 3 {
			for _, f := range []func(float64) float64{b.Centre, b.Mean, b.Surface} {
				if v := f(sec); !(v >= 0 && v <= 1) {
					t.Fatalf("%v: θ %v at %v s", shape, v, sec)
				}
			}
			if v := b.Centre(sec); v > th+1e-14 {
				t.Fatalf("%v: θ grows at %v s", shape, sec)
			} else {
				th = v
			}
		}
		big := practical
		big.Conductivity *= 3
		one, _ := Seconds(body(t, shape, 20, practical), 0.03)
		three, _ := Seconds(body(t, shape, 60, big), 0.03)
		near(t, "scale", three/one, 9, 1e-9)
	}
}

func TestArrivals(t *testing.T) {
	t.Parallel()
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		for _, bi := range []float64{1e-6, 1e-3, 0.1, 1, 10, 1e3, math.Inf(1)} {
			s, err := Dimensionless(shape, bi)
			if err != nil {
				t.Fatal(err)
			}
			for _, theta := range []float64{0.999999, 0.99, 0.5, 0.01, 1e-6, 1e-12} {
				fo, err := Seconds(s, theta)
				if err != nil {
					t.Fatal(err)
				}
				// Near the start θ is so flat that a digit of it is worth little time.
				near(t, fmt.Sprint(shape, " Bi ", bi), s.Centre(fo)/theta, 1, 1e-11)
			}
		}
	}
	b := body(t, Slab, 25, practical)
	for _, theta := range []float64{0, 1, -1, 2, math.NaN(), math.Inf(1)} {
		if _, err := Seconds(b, theta); !errors.Is(err, ErrNever) {
			t.Errorf("θ %v: %v", theta, err)
		}
	}
	if s, err := SecondsTo(b, 5, 55, 5); s != 0 || err != nil {
		t.Errorf("there already: %v, %v", s, err)
	}
	for _, x := range [][3]float64{{5, 55, 56}, {5, 55, 55}, {5, 55, 4}, {55, 55, 54}, {5, math.NaN(), 20}, {5, math.Inf(1), 20}} {
		if _, err := SecondsTo(b, x[0], x[1], x[2]); !errors.Is(err, ErrNever) {
			t.Errorf("%v: %v", x, err)
		}
	}
	// Cooling is heating upside down.
	up, _ := SecondsTo(b, 5, 55, 50)
	down, err := SecondsTo(b, 55, 5, 10)
	if err != nil || math.Abs(up-down) > 1e-9 {
		t.Errorf("up %v, down %v, %v", up, down, err)
	}
}

func TestBadBodies(t *testing.T) {
	t.Parallel()
	nan, inf := math.NaN(), math.Inf(1)
	for _, v := range []float64{0, -1, nan, inf, math.Inf(-1)} {
		if _, err := NewSeries(Slab, v, practical); !errors.Is(err, ErrInput) {
			t.Errorf("half %v: %v", v, err)
		}
		if _, err := NewBlock([3]float64{0.1, v, 0.1}, practical); !errors.Is(err, ErrInput) {
			t.Errorf("side %v: %v", v, err)
		}
		if _, err := NewShortCylinder(v, 0.1, practical); !errors.Is(err, ErrInput) {
			t.Errorf("diameter %v: %v", v, err)
		}
		if _, err := NewShortCylinder(0.1, v, practical); !errors.Is(err, ErrInput) {
			t.Errorf("length %v: %v", v, err)
		}
		for i := range 3 {
			x := [3]float64{1.4e-7, 0.48, 95}
			x[i] = v
			_, err := NewSeries(Slab, 0.01, Solid{x[0], x[1], x[2]})
			if fine := i == 2 && v == inf; fine != (err == nil) {
				t.Errorf("property %d of %v: %v", i, v, err)
			}
		}
	}
	if _, err := NewSeries(Sphere+1, 0.01, practical); !errors.Is(err, ErrInput) {
		t.Errorf("no shape: %v", err)
	}
	if _, err := NewSeries(Slab, 1e-300, practical); !errors.Is(err, ErrInput) {
		t.Errorf("too small to compute: %v", err)
	}
	for _, v := range []float64{0, -1, nan} {
		if _, err := Dimensionless(Slab, v); !errors.Is(err, ErrInput) {
			t.Errorf("Biot %v: %v", v, err)
		}
	}
	b := body(t, Sphere, 25, practical)
	for _, sec := range []float64{0, -1, nan, math.Inf(-1)} {
		if b.Centre(sec) != 1 || b.Mean(sec) != 1 || b.Surface(sec) != 1 || b.At(0.5, sec) != 1 {
			t.Errorf("θ is not one at %v s", sec)
		}
	}
	if b.Centre(inf) != 0 || b.Mean(inf) != 0 || b.Surface(inf) != 0 {
		t.Error("θ is not nothing in the end")
	}
}

func BenchmarkSeriesComeUp(b *testing.B) {
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		b.Run(shape.String(), func(b *testing.B) {
			b.ReportAllocs()
			for i := range b.N {
				m := practical
				m.Diffusivity *= 1 + 1e-9*float64(i%1000)
				s, err := NewSeries(shape, 0.0125, m)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := SecondsTo(s, 5, 55, 54.5); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// At equal steps θ is what it is at each time, from before anything moves to the end,
// in all shapes: to 1e-14 where one exponential is good to some 5e-15.
func TestCentreEvenly(t *testing.T) {
	for _, shape := range []Shape{Slab, Cylinder, Sphere} {
		for _, bi := range []float64{0.05, 1, 4.7, 60, math.Inf(1)} {
			b, err := Dimensionless(shape, bi)
			if err != nil {
				t.Fatal(err)
			}
			for _, from := range []float64{0, 0.003, 0.2, 1.2, 5} {
				for _, step := range []float64{1e-4, 0.003, 0.05, 1} {
					theta := make([]float64, 150)
					b.CentreEvenly(from, step, theta)
					for i, got := range theta {
						at := from + float64(i)*step
						if want := b.Centre(at); math.Abs(got-want) > 1e-14 {
							t.Fatalf("%v, Bi %v, Fo %v: %v, not %v", shape, bi, at, got, want)
						}
					}
				}
			}
		}
	}
}
