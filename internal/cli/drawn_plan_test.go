package cli

import (
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/fairness"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

var plansDrawn = flag.Int("plans", 0, "how many designs are drawn and laid out; a few dozen if 0")

// Designs drawn by lot, typed as files and laid out by the program. Whatever is laid
// out keeps what the design asks for, is even as far as its resources go, and has no
// finding that other cooks, pieces or orders would have spared it; the same seed gives
// the same bytes. What is refused says why, and leaves the file alone. Everything is
// measured from the files that were written.
func TestDrawnDesigns(t *testing.T) {
	t.Parallel()
	n := 80
	if testing.Short() {
		n = 24
	}
	if *plansDrawn > 0 {
		n = *plansDrawn
	}
	counts := map[string]int{}
	for i := range n {
		d := drawDesign(rand.New(rand.NewPCG(uint64(i), 77)))
		t.Run(strconv.Itoa(i), func(t *testing.T) {
			dir := t.TempDir()
			tr, errs := d.laidOut(t, dir, "plan.yaml")
			if tr == nil {
				counts["refused: "+d.refusedSoundly(t, dir, errs)]++
			} else {
				counts["laid out"]++
				if d.triangles > 0 {
					counts["with triangles"]++
				}
				d.holds(t, tr)
				d.even(t, tr, counts)
				d.accused(t, tr, counts)
				if i%6 == 0 {
					d.sameAgain(t, dir)
				}
			}
			if t.Failed() {
				t.Logf("%s\n%s", d.short(), d.text())
			}
		})
	}
	if counts["laid out"] < n/3 || counts["laid out"] == n {
		t.Errorf("%v: this says too little", counts)
	}
	var keys []string
	for k := range counts {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		t.Logf("%5d %s", counts[k], k)
	}
}

// laidOut types the design, lays it out and reads what was written; nil where it was
// refused, with what was said.
func (d *drawnDesign) laidOut(t *testing.T, dir, name string) (*trial.Trial, string) {
	t.Helper()
	file := filepath.Join(dir, name)
	if err := os.WriteFile(file, []byte(d.text()), 0o600); err != nil {
		t.Fatal(err)
	}
	_, _, errs := run(t.Context(), "plan", "--seed", "7", file)
	if after, err := os.ReadFile(file); err != nil || string(after) == d.text() {
		return nil, errs
	}
	tr, messages, err := trialfile.Read(file, vocabulary())
	if err != nil || messages.HasErrors() {
		t.Fatal(messages, err)
	}
	return tr, errs
}

// refusedSoundly holds that a refusal gives its reason, that the reason is one, and
// that nothing was written. It returns the reason.
func (d *drawnDesign) refusedSoundly(t *testing.T, dir, errs string) string {
	t.Helper()
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("a refusal wrote %v", left)
	}
	errs = readable(errs)
	_, said, ok := strings.Cut(errs, "error: ")
	reason, why, two := strings.Cut(said, ": ")
	if !ok || !two || len(why) < 20 || !strings.Contains(errs, "nothing was written") {
		t.Errorf("refused with %q", errs)
		return ""
	}
	combos := len(d.points) * d.times * max(1, d.recipes)
	runs := combos * max(1, d.each)
	switch {
	case strings.Contains(reason, "too few pieces"):
		ok = runs*max(1, d.perCook) > len(d.stock)
	case strings.Contains(reason, "more runs than"):
		fills := max(1, int(720/float64(d.longest()+20))) * d.baths * d.sessions
		ok = runs > fills
	case strings.Contains(reason, "what is fixed"):
		ok = len(d.fixed) > 0
	case strings.Contains(reason, "must not be eaten"):
		ok = d.doNotEat && (d.people > 0 || d.tasted)
	case strings.Contains(reason, "contradicts itself"):
		ok = d.sessions > runs || d.triangles > 0 || d.each == 0 && d.sessions > combos
	default:
		ok = false
	}
	if !ok {
		t.Errorf("refused for no good reason: %s", errs)
	}
	return reason
}

func (d *drawnDesign) longest() int { return d.minutes + 30*(d.times-1) }

// sameAgain lays the design out a second time, in a folder of its own, and compares
// every byte.
func (d *drawnDesign) sameAgain(t *testing.T, dir string) {
	t.Helper()
	other := t.TempDir()
	d.laidOut(t, other, "plan.yaml")
	names, err := os.ReadDir(dir)
	if err != nil || len(names) < 1 {
		t.Fatal(names, err)
	}
	for _, f := range names {
		a, err := os.ReadFile(filepath.Join(dir, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if b, err := os.ReadFile(filepath.Join(other, f.Name())); err != nil || string(a) != string(b) {
			t.Errorf("the same seed gives another %s (%v)", f.Name(), err)
		}
	}
}

// accused holds that the checks accuse the plan of nothing that is tied, follows,
// differs or is uneven, unless the resources leave no other plan.
func (d *drawnDesign) accused(t *testing.T, tr *trial.Trial, counts map[string]int) {
	t.Helper()
	r := resourcesOf(d, tr)
	for _, f := range answer.Summarise(tr, nil).Findings {
		if f.Outcome != fairness.Fires || f.Severity == fairness.Note {
			continue
		}
		if why := r.excuse(&f); why != "" {
			counts["excused "+f.Slug+": "+why]++
			continue
		}
		counts["accused of "+f.Slug]++
		v, _ := f.Value.Get()
		t.Errorf("%s %s, %s %s %g: %+v", f.Slug, f.Severity, f.Factor, f.Statistic, v, r)
	}
}
