package faults

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"tamis/internal/fairness"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

var (
	long   = flag.Bool("faults", false, "draw many trials, and hold the table against them")
	update = flag.Bool("update", false, "with -faults: write the table")
	only   = flag.String("only", "", "plant the fault of this check alone")
	show   = flag.Bool("show", false, "print what fair trials are accused of, and which strong faults pass")
)

// readTrial writes a trial into a folder and reads it back, as a cook would have it read.
func readTrial(t testing.TB, drawn *Trial) *trial.Trial {
	t.Helper()
	dir, err := os.MkdirTemp("", "faults")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = os.RemoveAll(dir) }()
	for name, text := range drawn.Files() {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	tr, messages, err := trialfile.Read(filepath.Join(dir, "trial.yaml"), trialfile.Vocabulary{})
	if err != nil || tr == nil {
		t.Fatalf("%v %v\n%s", err, messages[:min(3, len(messages))], drawn.Files()["trial.yaml"])
	}
	return tr
}

// run asks all checks; only where the scores matter are they analysed.
func run(t testing.TB, drawn *Trial, scored bool) *fairness.Result {
	t.Helper()
	tr := readTrial(t, drawn)
	in := fairness.Inputs{Trial: tr, Heat: heat.OfTrial(tr)}
	in.Safety = safety.OfTrial(tr, in.Heat)
	if scored {
		in.Fit = texture.Analyse(tr, texture.Options{Draws: 20, Measures: []string{tr.Measures[0].Name}})
	}
	r, err := fairness.Run(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// accusations are the slugs of what is said above a note of the design.
func accusations(r *fairness.Result) []string {
	var out []string
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Outcome == fairness.Fires && f.Severity > fairness.Note && !f.Describes && !slices.Contains(out, f.Slug) {
			out = append(out, f.Slug)
		}
	}
	return out
}

func found(r *fairness.Result, slug string) bool {
	return slices.ContainsFunc(r.Findings, func(f fairness.Finding) bool { return f.Slug == slug && f.Outcome == fairness.Fires })
}

// each does something for n seeds on all processors. A worker that a failed test
// ends takes no more of them.
func each(n int, do func(i int)) {
	var wg sync.WaitGroup
	var next atomic.Int64
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := next.Add(1) - 1; i < int64(n); i = next.Add(1) - 1 {
				do(int(i))
			}
		})
	}
	wg.Wait()
}

// rates is how often a fault of each strength is found, of n trials each, and of
// how many fair trials its check accuses.
type rates struct {
	slug  string
	by    string // how it is planted, where there are several ways
	found [3]int
	n     [3]int
	false int
}

func countFaults(t testing.TB, n [3]int, fair int) ([]rates, int) {
	out := make([]rates, len(Faults))
	each(len(Faults)*3, func(i int) {
		f, s := &Faults[i/3], Strength(i%3)
		if *only != "" && f.Slug != *only {
			return
		}
		for seed := range n[s] {
			at := f.Seed(s) + uint64(seed)
			r := run(t, Draw(at, f, s), f.Scored)
			if found(r, f.Slug) {
				out[i/3].found[s]++
				continue
			}
			for i := range r.Findings {
				if x := &r.Findings[i]; *show && s == Strong && x.Slug == f.Slug {
					t.Logf("%s %s passes, seed %d: %s %s %v", f.Slug, f.By, at, x.Outcome, x.Text.Text(quantity.Metric), x.Missing)
				}
			}
		}
		out[i/3].slug, out[i/3].by = f.Slug, f.By
		out[i/3].n[s] = n[s]
	})
	var mu sync.Mutex
	accused := 0
	each(fair, func(i int) {
		said := accusations(run(t, Draw(uint64(1_000_000+i), nil, 0), true))
		mu.Lock()
		defer mu.Unlock()
		if len(said) > 0 {
			accused++
			if *show {
				t.Logf("fair %d: %v", 1_000_000+i, said)
			}
		}
		for _, slug := range said {
			for j := range out {
				if out[j].slug == slug {
					out[j].false++
				}
			}
		}
	})
	return out, accused
}

// TestFaults is the short version: a few trials of each.
func TestFaults(t *testing.T) {
	t.Parallel()
	if *long {
		t.Skip("the long version runs")
	}
	for _, c := range fairness.Catalogue() {
		planted := slices.ContainsFunc(Faults, func(f Fault) bool { return f.Slug == c.Slug })
		if !planted {
			t.Errorf("no fault of %s can be planted", c.Slug)
		}
	}
	got, accused := countFaults(t, [3]int{0, 0, 2}, 40)
	for _, r := range got {
		if r.found[Strong] < 1 {
			t.Errorf("%s %s: %d of %d strong faults are found", r.slug, r.by, r.found[Strong], r.n[Strong])
		}
	}
	if accused > 6 { // 5 % of 40 is 2; more than 6 has a chance below 1 %
		t.Errorf("%d of 40 fair trials are accused", accused)
	}
}

// TestFaultsTable is the long version: go test -run TestFaultsTable -args -faults.
func TestFaultsTable(t *testing.T) {
	t.Parallel()
	if !*long {
		t.Skip("long: -args -faults")
	}
	fair := 400
	if *only != "" {
		fair = 0
	}
	got, accused := countFaults(t, [3]int{15, 15, 40}, fair)
	table := tableOf(got, fair, accused)
	for _, r := range got {
		if 100*r.found[Strong] < 95*r.n[Strong] {
			t.Errorf("%s %s: %d of %d strong faults are found", r.slug, r.by, r.found[Strong], r.n[Strong])
		}
	}
	if fair > 0 && 100*accused > 5*fair {
		t.Errorf("%d of %d fair trials are accused of more than a note", accused, fair)
	}
	const path = "testdata/faults.md"
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(table), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if string(have) != table {
		t.Errorf("%s is another; if it is meant so: make faults UPDATE=1", path)
	}
	fmt.Print(table)
}

func tableOf(got []rates, fair, accused int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# How often planted faults are found\n\nDrawn from fixed seeds by `make faults`: %d, %d and %d trials with a weak, a medium and a strong fault of each\n"+
		"kind, and %d fair trials. Found is: the check fires, at any severity, alone or as part of a root cause. Accused\nis: the check says more than a note of a fair trial. "+
		"Checks that describe a result accuse nobody.\n\n", got[0].n[0], got[0].n[1], got[0].n[2], fair)
	fmt.Fprintf(&b, "Fair trials accused of more than a note by any check: %d of %d (%.1f %%).\n\n", accused, fair, 100*float64(accused)/float64(max(1, fair)))
	b.WriteString("| check | weak | medium | strong | fair trials accused |\n| --- | ---: | ---: | ---: | ---: |\n")
	for _, r := range got {
		name := r.slug
		if r.by != "" {
			name += ", " + r.by
		}
		fmt.Fprintf(&b, "| %s |", name)
		for s := range r.n {
			fmt.Fprintf(&b, " %.0f %% |", 100*float64(r.found[s])/float64(max(1, r.n[s])))
		}
		fmt.Fprintf(&b, " %.1f %% |\n", 100*float64(r.false)/float64(max(1, fair)))
	}
	return b.String()
}
