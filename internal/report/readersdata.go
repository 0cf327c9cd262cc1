package report

import (
	"bytes"
	"encoding/csv"
	"html/template"
	"net/url"
	"path"
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
				line[1] = exact(c.SetPoint.V.Celsius())
			}
			if d, ok := c.BathTime(); ok {
				line[2] = exact(d.Minutes())
			}
			line[5] = label[[2]int{o.Cook, o.Piece}]
			if o.Piece >= 0 && o.Piece < len(c.Pieces) {
				line[3], line[4] = c.Pieces[o.Piece].ID, c.Pieces[o.Piece].Source.V
			} else if len(c.Pieces) == 1 {
				line[3], line[4] = c.Pieces[0].ID, c.Pieces[0].Source.V
			}
			line[6], line[7], line[8], line[9] = m.Name, number[o.Assessor], c.Session.V, exact(o.Value)
			if o.LeftOut {
				line[10] = "yes"
			}
			for i := range line {
				line[i] = inert(line[i])
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
