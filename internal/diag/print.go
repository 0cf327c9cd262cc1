package diag

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Options says how Print shows a list.
type Options struct {
	Max    int    // most messages to show; 0 shows all
	Colour bool   // ANSI colours
	Ending string // said after the count when there are errors; "" is "nothing was read"
}

// columns is the width that is filled with source lines and hints.
const columns = 80

// Print writes the list, sorted and without doubles, then how many there were.
// Nothing is written for an empty list.
//
//	trout.yaml:14:16: error: a temperature needs its unit
//	   14 |     set_point: 52
//	      |                ^^ write 52 °C or 52 °F
//	1 error; nothing was read
func Print(w io.Writer, l List, o Options) error {
	if len(l) == 0 {
		return nil
	}
	sorted := l.Sorted()
	shown, more := sorted.Limited(o.Max)
	p := printer{w: bufio.NewWriter(w), colour: o.Colour}
	for _, m := range shown {
		p.message(m)
	}
	if more > 0 {
		p.line(fmt.Sprintf("… and %d more (--max-errors 0 shows all)", more))
	}
	p.line(closing(sorted, o.Ending))
	return p.w.Flush()
}

// closing is the last line: "2 errors, 1 warning; nothing was read".
func closing(l List, ending string) string {
	var parts []string
	for s := Error; s <= Note; s++ {
		if n := l.Count(s); n == 1 {
			parts = append(parts, "1 "+s.String())
		} else if n > 1 {
			parts = append(parts, strconv.Itoa(n)+" "+s.String()+"s")
		}
	}
	out := strings.Join(parts, ", ")
	if l.HasErrors() {
		if ending == "" {
			ending = "nothing was read"
		}
		out += "; " + Clean(ending)
	}
	return out
}

type printer struct {
	w      *bufio.Writer
	colour bool
}

// The bufio.Writer keeps the first error for Flush.
func (p *printer) line(s string) { fmt.Fprintln(p.w, s) }

const (
	bold   = "1"
	red    = "1;31"
	yellow = "1;33"
	cyan   = "1;36"
)

func (p *printer) paint(code, s string) string {
	if !p.colour || s == "" {
		return s
	}
	return "\x1b[" + code + "m" + s + "\x1b[0m"
}

func severityColour(s Severity) string {
	switch s {
	case Error:
		return red
	case Warning:
		return yellow
	}
	return cyan
}

func (p *printer) message(m Message) {
	tint := severityColour(m.Severity)
	p.head(m.Pos, m.Severity, m.Text)
	hint := m.Hint
	if hint == "" {
		hint = m.Expected
	}
	p.source(m.Pos, m.Width, m.Source, Clean(hint), tint)
	for _, n := range m.Notes {
		p.head(n.Pos, Note, n.Text)
		p.source(n.Pos, n.Width, n.Source, "", cyan)
	}
}

// head is the place, the severity and the text, which goes on below where the
// line is full.
func (p *printer) head(at Pos, s Severity, text string) {
	start, used := p.paint(severityColour(s), s.String()+":"), Width(s.String())+1
	if !at.IsZero() {
		where := Clean(at.String()) + ":"
		start, used = p.paint(bold, where)+" "+start, used+Width(where)+1
	}
	lines := wrapAfter(KeepUnits(Clean(text)), columns-used-1, columns-4)
	if lines[0] != "" {
		start += " " + lines[0]
	}
	p.line(start)
	for _, l := range lines[1:] {
		p.line("    " + l)
	}
}

// source shows the line with a caret and the hint beside it, or under it where
// there is no room beside.
func (p *printer) source(at Pos, width int, line, hint, tint string) {
	if line == "" || at.Line <= 0 {
		for _, h := range Wrap(KeepUnits(hint), columns-4) {
			p.line("    " + h)
		}
		return
	}
	number := fmt.Sprintf("%5d | ", at.Line)
	gutter := strings.Repeat(" ", len(number)-2) + "| "
	room := columns - len(number)
	if at.Column <= 0 {
		text, _, _ := window(cells(line), 0, 0, room)
		p.line(number + strings.TrimRight(text, " "))
		for _, h := range Wrap(KeepUnits(hint), room) {
			p.line(gutter + h)
		}
		return
	}
	from := int(at.Column) - 1
	text, before, under := window(cells(line), from, from+max(width, 1), room)
	before = min(before, room-1)
	under = min(under, room-before)
	p.line(number + strings.TrimRight(text, " "))
	caret := gutter + strings.Repeat(" ", before) + p.paint(tint, strings.Repeat("^", under))
	if hint == "" {
		p.line(caret)
		return
	}
	if before+under+1+Width(hint) <= room {
		p.line(caret + " " + hint)
		return
	}
	p.line(caret)
	for _, h := range Wrap(KeepUnits(hint), room) {
		p.line(gutter + h)
	}
}
