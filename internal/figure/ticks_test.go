package figure

import (
	"math"
	"reflect"
	"testing"
)

func labels(ts []Tick) (ls []string) {
	for _, t := range ts {
		ls = append(ls, t.Label)
	}
	return ls
}

func TestNiceTicks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lo, hi float64
		want   int
		labels []string
	}{
		{0, 10, 6, []string{"0", "2", "4", "6", "8", "10"}},
		{44, 60, 5, []string{"45", "50", "55", "60"}},
		{-1, 1, 5, []string{"−1.0", "−0.5", "0.0", "0.5", "1.0"}},
		{0, 0.3, 4, []string{"0.0", "0.1", "0.2", "0.3"}},
		{0, 1500, 4, []string{"0", "500", "1000", "1500"}},
		{1, 1, 5, nil},
		{2, 1, 5, nil},
		{0, 1, 1, nil},
		{math.NaN(), 1, 5, nil},
		{0, math.Inf(1), 5, nil},
		{math.Inf(-1), 0, 5, nil},
		{-math.MaxFloat64, math.MaxFloat64, 5, nil},
	} {
		if got := labels(NiceTicks(c.lo, c.hi, c.want)); !reflect.DeepEqual(got, c.labels) {
			t.Errorf("NiceTicks(%v, %v, %d) = %q, want %q", c.lo, c.hi, c.want, got, c.labels)
		}
	}
}

func FuzzNiceTicks(f *testing.F) {
	f.Add(0.0, 10.0, 6)
	f.Add(44.0, 60.0, 7)
	f.Add(1e-300, 2e-300, 5)
	f.Add(1e15, 1e15+1, 5)
	f.Add(1e300, math.Nextafter(1e300, 2e300), 5)
	f.Add(-273.15, 1e6, 9)
	f.Fuzz(func(t *testing.T, lo, hi float64, want int) {
		if want > 50 {
			want = 1 + want%50 // a picture never wants more
		}
		ts := NiceTicks(lo, hi, want)
		if len(ts) > 2*max(want, 2) {
			t.Fatalf("%d ticks for %d wanted", len(ts), want)
		}
		for i, k := range ts {
			if !(k.At >= lo && k.At <= hi) {
				t.Fatalf("tick %v outside %v to %v", k.At, lo, hi)
			}
			if i > 0 && ts[i-1].At > k.At {
				t.Fatalf("ticks go back: %v", ts)
			}
		}
	})
}

// A temperature axis has round numbers in both units, each at its place.
func TestTemperatureAxis(t *testing.T) {
	t.Parallel()
	a := Temperature("Set point", 44, 60, 7)
	if got, want := labels(a.TicksIn(US)), []string{"115", "120", "125", "130", "135", "140"}; !reflect.DeepEqual(got, want) {
		t.Errorf("ticks in °F: %q, want %q", got, want)
	}
	for _, k := range a.TicksIn(US) {
		if back := FormatNumber(k.At*1.8+32, 0); back != k.Label {
			t.Errorf("the tick %s stands at %s °F", k.Label, back)
		}
	}
	if got := a.Format(52, US); got != "125.6" { // 52 × 1.8 + 32
		t.Errorf("52 °C is %s °F", got)
	}
}

func TestConversion(t *testing.T) {
	t.Parallel()
	for _, v := range []float64{-40, 0, 37, 100} {
		if got := Fahrenheit.Invert(Fahrenheit.Apply(v)); math.Abs(got-v) > 1e-12 { // two roundings of numbers near 100
			t.Errorf("%v comes back as %v", v, got)
		}
		if (Conversion{}).Apply(v) != v || (Conversion{}).Invert(v) != v {
			t.Errorf("no conversion changes %v", v)
		}
	}
	if Fahrenheit.Apply(-40) != -40 {
		t.Error("−40 is not −40")
	}
}

func TestFormatNumber(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{{1.25, 1, "1.2"}, {-0.04, 1, "0.0"}, {-3, 0, "−3"}, {math.Copysign(0, -1), 2, "0.00"}, {7, -2, "7"}} {
		if got := FormatNumber(c.v, c.d); got != c.want {
			t.Errorf("FormatNumber(%v, %d) = %q, want %q", c.v, c.d, got, c.want)
		}
	}
}

func TestExtentAndPadded(t *testing.T) {
	t.Parallel()
	if _, _, ok := Extent(nil, []float64{math.NaN()}); ok {
		t.Error("an extent of nothing")
	}
	if lo, hi, ok := Extent([]float64{3, 1}, []float64{math.Inf(1), 7}); !ok || lo != 1 || hi != 7 {
		t.Errorf("extent %v to %v", lo, hi)
	}
	if lo, hi := Padded(0, 10, 0.1); lo != -1 || hi != 11 {
		t.Errorf("padded %v to %v", lo, hi)
	}
	if lo, hi := Padded(5, 5, 0.1); !(lo < 5 && hi > 5) {
		t.Errorf("a single value is padded to %v to %v", lo, hi)
	}
}

func TestSpread(t *testing.T) {
	t.Parallel()
	x := []float64{1, 1, 2, 1, 3, 3}
	y := []float64{5, 5, 9, 4, 2, 2}
	x0, y0 := append([]float64{}, x...), append([]float64{}, y...)
	got := Spread(x, y, 0.8)
	if !reflect.DeepEqual(x, x0) || !reflect.DeepEqual(y, y0) {
		t.Error("an input was altered")
	}
	if got[2] != 0 {
		t.Errorf("a point alone moved by %v", got[2])
	}
	seen := map[[2]float64]bool{}
	for i, o := range got {
		if math.Abs(o) > 0.4 {
			t.Errorf("offset %v beyond half the width", o)
		}
		place := [2]float64{x[i] + o, y[i]}
		if seen[place] {
			t.Errorf("two points on %v", place)
		}
		seen[place] = true
	}
	if again := Spread(x, y, 0.8); !reflect.DeepEqual(got, again) {
		t.Error("not repeatable")
	}
	if Spread(x, y[1:], 1) != nil {
		t.Error("unequal lengths are accepted")
	}
	if len(Spread(nil, nil, 1)) != 0 {
		t.Error("offsets of nothing")
	}
}

// Shifting or scaling x and y leaves the offsets alone.
func TestSpreadEquivariant(t *testing.T) {
	t.Parallel()
	x := []float64{44, 44, 48, 48, 48}
	y := []float64{3, 1, 2, 5, 4}
	want := Spread(x, y, 1)
	x2, y2 := make([]float64, 5), make([]float64, 5)
	for i := range x {
		x2[i], y2[i] = x[i]*1.8+32, 10*y[i]-7
	}
	if got := Spread(x2, y2, 1); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}
