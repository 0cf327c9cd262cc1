package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"tamis/internal/answer"
	"tamis/internal/design"
	"tamis/internal/design/schedule"
	"tamis/internal/diag"
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/report"
	"tamis/internal/trial"
)

func (a *app) sheetsCmd() *cobra.Command {
	var c common
	var f scheduleFlags
	var out string
	cmd := &cobra.Command{
		Use:   "sheets --out FOLDER TRIAL",
		Short: "print the trial: run sheet, record sheet, ballots, labels",
		Long: `sheets writes the sheets that a trial is cooked and tasted with, each one HTML
page that prints on A4 and Letter: run.html by the baths; record.html for
weights, times and what is seen; ballots.html, a page for each assessor, without
set points and cooks; labels.html with a label for every portion and the serving
list; shopping.html with what to buy and lay out. On all of them stands who may
eat it. What must not be eaten has no ballot.

Where it is known when it is served (serve_at of the design, or --serve-at), the
run sheet has the clock times, and what is done by the minute and by whose
hands; the flags of the schedule are those of plan. A cook that was started
keeps its times.

Print them from any browser. What is written on the ballots comes back with
scores, and what is written on the record sheet with record.`,
		Example: `  tamis sheets --out sheets trials/pollack/pollack.yaml
  tamis sheets --out sheets --serve-at 19:30 trials/pollack/pollack.yaml`,
		Args: func(cmd *cobra.Command, args []string) error { return oneFile(cmd, args) },
		RunE: func(cmd *cobra.Command, args []string) error {
			sys, err := c.system(cmd)
			if err != nil {
				return err
			}
			if out == "" {
				return usagef(cmd, "sheets needs --out").hint("write --out FOLDER; it is made if it is not there")
			}
			o, _, err := f.options(cmd)
			if err != nil {
				return err
			}
			t, err := a.read(args[0], &c)
			if err != nil {
				return err
			}
			if len(t.Cooks) == 0 {
				return usagef(cmd, "%s has no cooks yet, so there is nothing to print", args[0]).hint("tamis plan " + args[0] + " lays them out")
			}
			clock := a.onClock(t, o, sys)
			served, err := a.inFlights(cmd, t, clock.Schedule, args[0])
			if err != nil {
				return err
			}
			sheets, err := report.Sheets(served, answer.SheetsOf(t), clock, report.Options{Units: sys})
			if err != nil {
				return err
			}
			return a.writeSheets(cmd, out, args[0], t, sheets)
		},
	}
	c.add(cmd, false)
	cmd.Flags().StringVar(&c.units, "units", "metric", "what the pages show first: metric or us")
	cmd.Flags().StringVar(&out, "out", "", "the folder to write to")
	f.add(cmd.Flags())
	return cmd
}

// onClock is the schedule of what is still to be cooked. Where there is none the
// sheets are printed all the same, and the reason goes on them and to stderr.
func (a *app) onClock(t *trial.Trial, o schedule.Options, sys quantity.System) report.OnClock {
	if !slices.ContainsFunc(t.Cooks, func(c trial.Cook) bool { return !c.Started.Known }) {
		return report.OnClock{}
	}
	s, conflicts := schedule.Of(t, o)
	for _, c := range conflicts {
		text := "no clock times: "
		if c.Session != "" {
			text = "no clock times for " + c.Session + ": "
		}
		text += c.Text.Text(sys)
		if h := c.Hint.Text(sys); h != "" {
			text += "; " + h
		}
		for _, l := range diag.Wrap(diag.Clean("tamis: "+text), columns) {
			fmt.Fprintln(a.Err, l)
		}
	}
	return report.OnClock{Schedule: s, Conflicts: conflicts}
}

// inFlights is the trial with its places in the order in which the flights of a
// schedule are served. Places in the file that say otherwise are told of.
func (a *app) inFlights(cmd *cobra.Command, t *trial.Trial, s *schedule.Schedule, path string) (*trial.Trial, error) {
	if s == nil {
		return t, nil
	}
	rows, moved, err := s.Places(t)
	if err != nil || len(moved) == 0 {
		return t, err
	}
	sessions := make([]prose.Sentence, len(moved))
	for i, name := range moved {
		sessions[i] = prose.Say(name)
	}
	text := "served in flights: " + prose.And(sessions...).Text(quantity.Metric) + ". The places in the scores of the trial are not in their order; the ballots are."
	again, ok := planAgain(cmd, t, path)
	if ok {
		text += " To write them into the trial, with the codes that it has:"
	}
	for _, l := range diag.Wrap("tamis: "+diag.Clean(text), columns) {
		fmt.Fprintln(a.Err, l)
	}
	if ok { // in one piece, to be copied
		fmt.Fprintln(a.Err, "  "+diag.Clean(again))
	}
	out := *t
	out.Panel.V.Scores = rows
	return &out, nil
}

// planAgain is the command that lays a trial out as it was, on the clock of the
// flags of cmd; false where nothing can be laid out again.
func planAgain(cmd *cobra.Command, t *trial.Trial, path string) (string, bool) {
	cooked := slices.ContainsFunc(t.Cooks, func(c trial.Cook) bool { return c.Started.Known })
	if !t.Design.Known || cooked || !t.Drawn.Known || !t.Drawn.V.Seed.Known {
		return "", false
	}
	words := []string{"tamis plan --again --seed", fmt.Sprint(t.Drawn.V.Seed.V)}
	var clock scheduleFlags
	own := pflag.NewFlagSet("", pflag.ContinueOnError)
	clock.add(own)
	cmd.Flags().Visit(func(f *pflag.Flag) {
		switch {
		case own.Lookup(f.Name) == nil:
		case f.Value.Type() == "bool":
			words = append(words, "--"+f.Name+"="+f.Value.String())
		default:
			words = append(words, "--"+f.Name, shellWord(f.Value.String()))
		}
	})
	return strings.Join(append(words, shellWord(path)), " "), true
}

// shellWord is a word as a shell takes it.
func shellWord(s string) string {
	plain := s != "" && strings.IndexFunc(s, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-+/:", r))
	}) < 0
	if plain {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// writeSheets writes the pages into a folder, which is made where there is none.
// Only pages are replaced, and all names are looked at before the first is
// written.
func (a *app) writeSheets(cmd *cobra.Command, folder, path string, t *trial.Trial, sheets []report.Sheet) error {
	switch info, err := os.Stat(folder); {
	case errors.Is(err, fs.ErrNotExist):
		if err := folderOf(folder); err != nil {
			return err
		}
		if err := os.Mkdir(folder, 0o777); err != nil {
			return err
		}
	case err != nil:
		return err
	case !info.IsDir():
		return usagef(cmd, "--out %s is a file, and a folder is needed", folder)
	}
	for _, s := range sheets {
		if err := overPage(cmd, filepath.Join(folder, s.Name), path, t); err != nil {
			return err
		}
	}
	var names []string
	for _, s := range sheets {
		if err := writeFile(filepath.Join(folder, s.Name), s.HTML); err != nil {
			return err
		}
		names = append(names, s.Name)
	}
	a.printf("wrote %s to %s\n", strings.Join(names, ", "), diag.Clean(folder))
	p := diag.Clean(path)
	a.printf("next: print them; type the record sheet into  tamis record --template %s\n", p)
	if points, _ := design.Unsafe(t); len(points) > 0 { // no ballots, nothing to type
		return nil
	}
	if len(t.Panel.V.Triangles) == 0 || len(t.Panel.V.Scores) > 0 {
		a.printf("      and the ballots into                    tamis scores --template %s\n", p)
	}
	if len(t.Panel.V.Triangles) > 0 {
		a.printf("      and the triangles into                  tamis scores --template --triangles %s\n", p)
	}
	return nil
}
