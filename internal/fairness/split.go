package fairness

import (
	"math"

	"tamis/internal/trial"
)

// join finds cooks that were one run written down twice: one arm, bath and
// session, and times that overlap by more than the threshold of the shorter.
// Where the day, the bath or the times are not known the cooks count as written.
func (f *facts) join(t *trial.Trial, set settings) {
	parent := make([]int, len(t.Cooks))
	for i := range parent {
		parent[i] = i
	}
	find := func(i int) int {
		for parent[i] != i {
			i = parent[i]
		}
		return i
	}
	f.findDays(t, set)
	limit := set.number("overlap")
	level := f.factors[0].Cook
	for i := range t.Cooks {
		for j := i + 1; j < len(t.Cooks); j++ {
			a, b := &t.Cooks[i], &t.Cooks[j]
			if level[i] < 0 || level[i] != level[j] {
				continue
			}
			bath := bathsOf(t, a, b)
			if bath == apart {
				continue
			}
			when := f.occasionOf(t, i, j)
			if when == apart {
				continue
			}
			share, ok := overlap(t, a, b)
			if ok && share > limit && when == same && bath == same {
				parent[find(j)] = find(i)
			}
		}
	}
	groups := map[int][]int{}
	var order []int
	for i := range t.Cooks {
		r := find(i)
		if groups[r] == nil {
			order = append(order, r)
		}
		groups[r] = append(groups[r], i)
	}
	for _, r := range order {
		f.runs = append(f.runs, bathRun{Cooks: groups[r], Level: level[groups[r][0]]})
		if len(groups[r]) > 1 {
			f.split = append(f.split, groups[r])
		}
	}
}

// overlap is the common time of two cooks as a share of the shorter, and false
// where a start or an end is not known.
func overlap(t *trial.Trial, a, b *trial.Cook) (float64, bool) {
	a0, a1, ok := span(t, a)
	b0, b1, ok2 := span(t, b)
	if !ok || !ok2 {
		return 0, false
	}
	// Where one of them has a day and the other has none, the hour must tell.
	if (a0 < 1440) != (b0 < 1440) {
		a0, a1 = math.Mod(a0, 1440), a1-a0+math.Mod(a0, 1440)
		b0, b1 = math.Mod(b0, 1440), b1-b0+math.Mod(b0, 1440)
	}
	shorter := math.Min(a1-a0, b1-b0)
	if shorter <= 0 {
		return 0, false
	}
	return math.Max(0, math.Min(a1, b1)-math.Max(a0, b0)) / shorter, true
}

// span is when a cook went in and came out, in minutes on one scale for cooks
// of one session.
func span(t *trial.Trial, c *trial.Cook) (from, to float64, ok bool) {
	if !c.Started.Known {
		return 0, 0, false
	}
	from = minuteOf(t, c, c.Started.V)
	switch d, known := c.BathTime(); {
	case c.Out.Known:
		return from, from + c.Out.V.MinutesAfter(c.Started.V), true
	case known:
		return from, from + d.Minutes(), true
	}
	return 0, 0, false
}

// minuteOf puts a clock time of a cook on one scale: minutes since the day 0
// where a date is known from the time itself or from the cook's session, since
// midnight otherwise.
func minuteOf(t *trial.Trial, c *trial.Cook, at trial.Clock) float64 {
	day := writtenDay(t, c, at)
	m := float64(at.Minute) + float64(at.Second)/60
	if !day.IsZero() {
		m += 1440 * float64(day.Days())
	}
	return m
}
