package safety

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/trial"
)

// Result is what can be said about a trial. Lead and Rest are the cautions for
// the overall verdict; Cautions makes those for another.
type Result struct {
	Overall CookVerdict   // the worst of the cooks
	Cooks   []CookVerdict // in the order of the file
	Lead    []Caution     // stands right under an answer
	Rest    []Caution     // beside the method
}

// OfTrial judges every cook of a trial with its heat, which heat.OfTrial gave
// for the same trial. A trial without cooks gets no verdict.
func OfTrial(t *trial.Trial, h *heat.Trial) *Result {
	r := &Result{}
	for i := range t.Cooks {
		var c heat.Cook
		if h != nil && i < len(h.Cooks) {
			c = h.Cooks[i]
		} else {
			c.Cannot = &heat.Cannot{Field: "cooks", Why: "there is no heat calculation for this cook"}
		}
		if c.SetPoint == 0 && t.Cooks[i].SetPoint.Known {
			c.SetPoint = t.Cooks[i].SetPoint.V.Celsius()
		}
		r.Cooks = append(r.Cooks, judge(t, &t.Cooks[i], c, true))
	}
	r.Overall = worst(t, r.Cooks)
	r.Lead, r.Rest = Cautions(t, r.Overall)
	return r
}

// For judges a set point, in °C, that an answer wants to name: what it would be
// in each of the cooks given (indices into Trial.Cooks, all of them when the
// list is empty), with their times, baths and start and the greatest thickness
// of the trial. What went wrong in a past cook is left out; everything else
// counts, and so does the worst of them.
func For(t *trial.Trial, celsius float64, cooks []int) CookVerdict {
	if len(cooks) == 0 {
		for i := range t.Cooks {
			cooks = append(cooks, i)
		}
	}
	var vs []CookVerdict
	for _, i := range cooks {
		if i < 0 || i >= len(t.Cooks) {
			continue
		}
		h := heat.Planned(t, i, celsius)
		h.SetPoint = celsius
		vs = append(vs, judge(t, &t.Cooks[i], h, false))
	}
	return worst(t, vs)
}

// worst is the verdict that holds for all: the worst of each part, with the
// reasons of the worst cook.
func worst(t *trial.Trial, vs []CookVerdict) CookVerdict {
	if len(vs) == 0 {
		v := CookVerdict{Verdict: NoVerdict, Why: []Reason{because("no-cooks", "nothing was cooked yet")}}
		if k, ok := food.Lookup(t.Food.Kind.V); ok && k.Rule == food.PlantRule {
			v = CookVerdict{Verdict: NotAsked, Parasites: ParasitesNotAsked, Vulnerable: true}
		} else if ok && !k.Parasites {
			v.Parasites = ParasitesNotAsked
		} else {
			v.Parasites = ParasitesUnknown
		}
		return v
	}
	out := vs[0]
	out.Missing = append([]Missing(nil), vs[0].Missing...)
	discard, cleared := vs[0].Discard, vs[0].Vulnerable
	for _, v := range vs[1:] {
		missing, parasites := out.Missing, min(out.Parasites, v.Parasites)
		if v.Verdict < out.Verdict {
			out = v
		}
		out.Missing, out.Parasites = missing, parasites
		for _, m := range v.Missing {
			out.lacks(m.Field, m.Why)
		}
		discard, cleared = math.Min(discard, v.Discard), cleared && v.Vulnerable
	}
	if len(vs) > 1 {
		out.DiscardAt = "" // each cook has its own
	}
	out.Discard, out.Vulnerable = discard, cleared
	return out
}
