package cli

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/trialfile"
)

// golden compares with a file of testdata/golden, or writes it with -update.
// Bytes are promised for one kind of processor only.
func golden(t *testing.T, name, got string) {
	t.Helper()
	if runtime.GOARCH != "amd64" {
		t.Skip("golden files are of amd64")
	}
	path := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("%s differs (if it is meant so: go test ./internal/cli -run Golden -update):\n%s", name, d)
	}
}

func TestGoldenFit(t *testing.T) {
	t.Parallel()
	for _, file := range trialFiles {
		t.Run(nameOf(file), func(t *testing.T) {
			t.Parallel()
			_, r := analyse(t, file)
			golden(t, nameOf(file)+".txt", renderFit(r, quantity.Metric, false, false))
			golden(t, nameOf(file)+"-us.txt", renderFit(r, quantity.US, false, false))
			golden(t, nameOf(file)+"-method.txt", renderMethod(r, quantity.Metric))
		})
	}
}

func TestGoldenCheck(t *testing.T) {
	t.Parallel()
	for _, file := range trialFiles {
		t.Run(nameOf(file), func(t *testing.T) {
			t.Parallel()
			tr, _ := analyse(t, file)
			s := answer.Summarise(tr, nil)
			golden(t, nameOf(file)+"-check.txt", renderSummary(checked{File: file, Sound: true, Summary: &s}, quantity.Metric, false))
		})
	}
}

// Words of Go and of broken numbers that no person should see.
var notForPeople = regexp.MustCompile(`NaN|\bInf\b|\+Inf|%!|<nil>|absent|map\[|0x[0-9a-f]{6}|\btrue\b|\bfalse\b`)

func TestTextFitsTheTerminal(t *testing.T) {
	t.Parallel()
	for _, file := range trialFiles {
		tr, r := analyse(t, file)
		s := answer.Summarise(tr, nil)
		for _, sys := range []quantity.System{quantity.Metric, quantity.US} {
			for what, text := range map[string]string{
				"fit":    renderFit(r, sys, false, false),
				"all":    renderFit(r, sys, true, false),
				"method": renderMethod(r, sys),
				"check":  renderSummary(checked{File: file, Sound: true, Summary: &s}, sys, false),
				"checks": renderSummary(checked{File: file, Sound: true, Summary: &s}, sys, true),
			} {
				for i, line := range strings.Split(text, "\n") {
					if n := cells(line); n > columns {
						t.Errorf("%s %s %s, line %d has %d columns: %s", file, what, sys, i+1, n, line)
					}
					if strings.TrimRight(line, " ") != line {
						t.Errorf("%s %s %s, line %d ends in a space", file, what, sys, i+1)
					}
					if bad := notForPeople.FindString(line); bad != "" {
						t.Errorf("%s %s %s, line %d says %q: %s", file, what, sys, i+1, bad, line)
					}
				}
				if strings.Contains(text, "\n\n\n") {
					t.Errorf("%s %s %s has two blank lines in a row", file, what, sys)
				}
			}
			if sys == quantity.US && strings.Contains(renderFit(r, sys, true, false), "°C") && !titleHasCelsius(r) {
				t.Errorf("%s: °C among °F", file)
			}
		}
	}
}

// titleHasCelsius: the author's own words keep their unit.
func titleHasCelsius(r *answer.Result) bool {
	return strings.Contains(r.Trial.Title, "°C") || strings.Contains(r.Trial.Disclosure, "°C")
}

func TestDefaultTextIsShort(t *testing.T) {
	t.Parallel()
	_, r := analyse(t, "trials/pollack/pollack.yaml")
	short, all := renderFit(r, quantity.Metric, false, false), renderFit(r, quantity.Metric, true, false)
	// Two measures have an aim, three do not.
	if n, of := strings.Count(short, "\n"), strings.Count(all, "\n"); n > 130 || n > of/3 {
		t.Errorf("the default text has %d lines of %d", n, of)
	}
	if strings.Contains(short, "Liking, 1 to 9") || !strings.Contains(all, "Liking, 1 to 9") {
		t.Error("measures without an aim belong to --all only")
	}
	if !strings.Contains(short, "--measure liking") {
		t.Error("the text does not say how to see the other measures")
	}
}

// The demo trials name a schema for editors; it is the one that the program
// prints.
func TestTrialSchemaIsCurrent(t *testing.T) {
	t.Parallel()
	have, err := os.ReadFile(filepath.Join(root(t), "trials", "trial.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	want, err := trialfile.Schema()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(bytes.TrimSpace(have), bytes.TrimSpace(want)) {
		t.Error("trials/trial.schema.json is not what make reports writes now")
	}
}

func TestReportsAreCurrent(t *testing.T) {
	t.Parallel()
	if runtime.GOARCH != "amd64" {
		t.Skip("the reports are of amd64")
	}
	for _, file := range trialFiles[:4] {
		_, r := analyse(t, file)
		page, err := report.Kitchen(r, report.Options{Units: quantity.Metric})
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(root(t), "reports", nameOf(file)+"-kitchen.html")
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(page, want) {
			t.Errorf("%s is not what make reports writes now", path)
		}
	}
}
