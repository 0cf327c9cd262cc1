package report

import (
	"strings"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
)

// safety is what the heat did in every cook and who may eat it.
func (s *science) safety() {
	h := s.rec.Heat
	s.section("safety", "Heat, and who may eat it")
	if h == nil || len(h.Cooks) == 0 {
		s.sentences(s.r.Safety.Lead)
		s.sentences(s.r.Safety.Cautions)
		s.drop()
		return
	}
	s.part("Verdicts")
	for _, v := range h.Verdicts {
		items := all(v.Text)
		if !v.All && len(v.Cooks) > 0 {
			items = append([]words{phrase("Cooks " + someOf(v.Cooks, 30) + ":")}, items...)
		}
		if len(items) > 0 {
			s.add(block{Caution: &cautionBox{Label: "Who may eat it: " + clean(v.Verdict), Items: items}})
		}
	}
	if d := all(h.Discards); len(d) > 0 {
		s.add(block{List: d})
	}
	if y := all(h.Yours); len(y) > 0 {
		s.add(block{List: y})
	}
	s.part("Predicted come-up and hold")
	s.draw(beside, built(s.heatFigure()))
	s.addOrFold("Every cook", s.heatTable())
	s.logs()
	s.kills()
	s.part("What limits the prediction")
	var limits []words
	said := map[string]bool{}
	for i := range h.Cooks {
		for _, l := range h.Cooks[i].Limits {
			w := of(l.Text)
			if k := w.key(); !said[k] {
				said[k] = true
				limits = append(limits, w)
			}
		}
	}
	if len(limits) > 0 {
		s.add(block{List: limits})
	}
	s.sentences(h.Method)
	if c := distinct(all(append(append([]answer.Sentence{}, h.Cautions...), s.r.Safety.Cautions...)), nil); len(c) > 0 {
		s.part("Cautions")
		s.add(block{List: c})
	}
}

// heatFigure is the course of the cook whose core took longest, one with a log
// before the others.
func (s *science) heatFigure() (f figure.Figure, ok bool) {
	best, slow := -1, -1.0
	for i := range s.rec.Heat.Cooks {
		c := &s.rec.Heat.Cooks[i]
		v := c.ComeUp.High.Or(0)
		if c.Log != nil {
			v += 1e6
		}
		if len(c.Course) > 1 && v > slow {
			best, slow = i, v
		}
	}
	if best < 0 {
		return f, false
	}
	return HeatFigure(s.rec.Heat, best)
}

// minutesRange prints a predicted range: likely, then its ends.
func (t *numbered) minutesRange(r answer.HeatRange) cellView {
	lo, okLo := r.Low.Get()
	mid, ok := r.Mid.Get()
	hi, okHi := r.High.Get()
	if !ok || !okLo || !okHi {
		return t.none(r.Mid)
	}
	if answer.Fixed(lo, 0) == answer.Fixed(hi, 0) {
		return t.minutes(r.Mid)
	}
	return cellView{Words: words{{Text: answer.Fixed(mid, 0) + " (" + answer.Fixed(lo, 0) + " to " + answer.Fixed(hi, 0) + ")"}}}
}

func (t *numbered) degreesRange(r answer.HeatRange) cellView {
	lo, okLo := r.Low.Get()
	mid, ok := r.Mid.Get()
	hi, okHi := r.High.Get()
	if !ok || !okLo || !okHi {
		return t.none(r.Mid)
	}
	in := func(sys quantity.System) string {
		bare := func(v float64) string { x, _ := quantity.Celsius(v).In(sys); return answer.Fixed(x, 1) }
		return quantity.Celsius(mid).FormatDigits(sys, 1) + " (" + bare(lo) + " to " + bare(hi) + ")"
	}
	return cellView{Words: words{{Metric: in(quantity.Metric), US: in(quantity.US), Dual: true}}}
}

// heatTable is every cook: what was asked of it, what the core did, and the
// verdict beside the set point.
func (s *science) heatTable() *numbered {
	t := s.table(phrase("Heat and verdict of every cook"), "Cook", "#Set point", "Who may eat it", "#Thickness", "#In the bath, min", "#Come-up, min", "#Hold, min", "#Core when it came out", "Parasites", "#Pasteurised from, min", "Throw away")
	for i := range s.rec.Heat.Cooks {
		c := &s.rec.Heat.Cooks[i]
		thick := cellView{}
		if v, ok := c.Thickness.Get(); ok {
			thick = cellView{Words: phrase(answer.Quantity{Kind: answer.Length, Value: v})}
		}
		set := cellView{}
		if c.SetPoint.Known() {
			set = t.degrees(c.SetPoint)
		}
		bath := cellView{}
		if c.Minutes.Known() {
			bath = t.minutes(c.Minutes)
		}
		past := cellView{}
		if c.PasteurisedFrom.Known() {
			past = t.minutes(c.PasteurisedFrom)
		}
		away := clean(c.DiscardAt)
		if v, ok := c.Discard.Get(); ok && away == "" {
			away = answer.Fixed(v, 0) + " min after it went in"
		} else if away != "" {
			away = "at " + away
		}
		t.row(clean(c.Cook), set, capital(clean(c.Safety.Verdict)), thick, bath, t.minutesRange(c.ComeUp), t.minutesRange(c.Hold), t.degreesRange(c.CoreAtOut), clean(c.Parasites), past, away)
	}
	t.note("Come-up: until the core is near the set point, likely and from fast to slow. Predicted, not measured, unless a probe is named.")
	return t
}

// logs is what the probe logs say.
func (s *science) logs() {
	t := s.table(phrase("Probe logs"), "Cook", "#Bath mean", "#Bath SD, K", "#Bath lowest", "#Core highest", "#Core arrived, min", "#Offset, K", "#Residual, K", "#Diffusivity, 1e-7 m²/s", "#Coefficient, W/m²/K")
	for i := range s.rec.Heat.Cooks {
		c := &s.rec.Heat.Cooks[i]
		l := c.Log
		if l == nil {
			continue
		}
		opt := func(n quantity.Number, show func(quantity.Number) cellView) cellView {
			if !n.Known() {
				return cellView{}
			}
			return show(n)
		}
		two := func(n quantity.Number) cellView { return t.fixed(n, 2) }
		fitted := func(r answer.HeatRange, factor float64, digits int) cellView {
			lo, okLo := r.Low.Get()
			mid, ok := r.Mid.Get()
			hi, okHi := r.High.Get()
			if !ok || !okLo || !okHi {
				return cellView{}
			}
			text := func(v float64) string { return answer.Fixed(factor*v, digits) }
			return cellView{Words: words{{Text: text(mid) + " (" + text(lo) + " to " + text(hi) + ")"}}}
		}
		t.row(clean(c.Cook), opt(l.BathMean, t.degrees), opt(l.BathSD, two), opt(l.BathLow, t.degrees), opt(l.CoreMax, t.degrees), opt(l.Arrived, t.minutes), opt(l.Offset, two), opt(l.Residual, two),
			fitted(l.Diffusivity, 1e7, 2), fitted(l.Coefficient, 1, 0))
	}
	if len(t.Rows) == 0 {
		return
	}
	t.note("Offset: how far the bath was from the set point. Diffusivity and coefficient are fitted to the whole curve of the core, with 95 % intervals; they hold if the probe sat in the middle of the thickest piece.")
	s.part("Probe logs")
	s.addOrFold("Every log", t)
}

// kills is the lethality behind the verdicts, with its sources.
func (s *science) kills() {
	t := s.table(phrase("What the core gets, on the unfavourable side"), "Cooks", "Organism", "#Decades needed", "#Decades got", "#D, min", "#At", "#z, K", "#Equivalent, min", "Source")
	type key struct {
		organism, source string
		need, d, at, z   float64
	}
	at := map[key]int{}
	var keys []key
	low, high := map[key]answer.HeatKill{}, map[key]answer.HeatKill{}
	cooks := map[key][]string{}
	for i := range s.rec.Heat.Cooks {
		for _, k := range s.rec.Heat.Cooks[i].Kills {
			id := key{k.Organism, strings.Join(nonEmpty(k.Source, k.Memory), "; from memory: "), k.Decades, k.D, k.At, k.Z}
			if _, ok := at[id]; !ok {
				at[id] = len(keys)
				keys = append(keys, id)
				low[id], high[id] = k, k
			}
			if k.Got < low[id].Got {
				low[id] = k
			}
			if k.Got > high[id].Got {
				high[id] = k
			}
			cooks[id] = append(cooks[id], s.rec.Heat.Cooks[i].Cook)
		}
	}
	for _, id := range keys {
		who := someOf(cooks[id], 6)
		if len(cooks[id]) == len(s.rec.Heat.Cooks) {
			who = "all"
		}
		num := func(v float64) quantity.Number { return quantity.Num(v) }
		t.row(who, clean(id.organism), t.significant(num(id.need), 3), t.rangeOf(low[id].Got, high[id].Got), t.significant(num(id.d), 3), t.degrees(num(id.at)), t.significant(num(id.z), 3), t.rangeOf(low[id].F, high[id].F), clean(id.source))
	}
	if len(t.Rows) == 0 {
		return
	}
	s.part("Lethality, and where the numbers come from")
	s.addTable(t)
}

// rangeOf is the smallest and the largest of several cooks.
func (t *numbered) rangeOf(lo, hi float64) cellView {
	a, b := significant(lo, 2), significant(hi, 2)
	if a == b {
		return cellView{Words: words{{Text: a}}}
	}
	return cellView{Words: words{{Text: a + " to " + b}}}
}
