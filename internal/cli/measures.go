package cli

import (
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// knownMeasures refuses a --measure that the trial does not have.
func knownMeasures(cmd *cobra.Command, t *trial.Trial, want []string) error {
	var names []string
	for _, m := range t.Measures {
		names = append(names, m.Name)
	}
	for _, w := range want {
		if strings.TrimSpace(w) == "" {
			return usagef(cmd, "--measure needs the name of a measure").hint("it has " + strings.Join(names, ", "))
		}
		if _, ok := t.MeasureNamed(w); ok {
			continue
		}
		e := usagef(cmd, "the trial has no measure %q", w)
		if best, ok := diag.Nearest(w, names); ok {
			return e.hint("did you mean " + best + "?")
		}
		return e.hint("it has " + strings.Join(names, ", "))
	}
	return nil
}
