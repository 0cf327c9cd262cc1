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
		"{ramp-overlap} of the shorter: one bath cannot hold two set points.",
	Clears:   "No such times overlap, and no cook is a ramp.",
	Unjudged: "Two set points may have shared a bath in a session, and the bath, the start or the end of a cook is not known.",
	Why: "The last piece has been through every lower set point first, was served last and was in the water longest. That is one history and not a " +
		"comparison of set points.",
	Wording: "{bath} raised step by step with the pieces in it. The {last} pieces had the whole history behind them; this is a ramp, not a comparison of set points.",
	Hedge:   "the pieces came out of one bath that was being heated",
	Next:    "One fill for each set point, and pieces in only when the bath stands still. Call a ramp that you want by its name.",
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
	level := c.Factor.Cook
	ramp := map[int]bool{}
	lack := lackOf{}
	worst, limit := 0.0, c.set.number("ramp-overlap")
	for i := range c.Trial.Cooks {
		a := &c.Trial.Cooks[i]
		if level[i] < 0 {
			continue
		}
		if a.Ramp.V {
			ramp[i], worst = true, 1
		}
		for j := i + 1; j < len(c.Trial.Cooks); j++ {
			b := &c.Trial.Cooks[j]
			if level[j] < 0 || level[i] == level[j] || a.Bath.Known && b.Bath.Known && a.Bath.V != b.Bath.V ||
				a.Session.Known && b.Session.Known && a.Session.V != b.Session.V {
				continue
			}
			said := a.Ramp.Known && b.Ramp.Known && !a.Ramp.V && !b.Ramp.V
			share, ok := overlap(c.Trial, a, b)
			over := ok && share > limit
			switch {
			case over && a.Bath.Known && b.Bath.Known:
				ramp[i], ramp[j] = true, true
				worst = max(worst, share)
			case said, ok && !over:
			default:
				for _, at := range [2]int{i, j} {
					if _, _, known := span(c.Trial, &c.Trial.Cooks[at]); !known {
						lack.add(c, "cooks.started", at)
					}
					if !c.Trial.Cooks[at].Bath.Known {
						lack.add(c, "cooks.bath", at)
					}
				}
			}
		}
	}
	if len(ramp) == 0 {
		if len(lack) > 0 {
			return Judgement{Outcome: CannotJudge, Missing: lack.missing(c, "cooks.bath", "cooks.started")}
		}
		return clear()
	}
	var cooks, levels []int
	var baths []string
	for i := range c.Trial.Cooks {
		if !ramp[i] {
			continue
		}
		cooks, levels = append(cooks, i), append(levels, level[i])
		if b := c.Trial.Cooks[i].Bath; b.Known && !slices.Contains(baths, b.V) {
			baths = append(baths, b.V)
		}
	}
	slices.Sort(levels)
	levels = slices.Compact(levels)
	w := Where{Cooks: c.cookIDs(cooks...), Baths: baths}
	w.At = c.cookPlace(w.Cooks)
	for _, l := range levels {
		w.Arms = append(w.Arms, c.label(l))
	}
	slices.Sort(baths)
	bath := prose.Say("The bath was")
	switch len(baths) {
	case 0:
	case 1:
		bath = prose.Say("The bath ", baths[0], " was")
	default:
		bath = prose.Say("The baths ", listWords(baths), " were")
	}
	return Judgement{
		Outcome: Fires, Severity: Blocks, Statistic: "overlap of two set points in one bath, share of the shorter", Value: quantity.Num(worst),
		Threshold: quantity.Num(limit), Option: "ramp-overlap", Where: w,
		Fill: Fill{"bath": bath, "last": c.levelWords(levels[len(levels)-1])},
	}
}
