package report

import (
	"math"
	"sort"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

// estimate is a row of a forest: a value with its interval, or why there is
// none.
type estimate struct {
	Name           figure.Text
	Mean, Low, Top quantity.Number
	Style          figure.Style
}

// forest draws estimates under each other on one axis, each with its interval.
// zero adds the line of no difference. What an estimate has no value for stands
// in its row in words. ok is false when no row has a value. Title, caption,
// description and footer are the caller's.
func forest(id string, axis figure.Text, rows []estimate, zero bool) (f figure.Figure, ok bool) {
	var seen []float64
	names := make([]figure.Text, len(rows))
	for i, e := range rows {
		names[i] = e.Name
		for _, n := range []quantity.Number{e.Mean, e.Low, e.Top} {
			if v, known := n.Get(); known && e.Mean.Known() {
				seen = append(seen, round4(v))
			}
		}
	}
	if zero {
		seen = append(seen, 0)
	}
	lo, hi, any := figure.Extent(seen)
	if zero && len(seen) == 1 || !any {
		return f, false
	}
	lo, hi = figure.Padded(lo, hi, 0.08)
	lo, hi = round4(lo), round4(hi)
	f = figure.Figure{ID: id, X: figure.Number("", "", lo, hi, 6), Y: figure.Category("", names...)}
	f.X.Label = axis
	if zero {
		f.Layers = append(f.Layers, figure.Threshold{Along: figure.AlongX, At: 0, Role: figure.Muted, Label: figure.Same("no difference")})
	}
	// A layer for each style, in the order of their first rows: bars, then points.
	var styles []figure.Style
	bars, points := map[figure.Style]*figure.ErrorBars{}, map[figure.Style]*figure.Points{}
	for i, e := range rows {
		mean, known := e.Mean.Get()
		if !known {
			f.Layers = append(f.Layers, figure.Note{X: lo, Y: float64(i), Text: figure.Same(clean(e.Mean.Reason())), Role: figure.Muted})
			continue
		}
		if points[e.Style] == nil {
			styles = append(styles, e.Style)
			bars[e.Style] = &figure.ErrorBars{Along: figure.AlongX, Style: e.Style}
			points[e.Style] = &figure.Points{Style: e.Style}
		}
		p := points[e.Style]
		p.X, p.Y = append(p.X, round4(mean)), append(p.Y, float64(i))
		p.Names = append(p.Names, figure.Same("estimate"))
		low, okLow := e.Low.Get()
		top, okTop := e.Top.Get()
		if okLow && okTop && low <= top {
			b := bars[e.Style]
			b.At, b.Low, b.High = append(b.At, float64(i)), append(b.Low, round4(low)), append(b.High, round4(top))
		}
	}
	for _, s := range styles {
		if len(bars[s].At) > 0 {
			f.Layers = append(f.Layers, *bars[s])
		}
	}
	for _, s := range styles {
		f.Layers = append(f.Layers, *points[s])
	}
	return f, true
}

// armsFigure is the means of what was compared with their intervals, by set
// point; methods differ by colour and mark.
func armsFigure(r *answer.Result, m *texture.Measure) (figure.Figure, bool) {
	arms := append([]texture.Arm{}, armsIn(m)...)
	sort.SliceStable(arms, func(i, j int) bool { return arms[i].SetPoint.Or(0) < arms[j].SetPoint.Or(0) })
	styles := map[string]figure.Style{}
	var rows []estimate
	top, bottom := -1, -1
	for _, a := range arms {
		if _, ok := styles[a.Method]; !ok {
			styles[a.Method] = figure.Treatment(len(styles))
		}
		rows = append(rows, estimate{Name: armText(a), Mean: a.Mean, Low: a.Low, Top: a.High, Style: styles[a.Method]})
		if i := len(rows) - 1; a.Mean.Known() {
			if top < 0 || a.Mean.Or(0) > arms[top].Mean.Or(0) {
				top = i
			}
			if bottom < 0 || a.Mean.Or(0) < arms[bottom].Mean.Or(0) {
				bottom = i
			}
		}
	}
	f, ok := forest("arms-"+slug(m.Name), axisText(m), rows, false)
	if !ok {
		return f, false
	}
	name := capital(plain(m.Name))
	f.Title = figure.Same(name + " of what was cooked")
	if top != bottom {
		f.Title = both(answer.Say(name, " is lowest at ", armSentence(arms[bottom]), ", ", amount(arms[bottom].Mean.Or(0), m), ", and highest at ", armSentence(arms[top]), ", ", amount(arms[top].Mean.Or(0), m)))
	}
	f.Caption = figure.Same(intervals(r, arms))
	f.Desc = both(answer.Say("Means under each other, one row each, with their intervals. ", f.Title.Metric, "."))
	if f.Title.Dual() {
		f.Desc.US = "Means under each other, one row each, with their intervals. " + f.Title.US + "."
	}
	f.Footer = footer(r)
	return f, true
}

// differencesFigure is the differences between the levels of a factor with
// their intervals; those whose interval leaves out zero stand out. ok is false
// where none was computed.
func differencesFigure(r *answer.Result, m *texture.Measure, term string) (figure.Figure, bool) {
	var rows []estimate
	clear, all := 0, 0
	adjust := ""
	for _, d := range m.Differences {
		if d.Term != term {
			continue
		}
		s := figure.Style{Role: figure.Muted, Mark: figure.Square}
		lo, okLo := d.Low.Get()
		hi, okHi := d.High.Get()
		if okLo && okHi {
			all++
			if lo > 0 || hi < 0 {
				clear++
				s = figure.Style{Role: figure.Curve}
			}
		}
		adjust = d.Adjust
		a, b := levelText(m, d.A), levelText(m, d.B)
		rows = append(rows, estimate{Name: less(a, b), Mean: d.Estimate, Low: d.Low, Top: d.High, Style: s})
	}
	f, ok := forest("differences-"+slug(m.Name)+"-"+slug(term), figure.Same("Difference in "+plain(m.Name)+inUnit(m)), rows, true)
	if !ok {
		return f, false
	}
	f.Title = figure.Same(plainCount(clear, all) + " of " + plain(m.Name) + leaveOut(clear, all))
	f.Caption = figure.Same("Intervals at " + short(100*r.Level) + " %" + adjusted(adjust) + ". Those that leave out zero are dark and round, the others grey and square.")
	f.Desc = figure.Same("Differences under each other, one row each, with their intervals and the line of no difference. " + f.Title.Metric + ".")
	f.Footer = footer(r)
	return f, true
}

// leaveOut agrees with what plainCount counts.
func leaveOut(clear, all int) string {
	if clear == 0 || clear == 1 && all == 1 {
		return " leaves out zero"
	}
	return " leave out zero"
}

func plainCount(clear, all int) string {
	s := short(float64(clear)) + " of " + short(float64(all)) + " differences"
	switch {
	case all == 1 && clear == 1:
		return "The one difference"
	case all == 1:
		return "Not the one difference"
	case clear == 0:
		return "None of the " + short(float64(all)) + " differences"
	case clear == all:
		return "All " + short(float64(all)) + " differences"
	}
	return s
}

func adjusted(by string) string {
	switch by {
	case "tukey":
		return ", adjusted for all comparisons (Tukey)"
	case "dunnett":
		return ", adjusted for comparisons with the control (Dunnett)"
	}
	return ""
}

// armSentence is an arm in words, armText the same as text of a figure.
func armSentence(a texture.Arm) answer.Sentence {
	t, ok := a.SetPoint.Get()
	if !ok {
		return answer.Say(plain(a.Arm))
	}
	q := answer.Quantity{Kind: answer.Temperature, Value: t}
	if t != math.Trunc(t) {
		q.Digits = 1
	}
	s := answer.Say(q)
	if a.Method != "" {
		s = append(s, answer.Say(", "+plain(a.Method))...)
	}
	return s
}

func armText(a texture.Arm) figure.Text { return both(armSentence(a)) }

// levelText is the name of a level as differences give it, in both units where
// it is a set point.
func levelText(m *texture.Measure, name string) figure.Text {
	for _, arms := range [][]texture.Arm{m.Arms, m.Cells, m.Levels} {
		for _, a := range arms {
			if a.Arm == name {
				return armText(a)
			}
		}
	}
	return figure.Same(plain(name))
}

func joined(a figure.Text, between string, b figure.Text) figure.Text {
	return figure.Text{Metric: a.Metric + between + b.Metric, US: a.In(figure.US) + between + b.In(figure.US)}
}

// less names a difference; a unit that both have is said once: "44 less 47 °C".
func less(a, b figure.Text) figure.Text {
	one := func(a, b, unit string) string {
		if strings.HasSuffix(b, unit) {
			a = strings.TrimRight(strings.TrimSuffix(a, unit), " \u00a0")
		}
		return a + " less " + b
	}
	return figure.Text{Metric: one(a.Metric, b.Metric, "°C"), US: one(a.In(figure.US), b.In(figure.US), "°F")}
}

func axisText(m *texture.Measure) figure.Text {
	return figure.Same(capital(plain(m.Name)) + inUnit(m))
}

func inUnit(m *texture.Measure) string {
	switch {
	case m.Unit != "":
		return ", " + plain(m.Unit)
	case len(m.Scale) == 2:
		return ", scale " + short(m.Scale[0]) + " to " + short(m.Scale[1])
	}
	return ""
}

// intervals says what the intervals of arms are.
func intervals(r *answer.Result, arms []texture.Arm) string {
	covers := map[string]bool{}
	least, most := math.MaxInt, 0
	for _, a := range arms {
		if a.Low.Known() && a.Covers != "" {
			covers[a.Covers] = true
		}
		least, most = min(least, a.N), max(most, a.N)
	}
	s := "Each from " + short(float64(least)) + " cooks"
	switch {
	case least != most:
		s = "Each from " + short(float64(least)) + " to " + short(float64(most)) + " cooks"
	case most == 1:
		s = "Each from one cook"
	}
	for _, c := range sorted(covers) {
		return s + ". Intervals at " + short(100*r.Level) + " %, from " + scatter(c) + "."
	}
	return s + "."
}
