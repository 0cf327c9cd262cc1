package fairness

import (
	"slices"
	"testing"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
)

// A cook that must not be eaten takes back the fixes that concern it alone. Every
// other fix that has somebody eat leaves it out by name.
func TestFixesAroundWhatMustNotBeEaten(t *testing.T) {
	t.Parallel()
	// Nobody warmed up, blanks at one set point, one run at another: fixes that have
	// somebody eat, of all, of some and of one.
	about := &spoken{text: "panel: {warm_up: no, together: yes}\naim: {measure: firmness, target: 4 to 6}\n" +
		"cooks: [{set_point: 48 °C, served_at: 30 °C}, {set_point: 52 °C, served_at: 45 °C}, {set_point: 56 °C, served_at: 45 °C}, {set_point: 52 °C, served_at: 45 °C}, {set_point: 56 °C, served_at: 45 °C}]"}
	in := about.inputs(t)
	ids := make([]string, len(in.Trial.Cooks))
	for i := range in.Trial.Cooks {
		ids[i] = in.Trial.Cooks[i].ID
	}
	plain, err := Run(in)
	if err != nil {
		t.Fatal(err)
	}
	nextOf := func(r *Result, slug string) string {
		for _, f := range r.Findings {
			if f.Slug == slug && f.Outcome == Fires {
				return f.Next.Text(quantity.Metric)
			}
		}
		return ""
	}
	if nextOf(plain, "place-changes-scores") == "" || nextOf(plain, "served-at-differs") == "" {
		t.Fatal("the trial is not what this test needs")
	}
	refusals, without := 0, 0
	for bits := 1; bits < 1<<len(ids); bits++ {
		var bad []string
		s := *in.Safety
		s.Cooks = slices.Clone(s.Cooks)
		for i, id := range ids {
			s.Cooks[i].Verdict = safety.NotPasteurised
			if bits>>i&1 == 1 {
				s.Cooks[i].Verdict = safety.DoNotEat
				bad = append(bad, id)
			}
		}
		s.Overall.Verdict = safety.DoNotEat
		with := in
		with.Safety = &s
		r, err := Run(with)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range r.Findings {
			check, _ := Lookup(f.Slug)
			if f.Outcome != Fires || !check.Eats {
				continue
			}
			said, before := f.Next.Text(quantity.Metric), nextOf(plain, f.Slug)
			alone := len(bad) == len(ids) || len(f.Where.Cooks) > 0 && among(f.Where.Cooks, bad)
			if want := "Without " + prose.List(bad) + ", which must not be eaten: " + before; alone && said != refusedNext || !alone && said != want {
				t.Errorf("%v, %s about %v: %s", bad, f.Slug, f.Where.Cooks, said)
			}
			if refused := said == refusedNext; refused {
				refusals++
			} else {
				without++
			}
		}
	}
	if refusals == 0 || without == 0 {
		t.Errorf("%d refused, %d with less", refusals, without)
	}
}
