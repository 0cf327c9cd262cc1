package texture

import (
	"sort"
	"strings"

	"tamis/internal/trial"
)

// onBrinedSuffix names the second denominator of a loss computed from weights.
const onBrinedSuffix = "_on_brined"

// onBrined is a measure from weights on the mass that went into the bath: the
// brined mass of a brined piece, the mass before of the others. ok is false
// where no piece was weighed after a brine.
func onBrined(t *trial.Trial, m trial.Measure) (trial.Measure, trial.Observed, bool) {
	out := m
	out.Name += onBrinedSuffix
	out.From = trial.Some("brined weights")
	if _, taken := t.MeasureNamed(out.Name); taken || !m.FromWeights() {
		return out, trial.Observed{}, false
	}
	o := trial.Observed{Measure: out}
	found := false
	for ci := range t.Cooks {
		for pi := range t.Cooks[ci].Pieces {
			p := &t.Cooks[ci].Pieces[pi]
			b := t.Cooks[ci].BrineOf(pi)
			wasBrined := p.Brined.Known || (b.Known && b.V.Kind != trial.NoBrine)
			v, ok := p.CookLoss(wasBrined)
			if !ok {
				o.Blank++
				continue
			}
			found = found || wasBrined
			o.Rows = append(o.Rows, trial.Observation{Value: v, Cook: ci, Piece: pi, At: p.At})
		}
	}
	return out, o, found
}

// secondDenominator analyses a loss from weights once more on the brined mass,
// and warns where that ranks the treatments another way.
func (a *analysis) secondDenominator(m trial.Measure) {
	derived, obs, ok := onBrined(a.t, m)
	if !ok {
		return
	}
	first, firstTable := a.out.Measures[len(a.out.Measures)-1], a.tables[len(a.tables)-1]
	second := tableOf(a.t, derived, obs)
	a.analyse(second)
	before, after := ranking(firstTable), ranking(second)
	if len(before) == 0 || len(after) == 0 {
		return
	}
	if order, other := strings.Join(before, " < "), strings.Join(after, " < "); order != other {
		first.Warnings = append(first.Warnings, warn("denominator-changes-ranking",
			"on the mass before the brine the order is "+order+"; on the brined mass it is "+other, 0))
	}
}

// ranking orders the methods by their mean, lowest first, set points counting
// equally; without methods it is empty.
func ranking(tb *table) []string {
	if len(tb.methods) < 2 {
		return nil
	}
	k := 1
	if tb.arms != nil {
		k = len(tb.arms.Levels)
	}
	sum, n := make([]float64, len(tb.methods)*k), make([]float64, len(tb.methods)*k)
	for i, m := range tb.method {
		s := 0
		if tb.arms != nil {
			if s = tb.arms.Code[i]; s < 0 {
				continue
			}
		}
		sum[m*k+s] += tb.y[i]
		n[m*k+s]++
	}
	var order []int
	means := make([]float64, len(tb.methods))
	for m := range tb.methods {
		cells := 0.0
		for s := 0; s < k; s++ {
			if n[m*k+s] > 0 {
				means[m] += sum[m*k+s] / n[m*k+s]
				cells++
			}
		}
		if cells > 0 {
			means[m] /= cells
			order = append(order, m)
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return means[order[i]] < means[order[j]] })
	var out []string
	for _, m := range order {
		out = append(out, tb.methods[m].Label)
	}
	return out
}
