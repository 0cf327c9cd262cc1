package cli

import (
	"fmt"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// checkSchema names the version of check's JSON.
const checkSchema = "check/1"

// checked is what check says of one file.
type checked struct {
	File     string          `json:"file"`
	Sound    bool            `json:"sound"`
	Messages diag.List       `json:"messages"`
	Summary  *answer.Summary `json:"summary,omitempty"`
}

// checkFlags are the flags of check.
type checkFlags struct {
	common
	all bool
}

func (a *app) checkCmd() *cobra.Command {
	var c checkFlags
	var thresholds thresholdFlags
	var failOn failOnFlag
	cmd := &cobra.Command{
		Use:   "check FILE...",
		Short: "read trial files: every error, then what was understood",
		Long: `check reads trial files and every table they name, and reports all errors of
all files at once, each with file, line and column. Of a sound file it says who
may eat what is cooked, before anybody cooks or tastes, and prints the trial as
understood: arms, cooks, pieces, tasters, the unit of each factor, and what is
missing.`,
		Example: `  tamis check trials/pollack/pollack.yaml
  tamis check --all trials/trout/trout.yaml
  tamis check --json trials/trout/trout.yaml`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usagef(cmd, "check needs a trial file").hint("for example: tamis check trials/pollack/pollack.yaml")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := c.system(cmd)
			if err != nil {
				return err
			}
			over, err := thresholds.parse(cmd)
			if err != nil {
				return err
			}
			if c.json && c.all {
				return usagef(cmd, "--json and --all exclude each other").hint("--json holds everything already")
			}
			if !failOn.known() {
				return usagef(cmd, "--fail-on %q: write blocks, weakens, note, cannot-judge or never", failOn.at)
			}
			return a.check(args, &c, sys, over, &failOn)
		},
	}
	c.add(cmd, true)
	cmd.Flags().BoolVar(&c.all, "all", false, "every finding with what it rests on, and what each unjudged check lacks")
	thresholds.add(cmd.Flags())
	failOn.add(cmd.Flags())
	return cmd
}

func (a *app) check(paths []string, c *checkFlags, sys quantity.System, over []trial.Threshold, failOn *failOnFlag) error {
	var all diag.List
	files := []checked{}
	bad := false
	var unread []error // files that could not be read at all
	for _, one := range checkAll(paths, over) {
		if one.err != nil {
			unread = append(unread, one.err)
			continue
		}
		bad = bad || !one.Sound
		all.Add(one.Messages...)
		files = append(files, one.checked)
	}
	ending := "nothing was read"
	if len(paths) > 1 {
		ending = "the files with errors were not read"
	}
	if err := diag.Print(a.Err, all, diag.Options{Max: c.maxErrors, Colour: a.colour(a.Err), Ending: ending}); err != nil {
		return err
	}
	if c.json {
		out := struct {
			Tamis string    `json:"tamis"`
			Files []checked `json:"files"`
		}{checkSchema, files}
		if err := a.printJSON(out); err != nil {
			return err
		}
	} else {
		for _, f := range files {
			if f.Sound {
				a.printf("%s", renderSummary(f, sys, c.all))
			}
		}
	}
	switch {
	case len(unread) > 0:
		return a.said(unread)
	case bad:
		return saidError{ExitInvalid}
	}
	for _, f := range files {
		if f.Summary != nil {
			if err := failOn.of(f.Summary.Findings); err != nil {
				return err
			}
		}
	}
	return nil
}

// outcome is one file checked, or why it could not be read at all.
type outcome struct {
	checked
	err error
}

// checkAll checks files on all cores, and gives the outcomes in the order of the
// paths, whichever was done first.
func checkAll(paths []string, over []trial.Threshold) []outcome {
	out := make([]outcome, len(paths))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(paths)) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(paths); i = int(next.Add(1)) - 1 {
				if err := guarded(func() error { out[i] = checkOne(paths[i], over); return nil }); err != nil {
					out[i] = outcome{err: fmt.Errorf("%s: %w", paths[i], err)}
				}
			}
		})
	}
	wg.Wait()
	return out
}

func checkOne(path string, over []trial.Threshold) outcome {
	t, messages, err := trialfile.Read(path, vocabulary())
	if err != nil {
		return outcome{err: err}
	}
	f := checked{File: path, Sound: t != nil && !messages.HasErrors(), Messages: messages.Sorted()}
	if f.Messages == nil {
		f.Messages = diag.List{}
	}
	if f.Sound {
		s := answer.Summarise(t, over)
		f.Summary = &s
	}
	return outcome{checked: f}
}

// said prints errors, a line each, and ends the command.
func (a *app) said(errs []error) error {
	for _, err := range errs {
		fmt.Fprintf(a.Err, "tamis: %s\n", plainError(err))
	}
	return saidError{ExitFailure}
}

// renderSummary prints a sound trial as it was understood.
func renderSummary(f checked, sys quantity.System, all bool) string {
	s := f.Summary
	t := &fitText{sys: sys, all: all}
	t.prose(f.File+": sound", "", "")
	t.prose(s.Title, "  ", "  ")
	if len(s.Verdicts) > 0 {
		t.heading("Who may eat it")
		t.verdicts(s.Verdicts)
	}
	if s.Doubts != nil {
		t.doubts(*s.Doubts, s.Findings)
	}
	t.blank()
	t.list(s.Lines)
	if len(s.Arms) > 0 {
		g := grid{right: []bool{false, true, true}}
		g.add("arm", "cooks", "pieces")
		for _, arm := range s.Arms {
			g.add(t.temperature(arm.Celsius), fmt.Sprint(arm.Cooks), fmt.Sprint(arm.Pieces))
		}
		t.blank()
		t.out = append(t.out, g.lines("  ")...)
	}
	if len(s.Measures) > 0 {
		g := grid{right: []bool{false, true, true, false}}
		g.add("measure", "numbers", "blank", "kind")
		for _, m := range s.Measures {
			g.add(words(diag.Clean(m.Name)), fmt.Sprint(m.Numbers), fmt.Sprint(m.Blank), m.Kind)
		}
		t.blank()
		t.out = append(t.out, g.lines("  ")...)
	}
	if len(s.Units) > 0 {
		t.heading("  What n counts")
		t.list(s.Units)
	}
	if len(s.Missing) > 0 {
		t.blank()
		t.list(s.Missing)
	}
	t.blank()
	return strings.Join(t.out, "\n") + "\n"
}
