package cli

import (
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/fairness"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// What plan lays out passes the checks that can be had before the cook: where
// the resources suffice nothing is tied to the set point, follows it or is
// uneven.
func TestPlansPassTheChecks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		points, each, sessions, pieces, sitting int
		people                                  int
	}{{5, 2, 2, 4, 6, 12}, {3, 3, 3, 4, 6, 8}, {4, 3, 3, 2, 8, 6}, {2, 4, 2, 4, 6, 12}, {6, 3, 3, 2, 6, 12}, {5, 4, 2, 2, 6, 10}, {3, 4, 4, 2, 6, 6}} {
		for seed := uint64(1); seed <= 3; seed++ {
			tr, messages, err := trialfile.Read(filepath.Join(root(t), "trials/cod/cod.yaml"), vocabulary())
			if err != nil || messages.HasErrors() {
				t.Fatal(messages, err)
			}
			d := tr.Design.V
			d.SetPoints, d.Assessors, d.Fixed = append(d.SetPoints, d.SetPoints[4].Plus(d.SetPoints[1].Minus(d.SetPoints[0])))[:c.points], d.Assessors[:c.people], nil
			d.CooksEach, d.Sessions = trial.Some(c.each), trial.Some(c.sessions)
			d.PiecesPerCook, d.SamplesPerSitting = trial.Some(c.pieces), trial.Some(c.sitting)
			tr.Design, tr.Sessions = trial.Some(d), nil
			p, err := design.Of(tr, design.Options{Seed: seed})
			if err != nil {
				t.Fatalf("%+v: %v", c, err)
			}
			for _, f := range answer.Summarise(p.Trial, nil).Findings {
				if f.Outcome != fairness.Fires || f.Slug == "size-differs" && f.Severity == fairness.Note {
					continue // thin and thick pieces are there; between set points they are even
				}
				for _, bad := range []string{"tied", "follows", "order-uneven", "size-differs", "carry-over", "not-all-tasted"} {
					if strings.Contains(f.Slug, bad) {
						t.Errorf("%+v, seed %d: %s fires, %v", c, seed, f.Slug, f.Where)
					}
				}
			}
		}
	}
}
