package fairness

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/stats/dist"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// food holds the rules of L3: enough lots met both arms, the difference has the
// same sign in each, and its interval with the lot as the unit excludes 0.
// Without a pair (a window) the two extreme arms stand for the trial.
func (l *ladder) food(m *texture.Measure, d *texture.Difference) bool {
	arms := l.armsOf(d)
	if len(arms) < 2 {
		return l.lack(L3, "two set points", fmt.Sprint(len(arms)), "2", "")
	}
	diffs := l.lotDifferences(m, arms[0], arms[len(arms)-1])
	if have, need := len(diffs), l.c.set.count("lots"); have < need {
		return l.lack(L3, "deliveries that met all set points", fmt.Sprint(max(have, 1)), fmt.Sprint(need), "one-lot")
	}
	mean, ss := meanSS(diffs)
	for _, v := range diffs {
		if v*mean <= 0 {
			return l.lack(L3, "the same direction in every delivery", "no", "yes", "")
		}
	}
	n := float64(len(diffs))
	q, err := dist.TQuantile(0.975, n-1)
	if err != nil || abs(mean) <= q*math.Sqrt(ss/(n-1)/n) {
		return l.lack(L3, "an interval over the deliveries without 0", "0 inside", "", "")
	}
	return true
}

// lotDifferences is the difference between two arms in each lot that met both,
// as means of its pieces' values, in the order of the lots' names.
func (l *ladder) lotDifferences(m *texture.Measure, a, b int) []float64 {
	tm, ok := l.c.Trial.MeasureNamed(m.Name)
	if !ok {
		return nil
	}
	lotOf := map[string]string{}
	for _, s := range l.c.Trial.Sources {
		if s.Lot.Known {
			lotOf[s.ID] = s.Lot.V
		}
	}
	type sum struct{ total, n float64 }
	sums := map[string]*[2]sum{}
	for _, o := range l.c.Trial.Observe(tm).Rows {
		level := l.c.level(o.Cook, o.Piece)
		if o.Piece < 0 || o.LeftOut || level != a && level != b {
			continue
		}
		lot, ok := lotOf[l.c.Trial.Cooks[o.Cook].Pieces[o.Piece].Source.V]
		if !ok {
			continue
		}
		if sums[lot] == nil {
			sums[lot] = &[2]sum{}
		}
		side := 0
		if level == b {
			side = 1
		}
		sums[lot][side].total += o.Value
		sums[lot][side].n++
	}
	var lots []string
	for lot, s := range sums {
		if s[0].n > 0 && s[1].n > 0 {
			lots = append(lots, lot)
		}
	}
	slices.Sort(lots)
	out := make([]float64, len(lots))
	for i, lot := range lots {
		s := sums[lot]
		out[i] = s[1].total/s[1].n - s[0].total/s[0].n
	}
	return out
}

// consumers holds the rules of L4.
func (l *ladder) consumers(m *texture.Measure, d *texture.Difference) bool {
	tm, _ := l.c.Trial.MeasureNamed(m.Name)
	if tm.Kind != trial.JustRight && tm.Role.V != "liking" && tm.Name != "liking" {
		return l.lack(L4, "a measure of liking", m.Name, "liking", "")
	}
	ok := true
	if have, need := l.consumerCount(), l.c.set.count("consumers"); have < need {
		ok = l.lack(L4, "consumers", fmt.Sprint(have), fmt.Sprint(need), "")
	}
	if p := l.c.Trial.Panel; !p.Known || !p.V.Blind.V {
		ok = l.lack(L4, "blind tasting", "no", "yes", "tasters-knew")
	}
	ok = l.fair(L4, m, "panel-splits", Note) && ok
	if stands, _ := l.stands("not-all-tasted-all", Weakens); stands {
		ok = l.lack(L4, "everybody tasted everything, or a planned layout", "no", "yes", "not-all-tasted-all")
	}
	if d != nil && !excludesZero(d) {
		ok = l.lack(L4, "an interval of the difference without 0", "0 inside", "", "")
	}
	return ok
}
