package discrim_test

import (
	"fmt"
	"testing"

	"tamis/internal/stats/discrim"
)

func BenchmarkAnalyse(b *testing.B) {
	for b.Loop() {
		if _, err := discrim.Triangle.Analyse(31, 60, false, 0.05, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSize(b *testing.B) {
	for _, pd := range []float64{0.3, 0.1, 0.02} {
		b.Run(fmt.Sprint(pd), func(b *testing.B) {
			for b.Loop() {
				if _, err := discrim.Triangle.Size(0.05, discrim.Triangle.PCFromShare(pd), 0.8, false); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
