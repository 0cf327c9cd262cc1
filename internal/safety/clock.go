package safety

import (
	"fmt"
	"math"

	"tamis/internal/heat"
	"tamis/internal/trial"
)

// before is the time on the growth clock before the bath, in minutes: a brine
// above 5 °C, or at a temperature that is not stated, starts the clock. known is false
// where such a brine has no time.
func before(t *trial.Trial, c *trial.Cook) (minutes float64, known bool) {
	known = true
	for i := -1; i < len(c.Pieces); i++ {
		if i < 0 && len(c.Pieces) > 0 {
			continue // the pieces say it, with the cook's brine where they have none
		}
		b := c.BrineOf(i)
		if !b.Known || b.V.Kind == trial.NoBrine || (b.V.AtTmp.Known && b.V.AtTmp.V.Celsius() <= coldStoreAt) {
			continue
		}
		if !b.V.For.Known {
			known = false
			continue
		}
		minutes = math.Max(minutes, b.V.For.V.Minutes())
	}
	return minutes, known
}

// used is what the growth clocks show after so many minutes in the bath.
//
// The rule allows 2 h between 21.1 and 52.3 °C and 4 h between 10 and 54.4 °C.
// Two things keep it from rewarding what is worse. A core that never gets out
// of a range by the end of the bath is charged with the whole bath: its surface
// was in that range all the while, and a thicker piece, whose core enters later,
// would else have more time. And a core that does get out is charged as if it
// had started at 10 °C: one that starts colder enters later and leaves later,
// and would else gain a little by it.
type used struct{ to, warm, cool float64 }

// discard is when what is left has to be thrown away, in minutes after the food
// went into the bath: once out, both clocks run on from where they stood,
// through rest, slicing and serving.
func (u used) discard(before float64) float64 {
	return u.to + math.Min(warmMinutes-u.warm, coolMinutes-u.cool) - before
}

// usedRising is the clock of a core that never falls.
func usedRising(at func(float64) float64, bath, start, to float64) used {
	u := used{to: to, warm: to, cool: to}
	end := at(to)
	if end < growthEnds {
		return u
	}
	from10 := startedAt10(at, bath, start)
	t52 := crossing(from10, growthEnds, 0, to)
	u.warm = t52 - crossing(from10, warmAt, 0, t52)
	if end >= noCredit {
		u.cool = crossing(from10, noCredit, t52, to)
		u.cool -= crossing(from10, coolAt, 0, t52)
	}
	return u
}

// startedAt10 is the same piece as it would be from 10 °C. Conduction is linear,
// so the share of the gap that is left is the same.
func startedAt10(at func(float64) float64, bath, start float64) func(float64) float64 {
	if start >= coolAt || bath <= coolAt {
		return at
	}
	ratio := (bath - coolAt) / (bath - start)
	return func(m float64) float64 { return bath - (bath-at(m))*ratio }
}

// usedSampled is the clock of a core that may fall again: whatever it spends
// below a limit from the bath on counts, less the cold minutes before it first
// came to 21.1 °C.
func usedSampled(path []float64, to, cold float64) used {
	u := used{to: to, warm: to, cool: to}
	// The last step of the path may be short of the end of the bath; it counts
	// as whatever the core was by then.
	last := path[len(path)-1]
	if last >= growthEnds {
		u.warm = math.Max(0, minutesBelow(path, heat.Step, growthEnds)-cold)
	}
	if last >= noCredit {
		u.cool = minutesBelow(path, heat.Step, noCredit)
	}
	return u
}

// served is how long after it went into the bath the last of it was served or
// tasted, in minutes, where that can be told.
func served(t *trial.Trial, c *trial.Cook, inBath float64) (minutes float64, ok bool) {
	see := func(at trial.Opt[trial.Clock]) {
		switch {
		case !at.Known:
			return
		case c.Started.Known:
			minutes, ok = math.Max(minutes, at.V.MinutesAfter(c.Started.V)), true
		case c.Out.Known:
			minutes, ok = math.Max(minutes, inBath+at.V.MinutesAfter(c.Out.V)), true
		}
	}
	see(c.Served)
	for i := range c.Pieces {
		see(c.Pieces[i].Served)
	}
	for i := range t.Panel.V.Scores {
		if s := &t.Panel.V.Scores[i]; s.Clock.Known && s.Cook == c.ID {
			see(s.Clock)
		}
	}
	return minutes, ok
}

// reheated is what reheating adds to the clock, in minutes: it does not start
// anew. known is false where it was reheated for a time that is not stated.
func reheated(c *trial.Cook) (minutes float64, known bool) {
	r := c.Reheat.V
	switch {
	case !c.Reheat.Known, r.AtTmp.Known && r.AtTmp.V.Celsius() >= noCredit && r.For.Known && r.For.V.Minutes() <= 0:
		return 0, true
	case !r.For.Known:
		return 0, false
	}
	return r.For.V.Minutes(), true
}

// clockAt is a clock time so many minutes after another, such as 11:05, with
// the day where it is a later one.
func clockAt(start trial.Clock, minutes float64) string {
	m := start.Minute + int(math.Floor(minutes))
	s := fmt.Sprintf("%02d:%02d", (m/60)%24, m%60)
	if m >= 1440 {
		s += " on the next day"
	}
	return s
}
