package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"tamis/internal/csvcell"
	"tamis/internal/design"
	"tamis/internal/diag"
	"tamis/internal/report"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// recordCmd is the verb that brings a record sheet back in.
func (a *app) recordCmd() *cobra.Command {
	var f scoreFlags
	cmd := &cobra.Command{
		Use:   "record SHEET.csv TRIAL",
		Short: "bring weights, times and notes of a record sheet into the trial",
		Long: `record reads what was written on the printed record sheet and typed into a table
(CSV), holds every line against the trial, shows what it understood, and writes
it into the trial, and the tables of its cooks and pieces, once you agree;
comments stay. Any error names its line, and then nothing is written. The same
sheet can be brought in again: what the trial has already is left alone, and
what contradicts it is refused.

A sheet has a line for each piece and columns such as before, in, out, after and
the measures that are not tasted; a blank cell says nothing. Under a header with
a unit, as in after (g), bare numbers do. In is a time of the whole cook, and so
is out where its pieces agree. --template prints a sheet to type into, in the
order of the printed one. Deviations are written into the trial by hand.`,
		Example: `  tamis record --template --out to-type.csv trials/pollack/pollack.yaml`,
		Args:    func(cmd *cobra.Command, args []string) error { return recordArgs(cmd, &f, args) },
		RunE: func(cmd *cobra.Command, args []string) error {
			if f.template {
				return a.typeInto(cmd, &f, args[0], "record", recordSheet)
			}
			return a.record(cmd, &f, args[0], args[1])
		},
	}
	f.units = "metric"
	fs := cmd.Flags()
	fs.IntVar(&f.maxErrors, "max-errors", 20, "how many messages to show; 0 shows all")
	fs.BoolVar(&f.yes, "yes", false, "write without asking")
	fs.BoolVar(&f.dryRun, "dry-run", false, "only show what was understood")
	fs.BoolVar(&f.template, "template", false, "print a sheet to type into instead")
	fs.StringVar(&f.out, "out", "", "with --template: the file to write; it must not exist")
	return cmd
}

func recordArgs(cmd *cobra.Command, f *scoreFlags, args []string) error {
	switch {
	case f.template && (f.yes || f.dryRun):
		return usagef(cmd, "--template prints an empty sheet; it goes with --out only")
	case !f.template && f.out != "":
		return usagef(cmd, "--out goes with --template").hint("the record is written into the trial")
	case f.yes && f.dryRun:
		return usagef(cmd, "--yes and --dry-run are each other's opposite")
	case f.template && len(args) != 1:
		return usagef(cmd, "record --template takes one trial file")
	case !f.template && len(args) != 2:
		return usagef(cmd, "record takes a record sheet and a trial file").hint("for example: tamis record typed.csv trial.yaml")
	}
	return nil
}

// record brings a sheet into a trial.
func (a *app) record(cmd *cobra.Command, f *scoreFlags, sheet, path string) error {
	t, err := a.read(path, &f.common)
	if err != nil {
		return err
	}
	rec, messages, err := trialfile.ReadRecord(sheet, t, vocabulary())
	if err != nil {
		return err
	}
	if err := diag.Print(a.Err, messages, diag.Options{Max: f.maxErrors, Colour: a.colour(a.Err), Ending: "nothing was written"}); err != nil {
		return err
	}
	if rec == nil {
		return saidError{ExitInvalid}
	}
	a.printf("%s", recordPreview(sheet, rec))
	switch {
	case rec.Added() == 0:
		a.printf("\nNothing to write: the trial has all of it.\n")
		return nil
	case f.dryRun:
		a.printf("\nNothing was written (--dry-run).\n")
		return nil
	}
	files, before, err := a.recordFiles(sheet, path, t, rec)
	if err != nil {
		return err
	}
	if !f.yes {
		if err := a.agree(cmd, fmt.Sprintf("Write %s into %s?", counted(rec.Added(), "value"), fileNames(path, files))); err != nil {
			return err
		}
		for i, x := range files {
			now, err := os.ReadFile(inFolderOf(path, x.Name))
			if err != nil || !bytes.Equal(now, before[i].Data) {
				return errors.Join(fmt.Errorf("%s changed meanwhile, and nothing was written: run it again", diag.Clean(inFolderOf(path, x.Name))), err)
			}
		}
	}
	if err := trialfile.WriteFiles(filepath.Dir(path), files); err != nil {
		return fmt.Errorf("nothing was written: %w", err)
	}
	a.printf("\nwrote %s to %s\nnext: tamis check %s\n", counted(rec.Added(), "value"), fileNames(path, files), diag.Clean(path))
	return nil
}

// recordFiles are the files of a trial with a record in them, and as they are
// now. The trial is read as it would be before anything is written.
func (a *app) recordFiles(sheet, path string, t *trial.Trial, rec *trialfile.Record) (files, before []trialfile.File, err error) {
	was := map[string][]byte{}
	files, err = trialfile.SetRecord(func(name string) ([]byte, error) {
		b, err := os.ReadFile(inFolderOf(path, name))
		was[name] = b
		return b, err
	}, t, rec)
	if err != nil {
		return nil, nil, fmt.Errorf("nothing was written: %w", err)
	}
	changed := map[string][]byte{}
	for _, f := range files {
		changed[f.Name] = f.Data
		before = append(before, trialfile.File{Name: f.Name, Data: was[f.Name]})
	}
	after, said, err := trialfile.ReadChanged(path, vocabulary(), changed)
	if err != nil {
		return nil, nil, err
	}
	for _, x := range said.Sorted() {
		if x.Severity == diag.Error {
			return nil, nil, fmt.Errorf("with this record the trial would not be sound, and nothing was written: %s", x.Text)
		}
	}
	if again, _, err := trialfile.ReadRecord(sheet, after, vocabulary()); err != nil || again == nil || again.Added() > 0 {
		return nil, nil, errors.Join(errors.New("the record would not come back as it was typed, and nothing was written"), err)
	}
	return files, before, nil
}

// inFolderOf is the path of a file that a trial names.
func inFolderOf(path, name string) string {
	if name == filepath.Base(path) {
		return path
	}
	return filepath.Join(filepath.Dir(path), filepath.FromSlash(name))
}

// fileNames lists files of a trial as they are shown.
func fileNames(path string, files []trialfile.File) string {
	var names []string
	for _, f := range files {
		names = append(names, diag.Clean(inFolderOf(path, f.Name)))
	}
	return strings.Join(names, " and ")
}

// recordPreview is what was understood of a sheet, a line for each of its lines.
func recordPreview(path string, rec *trialfile.Record) string {
	f := &fitText{}
	head := diag.Clean(path) + ": a line a piece"
	if rec.Read != "" {
		head += "; read with " + rec.Read
	}
	f.prose(head, "", "  ")
	f.blank()
	for i := 0; i < len(rec.Values); {
		line, text := rec.Values[i].Line, ""
		name := rec.Values[i].Name
		for ; i < len(rec.Values) && rec.Values[i].Line == line; i++ {
			if v := &rec.Values[i]; !v.There {
				if text != "" {
					text += "; "
				}
				text += words(v.Key) + " " + v.Value
			}
		}
		if text != "" {
			lead := fmt.Sprintf("  %4d  %s  ", line, diag.Clean(name))
			f.prose(diag.Clean(text), lead, pad("", cells(lead)))
		}
	}
	f.blank()
	text := counted(rec.Lines, "line") + ": " + counted(rec.Added(), "value") + " to write"
	if n := len(rec.Values) - rec.Added(); n > 0 {
		text += fmt.Sprintf(", %d that the trial has already", n)
	}
	text += "."
	if rec.Blank > 0 {
		text += " " + counted(rec.Blank, "line") + " without a value passed over."
	}
	f.prose(text, "", "")
	return f.text()
}

// recordSheet has the boxes of the printed record sheet as columns, and what the
// trial has already in them.
func recordSheet(cmd *cobra.Command, path string, t *trial.Trial) ([]byte, error) {
	if len(t.Cooks) == 0 {
		return nil, usagef(cmd, "%s has no cooks yet", path).hint("tamis plan " + path + " lays them out")
	}
	var measures []trial.Measure
	head := []string{"piece", "thickness (mm)", "before (g)", "in", "out", "after (g)", "brined (g)"}
	for _, m := range t.Measures {
		if !m.FromWeights() && !design.Tasted(m) {
			measures = append(measures, m)
			head = append(head, m.Name)
		}
	}
	number := func(known bool, v float64) string {
		if !known {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	at := func(o trial.Opt[trial.Clock]) string {
		if !o.Known {
			return ""
		}
		return o.V.String()
	}
	var b bytes.Buffer
	b.WriteString("# Type the record sheet in from top to bottom; a blank cell says nothing.\n")
	w := csv.NewWriter(&b)
	_ = w.Write(append(head, "served", "notes"))
	line := func(name string, p *trial.Piece, in trial.Opt[trial.Clock]) {
		row := []string{name, number(p.Thickness.Known, p.Thickness.V.Millimetres()), number(p.Before.Known, p.Before.V.Grams()), at(in), at(p.Out),
			number(p.After.Known, p.After.V.Grams()), number(p.Brined.Known, p.Brined.V.Grams())}
		for _, m := range measures {
			row = append(row, scoreText(t, &trial.Score{Values: p.Values}, m.Name))
		}
		_ = w.Write(csvcell.InertRow(append(row, at(p.Served), p.Notes.V)))
	}
	for _, i := range report.RecordOrder(t) {
		c := &t.Cooks[i]
		if len(c.Pieces) == 0 {
			line(c.ID, &trial.Piece{Out: c.Out, Served: c.Served, Values: c.Values, Notes: c.Notes}, c.Started)
		}
		for j := range c.Pieces {
			p := c.Pieces[j]
			if !p.Out.Known {
				p.Out = c.Out
			}
			line(p.ID, &p, c.Started)
		}
	}
	w.Flush() // a bytes.Buffer takes everything
	return b.Bytes(), nil
}
