package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

var oneCookCarriesIt = Check{
	Slug:   "one-cook-carries-it",
	Family: Analysis,
	Stage:  Scored,
	Short:  "one of them carries it",
	Asks:   "Does the answer hang on one cook, one fish or one taster?",
	Needs:  []string{"the scores"},
	Finds: "The primary comparison is made again without each cook, source and taster. Its shift is counted in half-widths of the interval, with or " +
		"without the one left out, whichever is narrower, since one that lies far off widens the interval that it is judged by. It is a note when the shift is " +
		"more than half, or changes the sign, or stays small while the interval gains or loses 0. It weakens when it is more than one and the answer is " +
		"another one: it leaves half of the full half-width, or the interval gains or loses 0. A smaller move lies within what the interval had said already.",
	Clears:  "No single one moves it so far.",
	Why:     "A result that one cook makes is a result about that cook.",
	Wording: "Without {who} the comparison in {measure} would be {without} instead of {with}.",
	Others: map[string]string{
		"gains": "Without {who} the comparison in {measure} stays at about {with}, but the interval around it would reach 0: the evidence is just enough, and needs every {kind}.",
		"loses": "Without {who} the comparison in {measure} stays at about {with}, but the interval around it would no longer reach 0: {who} is what keeps the answer open.",
	},
	Hedge:     "{who} carries much of it",
	Next:      "Repeat {who} first.",
	Avoid:     "Cook each set point often enough that no cook, animal or taster decides alone; repeat first what stands out.",
	Eats:      true,
	Fix:       "repeat-runs",
	Source:    "House rule. In fair trials of three runs at each of a few set points, the largest of all single shifts passes half of the half-width about as often as not, so that alone is a note.",
	Describes: true,
	FiresOn:   "three runs each, and one cook that lies three points off",
	ClearOn:   "three runs each that agree",
	Judge:     judgeOneCook,
	Example:   exampleOneCook,
}

func judgeOneCook(c *Case) Judgement {
	m := c.primaryFit()
	if !c.Compares() || m == nil || m.Sensitivity == nil {
		return notApplicable("no comparison was analysed")
	}
	for _, n := range c.runsPerLevel() {
		if n < 3 {
			return notApplicable("with fewer than three runs at a set point every one of them carries much")
		}
	}
	var head *texture.Alternative
	for i := range m.Sensitivity.Analyses {
		if a := &m.Sensitivity.Analyses[i]; a.Headline && a.Low.Known() && a.High.Known() && a.Estimate.Known() {
			head = a
		}
	}
	if head == nil {
		return tooFew("runs to judge the comparison by", 0, 1)
	}
	half := (head.High.Or(0) - head.Low.Or(0)) / 2
	var worst *texture.LeaveOut
	share, most, turns := 0.0, 0.0, false
	for i := range m.Sensitivity.LeaveOut {
		l := &m.Sensitivity.LeaveOut[i]
		e, ok := l.Estimate.Get()
		if !ok || half <= 0 {
			continue
		}
		width := half
		if without, ok := l.Half.Get(); ok && without > 0 {
			width = min(width, without)
		}
		s := abs(e-head.Estimate.Or(0)) / width
		// A large shift counts most, then an interval that turns, then a small shift.
		weight := s
		switch {
		case s > 0.5:
			weight += 2
		case l.Changes:
			weight++
		}
		if worst == nil || weight > most {
			worst, share, most = l, s, weight
		}
		turns = turns || e*head.Estimate.Or(0) < 0
	}
	switch {
	case worst == nil:
		return tooFew("cooks that can be left out", 0, 1)
	case share <= 0.5 && !worst.Changes && !turns:
		return clear()
	}
	j := Judgement{
		Outcome: Fires, Severity: Note, Statistic: "shift in half-widths of the interval", Value: quantity.Num(share), Threshold: quantity.Num(0.5),
		Where: Where{Measures: []string{m.Name}},
		Fill: Fill{"who": whoWords(worst), "kind": leftOutWords(worst), "measure": measureWords(m.Name),
			"without": amount(worst.Estimate.Or(0), m.Unit, prose.DigitsFor(half/2)), "with": amount(head.Estimate.Or(0), m.Unit, prose.DigitsFor(half/2))},
	}
	switch worst.Kind {
	case "cook":
		j.Where.Cooks = []string{worst.ID}
	case "source":
		j.Where.Sources = []string{worst.ID}
	case "assessor":
		j.Where.Assessors = []string{c.realName(worst.ID)}
	}
	switch {
	case share > 1 && (worst.Changes || abs(worst.Estimate.Or(0)-head.Estimate.Or(0)) > half/2):
		j.Severity = Weakens
	case share <= 0.5 && worst.Estimate.Or(0)*head.Estimate.Or(0) > 0: // only the interval turned
		j.Variant = "loses"
		if head.Low.Or(0)*head.High.Or(0) > 0 {
			j.Variant = "gains"
		}
	}
	return j
}

func whoWords(l *texture.LeaveOut) string {
	if l.Kind == "assessor" {
		return "taster " + l.ID
	}
	return l.Kind + " " + l.ID
}

func leftOutWords(l *texture.LeaveOut) string {
	if l.Kind == "assessor" {
		return "taster"
	}
	return l.Kind
}
