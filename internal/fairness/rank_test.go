package fairness

import (
	"slices"
	"testing"

	"tamis/internal/trial"
)

// Words about the deciding measure come after what was done to the food, however
// far they go; a fault in tasting that measure comes before both. Among what blocks,
// a set point that was cooked once comes first.
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
	blocks := rank(tr, []Finding{
		{Slug: "tasting-order-uneven", Family: Serving, About: AboutTasted, Outcome: Fires, Severity: Blocks, Kind: Mixed, Where: primary},
		{Slug: "one-run-per-set-point", Family: Replication, About: AboutSetPoint, Outcome: Fires, Severity: Blocks, Kind: Mixed},
	})
	if blocks[0].Slug != "one-run-per-set-point" {
		t.Errorf("first %s", blocks[0].Slug)
	}
	if want := []string{"safe-words", "tasters-knew", "size-differs", "ratio-on-ratings", "one-lot"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// Findings are arranged as a copy would have them, in every order of six, and those that
// no order names are left out.
func TestArranged(t *testing.T) {
	t.Parallel()
	const names = "abcdef"
	var try func(order []int, left []int)
	n := 0
	try = func(order, left []int) {
		if len(left) > 0 {
			for i, k := range left {
				rest := append(append([]int{}, left[:i]...), left[i+1:]...)
				try(append(append([]int{}, order...), k), rest)
			}
			if len(order) != 3 { // and with some left out
				return
			}
		}
		n++
		findings := make([]Finding, len(names))
		want := ""
		for i := range findings {
			findings[i].Slug = names[i : i+1]
		}
		for _, k := range order {
			want += names[k : k+1]
		}
		got := ""
		for _, f := range arranged(findings, append([]int{}, order...)) {
			got += f.Slug
		}
		if got != want {
			t.Fatalf("%v: %s, not %s", order, got, want)
		}
	}
	try(nil, []int{0, 1, 2, 3, 4, 5})
	if n != 720+120 {
		t.Errorf("%d orders were tried", n)
	}
}
