package cli

import (
	"strings"

	"tamis/internal/answer"
	"tamis/internal/quantity"
)

// heatTable prints a table in blocks of as many set points as fit beside each
// other: in each cell the time and under it the verdict.
func (f *fitText) heatTable(t *answer.HeatTable) {
	f.heading("Time in the bath, and who may eat it then")
	const wide, head = 15, 12
	n := max(1, (columns-2-head)/(wide+1))
	points := len(t.SetPoints)
	for from := 0; from < points; from += n {
		to := min(points, from+n)
		f.blank()
		line := "  " + pad("", head)
		for _, s := range t.SetPoints[from:to] {
			line += " " + pad(f.temperature(s), wide)
		}
		f.line(line)
		for row, mm := range t.Thicknesses {
			first := "  " + pad(quantity.Millimetres(mm).Format(f.sys), head)
			second := "  " + pad("", head)
			for col := from; col < to; col++ {
				c := t.Cells[row*points+col]
				first += " " + pad(f.minutes(c.Minutes), wide)
				second += " " + pad(c.Word, wide)
			}
			f.line(first)
			if strings.TrimSpace(second) != "" {
				f.line(second)
			}
		}
	}
	f.blank()
	f.list(t.Notes)
}
