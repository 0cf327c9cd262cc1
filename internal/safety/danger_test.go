package safety

import (
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// What looks harmless by its kind and is not.
func TestWhatTheKindHides(t *testing.T) {
	t.Parallel()
	chill := func(into, at int, core, kept float64) func(*trial.Trial) {
		return func(t *trial.Trial) {
			t.Cooks[0].Out = trial.Some(trial.Clock{Minute: into})
			t.Cooks[0].Chill = trial.Some(trial.Chill{Is: true, Into: trial.Some(trial.Clock{Minute: into}), AtTime: trial.Some(trial.Clock{Minute: at}),
				Core: trial.Some(quantity.Celsius(core)), KeptAt: trial.Some(quantity.Celsius(kept))})
		}
	}
	form := func(f trial.Form) func(*trial.Trial) { return func(t *trial.Trial) { t.Food.Form = trial.Some(f) } }
	fat := func(p float64) func(*trial.Trial) {
		return func(t *trial.Trial) { t.Food.Composition.V.Fat = trial.Some(quantity.Percent(p)) }
	}
	for _, c := range []struct {
		name             string
		kind             string
		celsius, minutes float64
		change           func(*trial.Trial)
		want             Verdict
		slug             string
	}{
		{"a vegetable", "vegetable", 85, 60, form(trial.Whole), NotAsked, "plant"},
		{"a vegetable in pieces", "vegetable", 85, 60, form(trial.Minced), NotAsked, "plant"},
		{"a filling that nobody named", "vegetable", 66, 60, form(trial.Stuffed), DoNotEat, "below-core-70"},
		{"a filling, hot for long", "vegetable", 90, 300, form(trial.Stuffed), DoNotEat, "outside-form"},
		{"a rolled leaf", "vegetable", 90, 300, form(trial.Rolled), DoNotEat, "outside-form"},
		{"a vegetable that was chilled well", "vegetable", 85, 60, chill(600, 660, 4, 3), NotAsked, "plant"},
		{"a vegetable kept warm", "vegetable", 85, 60, chill(600, 660, 4, 15), DoNotEat, "chill-warm"},
		{"a vegetable cooled slowly", "fruit", 85, 60, chill(600, 1100, 4, 3), DoNotEat, "chill-slow"},
		{"a vegetable, chilled somehow and kept warm", "vegetable", 85, 60, func(t *trial.Trial) {
			t.Cooks[0].Chill = trial.Some(trial.Chill{Is: true, KeptAt: trial.Some(quantity.Celsius(12))})
		}, DoNotEat, "chill-warm"},
		{"a vegetable, chilled somehow", "vegetable", 85, 60, func(t *trial.Trial) { t.Cooks[0].Chill = trial.Some(trial.Chill{Is: true}) }, NoVerdict, "chill-unknown"},
		{"cod", "lean fish", 55.5, 235, fat(1), Pasteurised, "core-equivalent"},
		{"fat fish by the name of a lean one", "lean fish", 55.5, 235, fat(14), NotPasteurised, "below-equivalent"},
		{"fat fish by its own name", "oily fish", 55.5, 235, fat(14), NotPasteurised, "below-equivalent"},
		{"poultry without its fat, too cold for any row", "poultry", 56, 120, func(t *trial.Trial) { t.Food.Composition.Known = false; t.Food.Composition.V = trial.Composition{} }, DoNotEat, "poultry-short"},
	} {
		tr := cooked(c.kind, c.celsius, c.minutes)
		c.change(tr)
		v := judged(tr)
		if v.Verdict != c.want || len(v.Why) == 0 || v.Why[0].Slug != c.slug {
			t.Errorf("%s: %v %+v, want %v (%s)", c.name, v.Verdict, v.Why, c.want, c.slug)
		}
		if v.Verdict == DoNotEat && v.Vulnerable {
			t.Errorf("%s: not to be eaten, and cleared for vulnerable people", c.name)
		}
	}
	none := cooked("vegetable", 66, 60)
	none.Food.Form, none.Cooks = trial.Some(trial.Stuffed), nil
	if v := judged(none); v.Verdict == NotAsked || v.Vulnerable {
		t.Errorf("stuffed and not cooked yet: %+v", v)
	}
}

// The verdict never takes a piece to be quicker than the slow end of what is
// likely: fat that the trial states slows both.
func TestStatedFatSlowsTheVerdict(t *testing.T) {
	t.Parallel()
	after := func(fat float64) float64 {
		tr := cooked("beef pork lamb", 60, 60)
		tr.Food.Composition = trial.Some(trial.Composition{Fat: trial.Some(quantity.Percent(fat))})
		a := NewPlanner(tr, Override{}).PasteurisedAfter(0, 60, 40)
		if a.Never != nil {
			t.Fatalf("%v %% fat: %v", fat, a.Never)
		}
		return a.Exact
	}
	if lean, belly := after(5), after(60); belly < 1.05*lean {
		t.Errorf("pasteurised after %.1f min with 60 %% fat, after %.1f min with 5 %%", belly, lean)
	}
}

// What is not known of the fat is said before any time is.
func TestNeverForWantOfTheFat(t *testing.T) {
	t.Parallel()
	tr := cooked("poultry", 62, 60)
	tr.Food.Composition = trial.Opt[trial.Composition]{}
	a := NewPlanner(tr, Override{}).PasteurisedAfter(0, 62, 25)
	if a.Never == nil || a.Never.Slug != "fat-unknown" || a.Verdict.Verdict != DoNotEat {
		t.Fatalf("%+v", a)
	}
	if cold := NewPlanner(tr, Override{}).PasteurisedAfter(0, 57, 25); cold.Never == nil || cold.Never.Slug != "too-cold" {
		t.Errorf("57 °C: %+v", cold)
	}
	asked := false
	for _, m := range a.Verdict.Missing {
		asked = asked || m.Field == "food.composition.fat"
	}
	if !asked {
		t.Errorf("the fat is not asked for: %+v", a.Verdict.Missing)
	}
}
