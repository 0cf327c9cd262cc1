package schedule

import (
	"math"
	"slices"
	"strings"

	"tamis/internal/design/schedule/place"
	"tamis/internal/heat"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// told turns a day that was placed into times, steps and words.
func (k *kitchen) told(x *draft, got *place.Solution) *Day {
	d := &Day{Sessions: slices.Clone(x.sessions), On: x.on, Pans: slices.Clone(x.pans), Hands: k.o.Hands, Steps: []Step{}}
	if !x.on.IsZero() {
		d.Date = x.on.String()
	}
	d.Baths = slices.Clone(x.baths)
	if d.Pans == nil {
		d.Pans = []string{}
	}
	times := make([]Times, len(x.cooks))
	for p, i := range x.cooks {
		c := &k.t.Cooks[i]
		times[p] = Times{Portions: x.of[p], Cook: c.ID, Bath: x.baths[x.bath[p]], SetPoint: celsius(c), Flight: 1 + x.problem.Jobs[p].Flight, Verdict: k.verdicts[i].Verdict, Bite: quantity.Absent("it is not computed")}
	}
	for f, places := range x.flights {
		fl := Flight{Served: Moment(got.Serve[f]), Ends: Moment(got.Serve[f] + x.taste[f]), Samples: x.samples[f], Tasters: x.tasters[f], Sets: x.sets[f], Cooks: []string{}}
		for _, p := range places {
			fl.Portions += x.of[p]
			c := &k.t.Cooks[x.cooks[p]]
			fl.Cooks = append(fl.Cooks, c.ID)
			if !slices.Contains(fl.Sessions, c.Session.V) {
				fl.Sessions = append(fl.Sessions, c.Session.V)
			}
		}
		d.Flights = append(d.Flights, fl)
	}
	first, last := make([]place.Step, len(times)), make([]place.Step, len(times)) // from bath, to plate
	enters := make([]Moment, len(times))                                          // the bath that warms up
	for _, s := range got.Steps {
		switch s.Kind {
		case place.Soak:
			times[s.Job].In, times[s.Job].Out = Moment(s.From), Moment(s.To)
			first[s.Job] = s
		case place.OutAgain:
			first[s.Job] = s
		case place.Into:
			enters[s.Job] = Moment(s.From)
		case place.Plate:
			last[s.Job] = s
			times[s.Job].Plated = Moment(s.To)
		case place.Water:
			d.Refills++
		}
	}
	for p := range times {
		k.finish(x, p, &times[p], got.Serve[times[p].Flight-1], enters[p])
		left := times[p].Out
		if first[p].Kind == place.OutAgain {
			left = Moment(first[p].From)
		}
		times[p].Waits = float64(last[p].To-int(left)) / 60
	}
	for _, s := range got.Steps {
		d.Steps = append(d.Steps, k.step(x, d, times, s))
	}
	for p := range times {
		if at := times[p].Discard; at != nil {
			d.Steps = append(d.Steps, Step{From: *at, To: *at, What: Discard, Cook: times[p].Cook, Pieces: []string{}, Flight: times[p].Flight,
				SetPoint: times[p].SetPoint, Text: say("throw away what is left of cook " + times[p].Cook)})
		}
	}
	slices.SortStableFunc(d.Steps, func(a, b Step) int { return int(a.From) - int(b.From) })
	k.remark(x, d, times)
	d.Cooks = times
	slices.SortStableFunc(d.Cooks, func(a, b Times) int { return int(a.In) - int(b.In) })
	return d
}

func celsius(c *trial.Cook) quantity.Number {
	if !c.SetPoint.Known {
		return quantity.Absent("the set point is not stated")
	}
	return quantity.Num(c.SetPoint.V.Celsius())
}

// finish adds to the times of a cook what follows from them.
func (k *kitchen) finish(x *draft, p int, t *Times, serve int, enters Moment) {
	i := x.cooks[p]
	h := &k.heat.Cooks[i]
	after := func(minutes float64) *Moment {
		m := t.In + Moment(60*whole(minutes))
		return &m
	}
	if h.ComeUp().Known {
		t.Likely, t.Surely = after(h.ComeUp().Mid), after(h.ComeUp().High)
	}
	if k.notTasted {
		return
	}
	bite := Moment(serve + x.bites[p])
	t.LastBite = &bite
	switch clock := k.clockOf(i); {
	case k.warm != nil && k.verdicts[i].Discard > 0:
		// The clock stands while it is cold and goes on when it warms up.
		m := enters + Moment(60*math.Floor(k.verdicts[i].Discard-k.soak[i]))
		t.Discard = &m
	case clock > 0:
		m := t.In + Moment(60*clock)
		m -= m % 60 // down to the minute
		t.Discard = &m
	}
	if k.warm == nil && float64(bite-t.In) < 86400/2 {
		t.Bite = k.bite(i, t.In, Moment(serve), h)
	}
}

// bite is the core when it is served, by finite volumes.
func (k *kitchen) bite(i int, in, served Moment, h *heat.Cook) quantity.Number {
	n := *k.t
	n.Cooks = slices.Clone(k.t.Cooks)
	c := &n.Cooks[i]
	clock := func(m Moment) trial.Opt[trial.Clock] {
		s := int(m) - 86400*m.Day()
		return trial.Some(trial.Clock{Minute: s / 60, Second: s % 60})
	}
	c.Time, c.Hold = trial.Some(quantity.FromMinutes(k.soak[i])), trial.Opt[quantity.Duration]{}
	c.Started, c.Served = clock(in), clock(served)
	b, ok := heat.BiteOf(&n, i, h)
	if !ok || math.IsNaN(b.Core) || math.IsInf(b.Core, 0) {
		return quantity.Absent("the heat cannot be computed with what is stated")
	}
	return quantity.Num(math.Round(10*b.Core) / 10)
}

// What is remarked on: more than wait-gap and served-gap of the fairness checks.
const (
	waitGap   = 2.0 // minutes
	servedGap = 3.0 // °C
)

// remark says what to know about a day.
func (k *kitchen) remark(x *draft, d *Day, times []Times) {
	where := ""
	if len(x.sessions) > 0 && x.sessions[0] != "" {
		where = and(x.sessions) + ": "
	}
	about := func(first, rest string, more ...any) {
		if where == "" {
			first = strings.ToUpper(first[:1]) + first[1:]
		}
		k.remarks = append(k.remarks, say(append([]any{where, first + rest}, more...)...))
	}
	if per := len(d.Flights) / len(d.Sessions); per > 1 {
		k.flightRemark(d, about)
	}
	if night := clockChange(d, k.t.Rules); !night.IsZero() {
		on := " " + night.String() + " clocks may be set forward or back in the night. The times here take no notice of it: go by timers that count minutes, not by the clock on the wall."
		about("on", on)
		d.Night = say("On" + on)
	}
	low, high := math.Inf(1), math.Inf(-1)
	cold, hot := math.Inf(1), math.Inf(-1)
	for _, t := range times {
		low, high = math.Min(low, t.Waits), math.Max(high, t.Waits)
		if v, ok := t.Bite.Get(); ok {
			cold, hot = math.Min(cold, v), math.Max(hot, v)
		}
	}
	if high-low > waitGap {
		about("cooks", " wait ", minutes(low), " to ", minutes(high), " between bath and plate. More hands or pans make that more even.")
	}
	if hot-cold > servedGap {
		about("the", " cores are likely served at ", degrees(math.Round(cold)), " to ", degrees(math.Round(hot)),
			". Warmth itself changes a bite: let all of it come down to one temperature within the time that is left, and write served_at down.")
	}
	var short []string
	for _, t := range times {
		if t.Likely != nil && *t.Likely > t.Out {
			short = append(short, t.Cook)
		}
	}
	if len(short) > 0 {
		about("the", " core is likely not there yet when it comes out: "+and(short)+".")
	}
	for a := range times {
		for b := a + 1; b < len(times); b++ {
			if times[a].Flight == times[b].Flight && times[b].In < times[a].In-300 && k.t.Cooks[x.cooks[a]].Order.Known {
				about("cooks", " that take longer go in earlier, so that they do not all go in in their run order; in each bath the order is kept.")
				return
			}
		}
	}
}

func flightTimes(d *Day) string {
	var at []string
	for _, f := range d.Flights {
		at = append(at, f.Served.String())
	}
	return and(at)
}
