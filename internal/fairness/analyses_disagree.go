package fairness

import (
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

var analysesDisagree = Check{
	Slug:   "analyses-disagree",
	Family: Analysis,
	Stage:  Scored,
	Short:  "other analyses say otherwise",
	Asks:   "Would another sensible analysis say something else?",
	Needs:  []string{"the scores"},
	Finds: "Every other defensible analysis of the primary comparison, on the same scale as the declared one. It weakens when at least {disagree} of them " +
		"have the other sign, or differ in whether the 95 % interval holds 0.",
	Clears:    "Fewer than {disagree} of four analyses or more turn.",
	Unjudged:  "Fewer than four analyses can be made.",
	Why:       "If the result needs one particular choice, the choice made the result.",
	Wording:   "{turned} of {n} reasonable analyses {give} another answer: {which}.",
	Hedge:     "other reasonable analyses say otherwise",
	Next:      "Fix the analysis in advance; more runs leave fewer choices.",
	Fix:       "fix-analysis",
	Source:    "The idea of showing every defensible analysis: Steegen and others (2016), Perspectives on Psychological Science 11, 702–712, from memory.",
	Options:   []string{"disagree"},
	Describes: true,
	FiresOn:   "eight analyses, three of them with 0 in the interval, the declared one without",
	ClearOn:   "eight analyses with one sign and one verdict",
	Judge:     judgeAnalyses,
	Example:   exampleAnalyses,
}

// undoes names, for an analysis, the finding whose fault it undoes.
var undoes = map[string]string{"ordinal model": "scores-at-the-end", "left-out scores back in": "scores-left-out"}

func judgeAnalyses(c *Case) Judgement {
	m := c.primaryFit()
	if m == nil || m.Sensitivity == nil {
		return notApplicable("no comparison was analysed")
	}
	var head *texture.Alternative
	for i := range m.Sensitivity.Analyses {
		if a := &m.Sensitivity.Analyses[i]; a.Headline {
			head = a
		}
	}
	var others, turned []string
	if head != nil {
		for i := range m.Sensitivity.Analyses {
			a := &m.Sensitivity.Analyses[i]
			if a.Headline || !a.Estimate.Known() || !a.Low.Known() || !a.High.Known() {
				continue
			}
			others = append(others, a.Name)
			if a.Estimate.Or(0)*head.Estimate.Or(0) < 0 || holdsZero(*a) != holdsZero(*head) {
				turned = append(turned, a.Name)
			}
		}
	}
	const least = 4
	if len(others) < least || !head.Low.Known() {
		return tooFew("analyses that can be made", len(others), least)
	}
	share, limit := float64(len(turned))/float64(len(others)), c.set.number("disagree")
	if share < limit {
		return clear()
	}
	var fields []string
	for _, name := range turned {
		if slug, ok := undoes[name]; ok && !slices.Contains(fields, slug) {
			fields = append(fields, slug)
		}
	}
	return Judgement{
		Outcome: Fires, Severity: Weakens, Statistic: "share of analyses that turn", Value: quantity.Num(share), Threshold: quantity.Num(limit),
		Option: "disagree", Where: Where{Measures: []string{m.Name}, Fields: fields},
		Fill: Fill{"turned": count(len(turned)), "n": count(len(others)), "which": prose.List(turned), "give": plural(len(turned), "gives", "give")},
	}
}

// primaryFit is the analysed primary measure, nil where there is none.
func (c *Case) primaryFit() *texture.Measure {
	l := &ladder{c: c}
	return l.primary()
}
