package schedule

import (
	"cmp"
	"slices"
	"time"

	"tamis/internal/design"
	"tamis/internal/design/schedule/place"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// dayOf is the cooks of one day of serving.
type dayOf struct {
	sessions []string
	on       trial.Date
	cooks    []int // in the order in which they are run
}

// days groups sessions by date; a session without one has a day of its own.
func (k *kitchen) days() []dayOf {
	var out []dayOf
	at := map[string]int{}
	session := func(id string) int {
		if i, ok := at[id]; ok {
			return i
		}
		var on trial.Date
		for _, s := range k.t.Sessions {
			if s.ID == id && s.Date.Known {
				on = s.Date.V
			}
		}
		if on.IsZero() && len(k.t.Sessions) < 2 && k.original.Date.Known {
			on = k.original.Date.V
		}
		for i := range out {
			if !on.IsZero() && out[i].on == on {
				out[i].sessions = append(out[i].sessions, id)
				at[id] = i
				return i
			}
		}
		at[id] = len(out)
		out = append(out, dayOf{sessions: []string{id}, on: on})
		return at[id]
	}
	used := map[string]bool{}
	for i := range k.t.Cooks {
		used[k.t.Cooks[i].Session.V] = true
	}
	for _, s := range k.t.Sessions {
		if used[s.ID] {
			session(s.ID)
		}
	}
	for i := range k.t.Cooks {
		d := session(k.t.Cooks[i].Session.V)
		out[d].cooks = append(out[d].cooks, i)
	}
	for i := range out {
		d := &out[i]
		if o := k.o.On; d.on.IsZero() && !o.IsZero() {
			at := time.Date(o.Year, time.Month(o.Month), o.Day+i, 0, 0, 0, 0, time.UTC)
			d.on = trial.Date{Year: at.Year(), Month: int(at.Month()), Day: at.Day()}
		}
		slices.SortStableFunc(d.cooks, func(a, b int) int {
			x, y := &k.t.Cooks[a], &k.t.Cooks[b]
			if c := cmp.Compare(slices.Index(d.sessions, x.Session.V), slices.Index(d.sessions, y.Session.V)); c != 0 {
				return c
			}
			if x.Order.Known && y.Order.Known {
				return cmp.Compare(x.Order.V, y.Order.V)
			}
			return 0
		})
	}
	return out
}

// draft is a day with the numbers it is placed from.
type draft struct {
	dayOf
	bath    []int // by place in cooks
	baths   []string
	pans    []string
	flights [][]int // places in cooks
	taste   []int   // by flight, seconds
	bites   []int   // by place in cooks, seconds after serving
	samples []int   // by flight
	sets    []int   // by flight: triangles of one taster, at the most
	of      []int   // by place in cooks: portions for triangles
	tasters []int
	preps   [][]prep
	sears   [][]seared
	before  []float64 // the set point that the bath comes from, NaN from the tap
	problem place.Problem
}

// day schedules one day, in as few flights as fit.
func (k *kitchen) day(d dayOf) (*Day, []Conflict) {
	x := &draft{dayOf: d}
	k.assignBaths(x)
	k.handwork(x)
	var first []Conflict
	low, high := len(d.sessions), max(len(d.sessions), min(len(d.cooks), len(d.sessions)*12))
	if k.o.Flights > 0 {
		low = k.o.Flights * len(d.sessions)
		high = low
	}
	for n := low; n <= high; n++ {
		var tried [][][]int
		for _, how := range splits {
			if !k.split(x, n, how) || slices.ContainsFunc(tried, func(f [][]int) bool { return slices.EqualFunc(f, x.flights, slices.Equal) }) {
				continue
			}
			tried = append(tried, x.flights)
			x := x.inOrder()
			if cs := k.pose(x); len(cs) > 0 {
				return nil, cs
			}
			got, clash, err := place.Solve(&x.problem)
			if err != nil {
				return nil, []Conflict{{Slug: BadNumber, Session: d.sessions[0], Text: say("the times of this day are not ones that can be scheduled: " + err.Error())}}
			}
			if got != nil {
				return k.told(x, got), nil
			}
			// The first says why it is not all at once.
			if first == nil || clash.Reason == place.Opens {
				first = []Conflict{k.conflict(x, clash)}
			}
		}
	}
	if first == nil {
		text := say(k.o.Flights, " flights are more than the cooks of a session")
		if len(k.sets) > 0 {
			text = append(text, say(" allow: those of a triangle are served together")...)
		}
		first = []Conflict{{Slug: BadNumber, Session: d.sessions[0], Text: text}}
	}
	return nil, first
}

// assignBaths takes the bath of each cook, and where none is named the baths of
// the file in turn. A file without baths is taken to have one for each cook.
func (k *kitchen) assignBaths(x *draft) {
	var listed []string
	for _, b := range k.t.Baths {
		listed = append(listed, b.ID)
	}
	if len(listed) == 0 && k.t.Design.Known {
		listed = append(listed, k.t.Design.V.Baths...)
	}
	named := map[string]int{}
	bath := func(id string) int {
		if i, ok := named[id]; ok {
			return i
		}
		named[id] = len(x.baths)
		x.baths = append(x.baths, id)
		return named[id]
	}
	missing := 0
	for _, i := range x.cooks {
		c := &k.t.Cooks[i]
		switch {
		case c.Bath.Known:
			x.bath = append(x.bath, bath(c.Bath.V))
			continue
		case len(listed) > 0:
			x.bath = append(x.bath, bath(listed[missing%len(listed)]))
		default:
			x.bath = append(x.bath, bath(ownBath+c.ID))
		}
		missing++
	}
	switch {
	case missing > 0 && len(listed) > 0:
		k.take("Cooks without a bath take the baths of the file in turn.")
	case missing > 0:
		k.take("The file names no bath: every cook is taken to have one of its own.")
	}
}

// take notes an assumption once.
func (k *kitchen) take(parts ...any) {
	s := say(parts...)
	for _, have := range k.taken {
		if slices.EqualFunc(have, s, func(a, b part) bool { return a.Text == b.Text }) {
			return
		}
	}
	k.taken = append(k.taken, s)
}

// How the cooks of a session are split into flights.
const (
	byBath = iota // a flight ends where a bath would come again, which is how runs were drawn
	even          // in equal parts; where they do not divide, the later flights have one more
	evenUp        // and the earlier ones
)

var splits = []int{byBath, even, evenUp}

// split deals the cooks of a day to n flights in their run order, each session in
// as many as another and none in two sessions; those of a triangle stay in one
// flight. It reports false where that is no split.
func (k *kitchen) split(x *draft, n, how int) bool {
	x.flights = nil
	per := n / len(x.sessions)
	if per*len(x.sessions) != n {
		return false
	}
	for _, s := range x.sessions {
		var own []int
		for p, i := range x.cooks {
			if k.t.Cooks[i].Session.V == s {
				own = append(own, p)
			}
		}
		groups := k.groups(x, own)
		if len(groups) < per && (k.o.Flights > 0 || len(x.sessions) == 1) {
			return false
		}
		parts := min(per, len(groups))
		if how == byBath {
			if fills := x.fills(own); len(fills) == parts && !k.torn(x, fills) {
				x.flights = append(x.flights, fills...)
				continue
			}
		}
		edge := func(f int) int {
			if how == evenUp {
				return (f*len(groups) + parts - 1) / parts
			}
			return f * len(groups) / parts
		}
		for f := range parts {
			x.flights = append(x.flights, slices.Concat(groups[edge(f):edge(f+1)]...))
		}
	}
	return true
}

// fills cuts a run order where a bath comes again.
func (x *draft) fills(own []int) (out [][]int) {
	from := 0
	for i := range own {
		if slices.ContainsFunc(own[from:i], func(p int) bool { return x.bath[p] == x.bath[own[i]] }) {
			out = append(out, own[from:i])
			from = i
		}
	}
	return append(out, own[from:])
}

// tastes works out when each cook is eaten in each flight.
func (k *kitchen) tastes(x *draft) {
	nf := len(x.flights)
	x.taste, x.samples, x.tasters = make([]int, nf), make([]int, nf), make([]int, nf)
	x.bites, x.sets, x.of = make([]int, len(x.cooks)), make([]int, nf), make([]int, len(x.cooks))
	most := design.MostInSitting
	if k.t.Design.Known && k.t.Design.V.SamplesPerSitting.Known {
		most = max(1, k.t.Design.V.SamplesPerSitting.V)
	}
	// ends is when the n-th sample, from 0, was tasted, with a break after a sitting.
	ends := func(n int) int { return exactly(float64(n+1)*k.o.PerSample + float64(n/most)*Break) }
	for f, places := range x.flights {
		at := map[string]int{}
		for _, p := range places {
			at[k.t.Cooks[x.cooks[p]].ID] = p
		}
		if k.notTasted {
			pieces := 0
			for _, p := range places {
				pieces += max(1, len(k.t.Cooks[x.cooks[p]].Pieces))
			}
			x.taste[f] = exactly(weighing * float64(pieces))
			for _, p := range places {
				x.bites[p] = x.taste[f]
			}
			continue
		}
		eaten := map[string]int{}
		session := k.t.Cooks[x.cooks[places[0]]].Session.V
		for _, s := range k.sittings {
			if s.Session != "" && session != "" && s.Session != session {
				continue
			}
			for _, taste := range s.Tastes {
				p, ok := at[taste.Cook]
				if !ok {
					continue
				}
				e := ends(eaten[s.Assessor])
				eaten[s.Assessor]++
				x.bites[p] = max(x.bites[p], e)
				x.samples[f] = max(x.samples[f], eaten[s.Assessor])
				x.taste[f] = max(x.taste[f], e)
			}
		}
		k.tasteSets(x, f, at, eaten, most)
		x.tasters[f] = len(eaten)
		if len(eaten) == 0 {
			x.samples[f] = len(places)
			x.taste[f] = ends(len(places) - 1)
		}
		for _, p := range places { // what no row names may be eaten at any time
			if x.bites[p] == 0 {
				x.bites[p] = x.taste[f]
			}
		}
	}
}

// clockOf is how long a cook may be from the bath to the last bite, in minutes; 0
// is no limit.
func (k *kitchen) clockOf(i int) float64 {
	v := k.verdicts[i]
	switch {
	case k.notTasted:
		return 0
	case v.Discard > 0:
		return v.Discard
	case v.Verdict == safety.NotAsked:
		return 0
	}
	return unclocked
}
