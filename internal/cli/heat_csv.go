package cli

import (
	"encoding/csv"

	"tamis/internal/answer"
	"tamis/internal/csvcell"
	"tamis/internal/quantity"
)

// printHeatCSV prints the table, or else a row a cook. Metric units, always; what
// does not exist is NA.
func (a *app) printHeatCSV(h *answer.Heat) error {
	w := csv.NewWriter(a.out)
	rows := heatRows(h)
	for _, r := range rows {
		if err := w.Write(csvcell.InertRow(r)); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

func heatRows(h *answer.Heat) [][]string {
	if h.Table != nil {
		rows := [][]string{{"thickness_mm", "set_point_c", "minutes", "come_up_low", "come_up", "come_up_high", "verdict", "why", "word"}}
		for _, c := range h.Table.Cells {
			rows = append(rows, []string{bare(quantity.Num(c.Thickness)), bare(quantity.Num(c.SetPoint)), bare(c.Minutes),
				bare(c.ComeUp.Low), bare(c.ComeUp.Mid), bare(c.ComeUp.High), c.Verdict, c.Why, c.Word})
		}
		return rows
	}
	rows := [][]string{{"cook", "set_point_c", "thickness_mm", "minutes", "come_up_low", "come_up", "come_up_high", "hold_low", "hold", "hold_high",
		"core_low_c", "core_c", "core_high_c", "pasteurised_from", "verdict", "parasites", "log_bath_c", "log_bath_sd", "log_core_max_c", "log_arrived"}}
	for _, c := range h.Cooks {
		row := []string{c.Cook, bare(c.SetPoint), bare(c.Thickness), bare(c.Minutes), bare(c.ComeUp.Low), bare(c.ComeUp.Mid), bare(c.ComeUp.High),
			bare(c.Hold.Low), bare(c.Hold.Mid), bare(c.Hold.High), bare(c.CoreAtOut.Low), bare(c.CoreAtOut.Mid), bare(c.CoreAtOut.High),
			bare(c.PasteurisedFrom), c.Safety.Verdict, c.Parasites}
		if l := c.Log; l != nil {
			row = append(row, bare(l.BathMean), bare(l.BathSD), bare(l.CoreMax), bare(l.Arrived))
		} else {
			row = append(row, "NA", "NA", "NA", "NA")
		}
		rows = append(rows, row)
	}
	return rows
}

// bare is a number for a table, NA where there is none.
func bare(n quantity.Number) string {
	if !n.Known() {
		return "NA"
	}
	return n.String()
}
