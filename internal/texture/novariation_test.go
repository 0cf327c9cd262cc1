package texture

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// degenerate is arms × sessions cooks, one number each.
func degenerate(arms, sessions int, value func(arm, session int) float64) *trial.Trial {
	tr := &trial.Trial{Measures: []trial.Measure{{Name: "firmness", Kind: trial.ScaleScore, Scale: trial.Range{Low: -20, High: 40}}},
		Aims: []trial.Aim{{Measure: "firmness", Target: trial.Some(trial.Range{Low: 5, High: 6})}}}
	for i := range arms {
		for s := range sessions {
			tr.Cooks = append(tr.Cooks, trial.Cook{ID: fmt.Sprintf("c%ds%d", i, s), Session: trial.Some(fmt.Sprint("s", s)),
				SetPoint: trial.Some(quantity.Celsius(float64(48 + 4*i))), Values: trial.ReadingOf("firmness", trial.Reading{V: value(i, s)})})
		}
	}
	return tr
}

// Cooks of one kind that are all alike, or differ by their session alone, have
// means, differences and slopes, and no intervals, with the reason; and nobody
// is told to repeat what was repeated.
func TestNoVariationIsAnAnswer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		value func(arm, session int) float64
		means []float64
		slope float64
		why   string
	}{
		{"all equal", func(int, int) float64 { return 5 }, []float64{5, 5, 5, 5}, 0, "every cook has the same value"},
		{"all equal, not a binary number", func(int, int) float64 { return 5.1 }, []float64{5.1, 5.1, 5.1, 5.1}, 0, "every cook has the same value"},
		{"alike within set points", func(i, _ int) float64 { return 2 * float64(i) }, []float64{0, 2, 4, 6}, 0.5, "the cooks of one kind do not differ at all"},
		{"sessions add", func(i, s int) float64 { return 2*float64(i) + 0.3*float64(s) }, []float64{0.3, 2.3, 4.3, 6.3}, 0.5,
			"the cooks of one kind differ by their session alone"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			tr := degenerate(4, 3, c.value)
			r := Analyse(tr, Options{Draws: 100})
			m := r.Measures.Named("firmness")
			for i, a := range m.Arms {
				within(t, a.Arm, a.Mean, c.means[i], 1e-12, "by hand")
				if a.N != 3 || !a.DF.Known() {
					t.Errorf("%s: n %d, df %v", a.Arm, a.N, a.DF)
				}
				if a.SE.Reason() != c.why || a.Low.Reason() != c.why {
					t.Errorf("%s: SE is %q, want the reason %q", a.Arm, a.SE.Reason(), c.why)
				}
			}
			if len(m.Differences) != 6 {
				t.Errorf("%d differences, want 6", len(m.Differences))
			}
			for _, d := range m.Differences {
				if !d.Estimate.Known() || d.SE.Reason() != c.why {
					t.Errorf("%s − %s: %v, SE %v", d.A, d.B, d.Estimate, d.SE)
				}
			}
			for _, x := range m.Tests {
				switch {
				case x.Role == RoleMixed:
					t.Errorf("a mixed test stands beside no headline: %+v", x)
				case x.Cannot != c.why:
					t.Errorf("test of %s: %q", x.Term, x.Cannot)
				}
			}
			if m.Line == nil {
				t.Fatal("no line")
			}
			if got := m.Line.Slope.Estimate.Or(math.NaN()); math.Abs(got-c.slope) > 1e-12 || m.Line.Slope.SE.Or(1) > 1e-12 {
				t.Errorf("slope %v, SE %v, want %v", m.Line.Slope.Estimate, m.Line.Slope.SE, c.slope)
			}
			for _, list := range [][]Cannot{m.Cannot, r.Cannot} {
				for _, x := range list {
					if strings.Contains(x.Need, "twice") || strings.Contains(x.Why, "cannot be told from the blocks") {
						t.Errorf("%s: %s (%s)", x.What, x.Why, x.Need)
					}
				}
			}
			for _, v := range r.Variance {
				if v.Separable || strings.HasPrefix(v.MixedWith, "takes") {
					t.Errorf("level %+v", v)
				}
			}
		})
	}
}

// An interaction that was never repeated is the error of the main effects; when
// it is 0 too, set points and times add up to the last digit.
func TestAddUpExactly(t *testing.T) {
	t.Parallel()
	tr := degenerate(3, 2, func(i, s int) float64 { return 0.7*float64(i) + 0.1*float64(s) })
	for i := range tr.Cooks {
		tr.Cooks[i].Session = trial.Opt[string]{}
		tr.Cooks[i].With = []trial.Level{{Factor: "recipe", Level: []string{"A", "B"}[i%2]}}
	}
	tr.Factors = []trial.Factor{{Name: "recipe", Levels: []string{"A", "B"}}}
	m := Analyse(tr, Options{Draws: 100}).Measures.Named("firmness")
	for i, a := range m.Arms {
		within(t, a.Arm, a.Mean, 0.7*float64(i)+0.05, 1e-12, "by hand")
		if a.SE.Reason() != "what was varied explains the cooks to the last digit" {
			t.Errorf("SE %v", a.SE)
		}
	}
}

// One set point is described: mean and spread of the finest thing that stands
// for another cook.
func TestOneSetPointIsDescribed(t *testing.T) {
	t.Parallel()
	cooks := func(v ...float64) *trial.Trial { return degenerate(1, len(v), func(_, s int) float64 { return v[s] }) }
	pieces := cooks(0)
	pieces.Cooks[0].Values = nil
	for i, v := range []float64{4, 6, 8} {
		pieces.Cooks[0].Pieces = append(pieces.Cooks[0].Pieces, trial.Piece{ID: fmt.Sprint("p", i), Values: trial.ReadingOf("firmness", trial.Reading{V: v})})
	}
	for _, c := range []struct {
		name   string
		tr     *trial.Trial
		n      int
		mean   float64
		se, df float64 // se 0: absent
		covers string
		why    string
	}{
		{"five cooks", cooks(4, 5, 6, 7, 8), 5, 6, math.Sqrt(2.5 / 5), 4, "cooks", ""},
		{"equal cooks", cooks(5, 5, 5), 3, 5, 0, 2, "cooks", "every cook has the same value"},
		{"one cook", cooks(5), 1, 5, 0, 0, "cooks", "nothing was repeated, so there is no spread to see"},
		{"one cook, three pieces", pieces, 1, 6, 2 / math.Sqrt(3), 2, "pieces only", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m := Analyse(c.tr, Options{Draws: 100}).Measures.Named("firmness")
			if len(m.Arms) != 1 {
				t.Fatalf("%d arms, want 1", len(m.Arms))
			}
			a := m.Arms[0]
			if a.N != c.n || a.Term != trial.SetPointFactor || a.Arm != "48 °C" || a.Covers != c.covers {
				t.Errorf("arm %+v", a)
			}
			within(t, "mean", a.Mean, c.mean, 1e-12, "by hand")
			if c.se > 0 {
				within(t, "SE", a.SE, c.se, 1e-12, "s/√n, by hand")
				within(t, "df", a.DF, c.df, 0, "n − 1")
			} else if a.SE.Reason() != c.why {
				t.Errorf("SE %v, want %q", a.SE, c.why)
			}
			found := false
			for _, x := range m.Cannot {
				found = found || x.What == "comparison"
			}
			if !found {
				t.Error("nothing says that no comparison was made")
			}
		})
	}
	mixed := cooks(5, 6)
	mixed.Cooks[0].SetPoint = trial.Opt[quantity.Temperature]{}
	if a := Analyse(mixed, Options{Quick: true}).Measures[0].Arms; len(a) != 1 || a[0].Term != "all" || a[0].SetPoint.Known() {
		t.Errorf("arms %+v", a)
	}
}
