package cli

import (
	"strings"

	"tamis/internal/diag"
)

// grid is a table of text whose columns are as wide as they need to be. A row
// without cells is an empty line; a new head starts a part with the same
// columns, so that the parts line up.
type grid struct {
	rows  [][]string
	right []bool // columns whose cells stand to the right
}

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

// lines renders the table with an indent. Where it is too wide for the
// terminal, the first column gives way: its text is wrapped onto lines of its
// own. A cell is never cut and no column is left out.
func (g *grid) lines(indent string) []string {
	wide := g.widths()
	if len(wide) == 0 {
		return nil
	}
	rest := 0
	for _, w := range wide[1:] {
		rest += 2 + w
	}
	room := max(10, columns-cells(indent)-rest)
	wide[0] = min(wide[0], room)
	var out []string
	for _, row := range g.rows {
		if len(row) == 0 {
			out = append(out, "")
			continue
		}
		first := diag.Wrap(row[0], wide[0])
		if len(first) == 0 {
			first = []string{""}
		}
		for _, l := range first[:len(first)-1] {
			out = append(out, indent+l)
		}
		line := indent + pad(first[len(first)-1], wide[0])
		for i, c := range row[1:] {
			fill := strings.Repeat(" ", max(0, wide[i+1]-cells(c)))
			if i+1 < len(g.right) && g.right[i+1] {
				line += "  " + fill + c
			} else {
				line += "  " + c + fill
			}
		}
		if line = strings.TrimRight(line, " "); cells(line) <= columns {
			out = append(out, line)
			continue
		}
		out = append(out, g.stacked(indent, row)...)
	}
	return out
}

// stacked gives a row whose cells do not fit beside each other, one under the
// other.
func (g *grid) stacked(indent string, row []string) []string {
	var out []string
	for i, c := range row {
		more := indent
		if i > 0 {
			more += "  "
		}
		for _, l := range diag.Wrap(c, columns-cells(more)) {
			out = append(out, more+l)
		}
	}
	return out
}

func (g *grid) widths() []int {
	var wide []int
	for _, row := range g.rows {
		for i, c := range row {
			if i == len(wide) {
				wide = append(wide, 0)
			}
			wide[i] = max(wide[i], cells(c))
		}
	}
	return wide
}
