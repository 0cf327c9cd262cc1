package answer

import (
	"math"
	"strings"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// builder writes the prose of one result.
type builder struct {
	t    *trial.Trial
	r    *Result
	head *texture.Window // the headline window, nil when there is none
}

func proseOf(t *trial.Trial, r *Result) Prose {
	b := &builder{t: t, r: r}
	for i := range r.Windows {
		if r.Windows[i].Headline {
			b.head = &r.Windows[i]
		}
	}
	p := Prose{
		Answer: b.answer(), Safety: b.safety(), Doubt: b.doubt(), Compare: b.compare(), Basis: b.basis(), Next: b.next(),
		Missing: b.missing(), Units: b.units(), Variance: b.variance(), Panel: b.panel(), Cautions: r.Safety.Cautions,
		Method: b.method(), Reference: references(),
	}
	return p
}

// refused reports whether nothing may be proposed, because what was cooked is
// not to be eaten.
func (b *builder) refused() bool { return b.r.Safety.Verdict == VerdictDoNotEat }

// answer is the answer in a sentence or two.
func (b *builder) answer() Sentence {
	if b.refused() {
		return Say("No set point is proposed, because this food is not to be eaten as it was cooked. The measurements are below.")
	}
	w := b.head
	if w == nil {
		return b.answerWithoutWindow()
	}
	if b.r.OneCookEach() || w.Cannot != "" || !holds(w) {
		return b.closest(w)
	}
	best, _ := w.Best.Get()
	s := Say(Quantity{Kind: SetPoint, Value: best, Digits: 1}, b.methodWords(w.Method, ", ", ", "), ".")
	if top, ok := w.Mean.Top.Get(); ok && top < 0.9 {
		s = append(s, Say(" This is the best of what was cooked, and it is not certain.")...)
	}
	return s
}

func holds(w *texture.Window) bool { return w.Mean.Top.Or(0) >= 0.5 && w.Best.Known() }

// methodWords names a method after sep and the common bath time after last.
func (b *builder) methodWords(method, sep, last string) Sentence {
	var s Sentence
	if method != "" {
		s = Say(s, sep, method)
	}
	if minutes, ok := b.commonTime(); ok {
		s = Say(s, last, Quantity{Kind: Duration, Value: minutes})
	}
	return s
}

// commonTime is the bath time in minutes when all cooks share it.
func (b *builder) commonTime() (float64, bool) {
	var minutes float64
	for i := range b.t.Cooks {
		d, ok := b.t.Cooks[i].BathTime()
		if !ok || (i > 0 && math.Abs(d.Minutes()-minutes) > 0.01) {
			return 0, false
		}
		minutes = d.Minutes()
	}
	return minutes, len(b.t.Cooks) > 0
}

func (b *builder) closest(w *texture.Window) Sentence {
	c := closestOf(b.r)
	if c == nil {
		return Say("No set point can be named: ", w.Cannot, ".")
	}
	if c.Ties > 0 {
		return Say("Several set points came equally close to the aim, so none is named.")
	}
	at := Quantity{Kind: SetPoint, Value: c.SetPoint.Or(0), Digits: 1}
	if b.r.OneCookEach() {
		// One cook each is a pick for tonight, and only with a passing verdict.
		if b.r.Safety.Verdict == VerdictNone {
			return Say("No set point is named: each was cooked once, and there is no verdict on eating it.")
		}
		return Say("For now: ", at, b.methodWords(c.Method, ", ", " for "), " came closest to the aim of what you cooked.")
	}
	if w.Cannot != "" {
		return Say(at, b.methodWords(c.Method, ", ", " for "), " came closest to the aim of what was cooked. There is no window: ", w.Cannot, ".")
	}
	return Say("No set point meets the aim more likely than not. ", at, b.methodWords(c.Method, ", ", " for "), " came closest.")
}

// closestOf is the cooked set point, of any method, whose means miss the aims
// least; nil where there is none.
func closestOf(r *Result) *texture.ClosestCook {
	var best *texture.ClosestCook
	for i := range r.Windows {
		if c := r.Windows[i].Closest; c != nil && (best == nil || c.Miss.Or(math.Inf(1)) < best.Miss.Or(math.Inf(1))) {
			best = c
		}
	}
	return best
}

// answerWithoutWindow is for trials that vary something else than the set
// point, or state no aim.
func (b *builder) answerWithoutWindow() Sentence {
	m := b.primary()
	if m == nil || m.Observations == 0 {
		if m != nil && b.anyNumbers() {
			return Say("There is nothing to answer yet: ", measureWords(m.Name), ", the aim, has no numbers.")
		}
		return Say("There is nothing to answer yet: no measure has numbers.")
	}
	means := m.Levels
	if len(means) == 0 {
		means = m.Arms
	}
	var best *texture.Arm
	lowest := b.wantsLowest(m.Name)
	for i := range means {
		v, ok := means[i].Mean.Get()
		if !ok {
			continue
		}
		if best == nil || (lowest && v < best.Mean.Or(0)) || (!lowest && v > best.Mean.Or(0)) {
			best = &means[i]
		}
	}
	if best == nil {
		return Say("There is nothing to compare: ", firstWhy(m), ".")
	}
	word := "highest"
	if lowest {
		word = "lowest"
	}
	s := Say("The ", word, " mean ", measureWords(m.Name), " had ", factorWords(best.Term)+" "+best.Arm, ": ", b.value(m, best.Mean, best.SE), b.interval(m, best.Low, best.High, best.SE), ".")
	if len(b.t.Aims) == 0 {
		s = Say(s, " The file states no aim, so there is no best.")
	}
	return s
}

func (b *builder) anyNumbers() bool {
	for _, m := range b.r.Measures {
		if m.Observations > 0 {
			return true
		}
	}
	return false
}

func firstWhy(m *texture.Measure) string {
	for _, c := range m.Cannot {
		return c.Why
	}
	return "no means could be estimated"
}

func (b *builder) wantsLowest(measure string) bool {
	for _, a := range b.t.Aims {
		if a.Measure == measure {
			return a.Best.V == trial.Lowest || a.AtMost.Known
		}
	}
	return false
}

// primary is the measure of the first aim, else the first with numbers.
func (b *builder) primary() *texture.Measure {
	for _, a := range b.t.Aims {
		if m := b.r.Measures.Named(a.Measure); m != nil {
			return m
		}
	}
	for _, m := range b.r.Measures {
		if m.Observations > 0 {
			return m
		}
	}
	return nil
}

// value is a number of a measure, in the digits that its standard error allows.
func (b *builder) value(m *texture.Measure, v, se texture.Number) Sentence {
	x, ok := v.Get()
	if !ok {
		return Say("not known (", v.Reason(), ")")
	}
	return Say(Quantity{Kind: Amount, Value: x, Unit: unitWords(m), Digits: digitsOf(se)})
}

func unitWords(m *texture.Measure) string { return m.Unit }

func digitsOf(se texture.Number) int {
	v, ok := se.Get()
	if !ok {
		return 1
	}
	return max(0, DigitsFor(v)-1)
}

// interval is " (low to high)", or nothing when it is not known.
func (b *builder) interval(m *texture.Measure, low, high, se texture.Number) Sentence {
	l, ok1 := low.Get()
	h, ok2 := high.Get()
	if !ok1 || !ok2 {
		return nil
	}
	d := digitsOf(se)
	return Say(" (", Quantity{Kind: Amount, Value: l, Digits: d}, " to ", Quantity{Kind: Amount, Value: h, Digits: d}, ")")
}

// safety stands right under the answer.
func (b *builder) safety() []Sentence { return b.r.Safety.Lead }

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
		return []Sentence{Say("One cook each, so anything peculiar to that bath looks like the set point. No window can be given.")}
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
	if s := w.Next.Range; s.Stretches > 0 && s.Low.Known() {
		out = append(out, Say(upper(list(aims)), together, " in the next cook from ", b.windowWords(s), " (more likely than not)."))
	} else if s := w.Mean.Range; s.Stretches > 0 && s.Low.Known() {
		out = append(out, Say(upper(list(aims)), together, " for the average of many cooks from ", b.windowWords(s),
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
		s := Say("Hold the bath within ", Quantity{Kind: Tolerance, Value: tol}, ".")
		if w.TolToEdge {
			s = Say("Hold the bath within ", Quantity{Kind: Tolerance, Value: tol}, "; how much more is allowed was not cooked.")
		}
		out = append(out, s)
	}
	if !w.Declared && len(b.r.Windows) > 1 {
		out = append(out, Say("The method was picked afterwards, because its chance is the highest."))
	}
	return out
}

// windowWords is "50.5 °C to 53.0 °C", rounded inwards where that leaves
// something, with open ends said.
func (b *builder) windowWords(s texture.Span) Sentence {
	lo, hi := s.Low.Or(0), s.High.Or(0)
	low := Quantity{Kind: WindowLow, Value: lo, Digits: 1}
	high := Quantity{Kind: WindowHigh, Value: hi, Digits: 1}
	if !roundsInward(lo, hi) {
		low = Quantity{Kind: Temperature, Value: lo, Digits: 1}
		high = Quantity{Kind: Temperature, Value: hi, Digits: 1}
	}
	out := Say(low, " to ", high)
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
