package design

import (
	"math"
	"slices"

	"tamis/internal/design/order"
	"tamis/internal/prose"
	"tamis/internal/trial"
)

// Serve takes other places for the samples of a plan, such as those that a day
// with several flights leaves, and counts anew how even they are. The rows are
// those of the plan with the places changed, and nothing else.
func (p *Plan) Serve(rows []trial.Score) error {
	if p.Serving == nil {
		return nil
	}
	arm := map[string]int{}
	for i, a := range p.Arms {
		for _, c := range a.Cooks {
			arm[p.Trial.Cooks[c].ID] = i
		}
	}
	out := *p.Trial
	out.Panel.V.Scores = rows
	var arms [][]int
	for _, s := range Sittings(&out) {
		var row []int
		for _, x := range s.Tastes {
			row = append(row, arm[x.Cook])
		}
		arms = append(arms, row)
	}
	c, err := order.Count(arms, len(p.Arms))
	if err != nil {
		return err
	}
	v := *p.Serving
	v.PlaceSpread, v.AfterSpread, v.InFlights = c.PlaceSpread, c.AfterSpread, true
	p.Trial, p.Serving = &out, &v
	p.Confounded = slices.DeleteFunc(p.Confounded, func(r Remark) bool { return slices.Contains(servingSlugs, r.Slug) })
	p.servingRemarks()
	return nil
}

// servingSlugs are those of servingRemarks.
var servingSlugs = []string{"incomplete-sittings", "tasters-uneven", "places-uneven", "predecessors-uneven"}

// servingRemarks says what the serving orders leave uneven.
func (p *Plan) servingRemarks() {
	v := p.Serving
	add := func(slug string, text prose.Sentence) { p.Confounded = append(p.Confounded, Remark{slug, text}) }
	if v == nil {
		return
	}
	if !v.Complete {
		s := say("Nobody tastes everything of a session: there are more samples than a sitting allows, and each gets ", v.PerPerson, ". Two methods are together in ",
			v.PairLow, " to ", v.PairHigh, " sittings")
		if e, ok := v.Efficiency.Get(); ok {
			s = append(s, say("; a comparison is ", prose.Quantity{Kind: prose.Share, Value: math.Floor(100*e) / 100}, " as precise as if everybody tasted everything")...)
		}
		add("incomplete-sittings", append(s, say(".")...))
	}
	if v.TasteHigh > v.TasteLow {
		add("tasters-uneven", say("Samples get ", v.TasteLow, " to ", v.TasteHigh, " tasters."))
	}
	why := "the panel is no multiple of what it would take to be even"
	if v.InFlights {
		why = "what is served earlier is tasted earlier"
	}
	if v.PlaceSpread > 0 {
		add("places-uneven", say("A set point stands at one place of the serving order up to ", count(v.PlaceSpread, "time", "times"), " more often than another; "+why+"."))
	}
	if v.AfterSpread > 0 && len(p.Arms) > 2 {
		add("predecessors-uneven", say("One set point comes right after another up to ", count(v.AfterSpread, "time", "times"), " more often than some other pair."))
	}
}
