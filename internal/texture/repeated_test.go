package texture_test

import (
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// Repeated on a trial's own numbers gives the headline tests of Analyse, and
// differences whose raw p-values are those of the adjusted table.
func TestRepeatedIsTheHeadline(t *testing.T) {
	t.Parallel()
	numbers := cmp.Comparer(func(a, b quantity.Number) bool { return a == b })
	for _, file := range []string{"trials/pollack/pollack", "trials/trout/trout", "testdata/cake/cake", "testdata/beef/beef"} {
		tr, _, err := trialfile.Read("../../"+file+".yaml", trialfile.Vocabulary{})
		if err != nil || tr == nil {
			t.Fatal(err)
		}
		full := texture.Analyse(tr, texture.Options{Quick: true})
		for _, m := range tr.Measures {
			o := tr.Observe(m)
			values := make([]float64, len(o.Rows))
			for i := range o.Rows {
				values[i] = o.Rows[i].Value
				o.Rows[i].Value = 0 // must not be looked at
			}
			var want []texture.Test
			var pairs []texture.Difference
			for _, x := range full.Measures.Named(m.Name).Tests {
				if x.Role == texture.RoleHeadline {
					want = append(want, x)
				}
			}
			for _, d := range full.Measures.Named(m.Name).Differences {
				if d.Term == trial.SetPointFactor && d.Adjust == "tukey" {
					pairs = append(pairs, d)
				}
			}
			r := texture.NewRepeated(tr, o)
			var wg sync.WaitGroup
			for range 2 { // from two goroutines at once
				wg.Go(func() {
					got, diffs := r.Headline(values, trial.SetPointFactor)
					if d := cmp.Diff(want, got, numbers, cmpopts.EquateEmpty()); d != "" {
						t.Errorf("%s %s:\n%s", file, m.Name, d)
					}
					if len(diffs) != len(pairs) {
						t.Errorf("%s %s: %d differences, the analysis has %d", file, m.Name, len(diffs), len(pairs))
						return
					}
					for i, d := range diffs {
						if d.Estimate != pairs[i].Estimate || d.P != pairs[i].PRaw || d.DF != pairs[i].DF {
							t.Errorf("%s %s: %s against %s is %v with p %v, the analysis has %v with %v", file, m.Name, d.A, d.B, d.Estimate, d.P, pairs[i].Estimate, pairs[i].PRaw)
						}
					}
				})
			}
			wg.Wait()
			if tests, _ := r.Headline(nil, trial.SetPointFactor); len(values) > 0 && tests != nil {
				t.Errorf("%s %s: tests without values", file, m.Name)
			}
		}
	}
}
