package answer

import "testing"

func TestAimWords(t *testing.T) {
	t.Parallel()
	low, high := 5.0, 6.5
	if got := aimWords(Aim{Measure: "surface_protein", Low: &low, High: &high}); got != "surface protein 5 to 6.5" {
		t.Error(got)
	}
}
