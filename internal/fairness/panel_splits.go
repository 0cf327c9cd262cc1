package fairness

import (
	"math"

	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

var panelSplits = Check{
	Slug:   "panel-splits",
	Short:  "two camps",
	Family: Assessors,
	Stage:  Scored,
	About:  AboutTasted,
	Asks:   "Do tasters disagree about which one is better, and not just by how much?",
	Needs:  []string{"scores.assessor", "scores.repeat", "measures.role"},
	Finds: "For the measures that decide, and for liking in any case: for the two set points whose means lie furthest apart, assessors are counted by which of the two they scored higher. It fires where " +
		"assessor × product, against repeats, has p < {split-p} and the smaller camp is {camp} or more; for liking without repeats where it is " +
		"{camp-liking} or more of 12 assessors. It weakens at p < 0.005, of assessor × product or of two groups who want different things; else it is a note.",
	Clears:   "The test has p of {split-p} or more with ten degrees of freedom, or the smaller camp is below its limit.",
	Unjudged: "Nothing was tasted twice, or, for liking, there are fewer than 12 assessors.",
	Why:      "Where half prefer 46 °C and half 56 °C, an average recommends 51 °C, which nobody asked for.",
	Wording:  "{camp_a} of {n} tasters scored {a} higher in {measure}, {camp_b} scored {b} higher. An average speaks for neither.",
	Hedge:    "the tasters fall into two camps",
	Next:     "Ask who likes it how; report the camps, or choose for the guests you serve.",
	Eats:     true,
	Fix:      "report-camps",
	Source:   "House rules.",
	Options:  []string{"split-p", "camp", "camp-liking"},
	FiresOn:  "# 20 consumers: A liked better by 11, B by 9",
	ClearOn:  "# 20 consumers: A liked better by 17, B by 3",
	Judge:    judgePanelSplits,
	Example:  examplePanelSplits,
}

const (
	leastSplit    = 10 // degrees of freedom of assessor × product
	leastConsumer = 12 // assessors, for liking without repeats
)

// withoutOdd names the detail by which a split is told from one reversed taster.
const withoutOdd = "smaller camp without those out of step"

// camps are who scores which of two levels higher.
type camps struct {
	a, b            int // levels; a is the one with the larger camp
	larger, smaller int
	n               int // assessors who tasted both
}

func (s camps) share() float64 { return float64(s.smaller) / math.Max(1, float64(s.n)) }

func judgePanelSplits(c *Case) Judgement {
	deciding := c.decidingOrLiking()
	if len(deciding) == 0 || !c.Compares() {
		return notApplicable("nothing that is compared was tasted")
	}
	var worst *Judgement
	judged := false
	few := 0
	aimed := len(c.decidingMeasures())
	for i, m := range deciding {
		f := c.fitted(m.Name)
		if f == nil || f.Panel == nil || m.Kind == trial.Rank || m.Kind == trial.YesNo {
			continue
		}
		s := c.campsOf(m, nil)
		few = max(few, s.n)
		cross, tested := f.Panel.Crossover.P.Get()
		tested = tested && f.Panel.Crossover.DF2.Or(0) > 0
		limit, option, fires := c.set.number("camp"), "camp", false
		switch {
		case tested:
			fires = cross < c.set.number("split-p") && s.share() >= limit
			judged = judged || s.share() < limit || cross < c.set.number("split-p") || f.Panel.Crossover.DF2.Or(0) >= leastSplit
		case asksLiking(m) && s.n >= leastConsumer:
			limit, option = c.set.number("camp-liking"), "camp-liking"
			fires, judged = s.share() >= limit, true
		default:
			continue
		}
		if !fires {
			continue
		}
		j := c.splitJudgement(m, f, s, limit, option)
		if i >= aimed {
			j.About = AboutLiking // and says nothing of what decides
		}
		if tested && cross < weakensBelow {
			j.Severity = Weakens
		}
		if g := f.Panel.Segments; g != nil && g.Split && g.P.Or(1) < weakensBelow {
			j.Severity = Weakens
		}
		if worst == nil || j.Severity > worst.Severity {
			worst = &j
		}
	}
	switch {
	case worst != nil:
		return *worst
	case judged:
		return clear()
	case len(deciding) > 0 && asksLiking(deciding[0]):
		return tooFew("assessors who tasted both of the leading set points", few, leastConsumer)
	}
	return cannot("scores.repeat")
}

func (c *Case) splitJudgement(m trial.Measure, f *texture.Measure, s camps, limit float64, option string) Judgement {
	j := Judgement{Outcome: Fires, Severity: Note, Statistic: "share of the smaller camp", Value: quantity.Num(s.share()), Threshold: quantity.Num(limit),
		Option: option, Where: Where{Measures: []string{m.Name}, Arms: []string{c.label(s.a), c.label(s.b)}, At: m.At},
		Fill:    Fill{"camp_a": count(s.larger), "camp_b": count(s.smaller), "n": count(s.n), "a": c.levelWords(s.a), "b": c.levelWords(s.b), "measure": measureWords(m.Name)},
		Details: []Detail{{Name: "p of assessor × product", Value: f.Panel.Crossover.P}}}
	// Whether the split is one reversed taster decides what is the root.
	if len(f.Panel.OutOfStep) > 0 {
		odd := map[string]bool{}
		for _, alias := range f.Panel.OutOfStep {
			odd[c.realName(alias)] = true
		}
		j.Details = append(j.Details, Detail{Name: withoutOdd, Value: quantity.Num(c.campsOf(m, odd).share())})
	}
	return j
}

// campsOf counts the camps about the two levels whose means over the assessors
// lie furthest apart. Ties of an assessor count for neither.
func (c *Case) campsOf(m trial.Measure, without map[string]bool) camps {
	t := c.armMeansByTaster(m)
	best := camps{a: 0, b: 1}
	widest := -1.0
	for a := range c.Levels() {
		for b := a + 1; b < c.Levels(); b++ {
			var s camps
			total := 0.0
			for i, id := range t.ids {
				d := t.difference(i, a, b)
				if math.IsNaN(d) || without[id] {
					continue
				}
				s.n++
				total += d
				switch {
				case d > 0:
					s.larger++
				case d < 0:
					s.smaller++
				}
			}
			if s.n == 0 || math.Abs(total)/float64(s.n) <= widest {
				continue
			}
			widest = math.Abs(total) / float64(s.n)
			s.a, s.b = a, b
			if s.smaller > s.larger {
				s.a, s.b, s.larger, s.smaller = b, a, s.smaller, s.larger
			}
			best = s
		}
	}
	return best
}
