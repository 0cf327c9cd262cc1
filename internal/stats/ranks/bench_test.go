package ranks_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tamis/internal/stats/ranks"
)

func scoresTable(n, k int) [][]float64 {
	rng := rand.New(rand.NewPCG(1, uint64(n*k)))
	out := make([][]float64, n)
	for i := range out {
		out[i] = make([]float64, k)
		for j := range out[i] {
			out[i][j] = float64(rng.IntN(9) + 1)
		}
	}
	return out
}

func BenchmarkFriedman(b *testing.B) {
	for _, s := range []struct{ n, k int }{{8, 4}, {12, 4}, {10, 6}, {100, 4}, {300, 12}} {
		table := scoresTable(s.n, s.k)
		b.Run(fmt.Sprintf("%d×%d", s.n, s.k), func(b *testing.B) {
			for b.Loop() {
				if _, err := ranks.Friedman(table); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkPage(b *testing.B) {
	for _, s := range []struct{ n, k int }{{12, 4}, {100, 6}, {30, 10}} {
		table := scoresTable(s.n, s.k)
		b.Run(fmt.Sprintf("%d×%d", s.n, s.k), func(b *testing.B) {
			for b.Loop() {
				if _, err := ranks.Page(table, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRankSum(b *testing.B) {
	for _, n := range []int{20, 50, 1000} {
		t := scoresTable(2, n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := ranks.RankSum(t[0], t[1], ranks.TwoSided, 0.95); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
