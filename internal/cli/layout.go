package cli

import (
	"strings"
	"unicode/utf8"
)

// columns is the width of a line on the terminal.
const columns = 80

// wrap breaks text into lines of at most width characters. A word that is
// longer stands alone. Non-breaking spaces keep a number with its unit.
func wrap(text string, width int) []string {
	var lines []string
	line, n := "", 0
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		w := utf8.RuneCountInString(word)
		switch {
		case n == 0:
			line, n = word, w
		case n+1+w <= width:
			line, n = line+" "+word, n+1+w
		default:
			lines = append(lines, line)
			line, n = word, w
		}
	}
	if n > 0 {
		lines = append(lines, line)
	}
	return lines
}

// keepUnits puts a non-breaking space between a number and what follows it
// where that is a unit.
func keepUnits(s string) string {
	for _, u := range []string{"°C", "°F", "mm", "min", "g", "%", "N", "h"} {
		for d := '0'; d <= '9'; d++ {
			for _, end := range []string{" ", ".", ",", ";", ")"} {
				s = strings.ReplaceAll(s, string(d)+" "+u+end, string(d)+"\u00a0"+u+end)
			}
		}
	}
	return s
}

// grid is a table of text whose columns are as wide as they need to be; numbers
// stand to the right.
type grid struct {
	head  []string
	rows  [][]string
	right []bool
}

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

// lines renders the table with an indent. Columns that do not fit into the
// width are left out from the right, never cut.
func (g *grid) lines(indent string) []string {
	n := len(g.head)
	width := make([]int, n)
	for i, h := range g.head {
		width[i] = utf8.RuneCountInString(h)
	}
	for _, r := range g.rows {
		for i := 0; i < n && i < len(r); i++ {
			width[i] = max(width[i], utf8.RuneCountInString(r[i]))
		}
	}
	total := utf8.RuneCountInString(indent)
	show := 0
	for show < n {
		next := total + width[show]
		if show > 0 {
			next += 2
		}
		if next > columns && show > 0 {
			break
		}
		total = next
		show++
	}
	line := func(cells []string) string {
		var b strings.Builder
		b.WriteString(indent)
		for i := 0; i < show; i++ {
			c := ""
			if i < len(cells) {
				c = cells[i]
			}
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(c))
			if i > 0 {
				b.WriteString("  ")
			}
			if i < len(g.right) && g.right[i] {
				b.WriteString(pad + c)
			} else {
				b.WriteString(c + pad)
			}
		}
		return strings.TrimRight(b.String(), " ")
	}
	out := []string{line(g.head)}
	for _, r := range g.rows {
		out = append(out, line(r))
	}
	return out
}
