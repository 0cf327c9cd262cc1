package schedule

import (
	"math"

	"tamis/internal/heat"
	"tamis/internal/safety"
)

// What is asked of cooling (US and UK guidance, as package safety quotes it).
const (
	chillTo    = 5.0   // °C
	chillHalf  = 21.0  // °C, within chillFirst
	chillFirst = 120.0 // minutes
	chillTotal = 360.0
	iceWater   = 1.0 // °C
)

// warming is how everything is warmed up again after it was chilled.
type warming struct {
	celsius, minutes float64
	ice              []float64 // minutes in ice water, by cook
}

// chill decides on chilling and warming up: for all cooks alike or for none, only
// what is pasteurised, and never hotter than the lowest set point.
func (k *kitchen) chill() []Conflict {
	chilled := 0
	w := &warming{celsius: math.NaN()}
	refuse := func(cook string, parts ...any) []Conflict {
		c := Conflict{Slug: BadChill, Text: say(parts...), Hint: say("serve all of them straight from the bath")}
		if cook != "" {
			c.First = "cook " + cook
		}
		return []Conflict{c}
	}
	lowest := math.Inf(1)
	for i := range k.original.Cooks {
		c := &k.original.Cooks[i]
		if !c.SetPoint.Known {
			lowest = math.NaN()
		} else {
			lowest = math.Min(lowest, c.SetPoint.V.Celsius())
		}
		if c.Chill.Known && c.Chill.V.Is || c.Reheat.Known {
			chilled++
		}
		if r := c.Reheat.V; c.Reheat.Known {
			if r.AtTmp.Known {
				if at := r.AtTmp.V.Celsius(); !math.IsNaN(w.celsius) && math.Abs(at-w.celsius) > 0.05 {
					return refuse(c.ID, "the cooks are warmed up at different temperatures, ", degrees(w.celsius), " and ", degrees(at))
				} else {
					w.celsius = at
				}
			}
			if r.For.Known {
				w.minutes = math.Max(w.minutes, whole(r.For.V.Minutes()))
			}
		}
	}
	switch {
	case k.o.Chill:
	case chilled == 0:
		return nil
	case chilled < len(k.original.Cooks):
		return refuse("", "some cooks are chilled and others are not: chill all of them or none")
	}
	if math.IsNaN(lowest) {
		return refuse("", "a cook without a set point is not chilled and warmed up here")
	}
	if math.IsNaN(w.celsius) {
		w.celsius = lowest
	}
	if w.celsius > lowest+0.05 {
		return refuse("", "warming up at ", degrees(w.celsius), " would cook again what was cooked at ", degrees(lowest))
	}
	slowest := 0.0
	for i := range k.t.Cooks {
		c, h := &k.t.Cooks[i], &k.heat.Cooks[i]
		if v := k.verdicts[i].Verdict; v != safety.Pasteurised && !k.notTasted {
			return refuse(c.ID, "cook "+c.ID+" may not be chilled: only what is pasteurised may, and it is: "+v.String())
		}
		slow, ok := heat.Slow(k.t, c.SetPoint.V.Celsius(), iceWater)
		if !ok || !(h.Thickness > 0) {
			return refuse(c.ID, "how fast cook "+c.ID+" cools is not known: its kind of food or its thickness is not stated")
		}
		b, err := heat.New(heat.Slab, h.Thickness/2000, slow)
		if err != nil {
			return refuse(c.ID, "how fast cook "+c.ID+" cools cannot be computed")
		}
		half, err1 := heat.SecondsTo(b, c.SetPoint.V.Celsius(), iceWater, chillHalf)
		total, err2 := heat.SecondsTo(b, c.SetPoint.V.Celsius(), iceWater, chillTo)
		if err1 != nil || err2 != nil {
			return refuse(c.ID, "how fast cook "+c.ID+" cools cannot be computed")
		}
		if half/60 > chillFirst || total/60 > chillTotal {
			return refuse(c.ID, "cook "+c.ID+" cools too slowly in ice water: ", minutes(whole(half/60)), " to ", degrees(chillHalf), " and ", minutes(whole(total/60)), " to ", degrees(chillTo),
				", and ", minutes(chillFirst), " and ", minutes(chillTotal), " are allowed")
		}
		w.ice = append(w.ice, whole(total/60))
		if h.ComeUp().Known {
			slowest = math.Max(slowest, h.ComeUp().High)
		}
	}
	if w.minutes == 0 {
		w.minutes = 5 * math.Ceil(slowest/5)
	}
	if w.minutes == 0 {
		return refuse("", "how long warming up takes is not known: state reheat: {at: 55 °C, for: 20 min}")
	}
	k.warm = w
	// What is chilled is cleared for nobody vulnerable, and its discard time does not
	// count from the bath; each cook has its own below.
	v := k.overall
	v.Vulnerable, v.Discard, v.DiscardAt = false, 0, ""
	k.lead, _ = safety.Cautions(k.t, v)
	k.remarks = append(k.remarks, say("Everything is chilled in ice water to ", degrees(chillTo), " or below, kept there, and warmed up together at ", degrees(w.celsius), " for ", minutes(w.minutes),
		". The growth clock runs on while it warms up and is served."))
	return nil
}
