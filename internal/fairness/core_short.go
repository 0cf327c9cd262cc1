package fairness

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var coreShort = Check{
	Slug:   "core-short",
	Family: HeatFamily,
	Stage:  Plan,
	Short:  "cores that fell short",
	Asks:   "Did the middle of every piece really reach its set point?",
	Needs:  []string{"cooks.log", "pieces.thickness", "food.thickness", "food.shape", "food.start", "cooks.time", "baths.reads"},
	Finds: "A log decides: a core that stayed more than {core-tol} below the bath, as it really stood, blocks. Without a core in a log the time to the core " +
		"(to 0.5 K) is predicted as a range, with the diffusivity ±10 % and the coefficient at the surface from 95 to 300 W/m²K. It blocks where even the " +
		"favourable end is longer than the time in the bath, weakens where the middle of the range is, and is a note where only the unfavourable end is. A hold is counted from the arrival, so it " +
		"can only be short by its log. For an egg in its shell the favourable end is that of the yolk alone, as if the white were as warm as the bath at once, and the " +
		"unfavourable one that of the whole egg as a solid sphere.",
	Clears:   "Every core arrived by its log, or had time enough at the unfavourable end.",
	Unjudged: "A cook has no core in a log, and the thickness, or the heat in a medium other than a water bath, is not known.",
	Why: "A core that never arrived was cooked at some lower, unknown temperature. A bagged slab of 25 mm needs about an hour from the fridge to 50 °C, " +
		"and a tenth more thickness about 15 % more.",
	Wording: "In {time} the core of {cooks} cannot have reached {target}: it needs {low} to {high}. What was tasted was cooked at less than the label says.",
	Others: map[string]string{
		"log":   "The core of {cooks} came to {reached} and not to {target}. What was tasted was cooked at less than the label says.",
		"maybe": "In {time} the core of {cooks} may not have reached {target}: it needs {low} to {high}.",
	},
	Hedge:   "the core of {cooks} may have been colder than the label says",
	Next:    "{thinner}, and put a probe in one of each cook. Its log says when the core is there.",
	Avoid:   "Cut thinner pieces, all of one thickness, and put a probe in one of each cook. Its log says when the core is there.",
	Fix:     "core-there",
	Source:  "Transient conduction, as `tamis heat` computes it; the range of the coefficient is from memory. {core-tol} is a house rule.",
	Options: []string{"core-tol"},
	FiresOn: "food: {name: chicken breast, kind: poultry, shape: slab, thickness: 30 mm, start: 5 °C}\ncooks: [{id: A, set_point: 50 °C, time: 30 min, log: none, pieces: []}, {id: B, set_point: 60 °C, time: 30 min, log: none, pieces: []}]",
	ClearOn: "food: {name: trout, kind: oily fish, shape: slab, thickness: 15 mm, start: 5 °C}\ncooks: [{id: A, set_point: 46 °C, time: 50 min, log: none, pieces: []}, {id: B, set_point: 52 °C, time: 50 min, log: none, pieces: []}]",
	Judge:   judgeCoreShort,
	Example: exampleCoreShort,
}

// shortCore is how a cook fell short, or may have.
type shortCore struct {
	cook     int
	severity Severity
	variant  string
	value    float64 // K short by the log, or the time over the needed time
	minutes  float64
	up       heat.Range
	reached  float64
	target   float64
}

func judgeCoreShort(c *Case) Judgement {
	h := c.heat()
	var short []shortCore
	var lacks []Missing
	n := 0
	tol := c.set.kelvin("core-tol")
	for i := range c.Trial.Cooks {
		if c.Factor.Cook[i] < 0 || !c.Trial.Cooks[i].SetPoint.Known {
			continue
		}
		n++
		s, why := c.coreOf(i, &h.Cooks[i], tol)
		switch {
		case why != "":
			lacks = addMissing(lacks, why, c.Trial.Cooks[i].ID)
		case s.severity > None:
			short = append(short, s)
		}
	}
	if len(short) == 0 {
		switch {
		case n == 0:
			return notApplicable("no cook has a set point")
		case len(lacks) > 0:
			return Judgement{Outcome: CannotJudge, Missing: lacks}
		}
		return clear()
	}
	// The worst kind is told: seen before predicted, then the largest shortfall.
	worst := short[0]
	for _, s := range short[1:] {
		if s.severity > worst.severity || s.severity == worst.severity && s.variant == "log" && worst.variant != "log" ||
			s.severity == worst.severity && s.variant == worst.variant && (s.variant == "log") == (s.value > worst.value) && s.value != worst.value {
			worst = s
		}
	}
	var ids, alike []string
	for _, s := range short {
		ids = append(ids, c.Trial.Cooks[s.cook].ID)
		// One sentence with one set of numbers speaks of the cooks that share them.
		if s.variant == worst.variant && s.target == worst.target && s.minutes == worst.minutes && s.up == worst.up && s.reached == worst.reached {
			alike = append(alike, c.Trial.Cooks[s.cook].ID)
		}
	}
	low, high := minutesBetween(worst.up.Low, worst.up.High, worst.minutes)
	j := Judgement{
		Outcome: Fires, Severity: worst.severity, Variant: worst.variant, Where: Where{Cooks: ids, At: c.cookPlace(ids)},
		Value: quantity.Num(worst.value), Threshold: quantity.Num(1),
		Statistic: "time in the bath over the time that the core needs, favourable end",
		Fill: Fill{"cooks": listWords(alike), "target": celsius(worst.target), "time": minutes(worst.minutes), "low": low, "high": high,
			"reached": celsius(math.Round(10*worst.reached) / 10)},
	}
	j.Fill["thinner"] = "Cut thinner pieces, all of one thickness"
	if kind, ok := food.Lookup(c.Trial.Food.Kind.V); ok && kind.Rule == food.EggRule {
		j.Fill["thinner"] = "Give the eggs more time, take them all of one size"
	}
	for l := range c.Levels() {
		for _, s := range short {
			if c.Factor.Cook[s.cook] == l {
				j.Where.Arms = append(j.Where.Arms, c.label(l))
				break
			}
		}
	}
	switch worst.variant {
	case "log":
		j.Statistic, j.Threshold, j.Option = "how far the core stayed below the bath, K", quantity.Num(tol), "core-tol"
	case "maybe":
		j.Statistic = "time in the bath over the time that the core needs, unfavourable end"
	}
	return j
}

// coreOf judges one cook. why is the field that would let it be judged.
func (c *Case) coreOf(i int, h *heat.Cook, tol float64) (s shortCore, why string) {
	k := &c.Trial.Cooks[i]
	s.cook = i
	if h.Log != nil { // one that reads like °F gives no core
		if top, ok := h.Log.CoreMax.Get(); ok {
			bath, _, _ := c.bathAt(i)
			s.reached, s.target, s.value = top, math.Round(10*bath)/10, bath-top
			// The last digit of a log is a tenth or so: what is equal to it has arrived.
			if s.value > tol+1e-9 {
				s.severity, s.variant = Blocks, "log"
			}
			return s, ""
		}
	}
	if k.Hold.Known {
		return s, "" // it is counted from the arrival
	}
	time, timed := k.BathTime()
	egg := c.inShell(h)
	if m := c.Trial.Medium.Or(trial.WaterBath); m != trial.WaterBath || !egg && len(h.Limits()) > 0 && h.Limits()[0].Voids {
		return s, "cooks.log"
	}
	if !timed {
		return s, "cooks.time"
	}
	s.target = k.SetPoint.V.Celsius()
	consider := func(up heat.Range, minutes float64) {
		severity, value, variant := None, 0.0, ""
		switch {
		case up.Low > minutes:
			severity, value = Blocks, minutes/up.Low
		case up.High > minutes:
			severity, value, variant = Weakens, minutes/up.High, "maybe"
			// More likely there than not: of fair trials without a log, which leave the
			// usual time and no more, every third would be accused of it.
			if math.Sqrt(up.Low*up.High) <= minutes {
				severity = Note
			}
		}
		if severity > s.severity || severity == s.severity && severity > None && value < s.value {
			s.severity, s.value, s.variant, s.up, s.minutes = severity, value, variant, up, minutes
		}
	}
	if len(h.Pieces()) == 0 {
		if !h.ComeUp().Known {
			return s, fieldOf(h.ComeUp().Why, "food.thickness")
		}
		up := h.ComeUp()
		if egg {
			up = eggComeUp(h.Likely(), h.Likely().Thickness)
		}
		consider(up, time.Minutes())
		return s, ""
	}
	for p := range h.Pieces() {
		up := h.Pieces()[p].ComeUp
		if !up.Known {
			return s, fieldOf(up.Why, "pieces.thickness")
		}
		if egg {
			up = eggComeUp(h.Likely(), h.Pieces()[p].Thickness)
		}
		in := time.Minutes()
		if out := k.Pieces[p].Out; out.Known && k.Started.Known {
			in = out.V.MinutesAfter(k.Started.V)
		}
		consider(up, in)
	}
	return s, ""
}

// yolkShare is the diameter of a yolk as a share of that of its egg, on the small
// side (from memory: some 31 of 44 mm).
const yolkShare = 0.65

// inShell reports whether a cook is of eggs in their shells, and nothing else
// speaks against a prediction.
func (c *Case) inShell(h *heat.Cook) bool {
	kind, ok := food.Lookup(c.Trial.Food.Kind.V)
	if !ok || !c.Trial.Food.Kind.Known || kind.Rule != food.EggRule {
		return false
	}
	for _, l := range h.Limits() {
		if l.Voids && l.Slug != heat.Shell {
			return false
		}
	}
	return true
}

// eggComeUp is between what two bodies need: the yolk alone in the bath, since a
// white that flows brings the heat to it faster than any solid, and a solid sphere
// of the egg's width, since a shell and a cell of air only slow it down.
func eggComeUp(x heat.Setting, mm float64) heat.Range {
	x.Shape, x.Thickness = trial.Sphere, mm
	whole := heat.ComeUpOf(x)
	x.Thickness = yolkShare * mm
	const atOnce = 5000 // W/m²K: no film to speak of
	x.Transfer = [3]float64{atOnce, atOnce, atOnce}
	yolk := heat.ComeUpOf(x)
	if !whole.Known || !yolk.Known {
		return whole
	}
	return heat.Range{Known: true, Low: yolk.Low, Mid: math.Sqrt(yolk.Low * whole.High), High: whole.High}
}

// fieldOf is the field that a prediction lacks.
func fieldOf(why *heat.Cannot, otherwise string) string {
	if why == nil || why.Field == "" {
		return otherwise
	}
	return why.Field
}

// addMissing adds an id to the entry of a field.
func addMissing(lacks []Missing, field, id string) []Missing {
	for i := range lacks {
		if lacks[i].Field == field {
			lacks[i].Where = append(lacks[i].Where, id)
			return lacks
		}
	}
	return append(lacks, Missing{field, []string{id}})
}
