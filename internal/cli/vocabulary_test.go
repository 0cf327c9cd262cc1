package cli

import (
	"testing"

	"tamis/internal/fairness"
	"tamis/internal/trialfile"
)

// Every threshold of the checks can be typed in a file and on the command line,
// and its default reads.
func TestThresholdsCanBeTyped(t *testing.T) {
	t.Parallel()
	for _, o := range fairness.Options() {
		if like, ok := trialfile.ThresholdReads(o.Name, o.Default); !ok {
			t.Errorf("%s = %s cannot be typed; like %q", o.Name, o.Default, like)
		}
	}
	if v := vocabulary(); len(v.Findings) != len(fairness.Catalogue()) || len(v.Thresholds) != len(fairness.Options()) {
		t.Errorf("%d findings, %d thresholds", len(v.Findings), len(v.Thresholds))
	}
}
