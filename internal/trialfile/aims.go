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
	type ends struct{ low, high *trial.Aim } // the tightest so far
	tight := map[[2]string]ends{}
	for i := range r.t.Aims {
		a := &r.t.Aims[i]
		k := [2]string{a.Measure, a.For.V}
		e := tight[k]
		low, high := reach(a)
		for _, other := range []*trial.Aim{e.low, e.high} {
			if other == nil {
				continue
			}
			if l, h := reach(other); max(l, low) > min(h, high) {
				r.say(diag.Warning, here(a.At), "contradiction", "no value of "+a.Measure+" meets both aims", "", "correct one of them, or say for whom each is, with for", note(other.At, "the other aim"))
				break
			}
		}
		if l, _ := reach(e.low); e.low == nil || low > l {
			e.low = a
		}
		if _, h := reach(e.high); e.high == nil || high < h {
			e.high = a
		}
		tight[k] = e
		m, ok := r.measure(a.Measure)
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

// reach is the range of values that meet an aim.
func reach(a *trial.Aim) (low, high float64) {
	low, high = math.Inf(-1), math.Inf(1)
	switch {
	case a == nil:
	case a.Target.Known:
		low, high = a.Target.V.Low, a.Target.V.High
	case a.AtMost.Known:
		high = a.AtMost.V
	case a.AtLeast.Known:
		low = a.AtLeast.V
	}
	return low, high
}
