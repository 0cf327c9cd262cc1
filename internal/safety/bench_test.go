package safety

import (
	"fmt"
	"testing"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// eighteen is a trial of 18 cooks: six set points, three times each, two pieces.
func eighteen() *trial.Trial {
	t := cooked("lean fish", 50, 60)
	like := t.Cooks[0]
	t.Cooks = nil
	for i := range 18 {
		c := like
		c.ID = fmt.Sprint(i)
		c.SetPoint = trial.Some(quantity.Celsius(50 + 2*float64(i%6)))
		c.Pieces = []trial.Piece{{ID: c.ID + "a"}, {ID: c.ID + "b"}}
		t.Cooks = append(t.Cooks, c)
	}
	return t
}

func BenchmarkTrialOf18(b *testing.B) {
	t := eighteen()
	b.Run("heat", func(b *testing.B) {
		for b.Loop() {
			heat.OfTrial(t)
		}
	})
	h := heat.OfTrial(t)
	b.Run("safety", func(b *testing.B) {
		for b.Loop() {
			OfTrial(t, h)
		}
	})
	b.Run("for", func(b *testing.B) {
		for b.Loop() {
			For(t, 55, nil)
		}
	})
}

func BenchmarkTable20x12(b *testing.B) {
	t := cooked("beef pork lamb", 55, 60)
	for b.Loop() {
		p := NewPlanner(t, Override{})
		for mm := 5.0; mm <= 100; mm += 5 {
			for c := 54.0; c < 66; c++ {
				p.PasteurisedAfter(0, c, mm)
			}
		}
	}
}
