package linear

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats/frame"
)

func BenchmarkFit(b *testing.B) {
	for _, size := range []struct{ rows, levels int }{{60, 5}, {600, 20}, {7200, 100}} {
		b.Run(fmt.Sprintf("%drows%dcolumns", size.rows, size.levels+1), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 1))
			codes, x, y := make([]int, size.rows), make([]float64, size.rows), make([]float64, size.rows)
			for i := range codes {
				codes[i], x[i], y[i] = i%size.levels, rng.Float64(), rng.NormFloat64()
			}
			levels := make([]string, size.levels)
			for i := range levels {
				levels[i] = fmt.Sprint(i)
			}
			g, err := frame.FactorCodes("g", codes, levels)
			if err != nil {
				b.Fatal(err)
			}
			n, err := frame.Numeric("x", x)
			if err != nil {
				b.Fatal(err)
			}
			f, err := frame.New(g, n)
			if err != nil {
				b.Fatal(err)
			}
			m, err := frame.Build(f, frame.Model{Intercept: true, Terms: []frame.Term{frame.T("g"), frame.T("x")}})
			if err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				if _, err := NewFrame(m, y, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCake(b *testing.B) {
	f, y := cakeFrame(b)
	b.Run("strata", func(b *testing.B) {
		for b.Loop() {
			if _, err := Strata(f, frame.Model{Terms: crossedRecipeAndOven}, []frame.Term{replicate, batch}, y); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("type III", func(b *testing.B) {
		for b.Loop() {
			fit := mustFit(b, f, y, append([]frame.Term{replicate}, crossedRecipeAndOven...)...)
			if _, err := fit.Anova(frame.TypeIII); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("unit stratum", func(b *testing.B) {
		m := UnitModel{Unit: []string{"replicate", "recipe"}, Blocks: []frame.Term{replicate}, Terms: []frame.Term{recipe}}
		for b.Loop() {
			if _, err := Units(f, y, m); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkPolynomial(b *testing.B) {
	d := readTable(b, "Filip.csv")
	x, y := d.numbers("x"), d.numbers("y")
	for b.Loop() {
		if _, err := FitPolynomial(x, y, 10); err != nil {
			b.Fatal(err)
		}
	}
}
