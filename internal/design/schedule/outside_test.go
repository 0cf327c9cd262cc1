package schedule

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// outside holds a schedule against the trial and the options by what the words mean,
// and by nothing that the scheduler computed: it reads times, hands, baths and pans of
// the steps, and works out for itself how long everything has to be. It returns the
// first thing that does not hold.
type outside struct {
	t *trial.Trial
	o Options
	s *Schedule
}

func (x outside) broken() string {
	cooks := map[string]*trial.Cook{}
	for i := range x.t.Cooks {
		cooks[x.t.Cooks[i].ID] = &x.t.Cooks[i]
	}
	type busy struct {
		from, to int // seconds from one midnight, across days
		what     string
	}
	taken := map[string][]busy{}
	seen := map[string]bool{}
	for di := range x.s.Days {
		d := &x.s.Days[di]
		shift := 0
		if !d.On.IsZero() {
			shift = 86400 * d.On.Days()
		} else {
			shift = 86400 * 1000 * (di + 1) // no date: a day of its own
		}
		use := func(key string, from, to Moment, what string) string {
			now := busy{shift + int(from), shift + int(to), what}
			for _, y := range taken[key] {
				if now.from < y.to && y.from < now.to {
					return fmt.Sprintf("%s: %s at %v meets %s", key, what, from, y.what)
				}
			}
			taken[key] = append(taken[key], now)
			return ""
		}
		for _, st := range d.Steps {
			text := st.Text.Text(quantity.Metric)
			if st.To < st.From {
				return "a step ends before it begins: " + text
			}
			if st.Hand < 0 || st.Hand > x.o.Hands {
				return fmt.Sprintf("hands %d of %d: %s", st.Hand, x.o.Hands, text)
			}
			if x.o.Opens.Known && st.From < Moment(60*x.o.Opens.V.Minute) {
				return fmt.Sprintf("at %v the kitchen is closed: %s", st.From, text)
			}
			if st.Hand > 0 {
				if why := use(fmt.Sprint("hands ", st.Hand), st.From, st.To, text); why != "" {
					return why
				}
			} else if slices.Contains([]What{Water, Salting, Bagging, Dropping, Lifting, Searing, Plating}, st.What) && st.To > st.From {
				return "it does itself: " + text
			}
			if st.Pan != "" {
				if why := use("pan "+st.Pan, st.From, st.To, text); why != "" {
					return why
				}
			}
		}
		for _, c := range d.Cooks {
			if cooks[c.Cook] == nil || seen[c.Cook] {
				return c.Cook + " is cooked twice, or is none"
			}
			seen[c.Cook] = true
			if why := x.cook(d, c, cooks[c.Cook]); why != "" {
				return why
			}
			if why := use("bath "+c.Bath, c.In, c.Out, "cook "+c.Cook); why != "" {
				return why
			}
		}
		if why := x.baths(d); why != "" {
			return why
		}
		for i := 1; i < len(d.Flights); i++ {
			if d.Flights[i].Served < d.Flights[i-1].Ends {
				return fmt.Sprintf("flight %d is served at %v while flight %d is eaten until %v", i+1, d.Flights[i].Served, i, d.Flights[i-1].Ends)
			}
		}
	}
	missing := map[string]bool{}
	for _, c := range x.s.Conflicts {
		missing[c.Session] = true
	}
	for id, c := range cooks {
		if !seen[id] && len(x.s.Conflicts) == 0 {
			return fmt.Sprintf("cook %s of %s is nowhere, and nothing says why", id, c.Session.V)
		}
	}
	return ""
}

// stepsOf are the steps of one cook that are of a kind.
func stepsOf(d *Day, cook string, kinds ...What) (out []Step) {
	for _, s := range d.Steps {
		if s.Cook == cook && slices.Contains(kinds, s.What) {
			out = append(out, s)
		}
	}
	return out
}

// cook holds one cook: its brines, its bath, its pan, its plate and its clock.
func (x outside) cook(d *Day, c Times, in *trial.Cook) string {
	bad := func(format string, args ...any) string {
		return "cook " + c.Cook + ": " + fmt.Sprintf(format, args...)
	}
	// In the bath: the stated time to the second, or the hold from when the slowest
	// core is there.
	soak := float64(c.Out-c.In) / 60
	switch {
	case in.Time.Known && math.Abs(soak-in.Time.V.Minutes()) > 0.51/60:
		return bad("%g min in the bath, and %v are stated", soak, in.Time.V)
	case in.Hold.Known:
		h := heat.OfTrial(x.t).Cooks[slices.IndexFunc(x.t.Cooks, func(k trial.Cook) bool { return k.ID == c.Cook })]
		if !h.ComeUp().Known || soak < h.ComeUp().High+in.Hold.V.Minutes()-1e-6 {
			return bad("%g min in the bath do not hold %v after %g min", soak, in.Hold.V, h.ComeUp().High)
		}
	}
	drop, lift, plate := stepsOf(d, c.Cook, Dropping), stepsOf(d, c.Cook, Lifting), stepsOf(d, c.Cook, Plating)
	if len(drop) < 1 || len(lift) < 1 || len(plate) != 1 {
		return bad("%d times in, %d times out, %d times plated", len(drop), len(lift), len(plate))
	}
	if drop[0].To != c.In || lift[0].From != c.Out || plate[0].To != c.Plated {
		return bad("its steps and its times differ")
	}
	// What comes before the bath: each brined piece lies for as long as stated, and
	// everything is bagged before it goes in.
	pieces := map[string]bool{}
	for j := range in.Pieces {
		id := in.Pieces[j].ID
		of := func(kind What) *Step {
			for _, s := range stepsOf(d, c.Cook, kind) {
				if slices.Contains(s.Pieces, id) {
					return &s
				}
			}
			return nil
		}
		bag := of(Bagging)
		if bag == nil || bag.To > drop[0].From {
			return bad("%s is not in its bag when it goes in", id)
		}
		pieces[id] = true
		b := in.BrineOf(j)
		if b.Known && b.V.Kind != trial.NoBrine {
			salt := of(Salting)
			if salt == nil || b.V.For.Known && math.Abs(float64(bag.From-salt.To)/60-b.V.For.V.Minutes()) > 0.51/60 { // to the second
				return bad("%s does not lie in its brine for %v", id, b.V.For.V)
			}
		} else if of(Salting) != nil {
			return bad("%s is salted and should be plain", id)
		}
		f := in.FinishOf(j)
		if f.Known && !f.V.None && f.V.Sear.Known {
			sear := of(Searing)
			need := f.V.Sear.V.Minutes()
			if f.V.PerSide {
				need *= 2
			}
			last := lift[len(lift)-1]
			switch {
			case sear == nil || float64(sear.To-sear.From)/60 < need:
				return bad("%s is not seared for %g min", id, need)
			case sear.From < last.To || sear.To > plate[0].From:
				return bad("%s is seared at %v, out at %v and on the plate at %v", id, sear.From, last.To, plate[0].From)
			case sear.Pan == "" || sear.Hand == 0 || f.V.Pan.Known && sear.Pan != f.V.Pan.V:
				return bad("%s is seared in %q by hands %d", id, sear.Pan, sear.Hand)
			}
		} else if of(Searing) != nil {
			return bad("%s is seared and should not be", id)
		}
	}
	// Out, on the plate, served: in this order and in the stated minutes.
	f := d.Flights[c.Flight-1]
	leaves := lift[len(lift)-1].From
	switch {
	case !slices.Contains(f.Cooks, c.Cook):
		return bad("it is not in its flight")
	case plate[0].From < lift[len(lift)-1].To || c.Plated > f.Served:
		return bad("out at %v, plated at %v, served at %v", leaves, plate[0].From, f.Served)
	case float64(f.Served-c.Plated) > 60*x.o.Within:
		return bad("plated at %v for %v, and within %g min is stated", c.Plated, f.Served, x.o.Within)
	case float64(c.Plated-leaves) > 60*x.o.Wait:
		return bad("it leaves its bath at %v, is plated at %v, and may wait %g min", leaves, c.Plated, x.o.Wait)
	}
	if f.Served > Moment(60*x.o.ServeAt.V.Minute) {
		return bad("served at %v", f.Served)
	}
	return x.eaten(d, c, in, bad)
}

// eaten holds the last bite against the tasters, and the growth clock against the
// verdict.
func (x outside) eaten(d *Day, c Times, in *trial.Cook, bad func(string, ...any) string) string {
	if x.s.NotTasted {
		for _, s := range d.Steps {
			if s.What != Discard && s.Cook == c.Cook && strings.Contains(s.Text.Text(quantity.Metric), "serve") {
				return bad("it is served: %s", s.Text.Text(quantity.Metric))
			}
		}
		if c.LastBite != nil || d.Flights[c.Flight-1].Tasters > 0 {
			return bad("somebody bites into what must not be eaten")
		}
		return ""
	}
	i := slices.IndexFunc(x.t.Cooks, func(k trial.Cook) bool { return k.ID == c.Cook })
	v := safety.OfTrial(x.t, heat.OfTrial(x.t)).Cooks[i]
	if v.Verdict == safety.DoNotEat {
		return bad("it must not be eaten and is served")
	}
	if c.LastBite == nil {
		return bad("no last bite")
	}
	// A taster who gets n samples of the flight takes n times the time for one.
	flight := map[string]int{}
	for _, o := range d.Cooks {
		flight[o.Cook] = o.Flight
	}
	most, whose := 0, map[string]int{}
	for r := range x.t.Panel.V.Scores {
		s := &x.t.Panel.V.Scores[r]
		if flight[s.Cook] == c.Flight && s.Session.V == in.Session.V {
			whose[s.Assessor]++
			most = max(most, whose[s.Assessor])
		}
	}
	ends := d.Flights[c.Flight-1].Served + Moment(float64(most)*60*x.o.PerSample)
	if most > 0 && d.Flights[c.Flight-1].Ends < ends {
		return bad("%d samples of %g min from %v on are not eaten at %v", most, x.o.PerSample, d.Flights[c.Flight-1].Served, d.Flights[c.Flight-1].Ends)
	}
	for r := range x.t.Panel.V.Scores {
		s := &x.t.Panel.V.Scores[r]
		if s.Cook != c.Cook || !s.Position.Known {
			continue
		}
		// Before it this person eats at least what stands before it in the flight.
		n := 1
		for q := range x.t.Panel.V.Scores {
			p := &x.t.Panel.V.Scores[q]
			if p.Assessor == s.Assessor && p.Session == s.Session && flight[p.Cook] == c.Flight && p.Position.V < s.Position.V {
				n++
			}
		}
		if at := d.Flights[c.Flight-1].Served + Moment(float64(n)*60*x.o.PerSample); *c.LastBite < at {
			return bad("%s bites at %v, after the last bite at %v", s.Assessor, at, *c.LastBite)
		}
	}
	warmed := len(stepsOf(d, c.Cook, Rewarming)) > 0
	if v.Discard > 0 && !warmed && float64(*c.LastBite-c.In) > 60*v.Discard {
		return bad("in at %v and eaten at %v, and the growth clock runs %g min", c.In, *c.LastBite, v.Discard)
	}
	if v.Discard > 0 && c.Discard == nil {
		return bad("no time to throw it away, and the growth clock runs %g min", v.Discard)
	}
	if v.Discard > 0 && !warmed && float64(*c.Discard-c.In) > 60*v.Discard {
		return bad("thrown away at %v, %g min are allowed from %v on", *c.Discard, v.Discard, c.In)
	}
	if warmed {
		return x.warmedUp(d, c, in, v, bad)
	}
	return ""
}

// warmedUp holds what was chilled and warmed up again: only what is pasteurised, in
// ice first, never warmer than it was cooked, and the clock runs on.
func (x outside) warmedUp(d *Day, c Times, in *trial.Cook, v safety.CookVerdict, bad func(string, ...any) string) string {
	ice, warm, lift := stepsOf(d, c.Cook, Chilling), stepsOf(d, c.Cook, Rewarming), stepsOf(d, c.Cook, Lifting)
	switch {
	case v.Verdict != safety.Pasteurised:
		return bad("it is chilled and was never pasteurised: %v", v.Verdict)
	case len(ice) != 1 || len(warm) != 1 || len(lift) != 2:
		return bad("chilled %d times, warmed up %d times, taken out %d times", len(ice), len(warm), len(lift))
	case ice[0].From < lift[0].To || warm[0].From < ice[0].To || lift[1].From < warm[0].To:
		return bad("ice at %v, warmed up at %v, out again at %v", ice[0].From, warm[0].From, lift[1].From)
	}
	if at, ok := warm[0].SetPoint.Get(); !ok || at > in.SetPoint.V.Celsius()+0.05 {
		return bad("warmed up at %v and cooked at %v", at, in.SetPoint.V)
	}
	if v.Discard > 0 {
		if used := float64(c.Out-c.In)/60 + float64(*c.LastBite-warm[0].From)/60; used > v.Discard {
			return bad("%g min warm, and the growth clock runs %g", used, v.Discard)
		}
	}
	return ""
}

// baths holds that a bath stands at the set point of each cook: from the cook before
// it there is time for the water, at the least that of heating it without any loss.
func (x outside) baths(d *Day) string {
	type held struct {
		from, to Moment
		at       float64
		what     string
	}
	for _, b := range d.Baths {
		var all []held
		for _, s := range d.Steps {
			v, ok := s.SetPoint.Get()
			if s.Bath != b || !ok || s.What != Cooking && s.What != Rewarming {
				continue
			}
			all = append(all, held{s.From, s.To, v, s.Text.Text(quantity.Metric)})
		}
		slices.SortFunc(all, func(p, q held) int { return int(p.from - q.from) })
		i := slices.IndexFunc(x.t.Baths, func(k trial.Bath) bool { return k.ID == b })
		litres, watts := 20.0, 1000.0
		if i >= 0 {
			litres, watts = x.t.Baths[i].Volume.V.Litres(), x.t.Baths[i].Power.V.Watts()
		}
		for k := range all {
			now := all[k]
			from, since := x.o.Tap.Or(15), Moment(-1<<40)
			if k > 0 {
				from, since = all[k-1].at, all[k-1].to
				if now.at == from && strings.Contains(now.what, "warms up") && strings.Contains(all[k-1].what, "warms up") {
					continue // one bath for all
				}
				if now.from < since && now.at != from {
					return fmt.Sprintf("bath %s is at %g °C until %v and at %g °C from %v", b, from, since, now.at, now.from)
				}
			}
			if now.at <= from+0.05 || k == 0 && i < 0 {
				continue
			}
			least := litres * 4186 * (now.at - from) / watts // seconds without loss: J/kgK of water
			ready := false
			for _, s := range d.Steps {
				if s.Bath == b && s.What == Water && s.From >= since && float64(now.from-s.From) >= least {
					ready = true
				}
			}
			if !ready {
				return fmt.Sprintf("bath %s has no %g min to get from %g to %g °C before %v", b, least/60, from, now.at, now.from)
			}
		}
	}
	return ""
}

// told says what is missing of a conflict: two steps and the minute, in its text too.
func told(c Conflict) string {
	text := c.Text.Text(quantity.Metric)
	switch c.Slug {
	case DoNotEat, ColdBath, CannotTime, BadChill: // about one cook, not a minute
		if text == "" || c.First == "" && c.Slug != BadChill {
			return "says too little"
		}
		return ""
	case BadNumber: // of the flights that were asked for
		if !strings.Contains(text, "flights are more than the cooks") {
			return "is of no kind that these problems have"
		}
		return ""
	case BathBusy, HandsBusy, PanBusy, TooEarly, GrowthLate, LongWait:
	default:
		return "is of no kind that these problems have"
	}
	switch {
	case c.First == "" || c.Second == "":
		return "does not name two steps"
	case c.At == nil || !strings.Contains(text, c.At.Clock()):
		return "does not name the minute"
	case strings.Contains(text, "NaN"), len(text) < 30:
		return "is no sentence"
	}
	return ""
}
