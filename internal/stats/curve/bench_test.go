package curve

import (
	"math"
	"math/rand/v2"
	"testing"
)

// pollackLike is 18 cooks (6 set points × 3 sessions), 2 treatments within
// cooks and 2 measures.
func pollackLike(tb testing.TB) []*Fit {
	rng := rand.New(rand.NewPCG(1, 2))
	mean := []func(float64) float64{rise(10, 49, 3), rise(5, 55, 3)}
	var fits []*Fit
	for m, f := range mean {
		var d Data
		d.Blocks = make([][]float64, 3)
		for s := range 3 {
			for i, x := range []float64{44, 47, 50, 53, 56, 60} {
				e := 0.3 * rng.NormFloat64()
				for t := range 2 {
					d.X = append(d.X, x)
					d.Cook = append(d.Cook, s*6+i)
					d.Treatment = append(d.Treatment, t)
					d.Y = append(d.Y, f(x-2*float64(t))+e+0.3*rng.NormFloat64())
					for b := range 3 {
						d.Blocks[b] = append(d.Blocks[b], map[bool]float64{true: 1}[b == s])
					}
				}
			}
		}
		st, err := New(d, Options{Scale: &simScales[m]})
		if err != nil {
			tb.Fatal(err)
		}
		fit, err := st.Fit()
		if err != nil {
			tb.Fatal(err)
		}
		fits = append(fits, fit)
	}
	return fits
}

// BenchmarkWindow10000 is the joint window of 18 cooks, 2 treatments and 2
// measures with 10 000 draws; run it with -cpu 1,2 to see that both cores work.
func BenchmarkWindow10000(b *testing.B) {
	fits := pollackLike(b)
	grid, err := Grid(44, 60, 0.1)
	if err != nil {
		b.Fatal(err)
	}
	aims := []Aim{{Measure: 0, Low: 5, High: 6.5}, {Measure: 1, Low: math.Inf(-1), High: 2}}
	for b.Loop() {
		s, err := NewSampler(fits...)
		if err != nil {
			b.Fatal(err)
		}
		w0, _ := NewWindow(0, aims, 0)
		w1, _ := NewWindow(1, aims, 0)
		if err := s.Run(10_000, 1, grid, w0, w1); err != nil {
			b.Fatal(err)
		}
		if _, err := w0.Result(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkStage is the covariance, reduction and point fit of one measure of
// that trial.
func BenchmarkStage(b *testing.B) {
	for b.Loop() {
		pollackLike(b)
	}
}
