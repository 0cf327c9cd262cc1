package trialfile

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"tamis/internal/csvcell"
	"tamis/internal/diag"
)

// table is a parsed CSV file.
type table struct {
	file   diag.File // in messages
	head   []cell
	rows   [][]cell
	comma  rune
	dotted bool // some cell has a decimal comma
	sure   bool // and one that cannot part thousands
	broken bool // a fault was reported that makes the rest unsure
}

// cell is one field with its place in the file of its table, which is that of its
// first character that is no blank. Columns and widths count characters; a width
// of 0 is measured from the line when it is needed.
type cell struct {
	text                string
	line, column, width int32
}

// at is the place of a cell.
func (t *table) at(c *cell) place {
	return place{diag.Pos{File: t.file, Line: c.line, Column: c.column}, int(c.width)}
}

// rowAt is where a row begins.
func (t *table) rowAt(row []cell) diag.Pos { return t.at(&row[0]).pos }

// parseCSV cuts text into a head and rows. The separator is the one of comma,
// semicolon and tab that the header has most of, outside quotes.
func (r *reader) parseCSV(file diag.File, s string, bom bool) *table {
	t := &table{file: file}
	p := csvParser{r: r, file: file, rest: s, line: 1, column: 1}
	p.skipComments()
	t.comma = p.declared()
	p.skipComments()
	if t.comma == 0 {
		t.comma = separator(p.rest)
	}
	p.comma = t.comma
	for !p.done() {
		if p.rest[0] == '\n' || p.rest[0] == '\r' { // a blank line
			p.next()
			continue
		}
		row, ok := p.row(len(t.head))
		if !ok {
			t.broken = true
			break
		}
		switch {
		case isBlankRow(row):
		case t.head == nil:
			if len(row) > maxColumns {
				r.fail(place{pos: diag.Pos{File: file, Line: row[0].line}}, "too-large", fmt.Sprintf("the table has more than %d columns", maxColumns), "leave out what is not needed")
				return nil
			}
			t.head = trimRow(row)
			t.rows = r.work.rows.take(min(p.lines(), maxRows))[:0]
		case len(t.rows) == maxRows:
			r.fail(t.at(&row[0]), "too-large", fmt.Sprintf("the table has more than %d rows", maxRows), "split it, or thin out the log")
			return t
		default:
			t.rows = append(t.rows, r.fit(t, row))
		}
	}
	if t.head == nil {
		if !t.broken {
			r.fail(place{pos: diag.Pos{File: file}}, "empty-file", "the table is empty", "give it a header with the names of the columns")
		}
		return nil
	}
	r.detected(t, s, bom)
	return t
}

// fit makes a row as long as the header, and reports one that is not.
func (r *reader) fit(t *table, row []cell) []cell {
	n := len(t.head)
	if len(row) > n {
		for _, c := range row[n:] {
			if strings.TrimSpace(c.text) != "" {
				hint := fmt.Sprintf("the header has %d columns; put quotes around a cell that holds a %s", n, separatorName(t.comma))
				r.fail(t.at(&c), "ragged-row", fmt.Sprintf("a row with %d cells", len(row)), hint)
				break
			}
		}
		return row[:n]
	}
	if len(row) < n {
		last := row[len(row)-1]
		r.fail(t.at(&row[0]), "ragged-row", fmt.Sprintf("a row with %d of %d cells", len(row), n), fmt.Sprintf("fill it up with %ss; a blank cell is a missing value", separatorName(t.comma)))
		for len(row) < n {
			row = append(row, cell{line: last.line, column: last.column, width: last.width})
		}
	}
	return row
}

func isBlankRow(row []cell) bool {
	for _, c := range row {
		if strings.TrimSpace(c.text) != "" {
			return false
		}
	}
	return true
}

// trimRow drops the empty columns that spreadsheets leave at the right.
func trimRow(row []cell) []cell {
	for len(row) > 0 && strings.TrimSpace(row[len(row)-1].text) == "" {
		row = row[:len(row)-1]
	}
	return row
}

func separator(s string) rune {
	candidates := [...]rune{',', ';', '\t'}
	var counts [len(candidates)]int
	quoted := false
	for _, c := range s {
		if c == '"' {
			quoted = !quoted
		}
		if (c == '\n' || c == '\r') && !quoted {
			break
		}
		if i := slices.Index(candidates[:], c); i >= 0 && !quoted {
			counts[i]++
		}
	}
	return candidates[slices.Index(counts[:], slices.Max(counts[:]))]
}

func separatorName(c rune) string {
	switch c {
	case ';':
		return "semicolon"
	case '\t':
		return "tab"
	}
	return "comma"
}

// detected notes what is not the plain form, so that nobody wonders.
func (r *reader) detected(t *table, s string, bom bool) {
	var found []string
	if t.comma != ',' {
		found = append(found, separatorName(t.comma)+"s between cells")
	}
	if t.comma != ',' || strings.Contains(s, `"`) { // else no cell holds a comma
		t.findCommas()
	}
	if t.dotted {
		found = append(found, "decimal commas")
	}
	if bom {
		found = append(found, "a byte order mark")
	}
	if strings.Contains(s, "\r\n") {
		found = append(found, "line ends of Windows")
	}
	if len(found) > 0 {
		r.say(diag.Note, place{pos: diag.Pos{File: t.file}}, "table-format", "read with "+strings.Join(found, ", "), "", "")
	}
}

// findCommas looks for numbers with a decimal comma.
func (t *table) findCommas() {
	for _, row := range t.rows {
		for i := range row {
			if text := row[i].text; !t.sure && strings.Count(text, ",") == 1 {
				_, err := parseNumber(text, &cellStyle{})
				t.dotted = t.dotted || err == nil
				t.sure = err == nil && !thousands.MatchString(text)
			}
		}
	}
}

// csvParser walks through a text. Its columns count characters.
type csvParser struct {
	r            *reader
	file         diag.File
	rest         string
	comma        rune
	line, column int
}

func (p *csvParser) done() bool { return p.rest == "" }

func (p *csvParser) pos() diag.Pos {
	return diag.At(p.file, p.line, p.column)
}

// skip passes over n bytes of one line.
func (p *csvParser) skip(n int) {
	p.column += runes(p.rest[:n])
	p.rest = p.rest[n:]
}

// next takes one character; \r\n and \r count as \n.
func (p *csvParser) next() rune {
	c, size := utf8.DecodeRuneInString(p.rest)
	p.rest = p.rest[size:]
	if c == '\r' {
		p.rest = strings.TrimPrefix(p.rest, "\n")
		c = '\n'
	}
	p.column++
	if c == '\n' {
		p.line, p.column = p.line+1, 1
	}
	return c
}

// lineEnd is how many bytes the line still has.
func (p *csvParser) lineEnd() int {
	if n := strings.IndexAny(p.rest, "\r\n"); n >= 0 {
		return n
	}
	return len(p.rest)
}

// declared takes a first line such as sep=; that spreadsheets write and read,
// and returns its separator, or 0.
func (p *csvParser) declared() rune {
	line := p.rest[:p.lineEnd()]
	s := strings.Trim(strings.TrimRight(line, " "), `"`)
	for _, c := range []rune{',', ';', '\t'} {
		if strings.EqualFold(s, "sep="+string(c)) {
			p.skip(len(line))
			return c
		}
	}
	return 0
}

// skipComments passes over lines that are blank or start with # before the
// header.
func (p *csvParser) skipComments() {
	for !p.done() {
		end := p.lineEnd()
		s := strings.TrimSpace(p.rest[:end])
		if s != "" && s[0] != '#' && !strings.HasPrefix(s, `"#`) {
			return
		}
		p.skip(end)
		if !p.done() {
			p.next()
		}
	}
}

// lines is about how many lines are left: a quoted cell may hold some of them.
func (p *csvParser) lines() int {
	n := strings.Count(p.rest, "\n")
	if n == 0 {
		n = strings.Count(p.rest, "\r")
	}
	return n + 1
}

// row reads cells to the end of the line; about n are expected.
func (p *csvParser) row(n int) ([]cell, bool) {
	if n == 0 { // the header tells
		n = 1 + strings.Count(p.rest[:p.lineEnd()], string(p.comma))
	}
	row := p.r.work.cells.take(n)[:0] // a longer one moves to a place of its own
	for {
		c, more, ok := p.cell()
		if !ok {
			return nil, false
		}
		row = append(row, c)
		if !more {
			return row, true
		}
		if len(row) > maxColumns {
			for !p.done() && p.next() != '\n' { // the rest of an absurd line
			}
			return row, true
		}
	}
}

// cell reads one cell and reports whether another follows on the line.
func (p *csvParser) cell() (c cell, more, ok bool) {
	start := p.pos()
	c.line, c.column = start.Line, start.Column
	quoted := strings.HasPrefix(p.rest, `"`)
	if quoted {
		if c.text, ok = p.quoted(start); !ok {
			return c, false, false
		}
		if p.line == int(start.Line) { // else it is measured from the line
			c.width = int32(p.column) - start.Column
		}
	}
	end := 0
	for end < len(p.rest) && rune(p.rest[end]) != p.comma && p.rest[end] != '\n' && p.rest[end] != '\r' {
		end++
	}
	rest := p.rest[:end]
	width := runes(rest)
	p.column, p.rest = p.column+width, p.rest[end:]
	switch {
	case p.done():
	case rune(p.rest[0]) == p.comma:
		p.column, p.rest, more = p.column+1, p.rest[1:], true
	default:
		p.next()
	}
	if quoted {
		c.text = csvcell.Plain(c.text + rest)
		return c, more, true
	}
	c.text = rest
	if text := strings.TrimSpace(rest); len(text) == len(rest) {
		c.width = int32(width)
	} else if text != "" {
		c.column += int32(runes(rest[:strings.Index(rest, text)]))
		c.width = int32(runes(text))
	}
	if strings.HasPrefix(c.text, "'") {
		c.text = csvcell.Plain(c.text)
	}
	return c, more, true
}

// quoted reads what stands between quotes, and reports one that is never closed
// and text that follows. start is where the cell begins.
func (p *csvParser) quoted(start diag.Pos) (string, bool) {
	p.next()
	var b strings.Builder
	for {
		if p.done() {
			p.r.fail(place{start, 1}, "open-quote", "a quote that opens here is never closed", `close it with ", or double it where it stands in a text`)
			return "", false
		}
		if ch := p.next(); ch != '"' {
			b.WriteRune(ch)
			continue
		}
		if !strings.HasPrefix(p.rest, `"`) {
			break
		}
		p.next()
		b.WriteRune('"')
	}
	if !p.done() && rune(p.rest[0]) != p.comma && !strings.ContainsRune("\n\r ", rune(p.rest[0])) {
		p.r.fail(place{p.pos(), 1}, "bad-quote", "text follows the closing quote of a cell", `double a quote that stands in a text: ""`)
		return "", false
	}
	return b.String(), true
}
