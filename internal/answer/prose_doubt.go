package answer

import (
	"math"
	"strings"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// doubt says how sure the answer is.
func (b *builder) doubt() []Sentence { return append(b.sure(), b.tied()...) }

// tied says, once, where tasters cannot be told from what is compared.
func (b *builder) tied() []Sentence {
	seen := map[string]bool{}
	var out []Sentence
	for _, m := range b.r.Measures {
		if !b.isAim(m.Name) && len(b.t.Aims) > 0 {
			continue
		}
		for _, w := range m.Warnings {
			if (w.ID == texture.WarnTastersTied || w.ID == texture.WarnTastersUneven) && !seen[w.Text] {
				seen[w.Text] = true
				out = append(out, Say(w.Text))
			}
		}
	}
	return out
}

func (b *builder) sure() []Sentence {
	w := b.head
	if w == nil {
		return b.doubtWithoutWindow()
	}
	if b.r.OneCookEach() {
		return []Sentence{Say("One cook each, so anything peculiar to that " + b.holder() + " looks like the set point. No window can be given.")}
	}
	if w.Cannot != "" {
		out := []Sentence{Say("No window can be given: ", w.Cannot, ".")}
		if w.Need != "" {
			out = append(out, Say("To get one: ", w.Need, "."))
		}
		return out
	}
	var out []Sentence
	var aims []string
	for _, a := range b.r.Trial.Aims {
		aims = append(aims, aimWords(a))
	}
	together := " hold together"
	if len(aims) == 1 {
		together = " holds"
	}
	subject := upper(list(aims))
	if on := b.provided(); on != "" {
		subject = on + list(aims)
	}
	if s := w.Next.Range; s.Stretches > 0 && s.Low.Known() {
		out = append(out, Say(subject, together, " in the next cook from ", b.windowWords(s), " (more likely than not)."))
	} else if s := w.Mean.Range; s.Stretches > 0 && s.Low.Known() {
		out = append(out, Say(subject, together, " for the average of many cooks from ", b.windowWords(s),
			" (more likely than not); for a single cook no set point reaches one half."))
	} else if t := b.r.Together; t != nil && len(t.Clash) > 1 {
		out = append(out, Say("Each aim is met somewhere, but ", list(wordsOf(t.Clash)), " are not met at the same set point."))
	} else {
		out = append(out, Say("No set point that was cooked meets ", list(aims), " more likely than not."))
	}
	if s := w.Next.Likely; s.Stretches > 0 && s.Low.Known() {
		out = append(out, Say("At 9 in 10 or better: from ", b.windowWords(s), "."))
	} else if top, ok := w.Next.Top.Get(); ok {
		out = append(out, Say("No set point reaches 9 in 10; the best reaches ", OutOfTen(top), "."))
	}
	if s := b.limits(w); len(s) > 0 {
		out = append(out, s)
	}
	if tol, ok := w.Tol.Get(); ok && tol > 0 && holds(w) {
		s := Say("Hold the "+b.holder()+" within ", Quantity{Kind: Tolerance, Value: tol}, ".")
		if w.TolToEdge {
			s = Say("Hold the "+b.holder()+" within ", Quantity{Kind: Tolerance, Value: tol}, "; how much more is allowed was not cooked.")
		}
		out = append(out, s)
	}
	if !w.Declared && len(b.r.Windows) > 1 {
		out = append(out, Say("The method was picked afterwards, because its chance is the highest."))
	}
	return out
}

// holder is what holds the set point: the bath, the oven.
func (b *builder) holder() string { return b.t.Medium.Or(trial.WaterBath).Noun() }

// windowWords is "50.5 °C to 53.0 °C", rounded inwards where that leaves
// something, with open ends said.
func (b *builder) windowWords(s texture.Span) Sentence {
	out := Window(s.Low.Or(0), s.High.Or(0))
	switch {
	case s.LowOpen && s.HighOpen:
		return Say(out, ", which is all that was cooked")
	case s.LowOpen:
		return Say(out, " and perhaps below, where nothing was cooked")
	case s.HighOpen:
		return Say(out, " and perhaps above, where nothing was cooked")
	}
	return out
}

func wordsOf(measures []string) []string {
	out := make([]string, len(measures))
	for i, m := range measures {
		out[i] = measureWords(m)
	}
	return out
}

// limits says what ends the window on each side.
func (b *builder) limits(w *texture.Window) Sentence {
	var parts []string
	for _, l := range w.Limits {
		switch {
		case l.Measure == "":
			continue // the open end is said with the window
		case l.Why == "less than the best":
			parts = append(parts, l.Side+", "+measureWords(l.Measure)+" falls short of its best")
		default:
			parts = append(parts, l.Side+", "+measureWords(l.Measure)+" is "+l.Why)
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return Say(upper(strings.Join(parts, "; ")), ".")
}

func (b *builder) doubtWithoutWindow() []Sentence {
	m := b.primary()
	if m == nil {
		return nil
	}
	var out []Sentence
	for _, t := range m.Tests {
		if t.Role != texture.RoleHeadline || strings.Contains(t.Term, ":") {
			continue
		}
		if t.Cannot != "" {
			s := Say("Whether ", measureWords(m.Name), " differs by ", factorWords(t.Term), " cannot be tested: ", t.Cannot, ".")
			if t.Need != "" {
				s = Say(s, " To test it: ", t.Need, ".")
			}
			out = append(out, s)
			continue
		}
		out = append(out, Say("Judged by how ", unitPlural(t.Unit), " differ, the ", factorWords(t.Term), " differences in ", measureWords(m.Name), " have p ",
			pWords(t.P), " (", testWords(t), ")."))
	}
	return out
}

// pWords is "= 0.012" or "< 0.001".
func pWords(p texture.Number) Sentence {
	v, ok := p.Get()
	if !ok {
		return Say("not known")
	}
	if v < 0.001 {
		return Say(Quantity{Kind: PValue, Value: v})
	}
	return Say("= ", Quantity{Kind: PValue, Value: v})
}

// testWords is "F 20.5 on 5 and 210".
func testWords(t texture.Test) Sentence {
	s := Say(t.Stat+" ", Quantity{Kind: Amount, Value: t.Value.Or(0), Digits: 2})
	if d2, ok := t.DF2.Get(); ok {
		return Say(s, " on ", Quantity{Kind: Amount, Value: t.DF1.Or(0), Digits: dfDigits(t.DF1.Or(0))}, " and ",
			Quantity{Kind: Amount, Value: d2, Digits: dfDigits(d2)}, " degrees of freedom")
	}
	if d1, ok := t.DF1.Get(); ok {
		return Say(s, " on ", Quantity{Kind: Amount, Value: d1, Digits: dfDigits(d1)}, " degrees of freedom")
	}
	return s
}

func dfDigits(v float64) int {
	if math.Abs(v-math.Round(v)) < 1e-6 {
		return 0
	}
	return 1
}

func unitPlural(unit string) string { return unit + "s" }
