package report

import (
	"bytes"
	"encoding/csv"
	"html/template"
	"net/url"
	"path"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/trial"
)

// openData is every number of the trial as a link that holds a CSV file.
// Tasters appear by number.
func openData(t *trial.Trial, r *answer.Result) ([]save, string) {
	head := []string{"cook", "set_point_c", "bath_min", "piece", "source", "treatment", "measure", "taster", "session", "value", "left_out"}
	number := map[string]string{}
	for i, id := range t.AssessorIDs() {
		number[id] = "P" + strconv.Itoa(i+1)
	}
	rows := t.Layout()
	methods, code := trial.Methods(t.VariedFactors(rows), len(rows))
	label := map[[2]int]string{}
	for i, row := range rows {
		label[[2]int{row.Cook, row.Piece}] = methods[code[i]].Label
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write(head) // a buffer takes everything
	n := 0
	for _, m := range t.Measures {
		for _, o := range t.Observe(m).Rows {
			c := &t.Cooks[o.Cook]
			line := make([]string, len(head))
			line[0] = c.ID
			if c.SetPoint.Known {
				line[1] = shortest(c.SetPoint.V.Celsius())
			}
			if d, ok := c.BathTime(); ok {
				line[2] = shortest(d.Minutes())
			}
			line[5] = label[[2]int{o.Cook, o.Piece}]
			if o.Piece >= 0 && o.Piece < len(c.Pieces) {
				line[3], line[4] = c.Pieces[o.Piece].ID, c.Pieces[o.Piece].Source.V
			} else if len(c.Pieces) == 1 {
				line[3], line[4] = c.Pieces[0].ID, c.Pieces[0].Source.V
			}
			line[6], line[7], line[8], line[9] = m.Name, number[o.Assessor], c.Session.V, shortest(o.Value)
			if o.LeftOut {
				line[10] = "yes"
			}
			for i := range line {
				line[i] = asText(line[i])
			}
			_ = w.Write(line)
			n++
		}
	}
	w.Flush()
	if n == 0 {
		return nil, ""
	}
	name := strings.TrimSuffix(path.Base(clean(r.Trial.File)), path.Ext(clean(r.Trial.File)))
	return []save{{Name: slug(name) + ".csv", Words: "Save the data as a table (CSV, " + strconv.Itoa(n) + " rows)",
		Href: template.HTMLAttr(`href="data:text/csv;charset=utf-8,` + strings.ReplaceAll(url.QueryEscape(b.String()), "+", "%20") + `"`)}}, "One row for each number that was written down. Tasters appear by number."
}

// shortest is a number in as few digits as hold it.
func shortest(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }

// asText keeps a spreadsheet from running a cell as a formula: an apostrophe
// goes before it. Numbers stay numbers.
func asText(cell string) string {
	cell = clean(cell)
	if _, err := strconv.ParseFloat(cell, 64); err == nil {
		return cell
	}
	trimmed := []rune(strings.TrimLeft(cell, " \t\r\n"))
	if len(trimmed) > 0 && slices.Contains([]rune("=+-@|%＝＋－＠"), trimmed[0]) || strings.ContainsAny(cell[:min(1, len(cell))], "\t\r\n") {
		return "'" + cell
	}
	return cell
}
