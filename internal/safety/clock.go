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
		b := c.Treatments(i).Brine
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

// discard is when what is left has to be thrown away, in minutes after the
// food went into the bath: the first of the limits that runs out. Everything
// below growthEnds counts from the bath on, as if the food were above 21.1 °C
// at once, and so does everything after the bath.
func discard(path []float64, inBath, before float64) float64 {
	warm := minutesBelow(path, heat.Step, growthEnds)
	cool := minutesBelow(path, heat.Step, noCredit)
	// The last step of the path may be short of the end of the bath; it counts
	// as whatever the core was by then.
	rest := inBath - heat.Step*float64(len(path)-1)
	if last := path[len(path)-1]; last < growthEnds {
		warm, cool = warm+rest, cool+rest
	} else if last < noCredit {
		cool += rest
	}
	// Once out, both clocks run on from where they stood.
	return inBath + math.Min(warmMinutes-warm, coolMinutes-cool) - before
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
		if s := &t.Panel.V.Scores[i]; s.Cook == c.ID {
			see(s.Clock)
		}
	}
	return minutes, ok
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
