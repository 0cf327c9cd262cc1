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
func OfTrial(t *trial.Trial, h *heat.Trial) *Result { return Override{}.OfTrial(t, h) }

// OfTrial is OfTrial by the user's values.
func (o Override) OfTrial(t *trial.Trial, h *heat.Trial) *Result {
	r := &Result{Cooks: make([]CookVerdict, 0, len(t.Cooks))}
	j, table := judgingOf(t, o), judgingOf(t, Override{})
	for i := range t.Cooks {
		c := heatOf(t, h, i)
		v := j.judge(&t.Cooks[i], c, true)
		if logged, ok := j.byLog(&t.Cooks[i], c); ok && better(logged, v) {
			v = logged
		}
		if o.Any() {
			v = byUser(v, table.judge(&t.Cooks[i], c, true))
		}
		r.Cooks = append(r.Cooks, v)
	}
	r.Overall = worst(t, r.Cooks)
	r.Lead, r.Rest = Cautions(t, r.Overall)
	return r
}

// heatOf is the heat of a cook, which has the set point of the file also where
// nothing could be computed.
func heatOf(t *trial.Trial, h *heat.Trial, i int) *heat.Cook {
	var c *heat.Cook
	if h != nil && i < len(h.Cooks) {
		c = &h.Cooks[i]
	} else {
		c = &heat.Cook{Cannot: &heat.Cannot{Field: "cooks", Why: "there is no heat calculation for this cook"}}
	}
	if set := t.Cooks[i].SetPoint; c.SetPoint == 0 && set.Known {
		own := *c
		own.SetPoint = set.V.Celsius()
		return &own
	}
	return c
}

// For judges a set point, in °C, that an answer wants to name: what it would be
// in each of the cooks given (indices into Trial.Cooks, all of them when the
// list is empty), with their times, baths and start and the greatest thickness
// of the trial. What went wrong in a past cook is left out; everything else
// counts, and so does the worst of them.
func For(t *trial.Trial, celsius float64, cooks []int) CookVerdict {
	return Override{}.For(t, celsius, cooks)
}

// For is For by the user's values.
func (o Override) For(t *trial.Trial, celsius float64, cooks []int) CookVerdict {
	if len(cooks) == 0 {
		for i := range t.Cooks {
			cooks = append(cooks, i)
		}
	}
	j, table := judgingOf(t, o), judgingOf(t, Override{})
	solver := heat.NewSolver(heat.Given{})
	vs := make([]CookVerdict, 0, len(cooks))
	for _, i := range cooks {
		if i < 0 || i >= len(t.Cooks) {
			continue
		}
		h := solver.Plan(t, i, celsius, 0)
		h.SetPoint = celsius
		v := j.judge(&t.Cooks[i], &h, false)
		if o.Any() {
			v = byUser(v, table.judge(&t.Cooks[i], &h, false))
		}
		vs = append(vs, v)
	}
	return worst(t, vs)
}

// byUser marks a verdict that rests on the user's values, and says what the
// tables say where that is worse, so that nothing refused is accepted in silence.
func byUser(v, table CookVerdict) CookVerdict {
	why := words("this is by your own values (", v.Users, "), not by the tables of this program")
	if better := v.Verdict > table.Verdict || v.Parasites > table.Parasites || v.Vulnerable && !table.Vulnerable; better {
		said := table.Verdict.String()
		if len(table.Why) > 0 {
			why = words(why, ", which say: "+said+" (", table.Why[0].Text, ")")
		} else {
			why = words(why, ", which say: "+said)
		}
	}
	// The first reason is the one that is printed, so it has to carry the words.
	if len(v.Why) > 0 {
		why = words(v.Why[0].Text, "; ", why)
		v.Why = append([]Reason{{Slug: "user-values", Text: why}}, v.Why...)
	} else {
		v.Why = []Reason{{Slug: "user-values", Text: why}}
	}
	return v
}

// worst is the verdict that holds for all: the worst of each part, with the
// reasons of the worst cook.
func worst(t *trial.Trial, vs []CookVerdict) CookVerdict {
	if len(vs) == 0 {
		v := CookVerdict{Verdict: NoVerdict, Why: []Reason{because("no-cooks", "nothing was cooked yet")}}
		if k, ok := food.Lookup(t.Food.Kind.V); ok && onlyPlant(t, k) {
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
