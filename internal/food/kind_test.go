package food

import (
	"slices"
	"testing"
)

func TestKindsAreDistinctAndFound(t *testing.T) {
	t.Parallel()
	names := Kinds()
	if len(names) != 13 {
		t.Errorf("%d kinds, want the 13 of the trial file", len(names))
	}
	seen := map[string]bool{}
	for _, n := range names {
		if seen[n] {
			t.Errorf("%q is listed twice", n)
		}
		seen[n] = true
		k, ok := Lookup(n)
		if !ok || k.Name != n {
			t.Errorf("Lookup(%q) = %+v, %v", n, k, ok)
		}
		if !(k.Diffusivity > 1e-7 && k.Diffusivity < 2e-7 && k.Conductivity > 0.3 && k.Conductivity < 0.7) || k.Source == "" {
			t.Errorf("%q has properties outside those of moist food, or no source: %+v", n, k)
		}
	}
	for _, n := range []string{"", "fish", "Lean fish", "lean fish "} {
		if _, ok := Lookup(n); ok {
			t.Errorf("Lookup(%q) found a kind", n)
		}
	}
}

// The list is a copy: a caller that changes it changes nothing here.
func TestKindsIsACopy(t *testing.T) {
	t.Parallel()
	got := Kinds()
	want := slices.Clone(got)
	got[0] = "changed"
	if !slices.Equal(Kinds(), want) {
		t.Error("changing the list changed the table")
	}
}

// Kinds that may be served not pasteurised are exactly the whole muscle of
// fish, beef, pork and lamb, and shell eggs.
func TestWhoMayBeServedNotPasteurised(t *testing.T) {
	t.Parallel()
	want := []string{"lean fish", "oily fish", "beef pork lamb", "shell egg"}
	var got []string
	for _, n := range Kinds() {
		k, _ := Lookup(n)
		if k.WholeUnpasteurised {
			got = append(got, n)
		}
		if (k.Rule == PlantRule || k.Rule == PulseRule) == k.Verdict {
			t.Errorf("%q: rule %q and a pathogen verdict %v contradict", n, k.Rule, k.Verdict)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("served not pasteurised: %q, want %q", got, want)
	}
}
