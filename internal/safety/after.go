package safety

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// longestPlan is the longest time in a bath that is looked at, in minutes.
const longestPlan = 24 * 60.0

// Planner judges cooks that might be made: other set points, thicknesses and
// times than those of a trial, which gives the food, the bath and its errors, the
// start and the rules. It keeps what it solved and is not safe for use by two at
// once.
type Planner struct {
	o        Override
	solver   *heat.Solver
	trials   map[int]*trial.Trial // one cook each, without what happened to it
	original *trial.Trial
}

// NewPlanner is a planner for the cooks of a trial. The trial is not altered.
func NewPlanner(t *trial.Trial, o Override) *Planner {
	return &Planner{o: o, solver: heat.NewSolver(heat.Given{}), trials: map[int]*trial.Trial{}, original: t}
}

// plan is the trial with one cook of it, as it could be made again: without its
// times, its log, its chilling and what happened after the bath.
func (p *Planner) plan(cook int) *trial.Trial {
	if t := p.trials[cook]; t != nil {
		return t
	}
	t := *p.original
	t.Deviations, t.Panel = nil, trial.Opt[trial.Panel]{}
	c := t.Cooks[cook]
	t.Cooks = []trial.Cook{{ID: c.ID, Bath: c.Bath, Session: c.Session, Treatment: c.Treatment, Bag: c.Bag, Ramp: c.Ramp}}
	for _, piece := range c.Pieces {
		t.Cooks[0].Pieces = append(t.Cooks[0].Pieces, trial.Piece{ID: piece.ID, Source: piece.Source, Thickness: piece.Thickness, Start: piece.Start, Treatment: piece.Treatment})
	}
	p.trials[cook] = &t
	return &t
}

// After says when a core is pasteurised.
type After struct {
	SetPoint  float64 // °C
	Thickness float64 // mm
	// Minutes in the bath until every row of the kind is met on the unfavourable
	// side, rounded up to 5 min; 0 where that never happens. Exact is not rounded.
	Minutes, Exact float64
	// Verdict is that for this time in the bath; for food that never gets there,
	// for the time at which the core has come up, or else for no time in particular.
	// The time is shown only beside it, and nothing that it calls do not eat is
	// proposed.
	Verdict CookVerdict
	// Never says why a core is never pasteurised, nil where it is: too-thick (cut
	// it), too-cold, fat-unknown, no-heat, no-row.
	Never *Reason
}

// PasteurisedAfter is when a cook of the trial would be pasteurised at another
// set point in °C and thickness in mm; 0 takes the greatest of the trial.
func (p *Planner) PasteurisedAfter(cook int, celsius, mm float64) After {
	out := After{SetPoint: celsius, Thickness: mm}
	never := func(slug string, parts ...any) After {
		r := because(slug, parts...)
		out.Never = &r
		return out
	}
	if cook < 0 || cook >= len(p.original.Cooks) {
		out.Verdict = worst(p.original, nil)
		return never("no-heat", "there is no such cook")
	}
	t := p.plan(cook)
	t.Cooks[0].Time = trial.Some(quantity.FromMinutes(longestPlan))
	h := p.solver.Plan(t, 0, celsius, mm)
	h.SetPoint = celsius
	j := judgingOf(t, p.o)
	out.Thickness = h.Thickness
	at := h.Core
	if user, _, ok := p.o.core(t, &h); ok && p.o.conducts() {
		at = user
	}
	if h.Cannot != nil {
		t.Cooks[0].Time = trial.Opt[quantity.Duration]{}
		out.Verdict = p.judged(t, &h)
		return never("no-heat", h.Cannot.Why)
	}
	if !j.known || j.kind.Rule == food.PlantRule || j.kind.Rule == food.UnknownRule {
		out.Verdict = p.atTime(t, h, arrival(at, h.Bath))
		return never("no-row", "there is no rule for this food by which it would be pasteurised")
	}
	killed := func(minutes float64) CookVerdict {
		k := &core{hist: rising(at, 0, minutes)}
		j.count(k)
		v := CookVerdict{Verdict: Pasteurised}
		v.kill(t, j.kind, t.Food.Form.Known && t.Food.Form.V != trial.Whole, k)
		return v
	}
	met := func(minutes float64) bool { return killed(minutes).Verdict == Pasteurised }
	lacksFat := func() bool {
		w := killed(longestPlan).Why
		return len(w) > 0 && w[0].Slug == "poultry-fat"
	}
	if !met(longestPlan) {
		if lacksFat() {
			out.Verdict = p.atTime(t, h, arrival(at, h.Bath))
			return never("fat-unknown", "whether it is ever pasteurised at this set point hangs on its fat, which is not stated")
		}
		out.Verdict = p.atTime(t, h, arrival(at, h.Bath))
		return never("too-cold", "the core is not pasteurised within a day at this set point")
	}
	lo, hi := 0.0, longestPlan
	for hi-lo > 0.01 { // minutes, far below what is shown
		if mid := (lo + hi) / 2; met(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	at5 := func(minutes float64) CookVerdict {
		return p.atTime(t, h, quantity.MinimumTimeUp(quantity.FromMinutes(minutes)).Minutes())
	}
	v := at5(hi)
	for _, r := range v.Why {
		if r.Slug == "growth-clock" {
			out.Verdict = v
			return never("too-thick", "too thick: cut. The core would be too long where germs grow")
		}
	}
	// What else the verdict asks for, such as parasites or vulnerable people, may take
	// longer than the killing does.
	if v.Verdict != Pasteurised && p.atTime(t, h, longestPlan).Verdict == Pasteurised {
		lo, hi = hi, longestPlan
		for hi-lo > 0.01 {
			if mid := (lo + hi) / 2; p.atTime(t, h, mid).Verdict == Pasteurised {
				hi = mid
			} else {
				lo = mid
			}
		}
		v = at5(hi)
	}
	out.Verdict = v
	out.Exact = hi
	out.Minutes = quantity.MinimumTimeUp(quantity.FromMinutes(hi)).Minutes()
	return out
}

// At is the verdict on a cook at another set point in °C, thickness in mm (0 takes
// the greatest of the trial) and time in the bath in minutes.
func (p *Planner) At(cook int, celsius, mm, minutes float64) CookVerdict {
	if cook < 0 || cook >= len(p.original.Cooks) {
		return worst(p.original, nil)
	}
	t := p.plan(cook)
	t.Cooks[0].Time = trial.Opt[quantity.Duration]{}
	if minutes > 0 && minutes <= 7*1440 { // anything else is no time
		t.Cooks[0].Time = trial.Some(quantity.FromMinutes(minutes))
	}
	h := p.solver.Plan(t, 0, celsius, mm)
	h.SetPoint = celsius
	return p.judged(t, &h)
}

// atTime is the verdict for a heat that was computed for a longer time.
func (p *Planner) atTime(t *trial.Trial, h heat.Cook, minutes float64) CookVerdict {
	h.From, h.Minutes, h.Longest = 0, minutes, minutes
	return p.judged(t, &h)
}

func (p *Planner) judged(t *trial.Trial, h *heat.Cook) CookVerdict {
	v := judgingOf(t, p.o).judge(&t.Cooks[0], h, false)
	if p.o.Any() {
		v = byUser(v, judgingOf(t, Override{}).judge(&t.Cooks[0], h, false))
	}
	return v
}

// arrival is when a core has come up, or a day.
func arrival(at func(float64) float64, bath float64) float64 {
	if !(at(longestPlan) >= bath-heat.ComeUp) {
		return longestPlan
	}
	return crossing(at, bath-heat.ComeUp, 0, longestPlan)
}

// LikelyAfter is when whole muscle of the trial's kind gets the decades by the
// publication made for it, as published, by the table's diffusivity with nothing
// deducted, in minutes; +Inf where it does not within a day. It is a prediction
// for comparison with published tables and no verdict.
func (p *Planner) LikelyAfter(celsius, mm, start float64) float64 {
	k, ok := food.Lookup(p.original.Food.Kind.V)
	rows := madeFor(p.original.Food.Kind.V)
	if !ok || len(rows) == 0 {
		return math.Inf(1)
	}
	body, err := heat.New(heat.Slab, mm/2000, heat.Material{Diffusivity: k.Diffusivity, Conductivity: k.Conductivity, Transfer: heat.Transfer})
	if err != nil || !(celsius > start) {
		return math.Inf(1)
	}
	at := func(m float64) float64 { return celsius - (celsius-start)*body.Centre(60*m) }
	met := func(minutes float64) bool {
		_, lacks := short(kills(rising(at, 0, minutes), rows))
		return !lacks
	}
	if !met(longestPlan) {
		return math.Inf(1)
	}
	lo, hi := 0.0, longestPlan
	for hi-lo > 0.01 {
		if mid := (lo + hi) / 2; met(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}
