package ordinal

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// panel draws people × products scores on a nine-point scale.
func panel(people, products, repeats int) (Data, []int) {
	rng := rand.New(rand.NewPCG(1, 2))
	n := people * products * repeats
	d, group := Data{Y: make([]int, n), X: mat.NewDense(n, products-1, nil)}, make([]int, n)
	i := 0
	for p := range people {
		b := rng.NormFloat64()
		for q := range products {
			for range repeats {
				eta := 0.3*float64(q) + b + 1.6*rng.NormFloat64()
				d.Y[i] = min(max(int(eta+4.5), 1), 9)
				if q > 0 {
					d.X.Set(i, q-1, 1)
				}
				group[i] = p
				i++
			}
		}
	}
	return d, group
}

func BenchmarkFit(b *testing.B) {
	d, _ := panel(100, 5, 1)
	for b.Loop() {
		if _, err := Fit(d, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitMixedLaplace(b *testing.B) {
	d, g := panel(100, 5, 1)
	for b.Loop() {
		if _, err := FitMixed(d, g, 1, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFitMixed10(b *testing.B) {
	d, g := panel(100, 5, 1)
	for b.Loop() {
		if _, err := FitMixed(d, g, 10, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
