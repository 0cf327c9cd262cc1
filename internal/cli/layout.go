package cli

import (
	"strings"

	"tamis/internal/diag"
)

// columns is the width of a line on the terminal.
const columns = 80

// cells is the number of terminal cells of a text.
func cells(s string) int { return diag.Width(s) }

// wrap breaks text into lines of at most wide cells, between words where it
// can and inside a word that is longer than a line. Non-breaking spaces do not
// break; they come out as plain ones.
func wrap(text string, wide int) []string {
	var lines []string
	line, n := "", 0
	flush := func() {
		if n > 0 {
			lines = append(lines, strings.ReplaceAll(line, "\u00a0", " "))
		}
		line, n = "", 0
	}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		if n > 0 && n+1+cells(word) > wide {
			flush()
		}
		for cells(word) > wide { // only at the start of a line
			head, rest := cut(word, wide)
			lines = append(lines, strings.ReplaceAll(head, "\u00a0", " "))
			word = rest
		}
		if n > 0 {
			line, n = line+" "+word, n+1+cells(word)
		} else {
			line, n = word, cells(word)
		}
	}
	flush()
	return lines
}

// wrapHanging is wrap with a first line that is narrower, by so many cells, than
// the others; where it is wider all are as wide as the others.
func wrapHanging(text string, wide, narrower int) []string {
	text = strings.TrimLeft(text, " \n\t")
	word := text
	if i := strings.IndexAny(text, " \n\t"); i >= 0 {
		word = text[:i]
	}
	if narrower <= 0 {
		return wrap(text, wide)
	}
	if narrower+cells(word) > wide {
		return wrap(text, wide-narrower)
	}
	lines := wrap(strings.Repeat("\u00a0", narrower)+text, wide)
	if len(lines) > 0 {
		lines[0] = lines[0][min(len(lines[0]), narrower):]
	}
	return lines
}

// cut splits a text after at most wide cells, and after one character at least.
func cut(s string, wide int) (head, rest string) {
	n := 0
	for i, r := range s {
		n += cells(string(r))
		if n > wide && i > 0 {
			return s[:i], s[i:]
		}
	}
	return s, ""
}

// pad fills a text with spaces to so many cells.
func pad(s string, wide int) string { return s + strings.Repeat(" ", max(0, wide-cells(s))) }

// keepUnits puts a non-breaking space between a number and the unit after it,
// so that they stay on one line.
func keepUnits(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			sep := " "
			if units[strings.Trim(w, ".,;:()")] && endsInDigit(words[i-1]) {
				sep = "\u00a0"
			}
			b.WriteString(sep)
		}
		b.WriteString(w)
	}
	return b.String()
}

var units = map[string]bool{"°C": true, "°F": true, "K": true, "mm": true, "cm": true, "in": true, "min": true, "h": true,
	"s": true, "d": true, "g": true, "kg": true, "oz": true, "lb": true, "%": true, "N": true, "°": true}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

// hanging breaks a message between words, with lines after the first indented. A
// word longer than a line, such as a path, stays whole, to be copied.
func hanging(text, indent string) string {
	var b strings.Builder
	n := 0
	for i, word := range strings.Split(keepUnits(text), " ") {
		word = strings.ReplaceAll(word, "\u00a0", " ")
		switch {
		case i == 0:
		case n+1+cells(word) > columns:
			b.WriteString("\n" + indent)
			n = cells(indent)
		default:
			b.WriteByte(' ')
			n++
		}
		b.WriteString(word)
		n += cells(word)
	}
	return b.String()
}
