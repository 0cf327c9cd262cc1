package cli

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/scores"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// scoreFlags are what the flags of scores say.
type scoreFlags struct {
	common
	yes, dryRun, template, names, all bool
	triangles                         bool
	out                               string
}

func (a *app) scoresCmd() *cobra.Command {
	var f scoreFlags
	cmd := &cobra.Command{
		Use:   "scores SHEET.csv TRIAL",
		Short: "bring a score sheet into the trial, checked line by line",
		Long: `scores reads a score sheet (CSV) that was typed in from the ballots, holds
every line against the trial (scales, key, assessors, serving orders, what
stands twice and what is blank), shows what it understood, and writes it into
the table of scores of the trial once you agree. Any error names its line, and
then nothing is written. The same sheet can be brought in again: what the trial
has already is left alone, and what contradicts it is refused.

A sheet has a line for each sample, named by code, piece or cook, with a column
for each measure; or a line for each score, with columns measure and score; or a
column for each sample (836.firmness) or each assessor. --template prints one to
type into, in the order of the ballots.

A sheet with a column odd is one of triangles: a line for each set, with
assessor, set and the code that was named as the odd one. What is not one of the
three codes of that set is refused. --template --triangles prints one.`,
		Example: `  tamis scores --template --out to-type.csv trials/pollack/pollack.yaml
  tamis scores --dry-run trials/pollack/scores.csv trials/pollack/pollack.yaml`,
		Args: func(cmd *cobra.Command, args []string) error { return scoreArgs(cmd, &f, args) },
		RunE: func(cmd *cobra.Command, args []string) error {
			if _, err := f.system(cmd); err != nil {
				return err
			}
			if f.template {
				sheet := scoreSheet
				if f.triangles {
					sheet = triangleSheet
				}
				return a.typeInto(cmd, &f, args[0], "scores", sheet)
			}
			return a.scores(cmd, &f, args[0], args[1])
		},
	}
	f.common.add(cmd, false)
	f.units = "metric"
	fs := cmd.Flags()
	fs.BoolVar(&f.yes, "yes", false, "write without asking")
	fs.BoolVar(&f.dryRun, "dry-run", false, "only show what was understood")
	fs.BoolVar(&f.all, "all", false, "show every line of the sheet, not the first few")
	fs.BoolVar(&f.names, "names", false, "show assessors by name, not as P1, P2 …")
	fs.BoolVar(&f.template, "template", false, "print a sheet to type into instead")
	fs.BoolVar(&f.triangles, "triangles", false, "with --template: the sheet for triangles; it is the one where there are only triangles")
	fs.StringVar(&f.out, "out", "", "with --template: the file to write; it must not exist")
	return cmd
}

func scoreArgs(cmd *cobra.Command, f *scoreFlags, args []string) error {
	isTrial := func(s string) bool {
		e := strings.ToLower(filepath.Ext(s))
		return e == ".yaml" || e == ".yml"
	}
	switch {
	case f.template && (f.yes || f.dryRun || f.all):
		return usagef(cmd, "--template prints an empty sheet; it goes with --out only")
	case !f.template && f.out != "":
		return usagef(cmd, "--out goes with --template").hint("scores are written into the trial")
	case !f.template && f.triangles:
		return usagef(cmd, "--triangles goes with --template").hint("a sheet with a column odd is taken as one of triangles")
	case f.yes && f.dryRun:
		return usagef(cmd, "--yes and --dry-run are each other's opposite")
	case f.template && len(args) == 1:
		return nil
	case f.template:
		return usagef(cmd, "scores --template takes one trial file").hint("for example: tamis scores --template trials/pollack/pollack.yaml")
	case len(args) != 2:
		return usagef(cmd, "scores takes a score sheet and a trial file").hint("for example: tamis scores typed.csv trials/pollack/pollack.yaml")
	case isTrial(args[0]) && !isTrial(args[1]):
		return usagef(cmd, "the score sheet comes first, then the trial file").hint("write tamis scores " + args[1] + " " + args[0])
	}
	return nil
}

// scores brings a sheet into a trial.
func (a *app) scores(cmd *cobra.Command, f *scoreFlags, sheetPath, path string) error {
	t, err := a.read(path, &f.common)
	if err != nil {
		return err
	}
	sheet, messages, err := trialfile.ReadSheet(sheetPath, t, vocabulary())
	if err != nil {
		return err
	}
	if sheet != nil && sheet.Triangles {
		return a.answers(cmd, f, sheetPath, path, t, sheet, messages)
	}
	var m *scores.Merged
	if sheet != nil {
		var more diag.List
		m, more = scores.Merge(t, sheet.Scores, sheet.Source)
		messages = append(messages, more...)
		if m != nil {
			if no := notTasted(t, sheet, m); len(no) > 0 {
				m, messages = nil, append(messages, no...)
			}
		}
	}
	if err := diag.Print(a.Err, messages, diag.Options{Max: f.maxErrors, Colour: a.colour(a.Err), Ending: "nothing was written"}); err != nil {
		return err
	}
	if m == nil {
		return saidError{ExitInvalid}
	}
	who := peopleOf(withScores(t, m), f.names)
	a.printf("%s", scorePreview(sheetPath, t, sheet, m, who, f.all))
	if len(m.Changes) == 0 {
		a.nothingNew(len(m.Lines))
		return nil
	}
	if f.dryRun {
		a.printf("\nNothing was written (--dry-run).\n")
		return nil
	}
	if err := a.mayWrite(cmd, f, path, t, values(m.Added())); err != nil {
		return err
	}
	return a.writeScores(path, t, m)
}

// mayWrite asks whether what was understood may be written, unless --yes says so.
func (a *app) mayWrite(cmd *cobra.Command, f *scoreFlags, path string, t *trial.Trial, what string) error {
	if f.yes {
		return nil
	}
	if err := a.agree(cmd, fmt.Sprintf("Write %s into %s?", what, diag.Clean(path))); err != nil {
		return err
	}
	// Whoever was asked may have edited the trial meanwhile.
	again, _, err := trialfile.Read(path, vocabulary())
	if err != nil || again == nil || again.Origin.SHA256 != t.Origin.SHA256 {
		return errors.Join(fmt.Errorf("%s changed meanwhile, and nothing was written: run it again", diag.Clean(path)), err)
	}
	return nil
}

// nothingNew says why nothing is written: a sheet of blanks is not one that the
// trial has already.
func (a *app) nothingNew(lines int) {
	if lines == 0 {
		a.printf("\nNothing to write: the sheet is still blank.\n")
		return
	}
	a.printf("\nNothing to write: the trial has all of it.\n")
}

func values(n int) string {
	if n == 1 {
		return "1 score"
	}
	return fmt.Sprintf("%d scores", n)
}

// agree asks on a terminal. Where nobody can be asked it is a wrong command line.
func (a *app) agree(cmd *cobra.Command, question string) error {
	nobody := usagef(cmd, "nothing was written: there is nobody to ask").hint("add --yes to write, or --dry-run to only look")
	if in, ok := a.In.(*os.File); !ok || !isTerminal(in) {
		return nobody
	}
	if err := a.out.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(a.Err, "\n%s [y/N] ", question)
	line, err := bufio.NewReader(a.In).ReadString('\n')
	if err != nil && line == "" {
		return nobody
	}
	if s := strings.ToLower(strings.TrimSpace(line)); s != "y" && s != "yes" {
		a.printf("Nothing was written.\n")
		return saidError{ExitDone}
	}
	return nil
}

// notTasted reports new scores of what must not be eaten: a slip of a code, or
// somebody has tasted what nobody should. With a reason not to use it, it is taken.
func notTasted(t *trial.Trial, sheet *trialfile.Sheet, m *scores.Merged) (out diag.List) {
	refused := answer.SheetsOf(t).Refused()
	for i := range m.Lines {
		s := &m.Lines[i].Score
		if m.Lines[i].New == 0 || !refused[s.Cook] || s.LeftOut.Known {
			continue
		}
		at := s.At
		for _, o := range []trial.Opt[string]{s.Code, s.Piece} {
			if o.Known && o.At.Line > 0 {
				at = o.At
				break
			}
		}
		out.Add(diag.Message{Severity: diag.Error, Slug: "do-not-eat", Pos: at, Source: sheet.Source(at),
			Text: diag.Clean(fmt.Sprintf("this is a score of cook %s, which must not be eaten nor tasted", s.Cook)),
			Hint: "check the code; tamis check says why; if somebody tasted it, tell them, and say so in a column left_out"})
	}
	return out
}

// withScores is the trial with the changes in it.
func withScores(t *trial.Trial, m *scores.Merged) *trial.Trial {
	out := *t
	p := t.Panel.V
	p.Scores = append([]trial.Score{}, p.Scores...)
	for _, c := range m.Changes {
		if c.Row < 0 {
			p.Scores = append(p.Scores, c.Score)
		}
	}
	out.Panel = trial.Opt[trial.Panel]{V: p, Known: true, At: t.Panel.At}
	return &out
}

// writeScores writes the table of scores, and its name into the trial file where
// it is new. The result is read before anything is written.
func (a *app) writeScores(path string, t *trial.Trial, m *scores.Merged) error {
	dir, base := filepath.Dir(path), filepath.Base(path)
	changed := map[string][]byte{}
	name := t.Panel.V.ScoresFile.V
	if !t.Panel.V.ScoresFile.Known {
		doc, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if name, err = freeName(dir, strings.TrimSuffix(base, filepath.Ext(base))+"-scores"); err != nil {
			return err
		}
		if changed[base], err = trialfile.Set(doc, name, "panel", "scores"); err != nil {
			return fmt.Errorf("%s cannot be told the name of its scores (%w); write panel: {scores: %s} into it", diag.Clean(path), err, name)
		}
	}
	target := filepath.Join(dir, filepath.FromSlash(name))
	old, err := os.ReadFile(target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		full := withScores(t, m)
		full.Panel.V.ScoresFile = trial.Some(name)
		for _, f := range trialfile.Files(full, base, trialfile.Style{}) {
			if f.Name == name {
				changed[name] = f.Data
			}
		}
	case err != nil:
		return err
	default:
		var lines []trialfile.Line
		for _, c := range m.Changes {
			l := trialfile.Line{Score: c.Score}
			if c.Row >= 0 {
				l.Number = int(t.Panel.V.Scores[c.Row].At.Line)
			}
			lines = append(lines, l)
		}
		if changed[name], err = trialfile.SetScores(old, t, lines); err != nil {
			return fmt.Errorf("%s: %w", diag.Clean(target), err)
		}
	}
	if err := a.sound(path, changed, m); err != nil {
		return err
	}
	files := []trialfile.File{{Name: name, Data: changed[name]}}
	if doc, ok := changed[base]; ok && base != name { // the table first, then what names it
		files = append(files, trialfile.File{Name: base, Data: doc})
	}
	if err := trialfile.WriteFiles(dir, files); err != nil {
		return err
	}
	a.printf("\nwrote %s to %s\nnext: tamis fit %s\n", values(m.Added()), diag.Clean(target), diag.Clean(path))
	return nil
}

// sound reads the trial as it would be, and looks that the scores are in it.
func (a *app) sound(path string, changed map[string][]byte, m *scores.Merged) error {
	t, messages, err := trialfile.ReadChanged(path, vocabulary(), changed)
	if err != nil {
		return err
	}
	if t == nil {
		for _, x := range messages.Sorted() {
			if x.Severity == diag.Error {
				return fmt.Errorf("with these scores the trial would not be sound, and nothing was written: %s: %s", x.Pos, x.Text)
			}
		}
	}
	sheet := make([]trial.Score, len(m.Lines))
	for i := range m.Lines {
		sheet[i] = m.Lines[i].Score
	}
	if again, said := scores.Merge(t, sheet, nil); again == nil || len(again.Changes) > 0 {
		text := "some are missing"
		if len(said) > 0 {
			text = said[0].Text
		}
		return fmt.Errorf("the scores would not come back as they were typed, and nothing was written: %s", text)
	}
	return nil
}

// freeName is a name for a new table that nothing has yet.
func freeName(dir, stem string) (string, error) {
	for i := 1; i < 1000; i++ {
		name := stem + ".csv"
		if i > 1 {
			name = fmt.Sprintf("%s-%d.csv", stem, i)
		}
		if _, err := os.Lstat(filepath.Join(dir, name)); errors.Is(err, fs.ErrNotExist) {
			return name, nil
		}
	}
	return "", fmt.Errorf("%s: no name is free for the scores", dir)
}
