package fairness

import (
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var rampInOneBath = Check{
	Slug:   "ramp-in-one-bath",
	Family: HeatFamily,
	Stage:  Plan,
	Kind:   Bundle,
	Short:  "a ramp",
	Asks:   "Did one bath climb from set point to set point while pieces were pulled along the way?",
	Needs:  []string{"cooks.bath", "cooks.session", "cooks.started", "cooks.out", "cooks.set_point", "cooks.ramp"},
	Finds: "A cook says ramp: yes, or two cooks of different set points share bath and session and their times in the water overlap by more than " +
		"{ramp-overlap} of the shorter: one bath cannot hold two set points. It blocks when the bath may have been a ramp: the pieces of such set points " +
		"all came out in their order, the hotter the later (from three set points on also the colder the later). It weakens when they did not, for then " +
		"something is written wrong.",
	Clears: "No such times overlap, and no cook is a ramp.",
	Unjudged: "Two set points may have shared a bath in a session, and the bath, the start or the end of a cook is not known; or the times overlap, and " +
		"without a session or a date they may be of several days.",
	Why: "The last piece has been through every lower set point first, was served last and was in the water longest. That is one history and not a " +
		"comparison of set points.",
	Wording: "{bath} raised step by step with the pieces in it. The {last} pieces had the whole history behind them; this is a ramp, not a comparison of set points.",
	Others: map[string]string{
		"at once": "By the file {pair} stood in {bath} at one time. One bath holds one set point. Either it was raised with the pieces in it, and this is a ramp " +
			"and not a comparison of set points; or a day, a bath or a clock time is written wrong.",
		"slip": "By the file {pair} stood in {bath} at one time. One bath holds one set point, and a bath that is raised would not let them out in this order. " +
			"A day, a bath or a clock time is written wrong, and until it is mended nobody knows what these pieces had.",
	},
	Hedge:   "by the file two set points stood in one bath at one time",
	Next:    "One fill for each set point, and pieces in only when the bath stands still. Write day, bath and clock when it happens. If a ramp is what you want, say so (ramp: yes).",
	Fix:     "one-fill-each",
	Source:  "House rule.",
	Options: []string{"ramp-overlap"},
	FiresOn: "cooks: [{id: A, set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {id: B, set_point: 56 °C, bath: n, session: s1, started: 10:00, out: 11:15}]",
	ClearOn: "cooks: [{id: A, set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {id: B, set_point: 56 °C, bath: n, session: s1, started: 11:10, out: 11:55}]",
	Judge:   judgeRamp,
	Example: exampleRamp,
}

func judgeRamp(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("one set point is cooked")
	}
	r := c.atOnce()
	if len(r.cooks) == 0 {
		if len(r.lack) > 0 {
			return Judgement{Outcome: CannotJudge, Missing: r.lack.missing(c, "cooks.session", "cooks.bath", "cooks.started")}
		}
		return clear()
	}
	var cooks, levels []int
	var baths []string
	for i := range c.Trial.Cooks {
		if !r.cooks[i] {
			continue
		}
		cooks, levels = append(cooks, i), append(levels, c.Factor.Cook[i])
		if b, ok := c.Trial.BathOf(&c.Trial.Cooks[i]); ok && !slices.Contains(baths, b) {
			baths = append(baths, b)
		}
	}
	slices.Sort(levels)
	levels = slices.Compact(levels)
	slices.Sort(baths)
	w := Where{Cooks: c.cookIDs(cooks...), Baths: baths, Arms: c.labels(levels...)}
	w.At = c.cookPlace(w.Cooks)
	j := Judgement{
		Outcome: Fires, Severity: Blocks, Statistic: "overlap of two set points in one bath, share of the shorter", Value: quantity.Num(r.share),
		Threshold: quantity.Num(c.set.number("ramp-overlap")), Option: "ramp-overlap", Where: w,
	}
	if r.said {
		bath := prose.Say("The bath was")
		if len(baths) > 0 {
			bath = prose.Say(plural(len(baths), "The bath ", "The baths "), listWords(baths), plural(len(baths), " was", " were"))
		}
		j.Fill = Fill{"bath": bath, "last": c.levelWords(levels[len(levels)-1])}
		return j
	}
	j.Variant = "at once"
	if !r.rising && !(r.falling && len(levels) > 2) {
		j.Variant, j.Severity = "slip", Weakens
	}
	a, b := r.worst[0], r.worst[1]
	named := func(i int) prose.Sentence {
		return prose.Say(c.Trial.Cooks[i].ID, " (", c.levelWords(c.Factor.Cook[i]), ")")
	}
	shared, _ := c.Trial.BathOf(&c.Trial.Cooks[a])
	j.Fill = Fill{"bath": "the bath " + shared, "pair": prose.And(named(a), named(b))}
	return j
}

// atOnce is what the cooks of different set points say of the baths they shared.
type atOnce struct {
	cooks   map[int]bool // said to be a ramp, or in one bath with another set point
	said    bool         // some cook says that it is a ramp
	rising  bool         // the hotter of every two came out later
	falling bool         // the colder of every two did
	share   float64      // the largest overlap
	worst   [2]int       // the cooks that have it
	lack    lackOf
}

// atOnce looks at every two cooks of different set points that may have shared
// a bath.
func (c *Case) atOnce() atOnce {
	r := atOnce{cooks: map[int]bool{}, lack: lackOf{}, rising: true, falling: true}
	level, limit := c.Factor.Cook, c.set.number("ramp-overlap")
	for i := range c.Trial.Cooks {
		a := &c.Trial.Cooks[i]
		if level[i] < 0 {
			continue
		}
		if a.Ramp.V {
			r.cooks[i], r.said, r.share = true, true, 1
		}
		for j := i + 1; j < len(c.Trial.Cooks); j++ {
			b := &c.Trial.Cooks[j]
			if level[j] < 0 || level[i] == level[j] {
				continue
			}
			bath := bathsOf(c.Trial, a, b)
			if bath == apart {
				continue
			}
			when := c.facts.occasionOf(c.Trial, i, j)
			if when == apart {
				continue
			}
			notRamp := a.Ramp.Known && b.Ramp.Known && !a.Ramp.V && !b.Ramp.V
			share, ok := overlap(c.Trial, a, b)
			over := ok && share > limit
			switch {
			case over && bath == same && when == same:
				r.cooks[i], r.cooks[j] = true, true
				up := c.facts.raised(c.Trial, i, j)
				r.rising, r.falling = r.rising && up > 0 && !notRamp, r.falling && up < 0 && !notRamp
				if share > r.share {
					r.share, r.worst = share, [2]int{i, j}
				}
			case notRamp, ok && !over:
			default:
				for _, at := range [2]int{i, j} {
					if _, _, known := span(c.Trial, &c.Trial.Cooks[at]); !known {
						r.lack.add(c, "cooks.started", at)
					}
					if _, known := c.Trial.BathOf(&c.Trial.Cooks[at]); !known {
						r.lack.add(c, "cooks.bath", at)
					}
					if when == unknown && !c.Trial.Cooks[at].Session.Known {
						r.lack.add(c, "cooks.session", at)
					}
				}
			}
		}
	}
	return r
}
