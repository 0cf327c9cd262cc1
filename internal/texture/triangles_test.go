package texture

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Triangles that were answered are counted by the key: 8 of 12 right is the least
// that shows a difference at 5 %, with p = 0.0188 (ISO 4120, by the binomial sum).
// A blank answer is not counted, and the test is that of a count in the file.
func TestTrianglesAreCountedByTheKey(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{}
	for i, c := range []float64{54, 50} { // the warmer one first in the file
		id := string(rune('A' + i))
		tr.Cooks = append(tr.Cooks, trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(c)), Pieces: []trial.Piece{{ID: id + "-1"}}})
	}
	code := 200
	var p trial.Panel
	for i := range 13 {
		x := trial.TriangleSet{Assessor: string(rune('a' + i)), Set: 1}
		odd := i % 3
		for k := range x.Codes {
			code++
			x.Codes[k] = string([]byte{byte('0' + code/100), byte('0' + code/10%10), byte('0' + code%10)})
			piece := "A-1"
			if (k == odd) == (i%2 == 0) {
				piece = "B-1"
			}
			p.Key = append(p.Key, trial.KeyEntry{Code: x.Codes[k], Piece: piece})
		}
		switch {
		case i < 8:
			x.Odd = trial.Some(x.Codes[odd])
		case i < 12:
			x.Odd = trial.Some(x.Codes[(odd+1)%3])
		}
		p.Triangles = append(p.Triangles, x)
	}
	tr.Panel = trial.Some(p)
	a := analysis{t: tr, opt: Options{Level: 0.95}, out: &Result{}}
	a.differenceTests()
	if len(a.out.Tests) != 1 {
		t.Fatalf("%d tests", len(a.out.Tests))
	}
	got := a.out.Tests[0]
	want := differenceTest(trial.DifferenceTest{Kind: trial.Triangle, Answers: 12, Correct: 8}, 0.95)
	if got.Answers != 12 || got.Correct != 8 || got.Least != 8 || got.P != want.P || got.DPrime != want.DPrime || got.PDLow != want.PDLow || len(got.Warnings) != len(want.Warnings) {
		t.Errorf("%+v\nwant %+v", got, want)
	}
	if len(got.Between) != 2 || got.Between[0] != "B" || got.Between[1] != "A" {
		t.Errorf("between %v, want the colder cook first", got.Between)
	}

	// One person who answers twice is said so.
	tr.Panel.V.Triangles[1].Assessor = tr.Panel.V.Triangles[0].Assessor
	a.out = &Result{}
	a.differenceTests()
	if w := a.out.Tests[0].Warnings; len(w) != len(want.Warnings)+1 || w[len(w)-1].ID != "same-people" {
		t.Errorf("warnings %+v", w)
	}
}
