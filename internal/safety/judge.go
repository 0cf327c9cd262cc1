package safety

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/trial"
)

// judge gives the verdict on one cook with its heat. past is true for what was
// really cooked, with its deviations and the time at which it was served.
func (j *judging) judge(c *trial.Cook, h *heat.Cook, past bool) CookVerdict {
	return j.judgeCore(c, h, j.coreOf(c, h), past)
}

// judgeCore is judge with the core at hand.
func (j *judging) judgeCore(c *trial.Cook, h *heat.Cook, core *core, past bool) CookVerdict {
	t, kind, known := j.t, j.kind, j.known
	v := CookVerdict{SetPoint: h.SetPoint, Verdict: Pasteurised, Parasites: ParasitesNotAsked, Users: j.o.Words()}
	if past {
		v.Cook = c.ID
	}
	opened := t.Food.Form.Known && t.Food.Form.V != trial.Whole
	plant := known && onlyPlant(t, kind)
	if known && !kind.Verdict && !filled(t) {
		v.Verdict = NotAsked
	}
	if plant {
		v.Why = []Reason{because("plant", "none is given for foods from plants")}
	}
	v.must = !plant && (opened || known && !kind.WholeUnpasteurised && kind.Rule != food.UnknownRule)

	if !known {
		v.lacks("food.kind", "what may be eaten follows from the kind")
		v.worsen(v.unknown(), because("kind-unknown", "the kind of food is not stated"))
	} else if kind.Rule == food.UnknownRule {
		v.worsen(v.unknown(), because("kind-unsupported", unsupported(kind)))
	}
	if cannot := h.Cannot; !plant && !core.logged && (cannot != nil || core.hist == nil) {
		if cannot == nil {
			cannot = &heat.Cannot{Field: "cooks", Why: "the heat cannot be computed with the values given"}
		}
		v.lacks(cannot.Field, cannot.Why)
		v.worsen(v.unknown(), because("no-heat", cannot.Why))
	}
	if known && asksForm(kind) && !t.Food.Form.Known {
		v.lacks("food.form", "a piece that was opened up carries germs inside")
		v.worsen(v.unknown(), because("form-unknown", "it is not stated whether the pieces are whole"))
	}
	if known && core.hist != nil && !plant {
		before := v.Verdict
		v.kill(t, kind, opened, core)
		if _, stated := c.BathTime(); !stated && c.Hold.Known && !core.logged && v.Verdict < before && core.hist.reaches(noCredit) {
			v.lacks("cooks.time", "a hold counts from the earliest that the core can be there")
		}
		v.Quoted = quotes(kind, t.Food.Form, t.Rules, core.hist)
	}
	if core.hist != nil && !plant && !core.logged {
		v.outside(t, c)
	}
	if past && !plant && !core.logged {
		v.deviations(t, c)
	}
	if known && kind.HistamineUnknown {
		v.histamine(t, c)
	}
	v.growth(t, c, h, core, past, plant)
	v.chilled(c)
	if known && kind.Parasites {
		v.parasites(t, c, core.hist, past && !core.logged && voided(t, c) != "")
	}
	v.people(t, kind, core, opened, c.Chill.Known && c.Chill.V.Is)
	if core.hist != nil && v.Verdict != NotAsked && !core.logged {
		if !h.Checked {
			v.lacks("baths.checked", "a bath that nobody checked is taken to be colder than it reads")
		}
		if !h.Stated {
			v.lacks("food.start", "without it the food is taken to start near freezing")
		}
	}
	return v
}

// unsupported says what is not covered of a kind without a rule.
func unsupported(k food.Kind) string {
	switch k.Name {
	case "crustacean", "cephalopod":
		return "no time and temperature for a " + k.Name + " is confirmed here, so what may be in its flesh, Listeria and Vibrio among it, is not covered"
	}
	return "there is no rule for this kind of food (" + k.Name + ")"
}

// filled reports whether the pieces have a filling: another food, and what it is
// nobody said.
func filled(t *trial.Trial) bool {
	f := t.Food.Form
	return f.Known && (f.V == trial.Rolled || f.V == trial.Stuffed)
}

// onlyPlant reports whether the food is a plant and nothing else.
func onlyPlant(t *trial.Trial, k food.Kind) bool { return k.Rule == food.PlantRule && !filled(t) }

// asksForm reports whether a verdict on the kind depends on whether it is whole.
func asksForm(k food.Kind) bool {
	return k.Rule == food.MuscleRule || k.Rule == food.PoultryRule || k.Rule == food.GameRule
}

// histamine: heat does not remove it, and the kind does not say which fish
// form it, so any fish that is known to have been kept too warm is out, and one
// that the file calls a fish of this risk as well where its keeping is not known.
func (v *CookVerdict) histamine(t *trial.Trial, c *trial.Cook) {
	used := map[string]bool{}
	all := len(c.Pieces) == 0
	for i := range c.Pieces {
		used[c.Pieces[i].Source.V] = true
		all = all || !c.Pieces[i].Source.Known
	}
	stated := len(t.Sources) > 0
	for i := range t.Sources {
		s := &t.Sources[i]
		if !all && !used[s.ID] {
			continue
		}
		delete(used, s.ID)
		if !s.KeptAt.Known {
			stated = false
		} else if s.KeptAt.V.Celsius() > coldStoreAt {
			v.worsen(DoNotEat, because("kept-warm", "the fish was kept above ", temp(coldStoreAt, 0), ", and heat does not remove histamine"))
		}
	}
	if risk, known := t.Food.Histamine.Get(); known && risk && (!stated || !all && len(used) > 0) {
		v.lacks("sources.kept_at", "this fish forms histamine when it is kept warm, and heat does not remove it")
		v.worsen(DoNotEat, because("kept-unknown", "this fish can form histamine, heat does not remove it, and how cold it was kept is not stated"))
	}
}

// growth runs the clock.
func (v *CookVerdict) growth(t *trial.Trial, c *trial.Cook, h *heat.Cook, core *core, past, plant bool) {
	early, known := before(t, c)
	var end, inBath float64
	switch d, ok := c.BathTime(); {
	case core.hist != nil:
		// The piece that was in the bath for the longest time may have used up the
		// clock there; the one that came out first runs out of it first.
		inBath = core.long.to
		if end = core.long.discard(early); end >= inBath {
			end = math.Min(end, core.short.discard(early))
			inBath = core.short.to
		}
	case ok && h.SetPoint > coolAt && h.SetPoint-heat.Unchecked < noCredit:
		// No core is warmer than what is around it, whatever that is.
		inBath, end = d.Minutes(), coolMinutes-early
		if h.SetPoint > warmAt && h.SetPoint-heat.Unchecked < growthEnds { // nobody knows it better
			end = warmMinutes - early
		}
	default:
		return
	}
	if plant && core.hist != nil && core.hist.reaches(noCredit) {
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
	again, knownAgain := reheated(c)
	at, eaten := served(t, c, inBath)
	at = math.Max(at, inBath+again)
	chilled := c.Chill.Known && c.Chill.V.Is
	switch {
	case end < inBath:
		v.worsen(DoNotEat, because("growth-clock", "the core is too long where germs grow: at most ", mins(warmMinutes), " between ", temp(warmAt, 1), " and ", temp(growthEnds, 1),
			" and ", mins(coolMinutes), " below ", temp(noCredit, 1), " count, a brine that is not cold included"))
		return
	case inBath+again > end:
		v.worsen(DoNotEat, because("reheat-clock", "with the reheating it is too long where germs grow: the growth clock runs on and does not start anew"))
		return
	case past && eaten && at > end && !chilled:
		v.worsen(DoNotEat, because("served-late", "it was served later than the growth clock allows"))
		return
	}
	if !knownAgain {
		v.lacks("cooks.reheat.for", "reheating runs on the growth clock")
		v.worsen(v.unknown(), because("reheat-time", "it was reheated for a time that is not stated"))
	}
	v.Discard = math.Floor(end/5) * 5
	if past && c.Started.Known && v.Discard > 0 {
		v.DiscardAt = clockAt(c.Started.V, v.Discard)
	}
}

// parasites is a verdict of its own, and fish without control is not eaten.
func (v *CookVerdict) parasites(t *trial.Trial, c *trial.Cook, h *history, void bool) {
	if !void && h != nil && h.minutesAt(parasiteAt) >= parasiteMinutes {
		v.Parasites = ParasitesCooked
		return
	}
	state, why := parasitesOf(t, c)
	v.Parasites = state
	if !state.Controlled() {
		v.lacks("food.frozen", "how cold and how long "+creature(t)+" was frozen against parasites, and by whom")
		v.worsen(DoNotEat, why)
	}
}

// people: the Listeria rows alone never clear a dish for vulnerable people.
func (v *CookVerdict) people(t *trial.Trial, k food.Kind, c *core, opened, chilled bool) {
	switch {
	case v.Verdict == NotAsked:
		v.Vulnerable = true
	case v.Verdict != Pasteurised || chilled || c.hist == nil || k.Rule == food.UnknownRule:
	case k.Rule == food.MuscleRule && !opened:
		v.Vulnerable = c.hist.reaches(vulnerableAt) && c.generic >= listeriaMinutes
	default:
		v.Vulnerable = c.hist.minutesAt(listeriaAt) >= listeriaMinutes
		if opened || k.Rule == food.PoultryRule || k.Rule == food.GameRule {
			for _, m := range localMinimums(k, t.Food.Form.V, t.Rules) {
				_, met := m.met(c.hist)
				v.Vulnerable = v.Vulnerable && met
			}
		}
	}
	if len(t.Serve) == 1 && t.Serve[0] == trial.Vulnerable && !v.Vulnerable {
		v.worsen(DoNotEat, because("vulnerable", "it is meant for vulnerable people, and for them it is not cooked enough"))
	}
}
