package cli

import (
	"math"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/diag"
	"tamis/internal/quantity"
)

// renderHeat is the whole text: of one cook its course, of several a table, and
// the verdicts right under the numbers.
func renderHeat(h *answer.Heat, sys quantity.System) string {
	f := &fitText{sys: sys}
	for _, l := range diag.Wrap(diag.KeepUnits(f.clean(h.Title)), columns) {
		f.line(l)
	}
	if len(h.Yours) > 0 {
		f.paragraph(h.Yours)
	}
	switch len(h.Cooks) {
	case 0:
	case 1:
		f.heatCook(&h.Cooks[0])
	default:
		f.heatCooks(h)
	}
	if h.Table != nil {
		f.heatTable(h.Table)
	}
	f.limits(h.Cooks)
	if len(h.Cautions) > 0 {
		f.heading("Besides")
		f.list(h.Cautions)
	}
	if len(h.Method) > 0 {
		f.heading("How it was computed")
		f.list(h.Method)
	}
	f.blank()
	return strings.TrimRight(strings.Join(f.out, "\n"), "\n") + "\n"
}

func (f *fitText) clean(s answer.Sentence) string { return s.Text(f.sys) }

// heatCook is one cook: when, who may eat it, the course, the log.
func (f *fitText) heatCook(c *answer.HeatCook) {
	f.paragraph(c.Text)
	f.paragraph(c.Safety.Lead)
	if len(c.Pieces) > 1 {
		f.heatPieces(c.Pieces)
	}
	f.course(c)
	f.kills(c)
	if c.Bite != nil {
		f.paragraph([]answer.Sentence{c.Bite.Text})
	}
	if c.Log != nil {
		f.heading("By the probe log")
		f.list(c.Log.Text)
		f.list(c.Log.Measured)
	}
}

// courseRows is about how many rows the course of a cook has on the terminal.
const courseRows = 9

// course is where core and surface are, at a few moments.
func (f *fitText) course(c *answer.HeatCook) {
	n := len(c.Course)
	if n < 2 {
		return
	}
	end, step := c.Course[n-1].Minutes, c.Course[1].Minutes-c.Course[0].Minutes
	every := n - 1
	for _, m := range []float64{1, 2, 5, 10, 15, 20, 30, 60, 120, 240} {
		if k := m / step; k == math.Trunc(k) && end/m <= courseRows {
			every = int(k)
			break
		}
	}
	g := grid{right: []bool{true, true, true, true, true}}
	g.add("in the bath", "core", "if slow", "if fast", "surface")
	for i := 0; i < n; i += every {
		s := c.Course[i]
		g.add(padLeft(f.minutes(quantity.Num(s.Minutes)), 11), f.degrees(s.Core.Mid, math.Round), f.degrees(s.Core.Low, math.Floor), f.degrees(s.Core.High, math.Round), f.degrees(quantity.Num(s.Surface), math.Round))
	}
	f.blank()
	f.out = append(f.out, g.lines("  ")...)
}

// kills is what the core gets on the unfavourable side, where it gets anything.
func (f *fitText) kills(c *answer.HeatCook) {
	g := grid{right: []bool{false, true, true, false}}
	g.add("killed at the core", "decades", "needed", "by")
	some := false
	for _, k := range c.Kills {
		some = some || k.Got > 0.05
		g.add(k.Organism, killed(k.Got), trimmed(k.Decades, 1), "D "+trimmed(k.D, 2)+" min at "+f.temperature(k.At)+", z "+f.difference(k.Z))
	}
	if some {
		f.blank()
		f.out = append(f.out, g.lines("  ")...)
	}
}

// killed rounds decades down and does not go on counting where it means nothing.
func killed(decades float64) string {
	if decades > 20 {
		return "over 20"
	}
	return answer.Fixed(math.Floor(10*decades)/10, 1)
}

func (f *fitText) difference(k float64) string {
	v, u := quantity.Kelvins(k).In(f.sys)
	return trimmed(v, 2) + " " + u
}

// degrees is a temperature to the whole degree. The slow core is rounded down: it
// is never said to be hotter than it is.
func (f *fitText) degrees(n quantity.Number, round func(float64) float64) string {
	v, ok := n.Get()
	if !ok {
		return "–"
	}
	shown, u := quantity.Celsius(v).In(f.sys)
	return answer.Fixed(round(shown+1e-9), 0) + " " + u
}

// minutes is a stated time, or a dash.
func (f *fitText) minutes(n quantity.Number) string {
	m, ok := n.Get()
	if !ok {
		return "–"
	}
	return quantity.FromMinutes(m).Format(f.sys)
}

// span is a predicted range of minutes, rounded outwards.
func (f *fitText) span(r answer.HeatRange) string {
	if !r.Mid.Known() {
		return "–"
	}
	low, high := answer.SpanOf(r)
	if low == high {
		return trimmed(low, 0) + " min"
	}
	return trimmed(low, 0) + " to " + trimmed(high, 0) + " min"
}

// plainMinutes is a stated time in minutes, however many, so that a column reads
// down; or a dash.
func plainMinutes(n quantity.Number) string {
	m, ok := n.Get()
	if !ok {
		return "–"
	}
	return trimmed(m, 1) + " min"
}

func (f *fitText) millimetres(n quantity.Number) string {
	v, ok := n.Get()
	if !ok {
		return "–"
	}
	return quantity.Millimetres(v).Format(f.sys)
}

func (f *fitText) heatPieces(ps []answer.HeatPiece) {
	g := grid{right: []bool{false, true, true, true}}
	g.add("piece", "thickness", "core there", "held")
	for _, p := range ps {
		g.add(diag.Clean(p.Piece), f.millimetres(p.Thickness), f.span(p.ComeUp), f.span(p.Hold))
	}
	f.blank()
	f.out = append(f.out, g.lines("  ")...)
}

// heatCooks is a table of cooks with the verdicts under it.
func (f *fitText) heatCooks(h *answer.Heat) {
	cs := h.Cooks
	g := grid{right: []bool{false, true, true, true, true, true, false}}
	g.add("cook", "set point", "piece", "core there", "in bath", "held", "verdict")
	for _, c := range cs {
		set := "–"
		if v, ok := c.SetPoint.Get(); ok {
			set = f.temperature(v)
		}
		g.add(diag.Clean(c.Cook), set, f.millimetres(c.Thickness), f.span(c.ComeUp), plainMinutes(c.Minutes), f.span(c.Hold), c.Word)
	}
	f.blank()
	f.out = append(f.out, g.lines("  ")...)
	f.blank()
	f.verdicts(h.Verdicts)
	f.list(h.Discards)
	logs := false
	for i := range cs {
		if l := cs[i].Log; l != nil {
			if !logs {
				f.heading("By the probe logs")
				logs = true
			}
			f.item(diag.Clean(cs[i].Cook) + ": " + f.joined(l.Text))
		}
	}
}

// verdicts prints who may eat what, the same of several at once.
func (f *fitText) verdicts(vs []answer.HeatVerdict) {
	for _, v := range vs {
		var who []string
		for _, c := range v.SetPoints {
			who = append(who, f.temperature(c))
		}
		for _, id := range v.Cooks {
			who = append(who, diag.Clean(id))
		}
		name := strings.Join(who, ", ")
		if v.All && len(who) > 1 {
			name = "All of them"
		}
		f.item(name + ": " + f.joined(v.Text))
	}
}

func (f *fitText) joined(ss []answer.Sentence) string {
	var words []string
	for _, s := range ss {
		words = append(words, s.Text(f.sys))
	}
	return strings.Join(words, " ")
}

// limits are what speaks against the predictions.
func (f *fitText) limits(cs []answer.HeatCook) {
	some := false
	for i := range cs {
		some = some || len(cs[i].Limits) > 0
	}
	if !some {
		return
	}
	f.heading("What the prediction does not know")
	if len(cs) == 1 {
		for _, l := range cs[0].Limits {
			f.list([]answer.Sentence{l.Text})
		}
		return
	}
	// One limit at a time, so that what holds for all is said once.
	var slugs []string
	seen := map[string]bool{}
	for i := range cs {
		for _, l := range cs[i].Limits {
			if k := l.Text.Text(f.sys); !seen[k] {
				seen[k] = true
				slugs = append(slugs, k)
			}
		}
	}
	for _, k := range slugs {
		f.limitOf(cs, k)
	}
}

func (f *fitText) limitOf(cs []answer.HeatCook, text string) {
	var who []string
	for i := range cs {
		for _, l := range cs[i].Limits {
			if l.Text.Text(f.sys) == text {
				who = append(who, diag.Clean(cs[i].Cook))
				break
			}
		}
	}
	if len(who) == len(cs) {
		f.item(text)
		return
	}
	f.item(strings.Join(who, ", ") + ": " + text)
}

func padLeft(s string, wide int) string { return strings.Repeat(" ", max(0, wide-cells(s))) + s }
