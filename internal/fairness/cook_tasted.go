package fairness

import (
	"math"
	"slices"

	"tamis/internal/quantity"
)

var cookTasted = Check{
	Slug:   "cook-tasted",
	Short:  "the cook scored",
	Family: Assessors,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Did the person who cooked, or chose the set points, also score?",
	Needs:  []string{"panel.assessors.cooked", "panel.assessors.chose"},
	Finds: "It is a note when an assessor cooked or chose the set points. It weakens when they are more than half of the panel, or when " +
		"without them the primary estimate moves by more than {cook-shift} of its standard error or changes sign.",
	Clears:   "Of every assessor it is written down that they did not cook.",
	Unjudged: "Of an assessor it is not written down whether they cooked.",
	Why:      "Whoever set the baths cannot unlearn it. They know what they hope for, and they know the pieces by sight.",
	Wording:  "{names} cooked or chose the set points, and scored.",
	Others: map[string]string{
		"shift": "{names} cooked or chose the set points, and scored. Without them the change in {measure} is {without} instead of {with}.",
		"all":   "{names} cooked or chose the set points, and nobody else scored.",
		"most":  "{names} cooked or chose the set points, and they are {n} of {panel} tasters. Most of the scores come from people who knew.",
	},
	Hedge:   "some of the tasters had cooked",
	Next:    "Let the cook plate, and somebody else score.",
	Eats:    true,
	Fix:     "cook-does-not-score",
	Source:  "House rules.",
	Options: []string{"cook-shift"},
	FiresOn: "panel: {assessors: {anna: {cooked: yes}, ben: {cooked: no}}}",
	ClearOn: "panel: {assessors: {anna: {cooked: no}, ben: {cooked: no}}}",
	Judge:   judgeCookTasted,
	Example: exampleCookTasted,
}

func judgeCookTasted(c *Case) Judgement {
	p, ok := c.panel()
	people := c.tasters()
	if !ok || len(c.tastedMeasures()) == 0 {
		return notApplicable("nobody tastes")
	}
	if len(people) == 0 {
		return cannot("panel.assessors")
	}
	var knew, unknown []string
	at := p.At
	for _, id := range people {
		a := c.assessor(id)
		switch {
		case a != nil && (a.Cooked.V || a.Chose.V):
			if len(knew) == 0 {
				at = a.At
			}
			knew = append(knew, id)
		case a == nil || !a.Cooked.Known:
			unknown = append(unknown, id)
		}
	}
	if len(knew) == 0 {
		if len(unknown) > 0 {
			return cannot("panel.assessors.cooked", unknown...)
		}
		return clear()
	}
	j := Judgement{Outcome: Fires, Severity: Note, Statistic: "assessors who cooked or chose", Value: quantity.Num(float64(len(knew))),
		Where: Where{Assessors: knew, At: at}, Fill: Fill{"names": listWords(c.persons(knew))}}
	if s, ok := c.without(knew); ok && (math.Abs(s.shift) > c.set.number("cook-shift") || s.turned) {
		j.Severity, j.Variant, j.Option = Weakens, "shift", "cook-shift"
		j.Statistic, j.Value, j.Threshold = "shift without them, in standard errors", quantity.Num(s.shift), quantity.Num(c.set.number("cook-shift"))
		j.Where.Measures = []string{s.measure}
		j.Fill["measure"], j.Fill["with"], j.Fill["without"] = s.measure, amount(s.with, s.unit, s.digits), amount(s.left, s.unit, s.digits)
		return j
	}
	if len(knew) == len(people) {
		j.Severity, j.Variant = Weakens, "all"
		return j
	}
	if 2*len(knew) > len(people) {
		j.Severity, j.Variant = Weakens, "most"
		j.Fill["n"], j.Fill["panel"] = count(len(knew)), count(len(people))
	}
	return j
}

// leftWithout is the primary estimate without some assessors.
type leftWithout struct {
	measure, unit string
	with, left    float64
	shift         float64 // in standard errors of the estimate
	turned        bool    // the sign changed
	digits        int
}

// without reads from the fit how the primary estimate moves without some
// assessors. Several shifts are added, which is exact for one assessor and near
// enough for a few of many.
func (c *Case) without(ids []string) (leftWithout, bool) {
	m, ok := c.primaryMeasure()
	f := c.fitted(m.Name)
	if !ok || f == nil || f.Sensitivity == nil || len(f.Sensitivity.Analyses) == 0 {
		return leftWithout{}, false
	}
	head, ok := f.Sensitivity.Analyses[0].Estimate.Get()
	if !ok {
		return leftWithout{}, false
	}
	out := leftWithout{measure: m.Name, unit: m.Unit.V, with: head, left: head, digits: 1}
	found := 0
	for _, l := range f.Sensitivity.LeaveOut {
		if l.Kind != "assessor" || !slices.Contains(ids, c.realName(l.ID)) {
			continue
		}
		v, ok1 := l.Estimate.Get()
		s, ok2 := l.Shift.Get()
		if !ok1 || !ok2 {
			return leftWithout{}, false
		}
		out.left += v - head
		out.shift += s
		found++
	}
	out.turned = out.left*head < 0
	out.digits = shownDigits(head, out.left)
	return out, found == len(ids)
}

// shownDigits are the decimals at which two estimates of a measure differ on the
// page, at least one and at most three.
func shownDigits(a, b float64) int {
	for n := 1; n < 3; n++ {
		if p := math.Pow10(n); math.Round(a*p) != math.Round(b*p) {
			return n
		}
	}
	return 3
}
