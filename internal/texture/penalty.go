package texture

import (
	"tamis/internal/stats/agree"
	"tamis/internal/trial"
)

// actFrom is the share of people on one side of a just-about-right scale from
// which acting on it is usual: common practice, no source.
const actFrom = 0.20

// penalty sets a just-about-right measure against liking, for the same people on
// the same samples, over all arms and for each.
func (a *analysis) penalty(tb *table, out *Measure) {
	if tb.measure.Kind != trial.JustRight {
		return
	}
	cannot := func(why, need string) {
		out.Cannot = append(out.Cannot, Cannot{What: "penalty", Why: why, Need: need})
	}
	var liking *trial.Measure
	for i := range a.t.Measures {
		if isLiking(a.t.Measures[i]) {
			liking = &a.t.Measures[i]
			break
		}
	}
	if liking == nil {
		cannot("no liking was asked for", "a measure with the role liking, scored by the same people")
		return
	}
	type key struct {
		assessor, sitting, repeat string
		cook, piece, position     int
	}
	keyOf := func(r trial.Observation) key {
		return key{r.Assessor, r.Sitting, r.Repeat, r.Cook, r.Piece, r.Position}
	}
	liked := map[key][]float64{}
	for _, r := range a.t.Observe(*liking).Rows {
		if !r.LeftOut {
			liked[keyOf(r)] = append(liked[keyOf(r)], r.Value)
		}
	}
	middle := (tb.measure.Scale.Low + tb.measure.Scale.High) / 2
	arms := 1
	if tb.arms != nil {
		arms += len(tb.arms.Levels)
	}
	judged, values := make([][]int, arms), make([][]float64, arms)
	people, answers := map[string]bool{}, 0
	for i, r := range tb.rows {
		k := keyOf(r)
		if r.Assessor == "" || len(liked[k]) == 0 {
			continue
		}
		v := liked[k][0]
		liked[k] = liked[k][1:]
		side := 0
		switch {
		case tb.y[i] < middle:
			side = -1
		case tb.y[i] > middle:
			side = 1
		}
		people[r.Assessor] = true
		answers++
		at := []int{0}
		if tb.arms != nil && tb.arms.Code[i] >= 0 {
			at = append(at, tb.arms.Code[i]+1)
		}
		for _, g := range at {
			judged[g], values[g] = append(judged[g], side), append(values[g], v)
		}
	}
	if answers == 0 {
		cannot("nobody gave both answers on the same sample", "ask the same people for "+liking.Name+" and "+tb.measure.Name)
		return
	}
	for g := range judged {
		if len(judged[g]) == 0 {
			continue
		}
		name := ""
		if g > 0 {
			name = tb.arms.Levels[g-1]
		}
		if p, ok := penaltyOf(judged[g], values[g], a.opt.Level); ok {
			p.Arm, p.Liking = name, liking.Name
			out.Penalty = append(out.Penalty, p)
		}
	}
	if answers > len(people) {
		out.Warnings = append(out.Warnings, warn("penalty-repeated-people",
			"people gave several answers each, which the intervals of the drops take as separate: they are narrower than they should be", 0))
	}
}

func penaltyOf(judged []int, liking []float64, level float64) (Penalty, bool) {
	r, err := agree.Penalty(judged, liking, level)
	if err != nil {
		return Penalty{}, false
	}
	return Penalty{N: r.People, TooLow: penaltySide(r.TooLittle), Right: rightSide(r.Right), TooHigh: penaltySide(r.TooMuch),
		ActAbove: actFrom}, true
}

// rightSide is what the other sides are set against: it has no drop.
func rightSide(s agree.Side) PenaltySide {
	out := penaltySide(s)
	const why = "it is what the others are set against"
	out.Drop, out.Weighted, out.Low, out.High = absent(why), absent(why), absent(why), absent(why)
	return out
}

func penaltySide(s agree.Side) PenaltySide {
	out := PenaltySide{Share: num(s.Share), Liking: fromAgree(s.Mean), Drop: fromAgree(s.Drop), Weighted: fromAgree(s.Weighted)}
	why := absence[s.Why]
	if why == "" {
		why = "not a side"
	}
	out.Low, out.High = absent(why), absent(why)
	if s.HasInterval {
		out.Low, out.High = num(s.Interval.Low), num(s.Interval.High)
	}
	drop, ok := out.Drop.Get()
	out.Act = ok && drop > 0 && s.Share >= actFrom
	return out
}
