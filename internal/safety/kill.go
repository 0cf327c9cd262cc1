package safety

import (
	"tamis/internal/food"
	"tamis/internal/trial"
)

// What 70 °C for 2 min does, and what is said without it.
var (
	core70      = because("core-70", "the core stays at ", temp(listeriaAt, 0), " or above for ", mins(listeriaMinutes), ", which counts as six decades of Listeria")
	belowCore70 = because("below-core-70", "the core does not stay at ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes))
)

// kill holds the core against the rows that count for the kind.
func (v *CookVerdict) kill(t *trial.Trial, k food.Kind, opened bool, c *core) {
	h := c.hist
	direct := h.minutesAt(listeriaAt) >= listeriaMinutes
	pass := func(r Reason) {
		if v.Verdict >= Pasteurised {
			v.Why = append(v.Why, r)
		}
	}
	switch {
	case k.Rule == food.BivalveRule:
		if h.minutesAt(bivalveAt) >= bivalveMinutes {
			pass(because("bivalve", "the core stays at ", temp(bivalveAt, 0), " or above for ", mins(bivalveMinutes)))
		} else {
			v.worsen(DoNotEat, because("bivalve-short", "bivalves need ", temp(bivalveAt, 0), " at the core for ", mins(bivalveMinutes)))
		}
	case k.Rule == food.PulseRule:
		if h.minutesAt(pulseAt) >= pulseMinutes {
			pass(because("pulse", "boiled for ", mins(pulseMinutes)))
		} else {
			v.worsen(DoNotEat, because("pulse-not-boiled", "pulses need to boil for ", mins(pulseMinutes)))
		}
	case k.Rule == food.UnknownRule && !opened:
	case opened:
		v.opened(t, k, c, direct, pass)
	case k.Rule == food.GameRule || k.Rule == food.EggRule:
		if direct {
			pass(core70)
		} else if v.must {
			v.worsen(DoNotEat, belowCore70)
		} else {
			v.worsen(NotPasteurised, belowCore70)
		}
	case k.Rule == food.PoultryRule:
		v.poultry(t, h, direct, pass)
	default:
		v.Kills = c.kills
		v.muscle(h, c.kills, pass)
	}
}

// muscle: every organism by its decades, at the slowest point.
func (v *CookVerdict) muscle(h *history, ks []Kill, pass func(Reason)) {
	worst, lacks := short(ks)
	switch {
	case !lacks:
		pass(because("core-equivalent", "the core gets "+decadesOf(ks)))
	case !h.reaches(noCredit):
		v.worsen(NotPasteurised, because("below-equivalent", "the core stays below ", temp(noCredit, 1), ", where nothing counts as killed"))
	default:
		v.worsen(NotPasteurised, because("below-equivalent", "the core does not get "+decades(worst.Decades)+" decades of "+worst.Organism))
	}
}

// opened: germs are inside, so it is the core or nothing. Outright 70 °C for
// 2 min is enough under any rules; under those that have a table of their own
// for it, a row of that table together with all decades of the kind.
func (v *CookVerdict) opened(t *trial.Trial, k food.Kind, c *core, direct bool, pass func(Reason)) {
	if direct {
		pass(core70)
		return
	}
	if m := openedMinimum(k, t.Food.Form.V, t.Rules); m != &outright {
		v.Kills = c.kills
		row, met := m.met(c.hist)
		worst, lacks := short(c.kills)
		ask := words(temp(row.Celsius, digitsOf(row.Celsius)), " for ", mins(row.Minutes), " ("+m.Authority+", "+m.Place+")")
		switch {
		case met && !lacks:
			pass(because("opened-minimum", "the core stays at ", ask, ", and it gets "+decadesOf(c.kills)))
		case met:
			v.worsen(DoNotEat, because("below-core-70", "the core does not get "+decades(worst.Decades)+" decades of "+worst.Organism+", which pieces that are not whole need inside"))
		default:
			v.worsen(DoNotEat, because("below-core-70", "the core does not stay at ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes), ", nor at ", ask))
		}
		return
	}
	v.worsen(DoNotEat, because("below-core-70", "the core does not stay at ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes), ", which pieces that are not whole need"))
}

// poultry knows three rows and interpolates none.
func (v *CookVerdict) poultry(t *trial.Trial, h *history, direct bool, pass func(Reason)) {
	fat := t.Food.Composition.V.Fat
	long := h.minutesAt(poultryRow) >= poultryMinutes
	switch {
	case h.reaches(poultryInstant):
		pass(because("poultry-74", "the core reaches ", temp(poultryInstant, 0)))
	case direct:
		pass(core70)
	case long && fat.Known && fat.V.Percent() <= poultryFat:
		pass(because("poultry-58", "the core stays at ", temp(poultryRow, 1), " or above for ", mins(poultryMinutes), ", which counts as seven decades of Salmonella in poultry of up to ", percent(poultryFat), " fat"))
	case long && !fat.Known:
		v.lacks("food.composition.fat", "the row that was met holds up to 9 % fat")
		v.worsen(DoNotEat, because("poultry-fat", "the core stays at ", temp(poultryRow, 1), " for ", mins(poultryMinutes), ", but the fat is not stated, and that row holds up to ", percent(poultryFat), " fat"))
	case long:
		v.worsen(DoNotEat, because("poultry-fatty", "the row for poultry at ", temp(poultryRow, 1), " holds up to ", percent(poultryFat), " fat, and this is fatter: it needs ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes)))
	case !fat.Known:
		v.lacks("food.composition.fat", "a row of poultry at a lower temperature holds up to 9 % fat")
		v.worsen(DoNotEat, because("poultry-short", "the fat is not stated, and then poultry needs ", temp(listeriaAt, 0), " at the core for ", mins(listeriaMinutes), "; up to ", percent(poultryFat), " fat, ", temp(poultryRow, 1), " for ", mins(poultryMinutes)))
	default:
		v.worsen(DoNotEat, because("poultry-short", "poultry needs ", temp(poultryRow, 1), " at the core for ", mins(poultryMinutes), ", or ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes)))
	}
}
