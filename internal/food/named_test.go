package food

import (
	"slices"
	"testing"
)

func TestKindsNamed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		want []string
	}{
		{"", nil},
		{"cod", []string{"lean fish"}},
		{"Cod loin", []string{"lean fish"}},
		{"chicken-breast", []string{"poultry"}},
		{"Mussels", []string{"bivalve"}},
		{"cherries", []string{"fruit"}},
		{"potatoes", []string{"vegetable"}},
		{"anchovies", []string{"oily fish"}},
		{"wild fish", []string{"lean fish", "oily fish"}},
		{"venison steak", nil}, // two kinds: nobody guesses
		{"beef with mushrooms", nil},
		{"tofu", nil},
		{"s", nil}, {"es", nil}, {" , - ", nil},
	} {
		if got := KindsNamed(c.name); !slices.Equal(got, c.want) {
			t.Errorf("KindsNamed(%q) = %q, want %q", c.name, got, c.want)
		}
	}
}

// Every name belongs to one kind that exists, and stands in the singular that
// the search looks for.
func TestNamesAreOfOneKind(t *testing.T) {
	t.Parallel()
	seen := map[string]string{}
	for kind, names := range named {
		if _, ok := Lookup(kind); !ok {
			t.Errorf("%q is no kind", kind)
		}
		for _, n := range names {
			if other, twice := seen[n]; twice {
				t.Errorf("%q is both %s and %s", n, other, kind)
			}
			seen[n] = kind
			for _, form := range []string{n, n + "s"} {
				if got := KindsNamed(form); !slices.Equal(got, []string{kind}) {
					t.Errorf("KindsNamed(%q) = %q, want %s", form, got, kind)
				}
			}
		}
	}
}
