package cli

import (
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/texture"
)

// What has no answer is said once, however many levels of a factor lack it.
func TestEachCannotOnce(t *testing.T) {
	t.Parallel()
	m := &texture.Measure{Name: "firmness", Cannot: []texture.Cannot{
		{What: "treatment:time", Why: "time cannot be told from what it was cooked with"},
		{What: "treatment:time", Why: "time cannot be told from what it was cooked with"},
		{What: "test:time", Why: "said with the tests"},
		{What: "sensitivity", Why: "the units were not repeated"},
		{What: "curve", Why: "too few cooks", Need: "cook more"},
	}}
	for all, want := range map[bool]string{
		false: "Treatment × time: time cannot be told from what it was cooked with. Curve: too few cooks; cook more.",
		true: "Treatment × time: time cannot be told from what it was cooked with. Sensitivity: the units were not repeated." +
			" Curve: too few cooks; cook more.",
	} {
		f := &fitText{r: &answer.Result{}, all: all}
		f.cannots(m)
		if got := strings.Join(strings.Fields(strings.Join(f.out, " ")), " "); got != want {
			t.Errorf("all %v: %s", all, got)
		}
	}
}
