package safety

import (
	"math"

	"tamis/internal/food"
	"tamis/internal/heat"
	"tamis/internal/trial"
)

// core is what follows from the heat of a cook alone. Cooks that share set
// point, size and times share it.
type core struct {
	hist        *history // over the shortest time that counts; nil where there is none
	short, long used     // the growth clock of the piece that was out first and last
	kills       []Kill   // by the rows of the kind
	generic     float64  // minutes at 70 °C, z 7.5
	logged      bool     // by a probe that may improve a verdict, not by calculation
}

// key is what a core without a log follows from, within one trial.
type key struct{ setPoint, bath, start, thickness, minutes, from, longest float64 }

// judging is one pass over the cooks of a trial. It is not shared.
type judging struct {
	t     *trial.Trial
	o     Override
	kind  food.Kind
	known bool // the kind is stated and in the table
	cores map[key]*core
}

func judgingOf(t *trial.Trial, o Override) *judging {
	j := &judging{t: t, o: o, cores: map[key]*core{}}
	if t.Food.Kind.Known {
		j.kind, j.known = food.Lookup(t.Food.Kind.V)
	}
	return j
}

// rows are those that whole muscle, or muscle that was opened up, has to meet.
func (j *judging) rows() []Row {
	kind := j.kind.Name
	if fat := j.t.Food.Composition.V.Fat; kind == "lean fish" && j.t.Food.Composition.Known && fat.Known && fat.V.Percent() > leanFat {
		kind = "oily fish" // fat protects, whatever the fish is called
	}
	return j.o.rows(kind)
}

// coreOf computes the core of a cook, or takes it from another that is alike.
// The heat may be changed by the user's values, and then times are too.
func (j *judging) coreOf(c *trial.Cook, h *heat.Cook) *core {
	if h.Cannot != nil {
		return &core{}
	}
	k := key{h.SetPoint, h.Bath, h.Start, h.Thickness, h.Minutes, h.From, h.Longest}
	if found := j.cores[k]; found != nil && !h.Logged() {
		return found
	}
	out := &core{}
	if h.Logged() {
		j.fromLogged(out, c, h)
		return out
	}
	at, minutes, from, longest := h.Core, h.Minutes, h.From, h.Longest
	if j.o.conducts() {
		user, solid, ok := j.o.core(j.t, h)
		if !ok {
			return out
		}
		at = user
		if _, given := c.BathTime(); !given && c.Hold.Known {
			if from, longest, ok = j.o.arrivals(solid, h, c.Hold.V); !ok {
				return out
			}
			minutes = from + c.Hold.V.Minutes()
		}
	}
	if end := at(minutes); !(end == end) {
		return out
	}
	out.hist = rising(at, min(from, minutes), minutes)
	j.count(out)
	out.long = usedRising(at, h.Bath, h.Start, longest)
	out.short = out.long
	if minutes != longest {
		out.short = usedRising(at, h.Bath, h.Start, minutes)
	}
	j.cores[k] = out
	return out
}

// count is the killing of a core's history.
func (j *judging) count(c *core) {
	rows := j.rows()
	c.kills = kills(c.hist, rows)
	if len(rows) > 0 && rows[0] == listeria70 {
		c.generic = c.kills[0].F
	} else if j.known && !onlyPlant(j.t, j.kind) {
		c.generic = c.hist.equivalents([]Row{listeria70})[0]
	}
}

// fromLogged is the calculation, lowered wherever a probe log reads lower. The
// clock is the worse of what the calculation alone gives and what the log shows.
func (j *judging) fromLogged(out *core, c *trial.Cook, h *heat.Cook) {
	if out.hist = historyOf(h, h.From, h.Minutes); out.hist == nil {
		return
	}
	j.count(out)
	cold := coldByLog(c.Log)
	clock := func(to float64) used {
		path := out.hist.samples
		if h.From != 0 || to != h.Minutes { // not the history at hand
			path = h.Path(0, to)
		}
		u, seen := usedRising(h.Computed, h.Bath, h.Start, to), usedSampled(path, to, cold)
		return used{to: to, warm: math.Max(u.warm, seen.warm), cool: math.Max(u.cool, seen.cool)}
	}
	out.long = clock(h.Longest)
	out.short = out.long
	if h.Minutes != h.Longest {
		out.short = clock(h.Minutes)
	}
}

// coldByLog is when a log first shows 21.1 °C, along the line that joins its
// readings, in minutes; 0 where it never does.
func coldByLog(log []trial.LogPoint) float64 {
	before, core := 0.0, math.NaN()
	for _, l := range log {
		if !l.Core.Known {
			continue
		}
		now := l.Core.V.Celsius()
		if now >= warmAt {
			if !(core < warmAt) {
				return 0 // it was warm from the first reading on
			}
			return math.Max(0, before+(l.Minutes-before)*(warmAt-core)/(now-core))
		}
		before, core = l.Minutes, now
	}
	return 0
}
