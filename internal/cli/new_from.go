package cli

import (
	"errors"
	"os"
	"path/filepath"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tamis/internal/answer"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// besideFrom are the flags that go with --from; the others say what the result
// says.
var besideFrom = map[string]bool{"from": true, "out": true, "force": true, "title": true, "question": true, "by": true, "max-errors": true}

// combination refuses flags that say nothing together.
func (n *newTrial) combination(cmd *cobra.Command) error {
	var other, broken string
	cmd.Flags().Visit(func(f *pflag.Flag) {
		if broken == "" && f.Name != "out" && f.Name != "from" && !utf8.ValidString(f.Value.String()) { // paths may be any bytes
			broken = f.Name
		}
		if !besideFrom[f.Name] && other == "" {
			other = f.Name
		}
	})
	switch {
	case broken != "":
		return usagef(cmd, "--%s is not UTF-8 text", broken)
	case cmd.Flags().Changed("from") && other != "":
		return usagef(cmd, "--from and --%s exclude each other", other).hint("--from takes food, measures, aims and cooks from the trial")
	case cmd.Flags().Changed("from") && n.from == "":
		return usagef(cmd, "--from needs a trial file")
	case cmd.Flags().Changed("out") && n.out == "":
		return usagef(cmd, "--out needs a file name")
	case n.force && n.out == "":
		return usagef(cmd, "--force belongs to --out")
	}
	return nil
}

// nextTrial analyses a trial and makes the one to cook next.
func (a *app) nextTrial(cmd *cobra.Command, n *newTrial) (*trial.Trial, error) {
	t, err := a.read(n.from, &n.common)
	if err != nil {
		return nil, err
	}
	if n.out != "" { // --force replaces a file, never one that the trial is made of
		if err := spare(cmd, "out", n.out, n.from, t); err != nil {
			return nil, err
		}
	}
	r, err := a.answer(cmd.Context(), t, answer.Options{})
	if err != nil {
		return nil, err
	}
	next, err := answer.NextTrial(t, r)
	if err != nil {
		return nil, err
	}
	if len(r.Doubts.Next) > 0 {
		say := "\nTo do better than last time:\n"
		for _, fix := range r.Doubts.Next {
			say += "- " + fix.Text(quantity.Metric) + "\n"
		}
		next.Notes = trial.Some(next.Notes.V + say)
	}
	for _, set := range []struct {
		to  *trial.Opt[string]
		say string
	}{{&next.Title, n.title}, {&next.Question, n.question}, {&next.By, n.by}} {
		if set.say != "" {
			*set.to = trial.Some(set.say)
		}
	}
	return next, nil
}

// sameFolder reports whether two paths lie in one folder.
func sameFolder(a, b string) bool {
	x, errA := os.Stat(filepath.Dir(a))
	y, errB := os.Stat(filepath.Dir(b))
	return errors.Join(errA, errB) == nil && os.SameFile(x, y)
}
