package fairness

import (
	"slices"
	"testing"

	"tamis/internal/trial"
)

// Words about the deciding measure come after what was done to the food, however
// far they go; a fault in tasting that measure comes before both.
func TestRankPutsTheFoodBeforeTheWords(t *testing.T) {
	t.Parallel()
	tr := &trial.Trial{Aims: []trial.Aim{{Measure: "firmness"}}}
	primary := Where{Measures: []string{"firmness"}}
	ranked := rank(tr, []Finding{
		{Slug: "ratio-on-ratings", Family: Claims, About: AboutWording, Outcome: Fires, Severity: Weakens, Where: primary},
		{Slug: "size-differs", Family: Material, About: AboutSetPoint, Outcome: Fires, Severity: Weakens},
		{Slug: "tasters-knew", Family: Assessors, About: AboutTasted, Outcome: Fires, Severity: Weakens, Where: primary},
		{Slug: "safe-words", Family: Claims, About: AboutSafety, Outcome: Fires, Severity: Weakens},
		{Slug: "one-lot", Family: Material, About: AboutSetPoint, Outcome: Fires, Severity: Blocks, Accepted: &Accepted{}},
	})
	var got []string
	for _, f := range ranked {
		got = append(got, f.Slug)
	}
	if want := []string{"safe-words", "tasters-knew", "size-differs", "ratio-on-ratings", "one-lot"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
