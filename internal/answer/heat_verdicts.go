package answer

import (
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// HeatVerdict is what is said of several cooks, or of several set points, at
// once: who may eat them.
type HeatVerdict struct {
	Cooks     []string   `json:"cooks,omitempty"`
	SetPoints []float64  `json:"set_points,omitempty"` // °C
	All       bool       `json:"all"`                  // it is said of everything there is
	Verdict   string     `json:"verdict"`
	Text      []Sentence `json:"text"`
}

// groups collects equal verdicts in the order in which they come.
type groups struct {
	list []HeatVerdict
	at   map[string]int
}

// add puts one more under a verdict and gives its group. The discard time stands
// elsewhere, because hardly two cooks share it.
func (g *groups) add(t *trial.Trial, v safety.CookVerdict) *HeatVerdict {
	var text []Sentence
	key := ""
	for _, c := range safety.Lead(t, v) {
		if c.Slug != "discard" {
			said := c.Text.Sentence()
			text = append(text, said)
			key += said.Text(quantity.Metric) + "\n"
		}
	}
	if g.at == nil {
		g.at = map[string]int{}
	}
	i, ok := g.at[key]
	if !ok {
		i = len(g.list)
		g.at[key] = i
		g.list = append(g.list, HeatVerdict{Verdict: v.Verdict.String(), Text: text})
	}
	return &g.list[i]
}

// done marks the verdict that is the only one.
func (g *groups) done() []HeatVerdict {
	if len(g.list) == 1 {
		g.list[0].All = true
	}
	return append([]HeatVerdict{}, g.list...)
}

// verdictsByCook groups the verdicts of cooks.
func verdictsByCook(t *trial.Trial, cs []HeatCook) []HeatVerdict {
	var g groups
	for i := range cs {
		v := g.add(t, cs[i].verdict)
		v.Cooks = append(v.Cooks, cs[i].Cook)
	}
	return g.done()
}

// discards say when what is left is thrown away, each time once: by the clock
// where the start was written down, else after so many minutes.
func discards(cs []HeatCook) []Sentence {
	var order []string
	who, when := map[string][]string{}, map[string]Sentence{}
	for i := range cs {
		v := &cs[i].verdict
		if v.Discard <= 0 || v.Verdict == safety.DoNotEat || v.Verdict == safety.NotAsked {
			continue
		}
		at := Say("at ", v.DiscardAt)
		if v.DiscardAt == "" {
			at = Say(minutesStated(v.Discard), " after it went into the bath")
		}
		key := at.Text(quantity.Metric)
		if who[key] == nil {
			order, when[key] = append(order, key), at
		}
		who[key] = append(who[key], cs[i].Cook)
	}
	if len(order) == 0 {
		return []Sentence{}
	}
	s := Say("Throw away what is left")
	for i, key := range order {
		if i > 0 {
			s = Say(s, ",")
		}
		if len(who[key]) < len(cs) {
			s = Say(s, " of ", list(who[key]))
		}
		s = Say(s, " ", when[key])
	}
	return []Sentence{Say(s, ".")}
}

// verdictsByArm says of each set point who may eat it: the worst of its cooks.
func verdictsByArm(t *trial.Trial, r *safety.Result) []HeatVerdict {
	var g groups
	covered := 0
	for _, arm := range t.Arms() {
		worst := r.Cooks[arm.Cooks[0]]
		for _, c := range arm.Cooks[1:] {
			if v := r.Cooks[c]; v.Verdict < worst.Verdict || v.Verdict == worst.Verdict && worst.Vulnerable && !v.Vulnerable {
				worst = v
			}
		}
		covered += len(arm.Cooks)
		v := g.add(t, worst)
		v.SetPoints = append(v.SetPoints, arm.SetPoint.Celsius())
	}
	for i := range t.Cooks {
		if covered < len(t.Cooks) && !t.Cooks[i].SetPoint.Known {
			v := g.add(t, r.Cooks[i])
			v.Cooks = append(v.Cooks, t.Cooks[i].ID)
		}
	}
	return g.done()
}
