package trialfile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// ErrTable says that a table of a trial cannot be changed in place.
var ErrTable = errors.New("the table cannot be changed in place")

// tableText is a table that is changed line by line.
type tableText struct {
	head    string // what stands before the header
	tail    string // blank lines at the end
	rows    []tableRow
	added   []tableRow // behind them
	header  tableRow
	names   []string // of the columns
	units   []string // in the header, such as g of before (g)
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
	parsed := r.parseCSV(diag.File{}, text, false)
	if parsed == nil || parsed.broken || r.msgs.HasErrors() {
		return nil, fmt.Errorf("%w: it is not a sound table", ErrTable)
	}
	e := &tableText{comma: parsed.comma, dotted: parsed.dotted, newline: "\n"}
	if strings.Contains(text, "\r\n") {
		e.newline = "\r\n"
	}
	for _, c := range r.columns(parsed) {
		e.names, e.units = append(e.names, c.name), append(e.units, c.cell.unit)
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
	e.names, e.units = append(e.names, name), append(e.units, "")
}

// orderNew puts the new columns into the order of keys, then of the measures, and
// widens every row to hold them.
func (e *tableText) orderNew(keys []string, t *trial.Trial) {
	order := slices.Clone(keys)
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

// rowAt is the row that begins on a line of the text, nil where none does.
func (e *tableText) rowAt(line int) *tableRow {
	i, ok := slices.BinarySearchFunc(e.rows, line, func(r tableRow, line int) int { return r.line - line })
	if !ok {
		return nil
	}
	return &e.rows[i]
}

// add makes a row at the end.
func (e *tableText) add() *tableRow {
	e.added = append(e.added, tableRow{changed: true, cells: make([]string, len(e.names))})
	return &e.added[len(e.added)-1]
}

// decimal writes a number, with its unit if it has one, as the table does.
func (e *tableText) decimal(value string) string {
	number, unit, _ := strings.Cut(value, " ")
	if _, err := strconv.ParseFloat(number, 64); err == nil && e.dotted {
		number = strings.Replace(number, ".", ",", 1)
		if unit == "" {
			return number
		}
		return number + " " + unit
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
	for _, rows := range [][]tableRow{e.rows, e.added} {
		for i := range rows {
			if s := b.String(); !strings.HasSuffix(s, "\n") && !strings.HasSuffix(s, "\r") {
				b.WriteString(e.newline)
			}
			put(&rows[i])
		}
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
