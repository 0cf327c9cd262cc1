package answer

import (
	"math"

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
		Answer: b.answer(), Blocked: b.blockedBy(), Safety: b.safety(), Doubt: b.doubt(), Compare: b.compare(), Basis: b.basis(), Next: b.next(),
		Missing: b.missing(), Units: b.units(), Variance: b.variance(), Panel: b.panel(), Cautions: r.Safety.Cautions,
		Method: b.method(), Reference: references(),
	}
	for _, list := range []*[]Sentence{&p.Safety, &p.Doubt, &p.Compare, &p.Next, &p.Missing, &p.Units, &p.Variance, &p.Panel, &p.Cautions, &p.Method} {
		if *list == nil {
			*list = []Sentence{} // an empty list in JSON, not null
		}
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
	if f := b.blocked(); f != nil {
		return b.forNow(best, w.Method, f)
	}
	s := Say(Quantity{Kind: SetPoint, Value: best, Digits: 1}, b.methodWords(w.Method, ", ", ", "), ".")
	if top, ok := w.Mean.Top.Get(); ok && top < 0.9 {
		s = append(s, Say(" This is the best of what was cooked, and it is not certain.")...)
	}
	return s
}

func holds(w *texture.Window) bool { return w.Mean.Top.Or(0) >= 0.5 && w.Best.Known() }

// methodWords names a method after sep and the common bath time after last; after
// a method the time stands after sep too, for nothing was brined for so long.
func (b *builder) methodWords(method, sep, last string) Sentence {
	var s Sentence
	if method != "" {
		s, last = Say(s, sep, method), sep
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
	if w.Cannot != "" && b.oneSetPoint() {
		return Say("Only ", at, b.methodWords(c.Method, ", ", " for "), " was cooked, so there is nothing to compare it with.")
	}
	if b.r.OneCookEach() {
		// One cook each is a pick for tonight, and only with a passing verdict.
		if b.r.Safety.Verdict == VerdictNone {
			return Say("No set point is named: each was cooked once, and there is no verdict on eating it.")
		}
		return Say("For now: ", at, b.methodWords(c.Method, ", ", " for "), " came closest to the aim of what you cooked.")
	}
	if w.Cannot != "" {
		return Say(at, b.methodWords(c.Method, ", ", " for "), " came closest to the aim of what was cooked.")
	}
	return Say("No set point meets the aim more likely than not. ", at, b.methodWords(c.Method, ", ", " for "), " came closest.")
}

// oneSetPoint reports whether all cooks had the same set point.
func (b *builder) oneSetPoint() bool {
	for i := range b.t.Cooks {
		if k := &b.t.Cooks[i]; k.SetPoint.V.Celsius() != b.t.Cooks[0].SetPoint.V.Celsius() {
			return false
		}
	}
	return true
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
		if s := b.toldApart(); s != nil {
			return s
		}
		return Say("There is nothing to answer yet: no measure has numbers.")
	}
	means := m.Levels
	if len(means) == 0 {
		means = m.Arms
	}
	var best *texture.Arm
	lowest, known := b.wantsLowest(m.Name), 0
	for i := range means {
		v, ok := means[i].Mean.Get()
		if !ok {
			continue
		}
		known++
		if best == nil || (lowest && v < best.Mean.Or(0)) || (!lowest && v > best.Mean.Or(0)) {
			best = &means[i]
		}
	}
	if best == nil {
		return Say("There is nothing to compare: ", firstWhy(m), ".")
	}
	if known == 1 {
		return Say("Only ", factorWords(best.Term)+" "+best.Arm, " has a mean ", measureWords(m.Name), ": ", b.value(m, best.Mean, best.SE), b.interval(m, best.Low, best.High, best.SE), ". There is nothing to compare it with.")
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
