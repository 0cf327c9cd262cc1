package report

import (
	"math"
	"slices"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/texture"
)

// profileFigure is the mean of each taster at each set point, printed in a field
// whose tone says how far it lies below or above the mean of the tasters there: a
// row of one tone is another use of the scale, which cancels when set points are
// compared, and a row that changes tone tells another story. ok is false where
// fewer than two tasters scored two set points or more.
func profileFigure(r *answer.Result, m *texture.Measure) (f figure.Figure, ok bool) {
	if m.Panel == nil {
		return f, false
	}
	sum, n := map[float64]float64{}, map[float64]float64{}
	var tasters []texture.AssessorLine
	for _, a := range m.Panel.Assessors {
		x, y := profileOf(a)
		if len(x) < 2 {
			continue
		}
		tasters = append(tasters, a)
		for i := range x {
			sum[x[i]] += y[i]
			n[x[i]]++
		}
	}
	if len(tasters) < 2 {
		return f, false
	}
	var set []float64
	for x := range n {
		set = append(set, x)
	}
	slices.Sort(set)
	columns, rows := make([]figure.Text, len(set)), make([]figure.Text, len(tasters))
	for i, x := range set {
		columns[i] = both(answer.Say(answer.Quantity{Kind: answer.Temperature, Value: x, Digits: 1}))
	}
	h := figure.Heat{Label: figure.Same("mean")}
	most := 0.0
	digits := profileDigits(tasters)
	for k, a := range tasters {
		rows[k] = figure.Same(plain(a.Assessor))
		x, y := profileOf(a)
		for i := range x {
			off := round4(y[i] - sum[x[i]]/n[x[i]])
			most = math.Max(most, math.Abs(off))
			h.Cells = append(h.Cells, figure.Cell{Col: slices.Index(set, x[i]), Row: k, Value: off, Text: figure.FormatNumber(y[i], digits)})
		}
	}
	h.Low, h.High = -most, most
	f = figure.Figure{ID: "profiles-" + slug(m.Name), X: figure.Category("Set point", columns...), Y: figure.Category("Taster", rows...), Layers: []figure.Layer{h}}
	f.Title = figure.Same(profileTitle(m))
	f.Caption = figure.Same("Each taster's own mean of " + plain(m.Name) + scaleWords(m) + ", over all else that was varied. The tone says how far it lies below (cool) or above (warm) the mean of the tasters at that set point, up to " +
		figure.FormatNumber(most, digits) + ". A row of one tone uses the scale otherwise, which cancels when set points are compared; a row that changes its tone found something else.")
	f.Desc = both(answer.Say("A table of ", count(len(tasters), "taster"), " by ", count(len(set), "set point"), ": mean "+plain(m.Name)+", toned by the distance from the mean of the tasters. The numbers are in the table below."))
	f.Footer = footer(r)
	return f, true
}

// profileOf are the set points and means of one taster, coldest first.
func profileOf(a texture.AssessorLine) (x, y []float64) {
	for _, c := range a.Means {
		if v, known := c.SetPoint.Get(); known {
			x, y = append(x, round4(v)), append(y, round4(c.Mean))
		}
	}
	return x, y
}

// profileDigits are the decimals of a taster's mean: one on a scale of whole
// numbers, as many as tell the means apart otherwise.
func profileDigits(tasters []texture.AssessorLine) int {
	most := 0.0
	for _, a := range tasters {
		_, y := profileOf(a)
		for _, v := range y {
			most = math.Max(most, math.Abs(v))
		}
	}
	if most >= 100 {
		return 0
	}
	return 1
}

// scaleWords name the scale of a measure that has one, or its unit.
func scaleWords(m *texture.Measure) string {
	switch {
	case len(m.Scale) == 2:
		return ", scale " + short(m.Scale[0]) + " to " + short(m.Scale[1])
	case m.Unit != "":
		return ", " + plain(m.Unit)
	}
	return ""
}

// profileTitle states who does not go along.
func profileTitle(m *texture.Measure) string {
	name := plain(m.Name)
	against, flat := plainList(m.Panel.OutOfStep), plainList(m.Panel.Flat)
	switch {
	case against != "" && flat != "":
		return capital(name) + ": " + against + " scored against the rest, " + flat + " told nothing apart"
	case against != "":
		return capital(name) + ": " + against + " scored against the rest of the panel"
	case flat != "":
		return capital(name) + ": " + flat + " told nothing apart"
	}
	return "No taster scored " + name + " against the rest of the panel"
}
