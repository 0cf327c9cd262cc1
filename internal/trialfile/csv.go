package trialfile

import (
	"fmt"
	"strings"

	"tamis/internal/csvcell"
	"tamis/internal/diag"
)

// table is a parsed CSV file.
type table struct {
	file   string // in messages
	head   []cell
	rows   [][]cell
	comma  rune
	dotted bool // some cell has a decimal comma
	broken bool // a fault was reported that makes the rest unsure
}

// cell is one field with its place, which is that of its first character that
// is no blank. Columns and widths count characters.
type cell struct {
	text string
	at   place
}

// parseCSV cuts text into a head and rows. The separator is the one of comma,
// semicolon and tab that the header has most of, outside quotes.
func (r *reader) parseCSV(file, s string, bom bool) *table {
	t := &table{file: file}
	p := csvParser{r: r, file: file, rest: []rune(s), line: 1, column: 1}
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
		for i := range row {
			row[i].text = csvcell.Plain(row[i].text)
		}
		switch {
		case isBlankRow(row):
		case t.head == nil:
			if len(row) > maxColumns {
				r.fail(place{pos: diag.Pos{File: file, Line: row[0].at.pos.Line}}, "too-large", fmt.Sprintf("the table has more than %d columns", maxColumns), "leave out what is not needed")
				return nil
			}
			t.head = trimRow(row)
		case len(t.rows) == maxRows:
			r.fail(row[0].at, "too-large", fmt.Sprintf("the table has more than %d rows", maxRows), "split it, or thin out the log")
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
	r.detected(t, bom, strings.Contains(s, "\r\n"))
	return t
}

// fit makes a row as long as the header, and reports one that is not.
func (r *reader) fit(t *table, row []cell) []cell {
	n := len(t.head)
	if len(row) > n {
		for _, c := range row[n:] {
			if strings.TrimSpace(c.text) != "" {
				hint := fmt.Sprintf("the header has %d columns; put quotes around a cell that holds a %s", n, separatorName(t.comma))
				r.fail(c.at, "ragged-row", fmt.Sprintf("a row with %d cells", len(row)), hint)
				break
			}
		}
		return row[:n]
	}
	if len(row) < n {
		last := row[len(row)-1]
		r.fail(row[0].at, "ragged-row", fmt.Sprintf("a row with %d of %d cells", len(row), n), fmt.Sprintf("fill it up with %ss; a blank cell is a missing value", separatorName(t.comma)))
		for len(row) < n {
			row = append(row, cell{at: last.at})
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

func separator(s []rune) rune {
	counts := map[rune]int{}
	quoted := false
	for _, c := range s {
		if c == '"' {
			quoted = !quoted
		}
		if (c == '\n' || c == '\r') && !quoted {
			break
		}
		if !quoted {
			counts[c]++
		}
	}
	best := ','
	for _, c := range []rune{';', '\t'} {
		if counts[c] > counts[best] {
			best = c
		}
	}
	return best
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
func (r *reader) detected(t *table, bom, crlf bool) {
	var found []string
	if t.comma != ',' {
		found = append(found, separatorName(t.comma)+"s between cells")
	}
	for _, row := range t.rows {
		for _, c := range row {
			if !t.dotted && strings.Count(c.text, ",") == 1 {
				_, err1 := parseNumber(c.text, &cellStyle{})
				t.dotted = err1 == nil
			}
		}
	}
	if t.dotted {
		found = append(found, "decimal commas")
	}
	if bom {
		found = append(found, "a byte order mark")
	}
	if crlf {
		found = append(found, "line ends of Windows")
	}
	if len(found) > 0 {
		r.say(diag.Note, place{pos: diag.Pos{File: t.file}}, "table-format", "read with "+strings.Join(found, ", "), "", "")
	}
}

type csvParser struct {
	r            *reader
	file         string
	rest         []rune
	comma        rune
	line, column int
}

func (p *csvParser) done() bool { return len(p.rest) == 0 }

func (p *csvParser) pos() diag.Pos {
	return diag.Pos{File: p.file, Line: p.line, Column: p.column}
}

// next takes one character; \r\n and \r count as \n.
func (p *csvParser) next() rune {
	c := p.rest[0]
	p.rest = p.rest[1:]
	if c == '\r' {
		if len(p.rest) > 0 && p.rest[0] == '\n' {
			p.rest = p.rest[1:]
		}
		c = '\n'
	}
	p.column++
	if c == '\n' {
		p.line, p.column = p.line+1, 1
	}
	return c
}

// declared takes a first line such as sep=; that spreadsheets write and read,
// and returns its separator, or 0.
func (p *csvParser) declared() rune {
	var line []rune
	for _, c := range p.rest {
		if c == '\n' || c == '\r' || len(line) > 8 {
			break
		}
		line = append(line, c)
	}
	s := strings.Trim(strings.TrimRight(string(line), " "), `"`)
	for _, c := range []rune{',', ';', '\t'} {
		if strings.EqualFold(s, "sep="+string(c)) {
			for range line {
				p.next()
			}
			return c
		}
	}
	return 0
}

// skipComments passes over lines that are blank or start with # before the
// header.
func (p *csvParser) skipComments() {
	for !p.done() {
		end := 0
		for end < len(p.rest) && p.rest[end] != '\n' && p.rest[end] != '\r' {
			end++
		}
		s := strings.TrimSpace(string(p.rest[:end]))
		if s != "" && s[0] != '#' && !strings.HasPrefix(s, `"#`) {
			return
		}
		for range end {
			p.next()
		}
		if !p.done() {
			p.next()
		}
	}
}

// row reads cells to the end of the line; about n are expected.
func (p *csvParser) row(n int) ([]cell, bool) {
	row := make([]cell, 0, n)
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
	c.at.pos = start
	var b strings.Builder
	quoted := !p.done() && p.rest[0] == '"'
	if quoted {
		p.next()
		for {
			if p.done() {
				p.r.fail(place{start, 1}, "open-quote", "a quote that opens here is never closed", `close it with ", or double it where it stands in a text`)
				return c, false, false
			}
			ch := p.next()
			if ch != '"' {
				b.WriteRune(ch)
				continue
			}
			if p.done() || p.rest[0] != '"' {
				break
			}
			p.next()
			b.WriteRune('"')
		}
		if p.line == start.Line { // else it is measured from the line
			c.at.width = p.column - start.Column
		}
		if !p.done() && p.rest[0] != p.comma && p.rest[0] != '\n' && p.rest[0] != '\r' && p.rest[0] != ' ' {
			p.r.fail(place{p.pos(), 1}, "bad-quote", "text follows the closing quote of a cell", `double a quote that stands in a text: ""`)
			return c, false, false
		}
	}
	for !p.done() {
		ch := p.next()
		if ch == p.comma || ch == '\n' {
			more = ch == p.comma
			break
		}
		b.WriteRune(ch)
	}
	c.text = b.String()
	if text := strings.TrimSpace(c.text); !quoted && text != "" {
		c.at.pos.Column += runes(c.text[:strings.Index(c.text, text)])
		c.at.width = runes(text)
	}
	return c, more, true
}
