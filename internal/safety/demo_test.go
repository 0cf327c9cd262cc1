package safety_test

import (
	"path/filepath"
	"testing"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

func read(t *testing.T, parts ...string) *trial.Trial {
	t.Helper()
	tr, messages, err := trialfile.Read(filepath.Join(append([]string{"..", ".."}, parts...)...), trialfile.Vocabulary{FoodKinds: food.Kinds()})
	if err != nil || messages.HasErrors() || tr == nil {
		t.Fatalf("%v: %v, %v", parts, err, messages)
	}
	return tr
}

// What the trials of this repository are meant to be, cook by cook and at every
// set point between the coldest and the hottest of them.
func TestTrialsOfTheRepository(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		path       []string
		verdict    safety.Verdict
		parasites  safety.Parasites
		vulnerable bool
	}{
		{[]string{"trials", "pollack", "pollack.yaml"}, safety.NotPasteurised, safety.ParasitesFrozen, false},
		{[]string{"trials", "trout", "trout.yaml"}, safety.NotPasteurised, safety.ParasitesFrozen, false},
		{[]string{"trials", "chicken", "chicken.yaml"}, safety.Pasteurised, safety.ParasitesNotAsked, false},
		{[]string{"trials", "carrot", "carrot.yaml"}, safety.NotAsked, safety.ParasitesNotAsked, true},
		{[]string{"testdata", "cake", "cake.yaml"}, safety.NoVerdict, safety.ParasitesNotAsked, false},
		{[]string{"testdata", "beef", "beef.yaml"}, safety.NoVerdict, safety.ParasitesNotAsked, false},
	} {
		tr := read(t, c.path...)
		r := safety.OfTrial(tr, heat.OfTrial(tr))
		for _, v := range append(r.Cooks, r.Overall) {
			if v.Verdict != c.verdict || v.Parasites < c.parasites || v.Vulnerable != c.vulnerable {
				t.Errorf("%s, cook %q at %v °C: %v, %v, %v (%v)", c.path[1], v.Cook, v.SetPoint, v.Verdict, v.Parasites, v.Vulnerable, v.Why)
			}
		}
		arms := tr.Arms()
		if len(arms) == 0 {
			continue
		}
		low, high := arms[0].SetPoint.Celsius(), arms[len(arms)-1].SetPoint.Celsius()
		for i := 0.0; i <= 20; i++ {
			celsius := low + (high-low)*i/20
			if v := safety.For(tr, celsius, nil); v.Verdict != c.verdict || v.SetPoint != celsius {
				t.Errorf("%s at %v °C: %v (%v)", c.path[1], celsius, v.Verdict, v.Why)
			}
		}
	}
}

// The chicken falls to "do not eat" where it is thicker or colder than it was.
func TestChickenHasLittleToSpare(t *testing.T) {
	t.Parallel()
	tr := read(t, "trials", "chicken", "chicken.yaml")
	if v := safety.For(tr, 59, nil); v.Verdict != safety.DoNotEat {
		t.Errorf("at 59 °C: %v", v.Verdict)
	}
	tr.Food.Thickness = trial.Some(quantity.Millimetres(45))
	if v := safety.For(tr, 60, nil); v.Verdict != safety.DoNotEat {
		t.Errorf("45 mm thick: %v", v.Verdict)
	}
}
