package heat

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// table reads a file of testdata; its head names the source.
func table(t *testing.T, name string, want int) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows []map[string]string
	for _, l := range lines[1:] {
		row := map[string]string{}
		for i, h := range lines[0] {
			row[h] = l[i]
		}
		rows = append(rows, row)
	}
	if len(rows) != want {
		t.Fatalf("%s has %d rows, want %d", name, len(rows), want)
	}
	return rows
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

var shapes = map[string]Shape{"slab": Slab, "cylinder": Cylinder, "sphere": Sphere}

// unit is a body of half thickness 1 m and diffusivity 1 m²/s, so that seconds
// are Fourier numbers and the transfer is the Biot number.
func unit(t *testing.T, shape string, bi float64) *Body {
	t.Helper()
	b, err := New(shapes[shape], 1, Material{Diffusivity: 1, Conductivity: 1, Transfer: bi})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// practical is the common set of the tables of times.
var practical = Material{Diffusivity: 1.4e-7, Conductivity: 0.48, Transfer: 95}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %g", what, got, want, tol)
	}
}

func TestThetaAgainstSeriesAndFiniteVolumes(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "theta.csv", 60) {
		b := unit(t, r["shape"], num(t, r["bi"]))
		for what, got := range map[string]float64{"centre": b.Centre(num(t, r["fo"])), "mean": b.Mean(num(t, r["fo"]))} {
			want := num(t, r[what])
			// Seven significant digits are printed, one unit in the last of them.
			near(t, r["shape"]+" "+r["bi"]+" "+r["fo"]+" "+what, got, want, 1e-6*want)
		}
	}
}

func TestEigenvalues(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "eigenvalues.csv", 12) {
		z := eigenvalues(shapes[r["shape"]], num(t, r["bi"]))
		for i, h := range []string{"z1", "z2", "z3", "z4", "z5", "z6"} {
			// Ten decimals are printed.
			near(t, r["shape"]+" "+r["bi"]+" "+h, z[i], num(t, r[h]), 1e-10)
		}
	}
}

func TestOneTermCoefficients(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "oneterm.csv", 36) {
		shape := shapes[r["shape"]]
		z := eigenvalues(shape, num(t, r["bi"]))[0]
		c, f := coefficient(shape, z)
		// Six decimals are printed.
		near(t, r["shape"]+" "+r["bi"]+" zeta1", z, num(t, r["zeta1"]), 6e-7)
		near(t, r["shape"]+" "+r["bi"]+" C1", c, num(t, r["c1"]), 6e-7)
		near(t, r["shape"]+" "+r["bi"]+" D1", c*f, num(t, r["d1"]), 6e-7)
	}
}

func TestMinutesToTheBath(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "minutes.csv", 27) {
		b, err := New(shapes[r["shape"]], num(t, r["mm"])/2000, practical)
		if err != nil {
			t.Fatal(err)
		}
		for col, bath := range map[string]float64{"t45": 45, "t50": 50, "t55": 55, "t60": 60} {
			s, err := SecondsTo(b, 5, bath, bath-0.5)
			if err != nil {
				t.Fatal(err)
			}
			// Two decimals of a minute are printed.
			near(t, r["shape"]+" "+r["mm"]+" mm "+col, s/60, num(t, r[col]), 0.0051)
		}
	}
}

func TestSecondsToOnePercent(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "seconds.csv", 9) {
		shape := shapes[r["shape"]]
		half := num(t, r["mm"]) / 2000
		b, err := New(shape, half, practical)
		if err != nil {
			t.Fatal(err)
		}
		s, err := Seconds(b, 0.01)
		if err != nil {
			t.Fatal(err)
		}
		near(t, r["shape"]+" "+r["mm"], s, num(t, r["seconds"]), 6e-5) // four decimals are printed
		z := math.Sqrt(b.square[0])
		near(t, r["shape"]+" "+r["mm"]+" zeta1", z, num(t, r["zeta1"]), 6e-9) // eight decimals
		near(t, r["shape"]+" "+r["mm"]+" C1", b.centre[0], num(t, r["c1"]), 6e-9)
	}
}

func TestMinutesByTransfer(t *testing.T) {
	t.Parallel()
	for _, r := range table(t, "transfer.csv", 13) {
		for col, mm := range map[string]float64{"mm15": 15, "mm25": 25, "mm40": 40} {
			m := practical
			m.Transfer = num(t, r["h"])
			b, err := New(Slab, mm/2000, m)
			if err != nil {
				t.Fatal(err)
			}
			s, err := SecondsTo(b, 5, 55, 54.5)
			if err != nil {
				t.Fatal(err)
			}
			near(t, r["h"]+" "+col, s/60, num(t, r[col]), 0.0051) // two decimals are printed
		}
	}
}

// One wet face is a slab of twice the thickness: 2.58, 2.92 and 3.04 times as
// long at 10, 20 and 25 mm. Computed by series.
func TestOneWetFace(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ mm, times float64 }{{10, 2.58}, {20, 2.92}, {25, 3.04}} {
		var s [2]float64
		for i := range s {
			b, err := New(Slab, c.mm/2000*float64(i+1), practical)
			if err != nil {
				t.Fatal(err)
			}
			if s[i], err = SecondsTo(b, 5, 55, 54.5); err != nil {
				t.Fatal(err)
			}
		}
		near(t, "one wet face", s[1]/s[0], c.times, 0.0051) // two decimals are printed
	}
}

// A block of 30 × 60 × 120 mm and a slab of 30 mm from 5 °C into 55 °C.
// Computed by the product of series and by finite volumes in three dimensions,
// which agree to the six decimals printed.
func TestBlock(t *testing.T) {
	t.Parallel()
	b, err := NewBlock([3]float64{0.03, 0.06, 0.12}, practical)
	if err != nil {
		t.Fatal(err)
	}
	slab, err := New(Slab, 0.015, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ seconds, centre, mean, core, slab float64 }{
		{600, 0.697772, 0.384296, 20.1114, 19.4114},
		{1200, 0.366784, 0.174490, 36.6608, 33.9806},
		{1800, 0.183512, 0.081066, 45.8244, 42.6076},
		{2400, 0.089959, 0.037987, 50.5021, 47.6939},
		{3600, 0.020960, 0.008431, 53.9520, 52.4605},
	} {
		near(t, "centre", b.Centre(c.seconds), c.centre, 6e-7)
		near(t, "mean", b.Mean(c.seconds), c.mean, 6e-7)
		near(t, "core", 55-50*b.Centre(c.seconds), c.core, 6e-5)
		near(t, "slab core", 55-50*slab.Centre(c.seconds), c.slab, 6e-5)
	}
}

// A cylinder 50 mm across and 100 mm long: the product of a long cylinder and a
// slab. Computed by series.
func TestFiniteCylinder(t *testing.T) {
	t.Parallel()
	round, err := New(Cylinder, 0.025, practical)
	if err != nil {
		t.Fatal(err)
	}
	ends, err := New(Slab, 0.05, practical)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ seconds, centre, mean float64 }{
		{1200, 0.514388, 0.238405}, {2400, 0.166921, 0.070399}, {3600, 0.051589, 0.021112},
	} {
		near(t, "centre", round.Centre(c.seconds)*ends.Centre(c.seconds), c.centre, 6e-7)
		near(t, "mean", round.Mean(c.seconds)*ends.Mean(c.seconds), c.mean, 6e-7)
	}
}

// A sphere of Bi 1 falls like a slab with its surface at bath temperature,
// because 1 - ζ cot ζ = 1 has the roots (n - 1/2) π: an identity between two
// branches of the code.
func TestSphereOfBiotOneIsASlab(t *testing.T) {
	t.Parallel()
	sphere, slab := unit(t, "sphere", 1), unit(t, "slab", math.Inf(1))
	for fo := 0.006; fo < 3; fo *= 1.3 {
		near(t, "theta", sphere.Centre(fo), slab.Centre(fo), 1e-13)
	}
}

// At a small Biot number the body is at one temperature: θ = exp(-n Bi Fo) with
// n 1, 2, 3 (lumped capacity). The error of that is of the order of Bi.
func TestSmallBiotIsLumped(t *testing.T) {
	t.Parallel()
	for name, n := range map[string]float64{"slab": 1, "cylinder": 2, "sphere": 3} {
		const bi = 1e-5
		b := unit(t, name, bi)
		for _, fo := range []float64{1e3, 1e4, 1e5} {
			near(t, name, b.Centre(fo), math.Exp(-n*bi*fo), 2*bi)
		}
	}
}
