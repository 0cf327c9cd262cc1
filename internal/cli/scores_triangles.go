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

	"tamis/internal/answer"
	"tamis/internal/csvcell"
	"tamis/internal/diag"
	"tamis/internal/scores"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// answers brings a sheet of triangles into a trial.
func (a *app) answers(cmd *cobra.Command, f *scoreFlags, sheetPath, path string, t *trial.Trial, sheet *trialfile.Sheet, messages diag.List) error {
	m, more := scores.MergeTriangles(t, sheet.Answers, sheet.Source)
	messages = append(messages, more...)
	if m != nil {
		if no := oddNotTasted(t, sheet, m); len(no) > 0 {
			m, messages = nil, append(messages, no...)
		}
	}
	if err := diag.Print(a.Err, messages, diag.Options{Max: f.maxErrors, Colour: a.colour(a.Err), Ending: "nothing was written"}); err != nil {
		return err
	}
	if m == nil {
		return saidError{ExitInvalid}
	}
	a.printf("%s", answerPreview(sheetPath, sheet, m, peopleOf(t, f.names), f.all))
	switch {
	case len(m.Changes) == 0:
		a.nothingNew(len(m.Lines))
		return nil
	case f.dryRun:
		a.printf("\nNothing was written (--dry-run).\n")
		return nil
	}
	if err := a.mayWrite(cmd, f, path, t, counted(m.Added(), "answer")); err != nil {
		return err
	}
	name := t.Panel.V.TrianglesFile.V
	target := inFolderOf(path, name)
	old, err := os.ReadFile(target)
	if err != nil {
		return err
	}
	doc, err := trialfile.SetTriangles(old, m.Changes)
	if err != nil {
		return fmt.Errorf("%s: %w", diag.Clean(target), err)
	}
	if err := answersSound(path, name, doc, sheet.Answers); err != nil {
		return err
	}
	if err := trialfile.WriteFiles(filepath.Dir(path), []trialfile.File{{Name: name, Data: doc}}); err != nil {
		return err
	}
	a.printf("\nwrote %s to %s\nnext: tamis fit %s\n", counted(m.Added(), "answer"), diag.Clean(target), diag.Clean(path))
	return nil
}

// oddNotTasted reports new answers of sets of which something must not be eaten.
func oddNotTasted(t *trial.Trial, sheet *trialfile.Sheet, m *scores.Answered) (out diag.List) {
	refused, cookOf := answer.SheetsOf(t).Refused(), t.CookOfCode()
	for i := range m.Lines {
		x := &m.Lines[i].Answer
		for _, c := range x.Codes {
			if m.Lines[i].New && refused[cookOf[c]] {
				out.Add(diag.Message{Severity: diag.Error, Slug: "do-not-eat", Pos: x.Odd.At, Source: sheet.Source(x.Odd.At),
					Text: diag.Clean(fmt.Sprintf("%s of this set is of cook %s, which must not be eaten nor tasted", c, cookOf[c])),
					Hint: "check the set; if somebody tasted it, tell them, leave the answer blank and say so under notes"})
				break
			}
		}
	}
	return out
}

// answersSound reads the trial as it would be, and looks that the answers are in
// it.
func answersSound(path, name string, doc []byte, sheet []trial.TriangleSet) error {
	t, messages, err := trialfile.ReadChanged(path, vocabulary(), map[string][]byte{name: doc})
	if err != nil {
		return err
	}
	if t == nil {
		for _, x := range messages.Sorted() {
			if x.Severity == diag.Error {
				return fmt.Errorf("with these answers the trial would not be sound, and nothing was written: %s: %s", x.Pos, x.Text)
			}
		}
		return errors.New("with these answers the trial would not be sound, and nothing was written")
	}
	if again, _ := scores.MergeTriangles(t, sheet, nil); again == nil || len(again.Changes) > 0 {
		return errors.New("the answers would not come back as they were typed, and nothing was written")
	}
	return nil
}

// answerPreview is what was understood of a sheet of triangles. It does not say
// which answers are right: whoever types may be a taster.
func answerPreview(path string, sheet *trialfile.Sheet, m *scores.Answered, who *people, all bool) string {
	f := &fitText{}
	head := diag.Clean(path) + ": " + sheet.Shape
	if sheet.Read != "" {
		head += "; read with " + sheet.Read
	}
	f.prose(head, "", "  ")
	f.blank()
	g := grid{right: []bool{true, false, false, true, false, false}}
	g.add("line", "assessor", "session", "set", "served", "odd")
	show := m.Lines
	if !all && len(show) > previewLines {
		show = show[:previewLines]
	}
	for i := range show {
		x := &show[i].Answer
		g.add(strconv.Itoa(int(x.At.Line)), diag.Clean(who.show(x.Assessor)), diag.Clean(x.Session.V), strconv.Itoa(x.Set), diag.Clean(strings.Join(x.Codes[:], ", ")), diag.Clean(x.Odd.V))
	}
	dropEmpty(&g, 2, 2)
	if len(show) > 0 {
		f.out = append(f.out, g.lines("  ")...)
	}
	if n := len(m.Lines) - len(show); n > 0 {
		f.line(fmt.Sprintf("  … and %d more (--all shows all)", n))
	}
	f.blank()
	tasters, named := map[string]bool{}, 0
	for i := range m.Lines {
		tasters[m.Lines[i].Answer.Assessor] = true
		if m.Lines[i].Answer.Odd.Known {
			named++
		}
	}
	line := fmt.Sprintf("%s of %s: %s to write", counted(len(m.Lines), "set"), counted(len(tasters), "assessor"), counted(m.Added(), "answer"))
	if there := named - m.Added(); there > 0 {
		line += fmt.Sprintf(", %d that the trial has already", there)
	}
	line += "."
	if sheet.Blank > 0 {
		line += fmt.Sprintf(" %s without an answer passed over.", counted(sheet.Blank, "line"))
	}
	f.prose(line, "", "")
	f.left(m.Left, "an answer", who)
	return f.text()
}

// triangleSheet is a sheet to type the answers of triangles into: a line for each
// set in the order of the ballots, with the answers that the trial has already. A
// set of which something must not be tasted has no line.
func triangleSheet(cmd *cobra.Command, path string, t *trial.Trial) ([]byte, error) {
	if len(t.Panel.V.Triangles) == 0 {
		return nil, usagef(cmd, "the trial has no triangles").hint("ask for them in its design, triangles: 2, and lay it out: tamis plan " + path)
	}
	refused, cookOf := answer.SheetsOf(t).Refused(), t.CookOfCode()
	cols := []string{"assessor", "set", "first", "second", "third", "odd", "notes"}
	sessions, left := false, false
	for i := range t.Panel.V.Triangles {
		sessions = sessions || t.Panel.V.Triangles[i].Session.Known
	}
	if sessions {
		cols = append(cols[:1:1], append([]string{"session"}, cols[1:]...)...)
	}
	var rows [][]string
	for _, b := range scores.TriangleBallots(t) {
		for _, x := range b.Sets {
			eaten := true
			for _, c := range x.Codes {
				eaten = eaten && !refused[cookOf[c]]
			}
			if !eaten && !x.Odd.Known {
				left = true
				continue
			}
			row := []string{x.Assessor}
			if sessions {
				row = append(row, x.Session.V)
			}
			rows = append(rows, append(row, strconv.Itoa(x.Set), x.Codes[0], x.Codes[1], x.Codes[2], x.Odd.V, x.Notes.V))
		}
	}
	var b bytes.Buffer
	b.WriteString("# Type each ballot in from top to bottom: under odd, the code that was ticked.\n# Leave it blank where none was ticked, or more than one.\n")
	if left {
		b.WriteString("# What must not be eaten or tasted has no line here.\n")
	}
	w := csv.NewWriter(&b)
	_ = w.Write(cols)
	for _, row := range rows {
		_ = w.Write(csvcell.InertRow(row))
	}
	w.Flush() // a bytes.Buffer takes everything
	return b.Bytes(), nil
}
