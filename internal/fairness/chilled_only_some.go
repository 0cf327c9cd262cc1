package fairness

import (
	"math"
	"slices"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var chilledOnlySome = Check{
	Slug:   "chilled-only-some",
	Short:  "chilling",
	Family: Finishing,
	Stage:  Plan,
	Kind:   Bundle,
	Asks:   "Were some pieces chilled and warmed up again, and others not?",
	Needs:  []string{"cooks.chilled", "cooks.reheat"},
	Finds: "It blocks where chilling takes comparisons of set points with it, by rank. It weakens where none is lost but some set point lacks " +
		"one of the two, where all were chilled and the reheat is more than {reheat-tol} above the lowest set point (it cooks that one " +
		"again), or where the reheating times differ by more than {reheat-gap}.",
	Clears:   "The same was done to all cooks, or chilling was crossed with the set points.",
	Unjudged: "Chilling is written down for some cooks and not for others.",
	Why:      "Chilling sets gelatin and loses juice, and warming cooks again. A piece that made that trip is another dish.",
	Wording:  "{levels} {were} chilled and warmed up again, the rest not. Their texture carries that second trip.",
	Others: map[string]string{
		"holes": "Not every {factor} was both chilled and served straight: only {levels} {were} chilled. The comparison assumes that chilling does the same everywhere.",
		"hot":   "All were chilled and warmed up again at {reheat}, which is above the lowest set point, {lowest}. That cooks its pieces again.",
		"long":  "All were chilled, but the reheat took {short} for some and {long} for others.",
	},
	Hedge: "some pieces were chilled and warmed up again",
	Next: "Serve all straight from the bath. Chill only if every cook is pasteurised; then cool all alike in ice water to 5 °C or below, and " +
		"reheat all alike.",
	Eats:       true,
	Fix:        "chill-alike",
	Source:     "House rules.",
	Options:    []string{"reheat-tol", "reheat-gap"},
	FiresOn:    "cooks: [{id: A, set_point: 58 °C, chilled: yes}, {id: B, set_point: 64 °C, chilled: no}]",
	ClearOn:    "cooks: [{id: A, set_point: 58 °C, chilled: yes, reheat: {at: 55 °C, for: 20 min}}, {id: B, set_point: 64 °C, chilled: yes, reheat: {at: 55 °C, for: 20 min}}]",
	EachFactor: true,
	Judge:      judgeChilled,
	Example:    exampleChilled,
}

func judgeChilled(c *Case) Judgement {
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	var level, chilled []int
	var lacks, cold []string
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		l := c.Factor.Cook[ci]
		switch {
		case l < 0:
		case !k.Chill.Known:
			lacks = append(lacks, k.ID)
		default:
			level, chilled = append(level, l), append(chilled, b2i(k.Chill.V.Is))
			if k.Chill.V.Is {
				cold = append(cold, k.ID)
			}
		}
	}
	switch {
	case len(level) == 0 && c.Factor.WithinCooks():
		return notApplicable("pieces of one cook are compared")
	case len(level) == 0:
		return clearBut("nothing is written down of chilling, which is taken for none")
	}
	if len(lacks) > 0 {
		return cannot("cooks.chilled", lacks...)
	}
	t := tieOf(c.Levels(), 2, level, chilled)
	both := t.cats[0] > 0 && t.cats[1] > 0
	if !both {
		if t.cats[1] > 0 && c.Factor.IsSetPoint() {
			return c.reheated(cold)
		}
		return clear()
	}
	if t.Lost == 0 && t.empty() == 0 {
		return clear()
	}
	on := t.have(1)
	w := Where{Cooks: cold, Pairs: t.labels(c), At: c.cookPlace(cold)}
	for _, l := range on {
		w.Arms = append(w.Arms, c.label(l))
	}
	j := Judgement{Outcome: Fires, Severity: Weakens, Variant: "holes", Statistic: "levels without both", Value: quantity.Num(float64(t.empty())),
		Threshold: quantity.Num(0), Where: w, Fill: Fill{"levels": c.levelsWords(on...), "were": plural(len(on), "was", "were"), "factor": c.factorWords()}}
	if t.Lost > 0 {
		j.Severity, j.Variant, j.Statistic, j.Value = Blocks, "", "comparisons lost by rank", quantity.Num(float64(t.Lost))
	}
	return j
}

// reheated judges the second heating where all cooks had one.
func (c *Case) reheated(cooks []string) Judgement {
	lowest := slices.Min(c.Factor.Values)
	hottest, short, long := math.Inf(-1), math.Inf(1), math.Inf(-1)
	var lacksAt, hot []string
	for _, id := range cooks {
		k := &c.Trial.Cooks[c.facts.cookAt[id]]
		r := k.Reheat
		if !r.Known || !r.V.AtTmp.Known {
			lacksAt = append(lacksAt, id)
			continue
		}
		at := r.V.AtTmp.V.Celsius()
		if at > lowest+c.set.kelvin("reheat-tol") {
			hot = append(hot, id)
		}
		hottest = math.Max(hottest, at)
		if r.V.For.Known {
			short, long = math.Min(short, r.V.For.V.Minutes()), math.Max(long, r.V.For.V.Minutes())
		}
	}
	j := Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Cooks: cooks, At: c.cookPlace(cooks)}}
	switch {
	case len(hot) > 0:
		j.Variant, j.Statistic, j.Value = "hot", "reheat above the lowest set point, K", quantity.Num(hottest-lowest)
		j.Threshold, j.Option = quantity.Num(c.set.kelvin("reheat-tol")), "reheat-tol"
		j.Where.Cooks = hot
		j.Fill = Fill{"reheat": celsius(hottest), "lowest": celsius(lowest)}
	case long-short > c.set.minutes("reheat-gap"):
		j.Variant, j.Statistic, j.Value = "long", "range of the reheating times, min", quantity.Num(long-short)
		j.Threshold, j.Option = quantity.Num(c.set.minutes("reheat-gap")), "reheat-gap"
		j.Fill = Fill{"short": minutes(short), "long": minutes(long)}
	case len(lacksAt) > 0 && len(lacksAt) < len(cooks):
		return cannot("cooks.reheat", lacksAt...)
	case len(lacksAt) > 0:
		return Judgement{Outcome: Clear, Remark: prose.Say("all were chilled; nothing is written down of a reheat")}
	default:
		return clear()
	}
	return j
}
