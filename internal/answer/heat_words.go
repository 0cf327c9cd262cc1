package answer

import (
	"math"
	"strings"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/heat/conduct"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Minutes of a prediction are told to the next 5, below 20 to the next 1: down
// at the favourable end, up at the unfavourable one.
func minutesStep(m float64) float64 {
	if m < 20 {
		return 1
	}
	return 5
}

const minuteDust = 1e-9

func minutesDown(m float64) Quantity {
	s := minutesStep(m)
	return Quantity{Kind: Duration, Value: s * math.Floor(m/s+minuteDust)}
}

func minutesUp(m float64) Quantity {
	s := minutesStep(m)
	return Quantity{Kind: Duration, Value: s * math.Ceil(m/s-minuteDust)}
}

func minutesAbout(m float64) Quantity {
	s := minutesStep(m)
	return Quantity{Kind: Duration, Value: s * math.Round(m/s)}
}

func minutesStated(m float64) Quantity { return Quantity{Kind: Duration, Value: m} }

// SpanOf is a range of minutes as it is told: rounded outwards, or, where it was
// measured or stated, to the nearest step.
func SpanOf(r HeatRange) (low, high float64) {
	if r.Low == r.High {
		m := minutesAbout(r.Mid.Or(0)).Value
		return m, m
	}
	return minutesDown(r.Low.Or(0)).Value, minutesUp(r.High.Or(0)).Value
}

// minutesSpan is the same in words: "45 min to 75 min".
func minutesSpan(r HeatRange) Sentence {
	low, high := SpanOf(r)
	if low == high {
		return Say(minutesStated(high))
	}
	return Say(minutesStated(low), " to ", minutesStated(high))
}

// coreSpan is a range of temperatures, rounded outwards: to whole degrees where
// it is wide, else to tenths.
func coreSpan(r HeatRange) Sentence {
	low, high := r.Low.Or(0), r.High.Or(0)
	digits := 0
	if high-low < 2 {
		digits = 1
	}
	p := math.Pow(10, float64(digits))
	low, high = math.Floor(low*p+minuteDust)/p, math.Ceil(high*p-minuteDust)/p
	if low == high {
		return Say(Quantity{Kind: Temperature, Value: low, Digits: digits})
	}
	return Say(Quantity{Kind: Temperature, Value: low, Digits: digits}, " to ", Quantity{Kind: Temperature, Value: high, Digits: digits})
}

// heatTitle is the title of a trial, or what is asked of one without a title:
// "Lean fish, a slab of 25 mm, from 4 °C into a water bath at 52 °C".
func heatTitle(t *trial.Trial) Sentence {
	if t.Title.Known {
		return Say(t.Title.V)
	}
	what := t.Food.Kind.Or("food")
	if what == "other" {
		what = "food"
	}
	s := Say(upper(what))
	if f := t.Food.Form; f.Known && f.V != trial.Whole {
		s = Say(s, ", "+string(f.V))
	}
	shape := string(t.Food.Shape.Or(trial.Slab))
	switch {
	case len(t.Food.Sides) == 3:
		s = Say(s, ", a block of ", lengthOf(t.Food.Sides[0]), " × ", lengthOf(t.Food.Sides[1]), " × ", lengthOf(t.Food.Sides[2]))
	case t.Food.Thickness.Known:
		s = Say(s, ", a "+shape+" of ", lengthOf(t.Food.Thickness.V))
	}
	if t.Food.Start.Known {
		s = Say(s, ", from ", temperatureOf(t.Food.Start.V))
	}
	medium := string(t.Medium.Or(trial.WaterBath))
	if len(t.Cooks) == 1 && t.Cooks[0].SetPoint.Known && quantity.Num(t.Cooks[0].SetPoint.V.Celsius()).Known() {
		return Say(s, ", "+medium+" at ", temperatureOf(t.Cooks[0].SetPoint.V))
	}
	return Say(s, ", "+medium)
}

func lengthOf(l quantity.Length) Quantity { return Quantity{Kind: Length, Value: l.Millimetres()} }

func temperatureOf(c quantity.Temperature) Quantity {
	return Quantity{Kind: Temperature, Value: c.Celsius(), Digits: tempDigits(c.Celsius())}
}

// heatText says when the core is there and where it is at the end; it stands
// over the verdict.
func heatText(c *HeatCook) []Sentence {
	if !c.ComeUp.Mid.Known() {
		return []Sentence{Say("When the core is there cannot be said: ", c.ComeUp.Mid.Reason(), ".")}
	}
	there := Say("The core is within ", Quantity{Kind: Difference, Value: heat.ComeUp, Digits: 1}, " of the bath after ")
	if minutesDown(c.ComeUp.Low.Or(0)).Value == minutesUp(c.ComeUp.High.Or(0)).Value {
		there = Say(there, "about ", minutesAbout(c.ComeUp.Mid.Or(0)), ".")
	} else {
		there = Say(there, minutesSpan(c.ComeUp), ", most likely about ", minutesAbout(c.ComeUp.Mid.Or(0)), ".")
	}
	out := []Sentence{there}
	m, timed := c.Minutes.Get()
	switch hold, held := c.Hold.Mid.Get(); {
	case c.Assumed && c.PasteurisedFrom.Known() && c.PasteurisedFrom.Or(0) >= m:
		out = append(out, Say("No time is stated, so what follows is for ", minutesStated(m), " in the bath, from when on it is pasteurised by calculation. Taken out sooner, it is not."))
	case c.Assumed:
		out = append(out, Say("No time is stated, so what follows is for ", minutesStated(m), " in the bath: then it is there even if everything is slow."))
	case timed && m < c.ComeUp.Low.Or(0):
		out = append(out, Say("After ", minutesStated(m), " it is not there: the core is at ", coreSpan(c.CoreAtOut), "."))
	case timed && m < c.ComeUp.High.Or(0):
		out = append(out, Say("After ", minutesStated(m), " it may be there or not: the core is at ", coreSpan(c.CoreAtOut), "."))
	case timed && held:
		out = append(out, Say("In ", minutesStated(m), " it has been there for ", minutesSpan(c.Hold), "."))
	case held:
		all := HeatRange{quantity.Num(c.ComeUp.Low.Or(0) + hold), quantity.Num(c.ComeUp.Mid.Or(0) + hold), quantity.Num(c.ComeUp.High.Or(0) + hold)}
		out = append(out, Say("With the hold of ", minutesStated(hold), " that is ", minutesSpan(all), " in the bath."))
	}
	if c.Bath == string(heat.Logged) {
		out = append(out, Say("The times follow the bath as it was logged."))
	}
	if dip, ok := c.Dip.Get(); ok && dip >= 0.5 && c.Bath != string(heat.Logged) {
		s := Say("The cold food pulls the bath down by up to ", Quantity{Kind: Difference, Value: math.Ceil(10*dip) / 10, Digits: 1})
		if r, ok := c.Recovery.Get(); ok {
			s = Say(s, ", and the heater needs at least ", minutesUp(r), " to give that back")
		}
		if c.Bath == string(heat.Loaded) {
			s = Say(s, "; the times have it in them.")
		} else {
			s = Say(s, "; the times do not know of it.")
		}
		out = append(out, s)
	}
	return append(out, pasteurisedText(c)...)
}

// pasteurisedText says from when on it is pasteurised, where that is a question.
func pasteurisedText(c *HeatCook) []Sentence {
	from, ok := c.PasteurisedFrom.Get()
	m, timed := c.Minutes.Get()
	switch {
	case ok && timed && from <= m:
		return nil // the verdict says so itself
	case ok:
		return []Sentence{Say("Pasteurised, by calculation, from ", minutesStated(from), " in the bath on.")}
	case c.never == "too-cold":
		return []Sentence{Say("No time at this set point makes it pasteurised.")}
	case c.never == "fat-unknown":
		return []Sentence{Say("Whether it is pasteurised at this set point, and when, hangs on its fat, which is not stated.")}
	case c.never == "too-thick":
		return []Sentence{Say("It is too thick to be pasteurised at this set point: before it is, germs have had too long to grow.")}
	}
	return nil
}

// biteText says how warm a piece was when it was served.
func biteText(b heat.Bite) Sentence {
	whole := func(c float64) Quantity { return Quantity{Kind: Temperature, Value: math.Round(c)} }
	s := Say("When it was served, ", minutesStated(math.Round(b.Minutes)), " after the bath, the core was at about ", whole(b.Core), " and the surface at ", whole(b.Surface))
	for _, x := range b.Stages {
		if x == heat.Seared {
			return Say(s, "; a sear heats the surface to the boil, and the pan is not known better than that.")
		}
	}
	return Say(s, ".")
}

// logText holds the log beside the prediction.
func logText(l *HeatLog, c *HeatCook) []Sentence {
	var out []Sentence
	if mean, ok := l.BathMean.Get(); ok {
		s := Say("The bath stood at ", Quantity{Kind: Temperature, Value: mean, Digits: 1})
		if sd, ok := l.BathSD.Get(); ok {
			s = Say(s, " (standard deviation ", Quantity{Kind: Difference, Value: sd, Digits: 2}, ")")
		}
		if at, ok := l.BackAt.Get(); ok && at > 0 {
			s = Say(s, " once it was back, after ", minutesAbout(at))
		}
		out = append(out, Say(s, "."))
	} else {
		out = append(out, Say("Of the bath: ", l.BathMean.Reason(), "."))
	}
	most, ok := l.CoreMax.Get()
	if !ok {
		return append(out, Say("Of the core: ", l.CoreMax.Reason(), "."))
	}
	core := Quantity{Kind: Temperature, Value: most, Digits: 1}
	at, arrived := l.Arrived.Get()
	if !arrived {
		return append(out, Say("The core came to ", core, " and did not arrive."))
	}
	s := Say("The core came to ", core, " and arrived after ", minutesAbout(at))
	switch low, high := c.ComeUp.Low.Or(0), c.ComeUp.High.Or(0); {
	case !c.ComeUp.Mid.Known():
	case at < low:
		s = Say(s, ", sooner than predicted: the piece was thinner or rounder than stated, or the probe not at its centre")
	case at > high:
		s = Say(s, ", later than predicted: a thicker piece, air in the bag, neighbours, or a bath that dipped")
	default:
		s = Say(s, ", as predicted")
	}
	out = append(out, Say(s, "."))
	if off, ok := l.Offset.Get(); ok && off >= 0.2 {
		out = append(out, Say("At rest the probe reads ", Quantity{Kind: Difference, Value: off, Digits: 1}, " above the bath; no core is hotter than its bath, so one of the two thermometers is off."))
	}
	return out
}

// measuredText says what the log gives for the piece itself.
func measuredText(l *HeatLog) []Sentence {
	out := probeText(l)
	v, ok := l.Diffusivity.Mid.Get()
	if !ok {
		return out
	}
	amount := func(v float64, digits int) Quantity { return Quantity{Kind: Amount, Value: v, Digits: digits} }
	return append(out, Say("From the whole curve: a diffusivity of ", amount(1e7*v, 2), " (", amount(1e7*l.Diffusivity.Low.Or(0), 2), " to ", amount(1e7*l.Diffusivity.High.Or(0), 2),
		", 95 %) × 1e-7 m²/s and a coefficient of ", amount(l.Coefficient.Mid.Or(0), 0), " (", amount(l.Coefficient.Low.Or(0), 0), " to ", amount(l.Coefficient.High.Or(0), 0),
		") W/m²·K, if the probe sat in the middle of the thickest piece."))
}

// probeText says what the log gives for the probe.
func probeText(l *HeatLog) []Sentence {
	lag, ok := l.Lag.Mid.Get()
	if !ok {
		return []Sentence{}
	}
	seconds := func(v float64) string { return short(math.Round(v)) }
	kelvin := func(v float64) Quantity { return Quantity{Kind: Difference, Value: v, Digits: 1} }
	s := Say("The probe is behind its piece by " + seconds(lag) + " s (" + seconds(l.Lag.Low.Or(0)) + " to " + seconds(l.Lag.High.Or(0)) + " s, 95 %)")
	if l.Lag.Low.Or(0) <= 0 {
		s = Say("No lag of the probe is seen; it is less than " + seconds(math.Max(1, math.Ceil(l.Lag.High.Or(0)))) + " s (95 %)")
	}
	low, mid, high := l.ProbeOffset.Low.Or(0), l.ProbeOffset.Mid.Or(0), l.ProbeOffset.High.Or(0)
	if low <= 0 && high >= 0 {
		return []Sentence{Say(s, ", and it reads like the bath within ", kelvin(math.Max(-low, high)), ".")}
	}
	word, a, b := "high", low, high
	if mid < 0 {
		word, a, b = "low", -high, -low
	}
	return []Sentence{Say(s, ", and it reads ", kelvin(math.Abs(mid)), " "+word+" against the bath (", kelvin(a), " to ", kelvin(b), ", 95 %).")}
}

// limitWords says what speaks against a prediction.
func limitWords(l heat.Limit) Sentence {
	switch l.Slug {
	case heat.AssumedStart:
		return Say("The start is not stated; the range covers ", Quantity{Kind: Temperature, Value: heat.ColdStart}, " to ", Quantity{Kind: Temperature, Value: heat.WarmStart}, ".")
	case heat.AssumedShape:
		return Say("The shape is not stated; a slab is taken, the slowest of its thickness.")
	case heat.AssumedKind:
		return Say("The kind of food is not stated; the range covers moist food of any kind.")
	case heat.OwnNumber:
		return Say("The " + l.Word + " is the user's, not the table's.")
	case heat.Thin:
		return Say("Thinner than ", Quantity{Kind: Length, Value: heat.ThinBelow}, ": bag and water take as long as the food, and the times are too short.")
	case heat.Thick:
		return Say("Thicker than ", Quantity{Kind: Length, Value: heat.ThickAbove}, ": no published table goes so far, and no log has been held against this.")
	case heat.Shell:
		return Say("A shell with air, water or two foods in it is not the solid piece that is computed; only a probe tells.")
	case heat.Opened:
		return Say("A " + l.Word + " piece is not one solid: gaps and filling heat otherwise; only a probe tells.")
	case heat.Frozen:
		return Say("It starts frozen: the time is from a calculation with the heat of thawing, rougher than one from the fridge, and no verdict goes with it.")
	case heat.Ramp:
		return Say("The bath was heated with the food in it, and that is not predicted.")
	case heat.AirInBag:
		return Say("A bag without a full vacuum can hold air: a pocket of ", Quantity{Kind: Length, Value: 1}, " doubles the time there, and more.")
	case heat.Touching:
		return Say("Pieces that share a bag count as one thicker piece where they touch.")
	case heat.FullBath:
		return Say("The bath holds less than ten times its food: it dips, and water moves badly between bags.")
	case heat.Mishap:
		s := "Something happened that the prediction does not know (" + l.Word + ")"
		switch word := strings.ToLower(l.Word); {
		case strings.Contains(word, "float"):
			s += ": a piece that is wet on one side only takes about three times as long"
		case strings.Contains(word, "leak"), strings.Contains(word, "bag"), strings.Contains(word, "hole"):
			s += ": water or air in the bag changes how the heat gets in, and the bath water is in the food"
		case strings.Contains(word, "touch"), strings.Contains(word, "stack"), strings.Contains(word, "overlap"), strings.Contains(word, "crowd"):
			s += ": pieces that lie together are one thicker piece, and twice the thickness takes three to four times as long"
		case strings.Contains(word, "lid"), strings.Contains(word, "evaporat"), strings.Contains(word, "water level"), strings.Contains(word, "dry"):
			s += ": the bath loses heat, and what is not under water is not heated"
		case l.Voids:
			s += ": how cold the bath became, only a log tells"
		}
		return Say(s + ".")
	case heat.Surface:
		c, _ := heat.Coefficients(trial.Medium(l.Word))
		return Say("In " + l.Word + " it is not known " + c.Lacks + "; the coefficient is a handbook range, from memory, to be confirmed.")
	case heat.NoBath:
		c, _ := heat.Coefficients(trial.Medium(l.Word))
		return Say("No prediction for this medium (" + l.Word + "): " + c.Lacks + ". Use a probe log.")
	case heat.WrongLog:
		return Say("The log reads like °F under a heading of °C, and no prediction rests on it. Put the right unit into its heading.")
	}
	return Say(string(l.Slug) + ".")
}

// heatMethod says how it was computed and what is not in it.
func heatMethod(t *trial.Trial) []Sentence {
	medium := t.Medium.Or(trial.WaterBath)
	c, ok := heat.Coefficients(medium)
	out := []Sentence{
		Say("Heat conduction in a piece of constant properties, one start and one bath temperature, by its exact series (Carslaw and Jaeger 1959). The range is that of the diffusivity, ±10 %, and of the heat transfer at the surface. A bath that was logged, or whose load, water and heater are stated, is followed as it warms, dips and is stepped."),
		Say("Properties by composition (Choi and Okos 1986), half way from start to bath. Composition: " + food.BasisOf(t.Food).Source + "."),
	}
	if ok {
		out = append(out, Say("Surface: "+short(c.Low)+" to "+short(c.High)+" W/m²·K, most likely "+short(c.Mid)+" ("+c.Source+")."))
		if s, found := conduct.SurfaceOf("still-bath"); found && medium == trial.WaterBath {
			out = append(out, Say("A bath that nobody stirs has "+short(s.Low)+" to "+short(s.High)+" W/m²·K and lies in layers, and its times are longer."))
		}
	}
	out = append(out,
		Say("The verdict takes the unfavourable end of everything, as a slab of the greatest thickness, and does not follow from the likely time."),
		Say("Not in it: bone, fat caps, folds and air in the bag, floating, crowded baths, pieces that touch. An estimate for a whole, boneless, thawed piece in well-mixed water, and no validated process. Check it with a probe at the thickest point."),
	)
	return out
}
