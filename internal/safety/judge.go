package safety

import (
	"math"
	"strings"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/trial"
)

// judge gives the verdict on one cook with its heat. past is true for what was
// really cooked, with its deviations and the time at which it was served.
func judge(t *trial.Trial, c *trial.Cook, h heat.Cook, past bool) CookVerdict {
	v := CookVerdict{SetPoint: h.SetPoint, Verdict: Pasteurised, Parasites: ParasitesNotAsked}
	if past {
		v.Cook = c.ID
	}
	kind, known := food.Lookup(t.Food.Kind.V)
	known = known && t.Food.Kind.Known
	opened := t.Food.Form.Known && t.Food.Form.V != trial.Whole
	plant := known && kind.Rule == food.PlantRule
	if known && !kind.Verdict {
		v.Verdict = NotAsked
	}
	if plant {
		v.Why = []Reason{because("plant", "foods from plants have no pathogen row here")}
	}
	v.must = !plant && (opened || known && !kind.WholeUnpasteurised && kind.Rule != food.UnknownRule)
	path := h.Path(h.From, h.Minutes)

	if !known {
		v.lacks("food.kind", "what may be eaten follows from the kind")
		v.worsen(v.unknown(), because("kind-unknown", "the kind of food is not stated"))
	} else if kind.Rule == food.UnknownRule {
		v.worsen(v.unknown(), because("kind-unsupported", "there is no rule for this kind of food ("+kind.Name+")"))
	}
	if h.Cannot != nil && !plant {
		v.lacks(h.Cannot.Field, h.Cannot.Why)
		v.worsen(v.unknown(), because("no-heat", h.Cannot.Why))
	}
	if known && asksForm(kind) && !t.Food.Form.Known {
		v.lacks("food.form", "a piece that was opened up carries germs inside")
		v.worsen(v.unknown(), because("form-unknown", "it is not stated whether the pieces are whole"))
	}
	if known && path != nil && !plant {
		v.kill(t, kind, opened, path)
	}
	if past && !plant {
		v.deviations(t, c)
	}
	if known && kind.HistamineUnknown {
		v.histamine(t, c)
	}
	v.growth(t, c, h, path, past, plant)
	if !known || kind.Verdict {
		v.chilled(c)
	}
	if known && kind.Parasites {
		v.parasites(t, c, path, past && voided(t, c) != "")
	}
	v.people(t, kind, path, opened, c.Chill.Known && c.Chill.V.Is)
	if path != nil && v.Verdict != NotAsked {
		if !h.Checked {
			v.lacks("baths.checked", "a bath that nobody checked is taken to be colder than it reads")
		}
		if !h.Stated {
			v.lacks("food.start", "without it the food is taken to start near freezing")
		}
	}
	return v
}

// asksForm reports whether a verdict on the kind depends on whether it is whole.
func asksForm(k food.Kind) bool {
	return k.Rule == food.MuscleRule || k.Rule == food.PoultryRule || k.Rule == food.GameRule
}

// voided is the deviation that takes the heat calculation away, or "".
func voided(t *trial.Trial, c *trial.Cook) string {
	for i := range t.Deviations {
		d := &t.Deviations[i]
		if d.Cook.Known && d.Cook.V != c.ID {
			continue
		}
		what := strings.ToLower(d.What.V)
		for _, w := range []string{"float", "leak", "power"} {
			if strings.Contains(what, w) {
				return d.What.V
			}
		}
	}
	return ""
}

func (v *CookVerdict) deviations(t *trial.Trial, c *trial.Cook) {
	what := voided(t, c)
	if what == "" {
		return
	}
	to := NotPasteurised
	if v.must {
		to = DoNotEat
	} else if strings.Contains(strings.ToLower(what), "power") {
		to = NoVerdict // nor is the time spent warm known
	}
	v.worsen(to, because("deviation", "something happened to the cook that the calculation does not know ("+what+")"))
}

// histamine: heat does not remove it, and the kind does not say which fish
// form it, so any fish that is known to have been kept too warm is out.
func (v *CookVerdict) histamine(t *trial.Trial, c *trial.Cook) {
	used := map[string]bool{}
	all := len(c.Pieces) == 0
	for i := range c.Pieces {
		used[c.Pieces[i].Source.V] = true
		all = all || !c.Pieces[i].Source.Known
	}
	for i := range t.Sources {
		s := &t.Sources[i]
		if (all || used[s.ID]) && s.KeptAt.Known && s.KeptAt.V.Celsius() > coldStoreAt {
			v.worsen(DoNotEat, because("kept-warm", "the fish was kept above ", temp(coldStoreAt, 0), ", and heat does not remove histamine"))
		}
	}
}

// growth runs the clock.
func (v *CookVerdict) growth(t *trial.Trial, c *trial.Cook, h heat.Cook, path []float64, past, plant bool) {
	early, known := before(t, c)
	var end, inBath float64
	switch d, ok := c.BathTime(); {
	case path != nil:
		// The piece that was in the bath for the longest time may have used up the
		// clock there; the one that came out first runs out of it first.
		long := h.Path(0, h.Longest)
		inBath = h.Longest
		if end = discard(long, h.Longest, early); end >= inBath {
			end = math.Min(end, discard(h.Path(0, h.Minutes), h.Minutes, early))
			inBath = h.Minutes
		}
	case ok && h.SetPoint < growthEnds && t.Medium.Or(trial.WaterBath) == trial.WaterBath:
		inBath, end = d.Minutes(), warmMinutes-early // no core is warmer than its bath
	default:
		return
	}
	if plant && path != nil && reaches(path, noCredit) {
		return // hot enough that the clock is a matter of keeping, not of this cook
	}
	if !known {
		v.lacks("cooks.brine.for", "a brine that is not cold starts the growth clock")
		v.worsen(v.unknown(), because("brine-time", "the food was brined for a time that is not stated"))
		return
	}
	if early > 0 {
		v.lacks("cooks.brine.at", "a brine that is not known to be cold counts on the growth clock")
	}
	if h.Cannot == nil && h.Stated && h.Start > coolAt && !plant {
		v.lacks("food.start", "how long the food stood warm before the bath is not recorded")
		v.worsen(v.unknown(), because("warm-start", "the food was warmer than ", temp(coolAt, 0), " before the bath, and for how long is not recorded"))
	}
	at, eaten := served(t, c, inBath)
	switch {
	case end < inBath:
		v.worsen(DoNotEat, because("growth-clock", "the core is too long where germs grow: at most 2 h below ", temp(growthEnds, 1), " and 4 h below ", temp(noCredit, 1), " count, from the bath on"))
		return
	case past && eaten && at > end && !(c.Chill.Known && c.Chill.V.Is):
		v.worsen(DoNotEat, because("served-late", "it was served later than the growth clock allows"))
		return
	}
	v.Discard = math.Floor(end/5) * 5
	if past && c.Started.Known && v.Discard > 0 {
		v.DiscardAt = clockAt(c.Started.V, v.Discard)
	}
}

// chilled: only what is pasteurised may be chilled, and how has to be known.
func (v *CookVerdict) chilled(c *trial.Cook) {
	ch := c.Chill.V
	if !c.Chill.Known || !ch.Is {
		return
	}
	if v.Verdict != Pasteurised {
		v.worsen(DoNotEat, because("chilled", "it was chilled without being pasteurised"))
		return
	}
	cold := ch.Core.Known && ch.Core.V.Celsius() <= coldStoreAt && ch.Into.Known && ch.AtTime.Known &&
		ch.AtTime.V.MinutesAfter(ch.Into.V) <= chillMinutes && ch.KeptAt.Known && ch.KeptAt.V.Celsius() <= coldStoreAt
	if !cold {
		v.lacks("cooks.chill", "how fast it was chilled and how cold it was kept")
		v.worsen(v.unknown(), because("chill-unknown", "it is not recorded that it was at ", temp(coldStoreAt, 0), " within ", mins(chillMinutes), " and stayed there"))
	}
}

// parasites is a verdict of its own, and fish without control is not eaten.
func (v *CookVerdict) parasites(t *trial.Trial, c *trial.Cook, path []float64, void bool) {
	if !void && minutesAt(path, heat.Step, parasiteAt) >= parasiteMinutes {
		v.Parasites = ParasitesCooked
		return
	}
	state, why := parasitesOf(t, c)
	v.Parasites = state
	if !state.Controlled() {
		v.lacks("food.frozen", "how cold and how long the fish was frozen against parasites, and by whom")
		v.worsen(DoNotEat, why)
	}
}

// people: the Listeria rows alone never clear a dish for vulnerable people.
func (v *CookVerdict) people(t *trial.Trial, k food.Kind, path []float64, opened, chilled bool) {
	switch {
	case v.Verdict == NotAsked:
		v.Vulnerable = true
	case v.Verdict != Pasteurised || chilled:
	case k.Rule == food.MuscleRule && !opened:
		// The verdict holds the equivalent already; the core must be hot too.
		v.Vulnerable = reaches(path, vulnerableAt) && equivalent(path, heat.Step, listeriaAt, listeriaZ) >= listeriaMinutes
	case k.Rule == food.PoultryRule || k.Rule == food.GameRule:
		v.Vulnerable = minutesAt(path, heat.Step, listeriaAt) >= listeriaMinutes && reaches(path, poultryInstant)
	case k.Rule == food.UnknownRule:
	default:
		v.Vulnerable = minutesAt(path, heat.Step, listeriaAt) >= listeriaMinutes
	}
	if len(t.Serve) == 1 && t.Serve[0] == trial.Vulnerable && !v.Vulnerable {
		v.worsen(DoNotEat, because("vulnerable", "it is meant for vulnerable people, and for them it is not cooked enough"))
	}
}
