package cli

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"tamis/internal/answer"
	"tamis/internal/quantity"
)

// An answer under a finding that blocks it says so in its first words, and what
// would hold in the next cook is said under a condition: over every trial of the
// checks.
func TestBlockedAnswersAreConditional(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../testdata/fairness/*.yaml")
	if err != nil || len(files) < 50 {
		t.Fatal(len(files), err)
	}
	conditional := 0
	for i, f := range files {
		if testing.Short() && i%3 != 0 {
			continue
		}
		code, out, errs := run(t.Context(), "fit", "--json", "--draws", "100", f)
		if code != ExitDone {
			t.Errorf("%s: code %d, %s", f, code, errs)
			continue
		}
		var r struct {
			Text struct {
				Answer, Blocked answer.Sentence
				Doubt           []answer.Sentence
			}
			Findings []struct {
				Outcome, Severity, About, Factor, Under string
			} `json:"findings"`
		}
		if err := json.Unmarshal([]byte(out), &r); err != nil {
			t.Fatal(f, err)
		}
		blocks := false
		for _, x := range r.Findings {
			blocks = blocks || x.Outcome == "fires" && x.Severity == "blocks" && x.About == "set point" && x.Factor == "" && x.Under == ""
		}
		said, blocked, doubt := r.Text.Answer.Text(quantity.Metric), r.Text.Blocked.Text(quantity.Metric), ""
		if len(r.Text.Doubt) > 0 {
			doubt = r.Text.Doubt[0].Text(quantity.Metric)
		}
		switch named := strings.Contains(said, "°C"); {
		case blocks && blocked == "":
			t.Errorf("%s: a block, and the answer does not know it: %s", f, said)
		case blocked != "" && named && !strings.HasPrefix(said, "For now") && !strings.Contains(said, "came closest"):
			t.Errorf("%s: sure under %q: %s", f, blocked, said)
		case blocked != "" && strings.Contains(doubt, "in the next cook from"):
			conditional++
			if !strings.HasPrefix(doubt, "If ") {
				t.Errorf("%s: %s", f, doubt)
			}
		case blocked == "" && (strings.HasPrefix(said, "For now") || strings.HasPrefix(doubt, "If ")):
			t.Errorf("%s: hedged for nothing: %s %s", f, said, doubt)
		}
	}
	if conditional < 3 {
		t.Errorf("only %d answers were under a condition", conditional)
	}
}
