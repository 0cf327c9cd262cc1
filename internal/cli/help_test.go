package cli

import (
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// verbs are the commands that a person can call.
func verbs() []*cobra.Command {
	a := &app{Streams: Streams{Env: func(string) string { return "" }}}
	r := a.root()
	out := []*cobra.Command{r}
	for _, c := range r.Commands() {
		if c.IsAvailableCommand() {
			out = append(out, c)
		}
	}
	return out
}

func TestHelpFitsTheTerminal(t *testing.T) {
	t.Parallel()
	for _, c := range verbs() {
		args := append(strings.Fields(c.CommandPath())[1:], "--help")
		code, out, errs := run(t.Context(), args...)
		if code != ExitDone || errs != "" {
			t.Errorf("%s: code %d, %s", c.CommandPath(), code, errs)
		}
		for _, line := range strings.Split(out, "\n") {
			if cells(line) > columns {
				t.Errorf("%s --help has a line of %d columns: %s", c.CommandPath(), cells(line), line)
			}
		}
		if !strings.Contains(out, "Example:") || !strings.Contains(out, "Usage:") {
			t.Errorf("%s --help has no usage or no example", c.CommandPath())
		}
	}
}

// Every example of every --help runs, in a folder that has the demo trials.
func TestHelpExamplesRun(t *testing.T) {
	t.Parallel()
	for _, c := range verbs() {
		t.Run(c.Name(), func(t *testing.T) {
			t.Parallel()
			dir := workspace(t)
			for _, example := range strings.Split(strings.ReplaceAll(c.Example, "\\\n", ""), "\n") {
				example = strings.TrimSpace(example)
				if !strings.HasPrefix(example, "tamis ") {
					t.Errorf("%q is no command line", example)
					continue
				}
				if out, code := shell(t, dir, example); code != ExitDone {
					t.Errorf("%s: code %d\n%s", example, code, out)
				}
			}
		})
	}
}
