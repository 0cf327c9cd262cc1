package trialfile

import (
	"fmt"
	"math"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// aims holds targets against the scale of their measure, and against each
// other.
func (r *reader) aims() {
	for i, a := range r.t.Aims {
		for _, b := range r.t.Aims[:i] {
			if b.Measure == a.Measure && b.For.V == a.For.V {
				r.together(b, a)
			}
		}
		m, ok := r.t.MeasureNamed(a.Measure)
		if !ok || m.Kind == trial.Amount || m.Kind == trial.YesNo || m.Scale == (trial.Range{}) {
			continue
		}
		hint := fmt.Sprintf("the scale is %s to %s", formatNumber(m.Scale.Low), formatNumber(m.Scale.High))
		if a.Target.Known && (!m.Scale.Contains(a.Target.V.Low) || !m.Scale.Contains(a.Target.V.High)) {
			r.fail(here(a.Target.At), "out-of-scale", "the target lies outside the scale of "+m.Name, hint)
		}
		for _, l := range []trial.Opt[float64]{a.AtMost, a.AtLeast} {
			if l.Known && !m.Scale.Contains(l.V) {
				r.fail(here(l.At), "out-of-scale", "the limit lies outside the scale of "+m.Name, hint)
			}
		}
	}
}

// together warns of two aims at one measure that no value meets.
func (r *reader) together(a, b trial.Aim) {
	low1, high1 := reach(a)
	low2, high2 := reach(b)
	if max(low1, low2) > min(high1, high2) {
		r.say(diag.Warning, here(b.At), "contradiction", "no value of "+b.Measure+" meets both aims", "", "correct one of them, or say for whom each is, with for", note(a.At, "the other aim"))
	}
}

// reach is the range of values that meet an aim.
func reach(a trial.Aim) (low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	switch {
	case a.Target.Known:
		low, high = a.Target.V.Low, a.Target.V.High
	case a.AtMost.Known:
		high = a.AtMost.V
	case a.AtLeast.Known:
		low = a.AtLeast.V
	}
	return low, high
}
