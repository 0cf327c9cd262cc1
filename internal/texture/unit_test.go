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
				Values:   trial.ReadingOf("shear", trial.Reading{V: 20 + float64(5*(s%3)) + day + 0.2*r.NormFloat64()})}
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

// tastersTrial has two set points, three cooks of each and tasters by cook.
func tastersTrial(tasters func(cook, arm int) []string) *trial.Trial {
	r := rand.New(rand.NewPCG(2, 6))
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: 0, High: 10}}}}
	var p trial.Panel
	for c := range 6 {
		id := fmt.Sprint("c", c)
		tr.Cooks = append(tr.Cooks, trial.Cook{ID: id, SetPoint: trial.Some(quantity.Celsius(float64(50 + 5*(c%2))))})
		for _, who := range tasters(c, c%2) {
			p.Scores = append(p.Scores, trial.Score{Assessor: who, Cook: id,
				Values: trial.ReadingOf("firmness", trial.Reading{V: 4 + float64(c%2) + r.NormFloat64()})})
		}
	}
	tr.Panel = trial.Some(p)
	return tr
}

func TestTastersTiedToWhatIsCompared(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name    string
		tasters func(cook, arm int) []string
		want    string
	}{
		{"everybody tastes everything", func(int, int) []string { return []string{"a", "b", "c"} }, ""},
		{"tasters of its own for each set point", func(_, arm int) []string {
			return []string{fmt.Sprint("a", arm), fmt.Sprint("b", arm)}
		}, WarnTastersTied},
		{"a taster for each cook", func(cook, _ int) []string { return []string{fmt.Sprint("t", cook)} }, WarnTastersTied},
		{"one taster missed a cook", func(cook, _ int) []string {
			if cook == 3 {
				return []string{"a", "b"}
			}
			return []string{"a", "b", "c"}
		}, ""},
		{"pairs of tasters that never meet", func(cook, _ int) []string {
			return []string{fmt.Sprint("a", cook/2), fmt.Sprint("b", cook/2)}
		}, ""}, // each pair scores each set point once: nothing is tilted
		{"one taster for two cooks, the rest have their own", func(cook, _ int) []string {
			if cook < 2 {
				return []string{"x"}
			}
			return []string{fmt.Sprint("t", cook)}
		}, WarnTastersUneven},
	} {
		m := Analyse(tastersTrial(c.tasters), Options{Quick: true, Draws: 100}).Measures[0]
		got := ""
		for _, w := range m.Warnings {
			if w.ID == WarnTastersTied || w.ID == WarnTastersUneven {
				got = w.ID
			}
		}
		if got != c.want {
			t.Errorf("%s: warning %q, want %q", c.name, got, c.want)
		}
	}
}

// With one cook of each set point a mixed model would judge it by tasters: no
// such test is given under the name of the cook.
func TestNoMixedTestWhereTheUnitIsTied(t *testing.T) {
	t.Parallel()
	tr := tastersTrial(func(int, int) []string { return []string{"a", "b", "c"} })
	for i := range tr.Cooks {
		tr.Cooks[i].SetPoint = trial.Some(quantity.Celsius(50 + float64(i)))
	}
	m := Analyse(tr, Options{Quick: true, Draws: 100}).Measures[0]
	for _, x := range m.Tests {
		if x.Role == RoleMixed && (x.Cannot == "" || x.F.Known()) {
			t.Errorf("mixed test of %s on the %s: F = %v", x.Term, x.Unit, x.F)
		}
	}
}
