package safety

import (
	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/trial"
)

// kill holds the core against the rows that count for the kind.
func (v *CookVerdict) kill(t *trial.Trial, k food.Kind, opened bool, path []float64) {
	direct := minutesAt(path, heat.Step, listeriaAt) >= listeriaMinutes
	cooked := because("core-70", "the core stays at ", temp(listeriaAt, 0), " or above for ", mins(listeriaMinutes), ", which counts as six decades of Listeria")
	needs := because("below-core-70", "the core does not stay at ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes))
	pass := func(r Reason) {
		if v.Verdict >= Pasteurised {
			v.Why = append(v.Why, r)
		}
	}
	switch {
	case k.Rule == food.BivalveRule:
		if minutesAt(path, heat.Step, bivalveAt) >= bivalveMinutes {
			pass(because("bivalve", "the core stays at ", temp(bivalveAt, 0), " or above for ", mins(bivalveMinutes)))
		} else {
			v.worsen(DoNotEat, because("bivalve-short", "bivalves need ", temp(bivalveAt, 0), " at the core for ", mins(bivalveMinutes)))
		}
	case k.Rule == food.PulseRule:
		if minutesAt(path, heat.Step, pulseAt) >= pulseMinutes {
			pass(because("pulse", "boiled for ", mins(pulseMinutes)))
		} else {
			v.worsen(DoNotEat, because("pulse-not-boiled", "pulses need to boil for ", mins(pulseMinutes)))
		}
	case k.Rule == food.UnknownRule && !opened:
	case opened || k.Rule == food.GameRule || k.Rule == food.EggRule:
		if direct {
			pass(cooked)
		} else if v.must {
			v.worsen(DoNotEat, needs)
		} else {
			v.worsen(NotPasteurised, needs)
		}
	case k.Rule == food.PoultryRule:
		v.poultry(t, path, direct, pass, cooked)
	default:
		f := equivalent(path, heat.Step, listeriaAt, listeriaZ)
		enough := f >= listeriaMinutes
		if k.Name == "oily fish" {
			enough = enough && equivalent(path, heat.Step, oilyAt, oilyZ) >= oilyMinutes
		}
		if enough {
			pass(because("core-equivalent", "the core gets the equivalent of ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes), " (z 7.5), which counts as six decades of Listeria"))
		} else {
			v.worsen(NotPasteurised, because("below-equivalent", "the core does not get the equivalent of ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes)))
		}
	}
}

// poultry knows three rows and interpolates none.
func (v *CookVerdict) poultry(t *trial.Trial, path []float64, direct bool, pass func(Reason), cooked Reason) {
	fat := t.Food.Composition.V.Fat
	long := minutesAt(path, heat.Step, poultryRow) >= poultryMinutes
	switch {
	case reaches(path, poultryInstant):
		pass(because("poultry-74", "the core reaches ", temp(poultryInstant, 0)))
	case direct:
		pass(cooked)
	case long && fat.Known && fat.V.Percent() <= poultryFat:
		pass(because("poultry-58", "the core stays at ", temp(poultryRow, 1), " or above for ", mins(poultryMinutes), ", which counts as seven decades of Salmonella in poultry of up to ", percent(poultryFat), " fat"))
	case long && !fat.Known:
		v.lacks("food.composition.fat", "the row that was met holds up to 9 % fat")
		v.worsen(DoNotEat, because("poultry-fat", "the core stays at ", temp(poultryRow, 1), " for ", mins(poultryMinutes), ", but the fat is not stated, and that row holds up to ", percent(poultryFat), " fat"))
	case long:
		v.worsen(DoNotEat, because("poultry-fatty", "the row for poultry at ", temp(poultryRow, 1), " holds up to ", percent(poultryFat), " fat, and this is fatter: it needs ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes)))
	default:
		v.worsen(DoNotEat, because("poultry-short", "poultry needs ", temp(poultryRow, 1), " at the core for ", mins(poultryMinutes), ", or ", temp(listeriaAt, 0), " for ", mins(listeriaMinutes)))
	}
}
