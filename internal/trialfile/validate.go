package trialfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// holdable reports a set point that no water bath can hold.
func (r *reader) holdable(at place, t quantity.Temperature) {
	if !r.waterBath() || t.Celsius() >= 0 && t.Celsius() <= 100 {
		return
	}
	hint := "check the number, or name the medium (medium: oven)"
	if t.Unit() == "°C" && quantity.Fahrenheit(t.Value()).Celsius() <= 100 && t.Value() > 100 {
		hint = fmt.Sprintf("did you mean %s °F?", formatNumber(t.Value()))
	}
	r.fail(at, "out-of-range", "a water bath cannot hold "+t.String(), hint)
}

// finishCook looks at one cook after its keys were read.
func finishCook(r *reader, it *item, c *trial.Cook) {
	c.At = it.at.pos
	meant := contains(it.meant, "time") || contains(it.meant, "hold") || contains(it.meant, "started") || contains(it.meant, "out")
	switch {
	case it.given("time") && it.given("hold"):
		r.fail(it.get("hold").at, "contradiction", "a cook has time or hold, not both", "keep time for the minutes in the bath, hold for those after the core's arrival")
	case !it.given("time") && !it.given("hold") && !(it.given("started") && it.given("out")) && r.waterBath() && !it.part && !meant:
		r.fail(it.at, "missing-key", "a cook needs its time", "add time: 60 min (in the bath), hold: 20 min, or started and out")
	}
	if c.SetPoint.Known {
		r.holdable(here(c.SetPoint.At), c.SetPoint.V)
	}
	if c.Started.Known && c.Out.Known {
		span := r.cooked(c, c.Out)
		if c.Time.Known && span > 0 && math.Abs(span-c.Time.V.Minutes()) > 5 {
			r.warn(here(c.Time.At), "contradiction", fmt.Sprintf("time says %s, started and out say %s min", c.Time.V, formatNumber(math.Round(span))), "correct one of them, or leave out the time")
		}
	}
	if c.Out.Known && c.Served.Known {
		r.served(c, c.Out, c.Served)
	}
}

// noSetPoint says when a cook needs none: where no bath holds a temperature and
// the cook stands for a level of a declared factor.
func noSetPoint(r *reader, c *trial.Cook) bool { return !r.waterBath() && len(c.With) > 0 }

const (
	longNight = 20 * 60 // minutes; a clock time before started is the next day up to here, above it perhaps a slip
	longWait  = 4 * 60  // the same for served after out, unless it was chilled meanwhile
)

// cooked is the time from started to out in minutes.
func (r *reader) cooked(c *trial.Cook, out trial.Opt[trial.Clock]) float64 {
	limit := float64(longNight)
	if m := out.V.MinutesAfter(c.Started.V); c.Time.Known && math.Abs(m-c.Time.V.Minutes()) <= 5 {
		limit = math.Inf(1) // it is as long as it is said to be
	}
	m := r.after(c.Started, out, "out", "started", limit)
	if m == 0 {
		r.fail(here(out.At), "time-goes-back", "out and started are the same time", "check the two times, or write their dates where a day lies between")
	}
	return m
}

// served holds the serving against the end of the cook.
func (r *reader) served(c *trial.Cook, out, served trial.Opt[trial.Clock]) {
	limit := float64(longWait)
	if c.Chill.V.Is {
		limit = math.Inf(1)
	}
	r.after(out, served, "served", "out", limit)
}

// after is the minutes between two clock times. With dates on both, the later
// one cannot be earlier; without them it is on the next day then, and more than
// limit is worth a question.
func (r *reader) after(a, b trial.Opt[trial.Clock], bName, aName string, limit float64) float64 {
	m := b.V.MinutesAfter(a.V)
	switch {
	case m < 0:
		r.fail(here(b.At), "time-goes-back", fmt.Sprintf("%s is before %s", bName, aName), "check the dates; a time without a date may cross midnight")
	case m > limit && b.V.Minute < a.V.Minute && (a.V.Date.IsZero() || b.V.Date.IsZero()):
		r.warn(here(b.At), "past-midnight", fmt.Sprintf("%s is taken as the next day, %s after %s", bName, quantity.FromMinutes(m).Format(quantity.Metric), aName), "check the two times, or write their dates")
	}
	return m
}

func (r *reader) waterBath() bool { return r.t.Medium.Or(trial.WaterBath) == trial.WaterBath }

// validate holds the parts of a trial against each other.
func (r *reader) validate(root *item) {
	t := r.t
	r.learn()
	r.uniqueIDs()
	r.unclaimed()
	r.nothingCooked(root)
	r.orders()
	r.unweighed()
	for _, a := range t.Aims {
		r.refersTo(a.At, a.Measure, r.ids.measures, "measure", "declare it under measures")
	}
	r.aims()
	for i := range t.Cooks {
		r.cook(&t.Cooks[i])
	}
	for _, d := range t.Deviations {
		if d.Cook.Known {
			r.refersTo(d.Cook.At, d.Cook.V, r.samples().cookNames(), "cook", "")
		}
	}
	for _, p := range t.Photos {
		if _, ok := r.samples().of[p.Of.V]; p.Of.Known && !ok && !r.ids.sources.has(p.Of.V) {
			r.refersTo(p.Of.At, p.Of.V, r.pictured(), "cook, piece or source", "")
		}
	}
	for _, d := range t.Tests {
		for _, id := range d.Between {
			r.refersTo(d.At, id, r.samples().names(), "cook", "")
		}
	}
	if len(t.Accept) > 0 {
		everything := r.everything()
		for _, a := range t.Accept {
			for _, id := range a.Where {
				r.refersTo(a.At, id, everything, "cook, piece, assessor or measure", "")
			}
		}
	}
	r.against()
	r.designRefs()
	r.frozenBeforeCaught()
	r.heats()
}

// frozenBeforeCaught: a fish cannot have been frozen for longer than it has been
// out of the water on the last day of the trial.
func (r *reader) frozenBeforeCaught() {
	last := r.t.Date.V
	later := func(d trial.Date) {
		if !d.IsZero() && (last.IsZero() || d.Days() > last.Days()) {
			last = d
		}
	}
	for i := range r.t.Sessions {
		later(r.t.Sessions[i].Date.V)
	}
	for i := range r.t.Cooks {
		later(r.t.Cooks[i].Started.V.Date)
	}
	if last.IsZero() {
		return
	}
	for i := range r.t.Sources {
		s := &r.t.Sources[i]
		f := s.Frozen
		if !f.Known {
			f = r.t.Food.Frozen
		}
		// The catch may have been early on its day and the cook late on its own: one more.
		if since := last.Days() - s.Caught.V.Days(); s.Caught.Known && f.V.For.Known && f.V.For.V.Days() > float64(since+1) {
			r.fail(here(s.Caught.At), "frozen-before-caught", fmt.Sprintf("%s was caught on %s and frozen for %s, which is longer than until the cook on %s", quote(s.ID), s.Caught.V, f.V.For.V, last), "correct the day of the catch or the time in the freezer")
		}
	}
}

// nothingCooked warns of a trial without cooks and without a design. A table of
// cooks without a row is reported with the table.
func (r *reader) nothingCooked(root *item) {
	at := root.at.pos
	for _, key := range []string{"cooks", "design"} {
		v := root.get(key)
		switch {
		case v == nil:
		case v.bad || v.kind == scalar || v.kind == mapping || len(v.list) > 0:
			return
		default:
			at = v.at.pos
		}
	}
	if !root.part {
		r.warn(here(at), "nothing-cooked", "the trial has neither cooks nor a design", "add cooks: with a list of them, or a design")
	}
}

// unweighed warns of a loss in % that has no number, while the pieces were
// weighed: it is computed only where the file says so.
func (r *reader) unweighed() {
	weighed := false
	for i := range r.t.Cooks {
		for j := range r.t.Cooks[i].Pieces {
			_, ok := r.t.Cooks[i].Pieces[j].CookLoss(false)
			weighed = weighed || ok
		}
	}
	if !weighed {
		return
	}
	for _, m := range r.t.Measures {
		if m.Unit.V == "%" && !m.From.Known && strings.Contains(m.Name, "loss") && len(r.t.Observe(m).Rows) == 0 {
			r.warn(here(m.At), "no-number", m.Name+" has no number, and pieces have before and after", "write from: weights if it is to be computed from them")
		}
	}
}

// orders warns of two cooks at one place in the order of their session. Side by
// side in two baths they may be.
func (r *reader) orders() {
	type place struct {
		session string
		order   int
		bath    string // "" where it is not known, "*" for any
	}
	first := make(map[place]*trial.Cook, 2*len(r.t.Cooks))
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		if !c.Order.Known {
			continue
		}
		any, own, unknown := place{c.Session.V, c.Order.V, "*"}, place{c.Session.V, c.Order.V, c.Bath.V}, place{c.Session.V, c.Order.V, ""}
		other := first[own]
		if other == nil {
			other = first[unknown]
		}
		if other == nil && !c.Bath.Known {
			other = first[any]
		}
		if other != nil {
			r.say(diag.Warning, here(c.Order.At), "order-twice", fmt.Sprintf("%s and %s have the same place in the order", other.ID, c.ID), "", "number the cooks of a session as they were run", note(other.Order.At, "first here"))
			continue
		}
		first[any], first[own] = c, c
	}
}

// uniqueIDs reports ids that stand twice among cooks, and among pieces.
func (r *reader) uniqueIDs() {
	twice := func(what, id string, at diag.Pos, first map[string]diag.Pos) {
		if p, dup := first[id]; dup {
			r.say(diag.Error, here(r.find(at, id)), "duplicate-id", fmt.Sprintf("the %s %s stands twice", what, quote(id)), "", "give each an id of its own", note(r.find(p, id), "first here"))
			return
		}
		first[id] = at
	}
	if !r.samples().twice {
		return
	}
	cooks, pieces := map[string]diag.Pos{}, map[string]diag.Pos{}
	for i := range r.t.Cooks {
		c := &r.t.Cooks[i]
		twice("cook", c.ID, c.At, cooks)
		for j := range c.Pieces {
			twice("piece", c.Pieces[j].ID, c.Pieces[j].At, pieces)
		}
	}
}

// cook holds a cook and its pieces against the rest of the file.
func (r *reader) cook(c *trial.Cook) {
	t := r.t
	if c.Bath.Known && len(t.Baths) > 0 && !r.ids.baths.has(c.Bath.V) {
		r.refersTo(c.Bath.At, c.Bath.V, r.ids.baths, "bath", fmt.Sprintf("add %s: {} to baths", c.Bath.V))
	}
	if c.Session.Known && len(t.Sessions) > 0 && !r.ids.sessions.has(c.Session.V) {
		r.refersTo(c.Session.At, c.Session.V, r.ids.sessions, "session", fmt.Sprintf("add %s: {} to sessions", c.Session.V))
	}
	r.with(c.With)
	if in := c.Probe.V.Piece; in.Known && len(c.Pieces) > 0 && !slices.ContainsFunc(c.Pieces, func(p trial.Piece) bool { return p.ID == in.V }) {
		names := make([]string, len(c.Pieces))
		for i := range c.Pieces {
			names[i] = c.Pieces[i].ID
		}
		r.refersTo(in.At, in.V, newNames(names), "piece", "")
	}
	for i := range c.Pieces {
		p := &c.Pieces[i]
		r.with(p.With)
		r.weights(c, i)
		if p.Part.Known && len(t.Parts) > 0 {
			r.refersTo(p.Part.At, p.Part.V, r.ids.parts, "part", "")
		}
		if p.Source.Known {
			r.almost(p.Source.At, p.Source.V)
		}
		out := c.Out
		if p.Out.Known {
			out = p.Out
		}
		if out.Known && p.Served.Known {
			r.served(c, out, p.Served)
		}
		if c.Started.Known && p.Out.Known {
			r.cooked(c, p.Out)
		}
	}
}

// factor reports the key of a level whose factor is not declared, and whether
// it is.
func (r *reader) factor(e entry) bool {
	name := e.key.text
	if r.factors().has(name) {
		return true
	}
	if r.refused[name] {
		return false
	}
	level := "A"
	if e.value.kind == scalar {
		level = e.value.text
	}
	hint := fmt.Sprintf("declare it under factors, like %s: [%s, …]", name, level)
	if n, ok := r.guess(name, r.factors()); ok {
		hint = "did you mean " + n + "?"
	}
	r.fail(e.key.at, "unknown-factor", "there is no factor "+quote(name), hint)
	return false
}

// with holds levels against those of their declared factors.
func (r *reader) with(levels []trial.Level) {
	for _, l := range levels {
		if of := r.ids.levels[l.Factor]; of != nil && !r.refused[l.Factor] {
			r.refersTo(l.At, l.Level, of, "level", "")
		}
	}
}

// weights finds a piece that grew in the bath. Only a brine can make it heavier
// than it was raw.
func (r *reader) weights(c *trial.Cook, i int) {
	p := &c.Pieces[i]
	if !p.After.Known {
		return
	}
	b := c.BrineOf(i)
	brined := b.Known && b.V.Kind != trial.NoBrine
	heavier := func(than trial.Opt[quantity.Mass]) bool {
		return than.Known && p.After.V.Grams() > than.V.Grams()*(1+1e-9)
	}
	switch {
	case heavier(p.Before) && !brined:
		r.say(diag.Error, here(p.After.At), "gained-mass", fmt.Sprintf("after is heavier than before, and %s had no brine", quote(p.ID)), "", fmt.Sprintf("check the two masses (before: %s), or write down the brine", p.Before.V))
	case heavier(p.Brined):
		r.warn(here(p.After.At), "gained-mass", fmt.Sprintf("after is heavier than brined: %s gained mass in the bath", quote(p.ID)), fmt.Sprintf("check the two masses (brined: %s)", p.Brined.V))
	}
}

// against holds the control of the comparison against what was cooked.
func (r *reader) against() {
	c := r.t.Compare.V.Against
	if !c.Known || len(r.t.Cooks) == 0 {
		return
	}
	have := []string{}
	for i := range r.t.Cooks {
		cook := &r.t.Cooks[i]
		have = append(have, cook.ID)
		if cook.SetPoint.Known {
			have = append(have, cook.SetPoint.V.String())
		}
		for j := -1; j < len(cook.Pieces); j++ {
			tr := cook.Treatments(j)
			have = append(have, tr.Brine.V.Label())
			for _, l := range tr.With {
				have = append(have, l.Level)
			}
			if tr.Brine.Known && tr.Brine.V.Kind == trial.NoBrine {
				have = append(have, "none")
			}
		}
	}
	if x, err := quantity.ParseTemperature(c.V); err == nil {
		for i := range r.t.Cooks {
			if s := r.t.Cooks[i].SetPoint; s.Known && math.Abs(s.V.Celsius()-x.Celsius()) <= trial.ArmTolerance {
				return
			}
		}
	}
	if !contains(have, c.V) {
		hint := "write the id of a cook, a set point, or a level: " + r.nearest(c.V, r.samples().cookNames())
		r.fail(here(c.At), "unknown-control", quote(c.V)+" is not a cook, a set point or a level", hint)
	}
}

// designRefs holds what is fixed in a design against what there is.
func (r *reader) designRefs() {
	if !r.t.Design.Known {
		return
	}
	d := &r.t.Design.V
	parts := map[string]*names{}
	sources := newNames()
	for _, s := range d.Sources {
		parts[s.ID] = newNames(s.Parts())
		sources.add(s.ID)
	}
	baths := newNames(d.Baths)
	for _, f := range d.Fixed {
		if f.Source.Known && len(d.Sources) > 0 {
			r.refersTo(f.Source.At, f.Source.V, sources, "source", "")
			if of := parts[f.Source.V]; f.Part.Known && of != nil && len(of.list) > 0 {
				r.refersTo(f.Part.At, f.Part.V, of, "part", "")
			}
		}
		if f.Bath.Known && len(d.Baths) > 0 {
			r.refersTo(f.Bath.At, f.Bath.V, baths, "bath", "")
		}
		if f.SetPoint.Known {
			ok := false
			for _, s := range d.SetPoints {
				ok = ok || math.Abs(s.Celsius()-f.SetPoint.V.Celsius()) <= trial.ArmTolerance
			}
			if !ok {
				r.fail(here(f.SetPoint.At), "unknown-set-point", f.SetPoint.V.String()+" is not among set_points", "add it there, or choose one of them")
			}
		}
	}
}
