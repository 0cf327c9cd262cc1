package cli

import (
	"fmt"

	"github.com/spf13/cobra"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// describeDesign writes what is to be compared as a design, which plan turns into
// cooks.
func (n *newTrial) describeDesign(cmd *cobra.Command, t *trial.Trial) error {
	d, err := quantity.ParseDuration(n.time)
	if err != nil {
		return usagef(cmd, "--time: %s", err)
	}
	points, err := n.points(cmd)
	if err != nil {
		return err
	}
	sessions, err := n.sessionCount(cmd)
	if err != nil {
		return err
	}
	design := trial.Design{SetPoints: points, Times: []quantity.Duration{d}, CooksEach: trial.Some(n.cooksEach), Sessions: trial.Some(sessions),
		Baths: n.baths, Assessors: tasters(n.assessors)}
	if n.pieces > 0 {
		design.PiecesPerCook = trial.Some(n.pieces)
	}
	t.Design = trial.Some(design)
	for _, b := range n.baths {
		t.Baths = append(t.Baths, trial.Bath{ID: b})
	}
	return nil
}

// sessionCount is how many sessions the cooks are spread over.
func (n *newTrial) sessionCount(cmd *cobra.Command) (int, error) {
	if n.sessions == 0 {
		return n.cooksEach, nil
	}
	if n.sessions > n.cooksEach {
		return 0, usagef(cmd, "--sessions %d: at most one a repeat, and --cooks-each is %d", n.sessions, n.cooksEach)
	}
	return n.sessions, nil
}

// tasters are names to be replaced by those of people.
func tasters(n int) []string {
	var out []string
	for i := 1; i <= n; i++ {
		out = append(out, fmt.Sprintf("taster-%d", i))
	}
	return out
}
