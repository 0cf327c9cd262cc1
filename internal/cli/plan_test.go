package cli

import (
	"errors"
	"math/rand/v2"
	"path/filepath"
	"slices"
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
			tr, messages, err := trialfile.Read(filepath.Join(root(t), "trials/pollack/next.yaml"), vocabulary())
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

// Whatever is drawn for a kitchen with enough of everything: each set point comes
// once or twice into every session and gets four pieces or more, one of each part
// of a fish. Then nothing may be tied to the set point or follow it, however many
// baths, brines, tasters and left-over pieces there are. Parts can be alike only
// where there is one of each for every set point.
func TestDrawnPlansPassTheChecks(t *testing.T) {
	t.Parallel()
	read, messages, err := trialfile.Read(filepath.Join(root(t), "trials/pollack/next.yaml"), vocabulary())
	if err != nil || messages.HasErrors() {
		t.Fatal(messages, err)
	}
	rng := rand.New(rand.NewPCG(29, 2))
	n, made := 40, 0
	if testing.Short() {
		n = 14
	}
	for i := range n {
		tr := *read
		d := read.Design.V
		step := d.SetPoints[1].Minus(d.SetPoints[0])
		points := slices.Clone(d.SetPoints)
		for len(points) < 8 {
			points = append(points, points[len(points)-1].Plus(step))
		}
		d.SetPoints = points[:2+rng.IntN(7)]
		sessions := 1 + rng.IntN(4)
		each := sessions * (1 + rng.IntN(2))
		if each < 2 { // cooked once, a set point is tied to all that happens once
			each = 2
		}
		d.Sessions, d.CooksEach = trial.Some(sessions), trial.Some(each)
		d.Baths = []string{"north", "south", "east"}[:1+rng.IntN(3)]
		d.Brine = [][]trial.Brine{nil, d.Brine[:1], d.Brine}[rng.IntN(3)]
		pieces := max(1, len(d.Brine)) * (1 + rng.IntN(2))
		for pieces*each < 4 { // a piece of each part for every set point
			pieces += max(1, len(d.Brine))
		}
		d.PiecesPerCook = trial.Some(pieces)
		d.Assessors = d.Assessors[:1+rng.IntN(len(d.Assessors))]
		d.SamplesPerSitting = trial.Opt[int]{}
		if rng.IntN(2) == 0 {
			d.SamplesPerSitting = trial.Some(2 + rng.IntN(7))
		}
		sources := slices.Clone(d.Sources)
		tails := 0
		for k := range sources { // fish of unequal numbers of pieces
			sources[k].Pieces = sources[k].Pieces[:4-rng.IntN(2)]
			tails += len(sources[k].Pieces) - 3
		}
		d.Sources, d.Fixed = sources, nil
		if rng.IntN(3) == 0 {
			d.Fixed = []trial.Fixed{{Source: trial.Some("fish-3"), Part: trial.Some("head"), SetPoint: trial.Some(d.SetPoints[0])}}
		}
		tr.Design, tr.Sessions = trial.Some(d), nil
		p, err := design.Of(&tr, design.Options{Seed: rng.Uint64()})
		if err != nil {
			var r *design.Refusal
			if !errors.As(err, &r) {
				t.Fatalf("draw %d: %v", i, err)
			}
			continue
		}
		made++
		for _, f := range answer.Summarise(p.Trial, nil).Findings {
			if strings.HasPrefix(f.Slug, "part-tied") && tails < len(d.SetPoints) {
				continue // some set points have to do without a tail
			}
			if f.Outcome == fairness.Fires && (strings.Contains(f.Slug, "tied") || strings.Contains(f.Slug, "follows")) {
				t.Errorf("draw %d: %d set points, %d each, %d sessions, baths %v, %d brines, %d pieces, %d people: %s fires, %v",
					i, len(d.SetPoints), each, sessions, d.Baths, len(d.Brine), d.PiecesPerCook.V, len(d.Assessors), f.Slug, f.Where)
			}
		}
	}
	if made < n/4 {
		t.Errorf("%d of %d laid out: this says too little", made, n)
	}
}
