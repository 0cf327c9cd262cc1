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
			names := make([]string, 0, len(s.Values))
			for name := range s.Values {
				names = append(names, name)
			}
			slices.Sort(names)
			for _, name := range names {
				one := s
				one.Values = map[string]trial.Reading{}
				for _, other := range names {
					one.Values[other] = trial.Reading{Missing: true}
				}
				one.Values[name] = s.Values[name]
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
		tr.Panel.V.Scores[3].Values["liking"] = trial.Reading{Missing: true}
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
	a, b := trial.Score{Assessor: "a", Cook: "A", Values: map[string]trial.Reading{"x": {V: 1}, "y": {Missing: true}}}, trial.Score{Assessor: "a", Cook: "A", Values: map[string]trial.Reading{"x": {V: 2}, "y": {Missing: true}}}
	if got := wholeRows([]trial.Score{a, b}); len(got) != 2 {
		t.Errorf("%d rows", len(got))
	}
}
