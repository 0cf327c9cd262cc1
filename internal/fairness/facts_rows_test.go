package fairness

import (
	"fmt"
	"slices"
	"testing"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// A sheet with a row for each measure is the same sheet: nothing that stands in the
// next row is missing, and every check says what it says of one row a sample.
func TestRowForEachMeasure(t *testing.T) {
	t.Parallel()
	split := func(tr *trial.Trial) {
		var rows []trial.Score
		for _, s := range tr.Panel.V.Scores {
			for i := range s.Values {
				one := s
				one.Values = slices.Clone(s.Values)
				for other := range one.Values {
					if other != i {
						one.Values[other].Reading = trial.Reading{Missing: true}
					}
				}
				rows = append(rows, one)
			}
		}
		tr.Panel.V.Scores = rows
	}
	said := func(tr *trial.Trial, fit *texture.Result) []string {
		r, err := Run(Inputs{Trial: tr, Fit: fit})
		if err != nil {
			t.Fatal(err)
		}
		var out []string
		for _, f := range r.Findings {
			out = append(out, fmt.Sprint(f.Slug, f.Factor, f.Outcome, f.Severity, f.Value))
		}
		return out
	}
	blank := func(tr *trial.Trial) { // one score that is not there
		tr.Panel.V.Scores[3].Values.Set("liking", trial.Reading{Missing: true})
	}
	for _, change := range []func(*trial.Trial){func(*trial.Trial) {}, blank, salted(3, 0.7, "liking")} {
		whole := changed(change)(t)
		fit := texture.Analyse(whole, texture.Options{Draws: 50})
		each := changed(change)(t)
		if n := len(each.Panel.V.Scores); n == 0 || len(each.Panel.V.Scores[0].Values) < 2 {
			t.Fatal("the sheet is not what this test needs")
		}
		split(each)
		a, b := said(whole, fit), said(each, fit)
		if !slices.Equal(a, b) {
			for i := range a {
				if i < len(b) && a[i] != b[i] {
					t.Errorf("%s, and with a row for each measure %s", a[i], b[i])
				}
			}
		}
	}
	// Two rows that score the same measure are two.
	row := func(x float64) trial.Score {
		return trial.Score{Assessor: "a", Cook: "A", Values: trial.Readings{{Measure: "x", Reading: trial.Reading{V: x}}, {Measure: "y", Reading: trial.Reading{Missing: true}}}}
	}
	a, b := row(1), row(2)
	if got := wholeRows([]trial.Score{a, b}); len(got) != 2 {
		t.Errorf("%d rows", len(got))
	}
}
