package trial

import (
	"slices"
	"testing"
)

func TestInOrder(t *testing.T) {
	t.Parallel()
	got := inOrder([]string{"B10", NotStated, "wet-brined", "B2", "plain", "B2", "B02"})
	if want := []string{"plain", "B02", "B2", "B10", "wet-brined", NotStated}; !slices.Equal(got, want) {
		t.Errorf("order %q, want %q", got, want)
	}
	names := []string{"", "a", "a1", "a01", "a10", "a2b", "a2", "é", "10", "9"}
	for _, a := range names {
		for _, b := range names {
			if x, y := naturally(a, b), naturally(b, a); (x < 0) != (y > 0) || (x == 0) != (a == b) {
				t.Errorf("%q against %q: %d, %d", a, b, x, y)
			}
		}
	}
}
