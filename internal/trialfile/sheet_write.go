package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/diag"
	"tamis/internal/trial"
)

// Line is a line of a table of scores: what it is to hold, and its number in
// the table, 0 for a new one.
type Line struct {
	Number int
	Score  trial.Score
}

// SetScores writes lines into a table of scores and leaves every other byte as
// it is: other lines, comments, order, separator, decimal commas and line ends.
// Of a line that is there, blank cells are filled in; what stands in the others
// is kept. Columns that are missing come last. The measures of the trial give
// the order of new columns.
func SetScores(doc []byte, t *trial.Trial, lines []Line) ([]byte, error) {
	text := strings.TrimPrefix(string(doc), "\uFEFF")
	e, err := openTable(text)
	if err != nil {
		return nil, err
	}
	for _, l := range lines {
		for name, value := range scoreCells(t, &l.Score) {
			if value != "" {
				e.column(name)
			}
		}
	}
	e.orderNew(scoreTable.keys(), t)
	for _, l := range lines {
		cells := scoreCells(t, &l.Score)
		row := e.rowAt(l.Number)
		switch {
		case l.Number == 0:
			row = e.add()
		case row == nil:
			return nil, fmt.Errorf("%w: it has no line %d", ErrTable, l.Number)
		}
		for j, name := range e.names {
			if v := cells[name]; v != "" && strings.TrimSpace(row.cells[j]) == "" {
				if _, number := t.MeasureNamed(name); number {
					v = e.decimal(v)
				}
				row.cells[j], row.changed = v, true
			}
		}
	}
	return []byte(string(doc[:len(doc)-len(text)]) + e.String()), nil
}

// scoreCells are the cells of a score by the names of their columns.
func scoreCells(t *trial.Trial, s *trial.Score) map[string]string {
	out := map[string]string{}
	for i := range scoreTable.fields {
		f := &scoreTable.fields[i]
		if it := f.write(s); it != nil {
			out[f.key] = csvcell.Inert(it.text)
		}
	}
	switch { // the code says the piece, and the piece the cook
	case s.Code.Known:
		delete(out, "piece")
		delete(out, "cook")
	case s.Piece.Known:
		delete(out, "cook")
	}
	for _, m := range t.Measures {
		if v, ok := s.Values.Get(m.Name); ok && !v.Missing {
			out[m.Name] = formatNumber(v.V)
			if m.Kind == trial.YesNo {
				out[m.Name] = map[bool]string{true: "yes", false: "no"}[v.V != 0]
			}
		}
	}
	return out
}

// ReadChanged reads a trial as Read does, with other bytes in the place of some
// of its files, by their names in its folder; the name of the trial file itself
// is that of path. It is for looking at a change before it is written.
func ReadChanged(path string, v Vocabulary, files map[string][]byte) (*trial.Trial, diag.List, error) {
	return read(path, v, files)
}
