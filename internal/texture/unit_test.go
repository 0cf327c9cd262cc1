package texture

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Nine sessions, one set point in each, two cooks a session: the session is the
// unit, so tests and curve alike have 9 - 3 = 6 degrees of freedom, not 15.
func TestCurveKnowsACoarserUnit(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 9))
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "shear", Kind: trial.Amount, Unit: trial.Some("N")}},
		Aims: []trial.Aim{{Measure: "shear", AtLeast: trial.Some(30.0)}}}
	for s := range 9 {
		day := 2 * r.NormFloat64()
		for k := range 2 {
			c := trial.Cook{ID: fmt.Sprintf("s%dk%d", s, k), Session: trial.Some(fmt.Sprint("day ", s)),
				SetPoint: trial.Some(quantity.Celsius(float64(50 + 5*(s%3)))),
				Values:   map[string]trial.Reading{"shear": {V: 20 + float64(5*(s%3)) + day + 0.2*r.NormFloat64()}}}
			tr.Cooks = append(tr.Cooks, c)
		}
	}
	m := Analyse(tr, Options{Quick: true, Draws: 100}).Measures.Named("shear")
	f := testNamed(t, m, RoleHeadline, "set_point", "F")
	if f.Unit != "session" {
		t.Fatalf("the unit is the %s, want the session", f.Unit)
	}
	within(t, "df2 of the test", f.DF2, 6, 0, "9 sessions less 3 set points")
	within(t, "df of the curve", m.Curves[0].CookDF, 6, 0, "9 sessions less 3 set points")
	for _, c := range m.Curves[0].Candidates {
		if c.Name == "constant" {
			within(t, "lack of fit of a constant", c.LackOfFit.F, f.F.Or(0), 1e-9, "the same comparison as the headline test")
		}
	}
}

// With two levels the difference and the F of the factor are one statement:
// t² = F, also where pieces are missing.
func TestTwoLevelsAgreeWithTheTest(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(5, 8))
	w := world{setPoints: []float64{44, 50, 56}, sessions: 3, middle: 49, proteinAt: 55}
	tr := w.draw(r)
	tr.Cooks[1].Pieces = tr.Cooks[1].Pieces[:3] // one brined piece lost
	tr.Cooks[4].Pieces = tr.Cooks[4].Pieces[1:] // one plain piece lost
	m := Analyse(tr, Options{Quick: true, Draws: 100}).Measures.Named("protein")
	f := testNamed(t, m, RoleHeadline, trial.BrineFactor, "F")
	for _, d := range m.Differences {
		if d.Term != trial.BrineFactor {
			continue
		}
		tt := d.Estimate.Or(0) / d.SE.Or(1)
		if math.Abs(tt*tt-f.F.Or(0)) > 1e-9*f.F.Or(0) {
			t.Errorf("t² = %v, F = %v", tt*tt, f.F)
		}
		if d.DF.Or(0) != f.DF2.Or(1) {
			t.Errorf("df %v of the difference, %v of the test", d.DF, f.DF2)
		}
		return
	}
	t.Fatal("no difference of the brine")
}
