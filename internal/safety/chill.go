package safety

import (
	"math"

	"tamis/internal/trial"
)

// chilled: only what is pasteurised may be chilled, and how has to be known. Plants
// have no such verdict, but their spores grow as well in a bag that is kept warm.
func (v *CookVerdict) chilled(c *trial.Cook) {
	ch := c.Chill.V
	if !c.Chill.Known || !ch.Is {
		return
	}
	if v.Verdict < Pasteurised {
		v.worsen(DoNotEat, because("chilled", "it was chilled without being pasteurised"))
		return
	}
	half, total := cooledIn(c)
	known := func(m float64) bool { return !math.IsInf(m, 1) }
	switch {
	case known(half) && half > chillHalfMinutes, known(total) && total > chillTotalMinutes:
		v.worsen(DoNotEat, because("chill-slow", "it was cooled too slowly: at most ", mins(chillHalfMinutes), " to ", temp(chillHalf, 0), " and ", mins(chillTotalMinutes), " to ", temp(coldStoreAt, 0), " are allowed, for spores that heat leaves alive"))
	case ch.KeptAt.Known && ch.KeptAt.V.Celsius() > coldStoreAt:
		v.worsen(DoNotEat, because("chill-warm", "after chilling it was kept above ", temp(coldStoreAt, 0)))
	case !known(half), !known(total), !ch.KeptAt.Known:
		v.lacks("cooks.chill", "how fast it was chilled and how cold it was kept")
		v.worsen(v.unknown(), because("chill-unknown", "it is not recorded that it was at ", temp(chillHalf, 0), " within ", mins(chillHalfMinutes), ", at ", temp(coldStoreAt, 0), " within ", mins(chillTotalMinutes), " and stayed there"))
	}
}

// cooledIn is how long the core took from the bath to 21 °C and to 5 °C, in
// minutes: +Inf where that is not known. The clock starts when it came out, or
// where that is not written down when it went into the ice. A record of 5 °C
// within 2 h answers both questions; a slower one needs a probe log for the first.
func cooledIn(c *trial.Cook) (half, total float64) {
	half, total = math.Inf(1), math.Inf(1)
	ch := c.Chill.V
	start := ch.Into
	if c.Out.Known {
		start = c.Out
	}
	if start.Known && ch.AtTime.Known && ch.Core.Known {
		took, core := ch.AtTime.V.MinutesAfter(start.V), ch.Core.V.Celsius()
		switch {
		case core <= coldStoreAt:
			total = took
			if took <= chillHalfMinutes {
				half = took
			}
		case core <= chillHalf:
			if took <= chillHalfMinutes { // later, it may have been there long before
				half = took
			}
		case took > chillHalfMinutes:
			half = took // seen too warm too late
		}
		if core > coldStoreAt && took > chillTotalMinutes {
			total = took
		}
	}
	logHalf, logTotal := cooledByLog(c)
	return later(half, logHalf), later(total, logTotal)
}

// later is the later of two times, of which either may not be known.
func later(a, b float64) float64 {
	switch {
	case math.IsInf(a, 1):
		return b
	case math.IsInf(b, 1):
		return a
	}
	return math.Max(a, b)
}

// cooledByLog reads both times from a probe log that goes on after the bath,
// counted from the last reading at 57 °C or above, or from the hottest.
func cooledByLog(c *trial.Cook) (half, total float64) {
	half, total = math.Inf(1), math.Inf(1)
	from, top := math.Inf(1), math.Inf(-1)
	for _, l := range c.Log {
		if !l.Core.Known {
			continue
		}
		core := l.Core.V.Celsius()
		if core >= chillFrom || core > top {
			from, half, total = l.Minutes, math.Inf(1), math.Inf(1)
		}
		top = math.Max(top, core)
		if core <= chillHalf && math.IsInf(half, 1) && l.Minutes > from {
			half = l.Minutes - from
		}
		if core <= coldStoreAt && math.IsInf(total, 1) && l.Minutes > from {
			total = l.Minutes - from
		}
	}
	return half, total
}
