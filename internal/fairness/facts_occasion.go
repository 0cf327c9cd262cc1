package fairness

import "tamis/internal/trial"

// occasion says whether two cooks were cooked on one occasion, so that their
// clock times lie on one scale.
type occasion uint8

const (
	apart   occasion = iota // another session or another day
	unknown                 // the file does not say
	same
)

// occasionOf compares the sessions of two cooks, or else the days in their
// clock times. Cooks without either are taken for one occasion, as in the file
// of a single evening, until the file cannot be read so: see severalDays.
func (f *facts) occasionOf(t *trial.Trial, i, j int) occasion {
	a, b := &t.Cooks[i], &t.Cooks[j]
	if a.Session.Known && b.Session.Known {
		if a.Session.V == b.Session.V {
			return same
		}
		return apart
	}
	dayA, dayB := writtenDay(t, a, a.Started.V), writtenDay(t, b, b.Started.V)
	switch {
	case !dayA.IsZero() && !dayB.IsZero():
		if dayA == dayB {
			return same
		}
		return apart
	case a.Session.Known || b.Session.Known || dayA != dayB || f.severalDays:
		return unknown
	}
	return same
}

// findDays sets severalDays: cooks without a session and without a date cannot
// all be of one occasion. Either the file lists several sessions, or two of them
// would have stood in one bath at two set points, and not as in a bath that is
// raised, where the pieces of the higher set point come out later.
func (f *facts) findDays(t *trial.Trial, set settings) {
	limit, level := set.number("ramp-overlap"), f.factors[0].Cook
	var undated []int
	for i := range t.Cooks {
		k := &t.Cooks[i]
		if level[i] >= 0 && !k.Session.Known && writtenDay(t, k, k.Started.V).IsZero() {
			undated = append(undated, i)
		}
	}
	if f.severalDays = len(undated) > 1 && len(t.Sessions) > 1; f.severalDays {
		return
	}
	for n, i := range undated {
		for _, j := range undated[n+1:] {
			a, b := &t.Cooks[i], &t.Cooks[j]
			if level[i] == level[j] || bathsOf(t, a, b) != same {
				continue
			}
			if share, ok := overlap(t, a, b); ok && share > limit && f.raised(t, i, j) <= 0 {
				f.severalDays = true
				return
			}
		}
	}
}

// raised is 1 where the hotter of two cooks came out later, as from a bath that
// is raised, -1 where it came out earlier, and 0 where they came out together or
// nobody knows.
func (f *facts) raised(t *trial.Trial, i, j int) int {
	if values := f.factors[0].Values; values != nil && values[f.factors[0].Cook[i]] > values[f.factors[0].Cook[j]] {
		i, j = j, i
	}
	_, cold, ok := span(t, &t.Cooks[i])
	_, hot, ok2 := span(t, &t.Cooks[j])
	switch {
	case !ok || !ok2 || hot == cold:
		return 0
	case hot > cold:
		return 1
	}
	return -1
}

// bathsOf says whether two cooks were in one bath.
func bathsOf(t *trial.Trial, a, b *trial.Cook) occasion {
	one, ok := t.BathOf(a)
	other, ok2 := t.BathOf(b)
	switch {
	case !ok || !ok2:
		return unknown
	case one != other:
		return apart
	}
	return same
}

// writtenDay is the day of a clock time of a cook: as written in it, or that of the
// cook's session; zero where neither says.
func writtenDay(t *trial.Trial, c *trial.Cook, at trial.Clock) trial.Date {
	if !at.Date.IsZero() || !c.Session.Known {
		return at.Date
	}
	for i := range t.Sessions {
		if s := &t.Sessions[i]; s.ID == c.Session.V && s.Date.Known {
			return s.Date.V
		}
	}
	return trial.Date{}
}
