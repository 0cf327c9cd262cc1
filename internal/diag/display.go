package diag

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

const (
	replacement = "\uFFFD"
	tabStop     = 4
)

// Clean makes text from a file safe to show: line breaks and tabs become
// spaces; control characters, direction marks, other invisible format
// characters and bytes that are not UTF-8 become the replacement character.
func Clean(s string) string {
	if !strings.ContainsFunc(s, func(r rune) bool { return r == utf8.RuneError || !plain(r) }) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			b.WriteByte(' ')
		case r == utf8.RuneError || !plain(r):
			b.WriteString(replacement)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// plain reports whether a terminal shows r without doing anything else. Line
// and paragraph separators move the cursor on some.
func plain(r rune) bool {
	return !unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Cs, unicode.Zl, unicode.Zp)
}

// cell is one character of a line as it is shown.
type cell struct {
	text  string
	width int
}

// cells lays out a line. Each character of the line is one cell, so that a
// column of the file is an index here; tabs go to the next multiple of four.
func cells(line string) []cell {
	out := make([]cell, 0, len(line))
	at := 0
	for _, r := range line {
		c := cell{string(r), runeWidth(r)}
		switch {
		case r == '\t':
			n := tabStop - at%tabStop
			c = cell{strings.Repeat(" ", n), n}
		case r == utf8.RuneError || !plain(r):
			c = cell{replacement, 1}
		}
		out = append(out, c)
		at += c.width
	}
	return out
}

// runeWidth is the number of columns that a terminal gives to r: two for wide
// characters and pictures, none for marks that sit on the character before.
func runeWidth(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r >= 0x1F300 && r <= 0x1FAFF: // pictures, which terminals draw wide
		return 2
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// Width is the number of columns that a terminal gives to s, which must be clean
// (see Clean).
func Width(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

// window cuts a long line to room columns around the underlined characters
// from, to (indices into cs) and returns what to show, the columns before the
// caret and the columns of the underline.
func window(cs []cell, from, to, room int) (text string, before, under int) {
	total := 0
	for _, c := range cs {
		total += c.width
	}
	start, end := 0, len(cs)
	if total > room {
		start, end = cut(cs, min(from, len(cs)), min(to, len(cs)), room-2)
	}
	var b strings.Builder
	if start > 0 {
		b.WriteString("…")
		before++
	}
	for i := start; i < end; i++ {
		b.WriteString(cs[i].text)
		switch {
		case i < from:
			before += cs[i].width
		case i < to:
			under += cs[i].width
		}
	}
	if end < len(cs) {
		b.WriteString("…")
	}
	if from > end { // beyond the end of the line
		before += from - max(end, start)
	}
	return b.String(), before, max(under, 1)
}

// cut finds the stretch of at most room columns that shows the start of the
// underline with about a third of the room before it.
func cut(cs []cell, from, to, room int) (start, end int) {
	start, used := from, 0
	for end = from; end < to && used+cs[end].width <= room; end++ {
		used += cs[end].width
	}
	for lead := 0; start > 0 && used+cs[start-1].width <= room && (lead < room/3 || end == len(cs)); {
		start--
		lead += cs[start].width
		used += cs[start].width
	}
	for end < len(cs) && used+cs[end].width <= room {
		used += cs[end].width
		end++
	}
	for start > 0 && used+cs[start-1].width <= room {
		start--
		used += cs[start].width
	}
	return start, end
}
