package cli

import (
	"strings"
	"testing"

	"tamis/internal/diag"
)

// sizes are command lines whose text is kept.
var sizes = map[string][]string{
	"size-pollack":    {"trials/pollack/pollack.yaml"},
	"size-chicken":    {"trials/chicken/chicken.yaml"},
	"size-trout":      {"trials/trout/trout.yaml"},
	"size-wine":       {"testdata/wine/wine.yaml"},
	"size-flags":      {"--effect", "1", "--set-points", "3", "--cooks", "2", "--spread-cooks", "0.6"},
	"size-cheapest":   {"--effect", "1", "--set-points", "3", "--pieces", "2", "--assessors", "8", "--spread-cooks", "0.4", "--spread-pieces", "0.3", "--spread-scores", "1", "--price-cook", "12", "--price-piece", "3", "--price-assessor", "20"},
	"size-triangle":   {"--test", "triangle", "--answers", "24", "--pd", "30%"},
	"size-similarity": {"--test", "triangle", "--similarity", "--pd", "30%", "--answers", "36"},
}

func TestGoldenSize(t *testing.T) {
	t.Parallel()
	for name, args := range sizes {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			args := append([]string{"size"}, args...)
			if last := args[len(args)-1]; strings.HasSuffix(last, ".yaml") {
				args[len(args)-1] = root(t) + "/" + last
			}
			code, out, errs := run(t.Context(), args...)
			if code != ExitDone || errs != "" {
				t.Fatalf("code %d, %s", code, errs)
			}
			for i, line := range strings.Split(out, "\n") {
				if n := cells(line); n > columns {
					t.Errorf("line %d has %d columns: %s", i+1, n, line)
				}
				if strings.TrimRight(line, " ") != line {
					t.Errorf("line %d ends in a space", i+1)
				}
				if bad := notForPeople.FindString(line); bad != "" {
					t.Errorf("line %d says %q: %s", i+1, bad, line)
				}
			}
			if diag.Clean(out) == "" || strings.Contains(out, "\n\n\n") {
				t.Error("two blank lines in a row, or nothing at all")
			}
			golden(t, name+".txt", out)
		})
	}
}

// A chance below its goal is never printed as the goal.
func TestTowards(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		v, goal float64
		want    string
	}{
		{0.7985, 0.8, "79.8 %"}, {0.79996, 0.8, "79.996 %"}, {0.8, 0.8, "80 %"}, {0.804, 0.8, "80 %"}, {0.75, 0.8, "75 %"}, {0.999, 0.8, "> 99 %"},
		{0.001, 0.8, "< 1 %"}, {0, 0.8, "0 %"}, {1, 0.8, "100 %"},
	} {
		if got := towards(c.v, c.goal); got != c.want {
			t.Errorf("%v towards %v: %s, want %s", c.v, c.goal, got, c.want)
		}
	}
}
