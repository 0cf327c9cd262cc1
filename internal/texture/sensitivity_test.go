package texture

import (
	"math"
	"strings"
	"testing"
)

func named(s *Sensitivity, name string) *Alternative {
	for i := range s.Analyses {
		if strings.HasPrefix(s.Analyses[i].Name, name) {
			return &s.Analyses[i]
		}
	}
	return nil
}

// The closed form without a cook equals the analysis of the rows without it.
func TestLeaveOutEqualsRefit(t *testing.T) {
	t.Parallel()
	k := kitchen{setPoints: []float64{50, 52, 56, 60}, cooks: 3, people: 4, value: usual}
	tr := k.trial(t)
	tr.Measures = tr.Measures[:1]
	a := &analysis{t: tr, opt: Options{}.withDefaults(), out: &Result{}}
	tb := newTable(tr, tr.Measures[0])
	e, ok := tb.estimandOf()
	head, s, err := e.onUnits(tb, 0.95)
	if !ok || err != nil {
		t.Fatal(ok, err)
	}
	quick := a.withoutUnits(tb, e, s.plainer, head)
	slow := a.refits(tb, e, head, "cook", "cook")
	if len(quick) != 12 || len(slow) != 12 {
		t.Fatalf("%d and %d", len(quick), len(slow))
	}
	for i := range quick {
		within(t, "estimate without "+quick[i].ID, quick[i].Estimate, slow[i].Estimate.Or(math.NaN()), 1e-9, "refit of the other rows")
		if quick[i].Changes != slow[i].Changes || quick[i].ID != slow[i].ID {
			t.Errorf("%+v and %+v", quick[i], slow[i])
		}
	}
}

func TestSensitivityOfCake(t *testing.T) {
	t.Parallel()
	m := Analyse(cake(t), Options{Draws: 20}).Measures.Named("angle")
	s := m.Sensitivity
	if s == nil {
		t.Fatalf("%+v", m.Cannot)
	}
	// Six equally spaced temperatures, complete: the trend over the means is the
	// slope per °F times 50 °F.
	within(t, "trend", s.Analyses[0].Estimate, 0.1580317*50, 5e-7, rlm+", seven digits")
	if !s.Analyses[0].Headline || s.Analyses[0].P.Or(1) > 1e-10 {
		t.Errorf("%+v", s.Analyses[0])
	}
	// Balanced: the mixed model gives the same estimate.
	if x := named(s, "mixed"); x == nil {
		t.Error("no mixed model")
	} else {
		within(t, "mixed model", x.Estimate, 0.1580317*50, 5e-7, rlm+", balanced")
	}
	// Keeping the replicates in the error makes the interval wider.
	if x := named(s, "without blocks"); x == nil || x.High.Or(0)-x.Low.Or(0) <= s.Analyses[0].High.Or(0)-s.Analyses[0].Low.Or(0) {
		t.Errorf("without blocks: %+v", x)
	}
	if x := named(s, "logarithm"); x == nil || !x.Estimate.Known() {
		t.Errorf("an amount above 0 without its logarithm: %+v", x)
	}
	if x := named(s, "permutation"); x == nil || x.P.Or(1) != 1.0/2000 {
		t.Errorf("permutation: %+v, want the least p of 1999 draws", x)
	}
	if s.Tried["cook"] != 270 || len(s.LeaveOut) != mostListed {
		t.Errorf("%v tried, %d listed", s.Tried, len(s.LeaveOut))
	}
	// Partial R² = t²/(t² + df) by Cinelli & Hazlett 2020.
	df := s.Robustness.DF.Or(0)
	se := (s.Analyses[0].High.Or(0) - s.Analyses[0].Estimate.Or(0))
	q, err := tQuantile(0.95, df)
	if err != nil {
		t.Fatal(err)
	}
	tv := s.Analyses[0].Estimate.Or(0) / (se / q)
	within(t, "partial R²", s.Robustness.Partial, tv*tv/(tv*tv+df), 1e-9, "Cinelli & Hazlett 2020, definition")
	if !(s.Robustness.ValueP.Or(1) < s.Robustness.Value.Or(0)) {
		t.Errorf("%+v", s.Robustness)
	}
}

// Two set points in two cooks each: six arrangements, so no permutation can
// reach 5 %, and the answer says so instead of printing a p.
func TestTooFewArrangements(t *testing.T) {
	t.Parallel()
	k := kitchen{setPoints: []float64{50, 60}, cooks: 2, people: 3, value: usual}
	tr := k.trial(t)
	tr.Measures = tr.Measures[:1]
	for i := range tr.Cooks {
		tr.Cooks[i].Session.Known = false
	}
	s := Analyse(tr, Options{Draws: 20}).Measures[0].Sensitivity
	if s == nil {
		t.Fatal("no sensitivity")
	}
	x := named(s, "permutation")
	if x == nil || x.P.Known() || !strings.Contains(x.Note, "6 arrangements") {
		t.Errorf("%+v", x)
	}
	// Without one of two cooks the error has one degree of freedom: still an answer.
	for _, l := range s.LeaveOut {
		if l.Kind == "cook" && !l.Estimate.Known() {
			t.Errorf("%+v", l)
		}
	}
}

// The analysis without the odd ones stands beside the headline, and the effect
// that they had blurred comes out larger.
func TestWithoutAssessorsOutOfStep(t *testing.T) {
	t.Parallel()
	p := moderate(4)
	p.reversed, p.flat = 2, 5
	s := Analyse(p.trial(t), Options{Draws: 20}).Measures[0].Sensitivity
	x := named(s, "without assessors")
	if x == nil || x.Estimate.Or(0) < 1.2*s.Analyses[0].Estimate.Or(0) {
		t.Fatalf("%+v beside %+v", x, s.Analyses[0])
	}
	// 8 people, one at slope -1 and one at 0: without P3 the estimate rises.
	for _, l := range s.LeaveOut {
		if l.Kind == "assessor" && (l.ID == "P3") != (l.Shift.Or(0) > 1) {
			t.Logf("%s shifts by %v", l.ID, l.Shift)
		}
		if l.ID == "P3" && l.Shift.Or(0) <= 0 {
			t.Errorf("without the reversed one: %v", l.Shift)
		}
	}
}

// Neither answer of the wrong error term appears anywhere in the wine trial.
func TestWineHasNoWrongAnswer(t *testing.T) {
	t.Parallel()
	m := Analyse(wine(t), Options{Draws: 20}).Measures[0]
	tests := append([]Test{m.Panel.Product, m.Panel.Crossover}, m.Tests...)
	for _, x := range m.Treatments {
		tests = append(tests, x.Interaction)
	}
	for _, a := range m.Panel.Assessors {
		tests = append(tests, a.Discriminates)
	}
	for _, x := range m.Place {
		tests = append(tests, x.Test)
	}
	for _, x := range tests {
		if v, ok := x.F.Get(); ok && (math.Abs(v-30.77) < 0.005 || math.Abs(v-19.42) < 0.005) {
			t.Errorf("%s %s: F = %v", x.Role, x.Term, v)
		}
	}
}
