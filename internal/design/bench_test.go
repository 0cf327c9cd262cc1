package design

import (
	"testing"

	"tamis/internal/trial"
)

// BenchmarkPlan lays out the design of the contract, a small one, and one that is as
// large as a kitchen gets.
func BenchmarkPlan(b *testing.B) {
	small := kitchen(3, 1, 6, 4, func(_ *trial.Trial, d *trial.Design) {
		d.CooksEach, d.Sessions, d.Assessors = trial.Some(2), trial.Some(2), people(6)
	})
	large := kitchen(8, 3, 14, 6, func(_ *trial.Trial, d *trial.Design) {
		d.Baths, d.Assessors = []string{"north", "south", "east", "west"}, people(14)
		for i := range d.Sources { // twelve pieces of each
			d.Sources[i].Pieces = append(d.Sources[i].Pieces, d.Sources[i].Pieces...)
		}
		d.CooksEach, d.Sessions, d.PiecesPerCook = trial.Some(4), trial.Some(4), trial.Some(3)
	})
	for _, x := range []struct {
		name string
		t    *trial.Trial
	}{{"small", small}, {"contract", published()}, {"large", large}} {
		b.Run(x.name, func(b *testing.B) {
			for i := range b.N {
				if _, err := Of(x.t, Options{Seed: uint64(i + 1)}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
