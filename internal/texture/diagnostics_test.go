package texture

import (
	"math"
	"slices"
	"sort"
	"testing"

	"tamis/internal/trial"
)

// In a balanced design every unit has the same leverage, columns over units:
// cake has 45 batches, 5 degrees of freedom of the set point and 10 of recipe by
// set point, on 270 cooks.
func TestDiagnosticsOfCake(t *testing.T) {
	t.Parallel()
	m := Analyse(cake(t), Options{Draws: 100}).Measures[0]
	var d *Diagnostics
	for i := range m.Diagnostics {
		if m.Diagnostics[i].Unit == "cook" {
			d = &m.Diagnostics[i]
		}
	}
	if d == nil || len(d.Units) != 270 || d.DF != 210 || d.Cannot != "" {
		t.Fatalf("diagnostics %+v", d)
	}
	squares, sum := 0.0, 0.0
	var scores []float64
	for _, u := range d.Units {
		r := u.Residual.Or(math.NaN())
		squares, sum = squares+r*r, sum+r
		scores = append(scores, u.Normal.Or(math.NaN()))
		// 1e-12: a sum over 60 orthonormal columns
		if h := u.Leverage.Or(0); math.Abs(h-60.0/270) > 1e-12 {
			t.Fatalf("%s: leverage %v", u.Cook, h)
		}
		if math.Abs(u.Mean.Or(0)-u.Fitted.Or(0)-r) > 1e-12 {
			t.Errorf("%s: %v is not %v and %v", u.Cook, u.Mean, u.Fitted, u.Residual)
		}
		// Cook's distance from its definition: t² h / ((1 − h) p).
		z := u.Standardised.Or(math.NaN())
		if want := z * z * (60.0 / 270) / (1 - 60.0/270) / 60; math.Abs(u.Distance.Or(0)-want) > 1e-12 {
			t.Errorf("%s: distance %v, want %v", u.Cook, u.Distance, want)
		}
	}
	for _, test := range m.Tests {
		if test.Role == RoleHeadline && test.Term == trial.SetPointFactor && math.Abs(test.ErrorSumSq.Or(0)/squares-1) > 1e-10 {
			t.Errorf("residuals square to %v, the test has %v", squares, test.ErrorSumSq)
		}
	}
	if math.Abs(sum) > 1e-9 || math.Abs(d.SD.Or(0)-math.Sqrt(squares/210)) > 1e-10 {
		t.Errorf("residuals sum to %v, SD %v", sum, d.SD)
	}
	sort.Float64s(scores)
	for i := range scores {
		if math.Abs(scores[i]+scores[len(scores)-1-i]) > 1e-12 {
			t.Fatalf("normal scores are not symmetric: %v and %v", scores[i], scores[len(scores)-1-i])
		}
	}
}

// Where a unit has nothing to be held against there are no diagnostics, and the
// order of the file changes nothing.
func TestDiagnosticsEdges(t *testing.T) {
	t.Parallel()
	one := cake(t)
	one.Cooks = one.Cooks[:6] // one batch: one cook of each set point
	if d := Analyse(one, Options{Draws: 100}).Measures[0].Diagnostics; len(d) != 0 {
		t.Errorf("one cook each has %+v", d)
	}
	a, b := cake(t), cake(t)
	slices.Reverse(b.Cooks)
	da, db := Analyse(a, Options{Draws: 100}).Measures[0].Diagnostics, Analyse(b, Options{Draws: 100}).Measures[0].Diagnostics
	if len(da) != len(db) || len(da) == 0 {
		t.Fatalf("%d and %d", len(da), len(db))
	}
	for i := range da {
		at := map[string]UnitResidual{}
		for _, u := range db[i].Units {
			at[u.Cook] = u
		}
		for _, u := range da[i].Units {
			if da[i].Unit == "cook" && math.Abs(at[u.Cook].Residual.Or(9)-u.Residual.Or(0)) > 1e-9 {
				t.Errorf("%s: %v and, backwards, %v", u.Cook, u.Residual, at[u.Cook].Residual)
			}
		}
	}
	if Analyse(a, Options{Draws: 100, Quick: true}).Measures[0].Diagnostics != nil {
		t.Error("a quick analysis has diagnostics")
	}
}
