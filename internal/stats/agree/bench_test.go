package agree_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats/agree"
)

func BenchmarkPanel(b *testing.B) {
	for _, s := range []struct{ people, products, repeats int }{{9, 4, 2}, {100, 8, 1}, {300, 12, 2}} {
		rng := rand.New(rand.NewPCG(1, 1))
		var scores []agree.Score
		for a := range s.people {
			for p := range s.products {
				for r := range s.repeats {
					scores = append(scores, agree.Score{Product: p, Assessor: a, Repeat: r, Value: float64(p) + rng.NormFloat64()})
				}
			}
		}
		b.Run(fmt.Sprintf("%d×%d×%d", s.people, s.products, s.repeats), func(b *testing.B) {
			for b.Loop() {
				if _, err := agree.Panel(scores); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSegments(b *testing.B) {
	for _, s := range []struct{ people, products int }{{40, 4}, {100, 8}, {300, 12}} {
		people := crowd(rand.New(rand.NewPCG(1, 1)), s.people, s.products, 1, 0)
		b.Run(fmt.Sprintf("%d×%d", s.people, s.products), func(b *testing.B) {
			for b.Loop() {
				if _, err := agree.Segments(people, agree.SegmentOptions{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
