package cli

import (
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/fairness"
)

// Every name is in the list and explained, in both units, on a terminal of 80
// columns, and nothing is left to be filled in.
func TestExplainEverything(t *testing.T) {
	t.Parallel()
	names := fairness.Slugs()
	for _, topic := range answer.Topics() {
		names = append(names, topic.Slug)
	}
	code, list, errs := run(t.Context(), "explain")
	if code != ExitDone || errs != "" {
		t.Fatalf("code %d, %s", code, errs)
	}
	narrow(t, "the list", list)
	for _, name := range names {
		if !strings.Contains(list, "\n  "+name+" ") && !strings.Contains(list, "\n  "+name+"\n") {
			t.Errorf("%s is not in the list", name)
		}
		for _, units := range []string{"metric", "us"} {
			code, text, errs := run(t.Context(), "explain", name, "--units", units)
			if code != ExitDone || errs != "" || !strings.HasPrefix(text, name+"\n") {
				t.Errorf("%s: code %d, %s", name, code, errs)
			}
			narrow(t, name, text)
		}
		if code, text, errs := run(t.Context(), "explain", name, "--json"); code != ExitDone || errs != "" || !strings.Contains(text, explainSchema) {
			t.Errorf("%s as JSON: code %d, %s", name, code, errs)
		}
	}
}

// narrow complains of lines wider than a terminal and of trailing spaces.
func narrow(t *testing.T, what, text string) {
	t.Helper()
	for _, l := range strings.Split(text, "\n") {
		if cells(l) > 80 || strings.TrimRight(l, " ") != l {
			t.Errorf("%s: %d columns: %q", what, cells(l), l)
		}
	}
}
