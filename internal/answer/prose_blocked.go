package answer

import "tamis/internal/fairness"

// blocked is the first finding that stands in the way of calling the set point
// the cause of what the aims measure; nil where none does. An accepted finding
// stands in the way all the same.
func (b *builder) blocked() *fairness.Finding {
	for i := range b.r.Findings {
		f := &b.r.Findings[i]
		if f.Outcome != fairness.Fires || f.Severity != fairness.Blocks || f.Factor != "" || f.Under != "" {
			continue
		}
		for _, a := range b.t.Aims {
			if m, ok := b.t.MeasureNamed(a.Measure); ok && fairness.Concerns(f, m, b.scored(m.Name)) {
				return f
			}
		}
	}
	return nil
}

// blockedBy is that finding in words.
func (b *builder) blockedBy() Sentence {
	if f := b.blocked(); f != nil {
		return f.Text
	}
	return nil
}

// scored reports whether assessors scored a measure.
func (b *builder) scored(measure string) bool {
	m := b.r.Measures.Named(measure)
	return m != nil && m.Assessors > 0
}

// forNow is the answer under a finding that blocks it: what came out best, and
// that the set point alone is not known to have done it.
func (b *builder) forNow(best float64, method string, f *fairness.Finding) Sentence {
	s := Say("For now: ", Quantity{Kind: SetPoint, Value: best, Digits: 1}, b.methodWords(method, ", ", " for "))
	if f.Kind == fairness.Bundle {
		return Say(s, ", with all that went along with it.")
	}
	return Say(s, ". Something other than the set point may have done it.")
}

// provided says, before what holds in the next cook, on what that hangs; nothing
// where no finding blocks it.
func (b *builder) provided() string {
	switch f := b.blocked(); {
	case f == nil:
		return ""
	case f.Kind == fairness.Bundle:
		return "If all of that goes along again, "
	}
	return "If it was the set point, "
}
