package schedule

import (
	"fmt"

	"tamis/internal/prose"
)

// tableSet is one triangle: who tastes it, and the cook of each portion.
type tableSet struct {
	assessor string
	cooks    [3]int
}

// setsOf reads the triangles of the trial. Portions that are compared stand on one
// table, so their cooks are served together.
func (k *kitchen) setsOf() []Conflict {
	k.together = make([]int, len(k.t.Cooks))
	at := map[string]int{}
	for i := range k.t.Cooks {
		k.together[i] = i
		at[k.t.Cooks[i].ID] = i
	}
	cookOf := k.t.CookOfCode()
	for _, x := range k.t.Panel.V.Triangles {
		s := tableSet{assessor: x.Assessor}
		for j, code := range x.Codes {
			i, ok := at[cookOf[code]]
			if !ok {
				return nil // no trial that was read has one
			}
			s.cooks[j] = i
			if first, c := &k.t.Cooks[s.cooks[0]], &k.t.Cooks[i]; c.Session.V != first.Session.V {
				return []Conflict{{Slug: SetApart, Session: first.Session.V, First: "cook " + first.ID, Second: "cook " + c.ID,
					Text: say(fmt.Sprintf("set %d of %s has portions of cook %s and of cook %s, which are cooked in two sessions", x.Set, x.Assessor, first.ID, c.ID)),
					Hint: say("all three portions of a triangle come from one session")}}
			}
			k.join(s.cooks[0], i)
		}
		k.sets = append(k.sets, s)
	}
	return nil
}

// join has two cooks served together, with all that is served with either.
func (k *kitchen) join(a, b int) {
	to, from := k.together[a], k.together[b]
	for i, x := range k.together {
		if x == from {
			k.together[i] = to
		}
	}
}

// groups are places that are served together, in the order of their first cooks.
func (k *kitchen) groups(x *draft, own []int) (out [][]int) {
	at := map[int]int{}
	for _, p := range own {
		g, ok := at[k.together[x.cooks[p]]]
		if !ok {
			g = len(out)
			at[k.together[x.cooks[p]]] = g
			out = append(out, nil)
		}
		out[g] = append(out[g], p)
	}
	return out
}

// inOrder is a draft with its cooks in the order of its flights: a job is the place
// of its cook.
func (x *draft) inOrder() *draft {
	y := *x
	y.cooks, y.bath, y.preps, y.sears, y.flights = nil, nil, nil, nil, nil
	for _, places := range x.flights {
		var own []int
		for _, p := range places {
			own = append(own, len(y.cooks))
			y.cooks, y.bath = append(y.cooks, x.cooks[p]), append(y.bath, x.bath[p])
			y.preps, y.sears = append(y.preps, x.preps[p]), append(y.sears, x.sears[p])
		}
		y.flights = append(y.flights, own)
	}
	return &y
}

// torn reports whether flights part what is served together.
func (k *kitchen) torn(x *draft, flights [][]int) bool {
	at := map[int]int{}
	for f, places := range flights {
		for _, p := range places {
			g := k.together[x.cooks[p]]
			if was, ok := at[g]; ok && was != f {
				return true
			}
			at[g] = f
		}
	}
	return false
}

// tasteSets has the triangles of a flight tasted after its samples. at is the
// place of each of its cooks, eaten how many samples and portions each taster had.
func (k *kitchen) tasteSets(x *draft, f int, at map[string]int, eaten map[string]int, most int) {
	sets := map[string]int{}
	for _, s := range k.sets {
		if _, ok := at[k.t.Cooks[s.cooks[0]].ID]; !ok {
			continue
		}
		n := eaten[s.assessor]
		ends := exactly(float64(n+3)*k.o.PerSample + float64(n/most)*Break) // no break within a set
		eaten[s.assessor] += 3
		sets[s.assessor]++
		x.sets[f], x.taste[f] = max(x.sets[f], sets[s.assessor]), max(x.taste[f], ends)
		for _, c := range s.cooks {
			p := at[k.t.Cooks[c].ID]
			x.bites[p] = max(x.bites[p], ends)
			x.of[p]++
		}
	}
}

// each is what a taster gets of a flight.
func (f *Flight) each() prose.Sentence {
	var out prose.Sentence
	if f.Samples > 0 || f.Sets == 0 {
		out = say(prose.Plural(f.Samples, "sample"))
	}
	if f.Sets > 0 {
		if len(out) > 0 {
			out = append(out, say(" and ")...)
		}
		out = append(out, say(prose.Plural(f.Sets, "triangle"))...)
	}
	return out
}

// flightRemark says what follows where a day is served in flights.
func (k *kitchen) flightRemark(d *Day, about func(first, rest string, more ...any)) {
	if k.notTasted {
		about("not", " everything can be weighed at once; it is done in ", len(d.Flights), " flights, at ", flightTimes(d), ".")
		return
	}
	order, together := "", ""
	for _, f := range d.Flights {
		if f.Samples > 0 && f.Tasters > 0 {
			order = " Within a flight each taster has an order of their own."
		}
		if f.Sets > 0 {
			together = " The portions of a triangle are served together."
		}
	}
	about("not", " everything can be on the plate at once; it is served in ", len(d.Flights), " flights, at ", flightTimes(d),
		"."+order+together+" A cook of one flight is never tasted beside one of another: compare within flights.")
}
