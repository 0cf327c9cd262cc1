package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var splitRun = Check{
	Slug:   "split-run",
	Family: Replication,
	Stage:  Plan,
	Short:  "one run written down twice",
	Asks:   "Are two of the cooks really one bath fill, written down twice?",
	Needs:  []string{"cooks.bath", "cooks.set_point", "cooks.session", "cooks.started", "cooks.out", "cooks.time"},
	Finds: "Two cooks of one set point, bath and session whose times in the water overlap by more than {overlap} of the shorter are one run. They are " +
		"counted once everywhere.",
	Clears:   "No two cooks of a set point stood in one bath at the same time.",
	Unjudged: "A set point has two cooks in a session, and when they started or in which bath they stood is not known. They count as written.",
	Why: "Two bags in one bath share its error, its hour and its hands. Counting them as two runs doubles the evidence on paper and adds none " +
		"in the kitchen.",
	Wording: "{groups} stood in one bath at one time. They count as one run.",
	Hedge:   "two of the cooks were one run",
	Next:    "List such bags as pieces of one cook. Before a repeat empty, refill and reheat the bath.",
	Fix:     "refill-bath",
	Source:  "House rule.",
	Options: []string{"overlap"},
	FiresOn: "cooks: [{id: A1, set_point: 64 °C, bath: north, session: s1, started: 10:00, out: 11:30}, {id: A2, set_point: 64 °C, bath: north, session: s1, started: 10:05, out: 11:30}]",
	ClearOn: "cooks: [{id: A1, set_point: 64 °C, bath: north, session: s1, started: 10:00, out: 11:30}, {id: A2, set_point: 64 °C, bath: north, session: s1, started: 13:00, out: 14:30}]",
	Judge:   judgeSplitRun,
	Example: exampleSplitRun,
}

func judgeSplitRun(c *Case) Judgement {
	level := c.facts.factors[0].Cook
	several, worst, limit := false, 0.0, c.set.number("overlap")
	lack := lackOf{}
	for i := range c.Trial.Cooks {
		for k := i + 1; k < len(c.Trial.Cooks); k++ {
			if level[i] < 0 || level[i] != level[k] {
				continue
			}
			several = true
			a, b := &c.Trial.Cooks[i], &c.Trial.Cooks[k]
			when := c.facts.occasionOf(c.Trial, i, k)
			if when == apart || bathsOf(c.Trial, a, b) == apart {
				continue
			}
			share, known := overlap(c.Trial, a, b)
			for _, at := range [2]int{i, k} {
				one := &c.Trial.Cooks[at]
				if !known {
					if _, _, ok := span(c.Trial, one); !ok {
						lack.add(c, "cooks.started", at)
					}
				} else if share > limit {
					if _, ok := c.Trial.BathOf(one); !ok {
						lack.add(c, "cooks.bath", at)
					}
					if !one.Session.Known && when == unknown {
						lack.add(c, "cooks.session", at)
					}
				}
			}
			if known {
				worst = max(worst, share)
			}
		}
	}
	if groups := c.facts.split; len(groups) > 0 {
		var items []prose.Sentence
		w := Where{}
		for _, g := range groups {
			ids := c.cookIDs(g...)
			w.Cooks = append(w.Cooks, ids...)
			label := c.facts.factors[0].Levels[level[g[0]]]
			if len(w.Arms) == 0 || w.Arms[len(w.Arms)-1] != label {
				w.Arms = append(w.Arms, label)
			}
			items = append(items, prose.Say(listWords(ids), " (", celsius(c.Trial.Cooks[g[0]].SetPoint.V.Celsius()), ")"))
			if b, ok := c.Trial.BathOf(&c.Trial.Cooks[g[0]]); ok {
				w.Baths = append(w.Baths, b)
			}
		}
		w.At = c.cookPlace(w.Cooks)
		return Judgement{
			Outcome: Fires, Severity: Note, Statistic: "overlap of two cooks, share of the shorter", Value: quantity.Num(worst),
			Threshold: quantity.Num(limit), Option: "overlap", Where: w, Fill: Fill{"groups": prose.And(items...)},
		}
	}
	switch {
	case !several:
		return notApplicable("no set point was cooked twice")
	case len(lack) > 0:
		return Judgement{Outcome: CannotJudge, Missing: lack.missing(c, "cooks.started", "cooks.bath", "cooks.session"),
			Remark: prose.Say("Runs are counted as the author states them.")}
	}
	return clear()
}

// lackOf marks the cooks that lack a field.
type lackOf map[string][]bool

func (l lackOf) add(c *Case, field string, cook int) {
	marked := l[field]
	if marked == nil {
		marked = make([]bool, len(c.Trial.Cooks))
		l[field] = marked
	}
	marked[cook] = true
}

// missing lists the fields in the order given, with their cooks in the order of
// the file.
func (l lackOf) missing(c *Case, fields ...string) []Missing {
	var out []Missing
	for _, field := range fields {
		var ids []string
		for i, marked := range l[field] {
			if marked {
				ids = append(ids, c.Trial.Cooks[i].ID)
			}
		}
		if len(ids) > 0 {
			out = append(out, Missing{Field: field, Where: ids})
		}
	}
	return out
}
