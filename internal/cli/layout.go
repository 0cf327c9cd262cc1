package cli

import (
	"strings"

	"tamis/internal/diag"
)

// columns is the width of a line on the terminal.
const columns = 80

// cells is the number of terminal cells of a text.
func cells(s string) int { return diag.Width(s) }

// wrapHanging is diag.Wrap with a first line that is narrower, by so many cells, than
// the others; where it is wider all are as wide as the others.
func wrapHanging(text string, wide, narrower int) []string {
	text = strings.TrimLeft(text, " \n\t")
	word := text
	if i := strings.IndexAny(text, " \n\t"); i >= 0 {
		word = text[:i]
	}
	if narrower <= 0 {
		return diag.Wrap(text, wide)
	}
	if narrower+cells(word) > wide {
		return diag.Wrap(text, wide-narrower)
	}
	lines := diag.Wrap(strings.Repeat("\u00a0", narrower)+text, wide)
	if len(lines) > 0 {
		lines[0] = lines[0][min(len(lines[0]), narrower):]
	}
	return lines
}

// pad fills a text with spaces to so many cells.
func pad(s string, wide int) string { return s + strings.Repeat(" ", max(0, wide-cells(s))) }

// hanging breaks a message between words, with lines after the first indented. A
// word longer than a line, such as a path, stays whole, to be copied.
func hanging(text, indent string) string {
	var b strings.Builder
	n := 0
	for i, word := range strings.Split(diag.KeepUnits(text), " ") {
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
