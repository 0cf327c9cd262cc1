package cli

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// layOut makes the cooks: each repeat has every set point once, repeats are
// spread over the sessions.
func (n *newTrial) layOut(cmd *cobra.Command, t *trial.Trial) error {
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
	order := make([]int, sessions)
	for r := 0; r < n.cooksEach; r++ {
		s := r % sessions
		for _, k := range runOrder(len(points), r) {
			order[s]++
			c := trial.Cook{ID: fmt.Sprintf("C%02d", len(t.Cooks)+1), SetPoint: trial.Some(points[k]), Time: trial.Some(d),
				Session: trial.Some(fmt.Sprintf("session-%d", s+1)), Order: trial.Some(order[s])}
			for j := 0; j < n.pieces; j++ {
				c.Pieces = append(c.Pieces, trial.Piece{ID: fmt.Sprintf("%s-%d", c.ID, j+1)})
			}
			t.Cooks = append(t.Cooks, c)
		}
	}
	if n.assessors > 0 {
		var p trial.Panel
		for _, id := range tasters(n.assessors) {
			p.Assessors = append(p.Assessors, trial.Assessor{ID: id, Kind: trial.Some(trial.Staff)})
		}
		t.Panel = trial.Some(p)
	}
	for _, b := range n.baths {
		t.Baths = append(t.Baths, trial.Bath{ID: b})
	}
	for s := 0; s < sessions; s++ {
		t.Sessions = append(t.Sessions, trial.Session{ID: fmt.Sprintf("session-%d", s+1)})
	}
	return nil
}

func (n *newTrial) points(cmd *cobra.Command) ([]quantity.Temperature, error) {
	var points []quantity.Temperature
	for _, s := range n.setPoints {
		if strings.TrimSpace(s) == "" && len(n.setPoints) > 1 {
			return nil, usagef(cmd, "--set-points: nothing stands between two commas, or beside one").hint(`for example: --set-points "48 °C,52 °C"`)
		}
		p, err := quantity.ParseTemperature(strings.TrimSpace(s))
		if err != nil {
			return nil, usagef(cmd, "--set-points: %s", err)
		}
		for _, have := range points {
			if math.Abs(have.Celsius()-p.Celsius()) <= trial.ArmTolerance {
				return nil, usagef(cmd, "--set-points: %s and %s are the same", have, p).hint("--cooks-each says how often each is cooked")
			}
		}
		points = append(points, p)
	}
	switch {
	case len(points) == 0:
		return nil, usagef(cmd, "--set-points needs one set point or more").hint(`for example: --set-points "48 °C,52 °C"`)
	case len(points) > 40:
		return nil, usagef(cmd, "--set-points: at most 40")
	}
	return points, nil
}

// runOrder is the order in which a repeat cooks n set points: from both ends
// inwards, so that the order does not follow the set point, and every second
// repeat backwards, so that over two repeats nothing came earlier on average.
// Further pairs of repeats start one set point later. It is no lot.
func runOrder(n, repeat int) []int {
	out := make([]int, n)
	for i := range out {
		k := i / 2
		if i%2 == 1 {
			k = n - 1 - i/2
		}
		at := i
		if repeat%2 == 1 {
			at = n - 1 - i
		}
		out[at] = (k + repeat/2) % n
	}
	return out
}
