package trialfile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/diag"
	"tamis/internal/trial"
)

// ErrTable says that a table of scores cannot be changed in place.
var ErrTable = errors.New("the table cannot be changed in place")

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
	e.orderNew(t)
	at := map[int]int{}
	for i := range e.rows {
		at[e.rows[i].line] = i
	}
	for _, l := range lines {
		cells := scoreCells(t, &l.Score)
		i, ok := at[l.Number]
		if l.Number > 0 && !ok {
			return nil, fmt.Errorf("%w: it has no line %d", ErrTable, l.Number)
		}
		if l.Number == 0 {
			i = len(e.rows)
			e.rows = append(e.rows, tableRow{changed: true, cells: make([]string, len(e.names))})
		}
		row := &e.rows[i]
		for j, name := range e.names {
			if v := cells[name]; v != "" && strings.TrimSpace(row.cells[j]) == "" {
				row.cells[j], row.changed = e.decimal(name, v, t), true
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
		if v, ok := s.Values[m.Name]; ok && !v.Missing {
			out[m.Name] = formatNumber(v.V)
			if m.Kind == trial.YesNo {
				out[m.Name] = map[bool]string{true: "yes", false: "no"}[v.V != 0]
			}
		}
	}
	return out
}

// tableText is a table that is changed line by line.
type tableText struct {
	head    string // what stands before the header
	tail    string // blank lines at the end
	rows    []tableRow
	header  tableRow
	names   []string // of the columns
	old     int      // how many of them were there before
	comma   rune
	newline string
	dotted  bool
}

type tableRow struct {
	line    int
	raw     string // with its line end and the blank lines before it
	cells   []string
	changed bool
}

func openTable(text string) (*tableText, error) {
	r := newReader(Vocabulary{})
	r.t = &trial.Trial{}
	parsed := r.parseCSV("", text, false)
	if parsed == nil || parsed.broken || r.msgs.HasErrors() {
		return nil, fmt.Errorf("%w: it is not a sound table", ErrTable)
	}
	e := &tableText{comma: parsed.comma, dotted: parsed.dotted, newline: "\n"}
	if strings.Contains(text, "\r\n") {
		e.newline = "\r\n"
	}
	for _, c := range r.columns(parsed) {
		e.names = append(e.names, c.name)
	}
	e.old = len(e.names)
	p := csvParser{r: r, rest: text, line: 1, column: 1, comma: parsed.comma}
	p.skipComments()
	p.declared()
	p.skipComments()
	e.head = text[:len(text)-len(p.rest)]
	first := true
	for !p.done() {
		start := len(text) - len(p.rest)
		for !p.done() && (p.rest[0] == '\n' || p.rest[0] == '\r') {
			p.next()
		}
		if p.done() {
			e.tail = text[start:]
			break
		}
		row := tableRow{line: p.line}
		cells, _ := p.row(len(e.names))
		row.raw = text[start : len(text)-len(p.rest)]
		for _, c := range cells {
			row.cells = append(row.cells, c.text)
		}
		for len(row.cells) < len(e.names) {
			row.cells = append(row.cells, "")
		}
		if first {
			e.header, first = row, false
		} else {
			e.rows = append(e.rows, row)
		}
	}
	return e, nil
}

// column adds a column unless it is there.
func (e *tableText) column(name string) {
	if slices.Contains(e.names, name) {
		return
	}
	e.names = append(e.names, name)
}

// orderNew puts the new columns into the order of the format, and widens every
// row to hold them.
func (e *tableText) orderNew(t *trial.Trial) {
	order := scoreTable.keys()
	for _, m := range t.Measures {
		order = append(order, m.Name)
	}
	fresh := e.names[e.old:]
	slices.SortFunc(fresh, func(a, b string) int { return slices.Index(order, a) - slices.Index(order, b) })
	if len(fresh) == 0 {
		return
	}
	widen := func(row *tableRow, with func(i int) string) {
		row.cells, row.changed = row.cells[:e.old:e.old], true
		for i := range fresh {
			row.cells = append(row.cells, with(i))
		}
	}
	widen(&e.header, func(i int) string { return fresh[i] })
	for i := range e.rows {
		widen(&e.rows[i], func(int) string { return "" })
	}
}

// decimal writes a number as the table does.
func (e *tableText) decimal(name, value string, t *trial.Trial) string {
	if _, isMeasure := t.MeasureNamed(name); isMeasure && e.dotted {
		if _, err := strconv.ParseFloat(value, 64); err == nil {
			return strings.Replace(value, ".", ",", 1)
		}
	}
	return value
}

// String is the whole table.
func (e *tableText) String() string {
	var b strings.Builder
	b.WriteString(e.head)
	put := func(row *tableRow) {
		if !row.changed {
			b.WriteString(row.raw)
			return
		}
		for strings.HasPrefix(row.raw, "\n") || strings.HasPrefix(row.raw, "\r") { // blank lines before it
			b.WriteString(row.raw[:1])
			row.raw = row.raw[1:]
		}
		for i, c := range row.cells {
			if i > 0 {
				b.WriteRune(e.comma)
			}
			b.WriteString(e.cell(c))
		}
		b.WriteString(e.newline)
	}
	put(&e.header)
	for i := range e.rows {
		if s := b.String(); !strings.HasSuffix(s, "\n") && !strings.HasSuffix(s, "\r") {
			b.WriteString(e.newline)
		}
		put(&e.rows[i])
	}
	b.WriteString(e.tail)
	return b.String()
}

// cell quotes a text where the table needs it.
func (e *tableText) cell(s string) string {
	if strings.ContainsAny(s, string(e.comma)+"\"\r\n") || strings.HasPrefix(s, "#") {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}

// ReadChanged reads a trial as Read does, with other bytes in the place of some
// of its files, by their names in its folder; the name of the trial file itself
// is that of path. It is for looking at a change before it is written.
func ReadChanged(path string, v Vocabulary, files map[string][]byte) (*trial.Trial, diag.List, error) {
	return read(path, v, files)
}
