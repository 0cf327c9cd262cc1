package size

import (
	"context"
	"testing"
)

func BenchmarkSimulate(b *testing.B) {
	for name, d := range map[string]Design{
		"small": {SetPoints: 2, Cooks: 3, Sessions: 1, Pieces: 1},
		"panel": {SetPoints: 6, Cooks: 3, Sessions: 3, Pieces: 4, Assessors: 8, Tastes: 2},
		"large": {SetPoints: 6, Cooks: 10, Sessions: 5, Pieces: 4, Assessors: 8},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := simulate(context.Background(), d, Spread{Cooks: 1, Pieces: 0.5, Scores: 1}, Question{Effect: 1, Alpha: 0.05, Power: 0.8}, 1, 1, 100); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkNeeded(b *testing.B) {
	for b.Loop() {
		needed(Design{SetPoints: 6, Cooks: 3, Sessions: 3, Pieces: 1}, Spread{Cooks: 1}, Question{Effect: 0.01, Alpha: 0.05, Power: 0.8}, MostCooks)
	}
}
