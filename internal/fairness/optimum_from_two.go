package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
)

var optimumFromTwo = Check{
	Slug: "optimum-from-two", Family: Claims, Stage: Plan, About: AboutWording,
	Short:    "an optimum in words",
	Asks:     "Do you name a best point when only two were cooked?",
	Needs:    []string{"conclusion", "cooks.set_point"},
	Finds:    "A word for an optimum with two set points; with more, such a word while the best point lies at the lowest or highest of them, or no shape but a line can be seen.",
	Clears:   "Three set points or more, and the best point lies between them.",
	Unjudged: "Three set points or more without a fitted curve.",
	Why:      "Two points make a line, and a line has no top.",
	Wording:  "“{quote}” names a top, but {n} set points show which did better, not where the best is. It may lie between, below or above them.",
	Others: map[string]string{
		"edge": "“{quote}” names a top, but the best point lies at the end of what was cooked. It may lie beyond.",
		"line": "“{quote}” names a top, but the curve is a line, and a line has none.",
	},
	Next:    "Add at least one set point between, and one beyond the better end if its verdict lets it be eaten.",
	Eats:    true,
	Fix:     "add-set-points",
	Source:  "Geometry.",
	FiresOn: "conclusion: The optimum for carrots is 85 °C.\ncooks: [{id: A, set_point: 80 °C}, {id: B, set_point: 85 °C}]",
	ClearOn: "conclusion: Of the two, 85 °C was softer.\ncooks: [{id: A, set_point: 80 °C}, {id: B, set_point: 85 °C}]",
	Judge:   judgeOptimum,
	Example: func() prose.Sentence {
		return prose.Say("Scores that peak at ", celsius(52), " and are alike at ", celsius(48), " and ", celsius(56),
			": whoever cooks only those two finds no difference and no top.")
	},
}

var optimumWords = phrasesOf("optimum", "optima", "optimal", "optimally", "optimise*", "optimize*", "ideal", "ideally", "peak", "peaks", "peaked", "maximum", "sweet spot", "best temperature", "best set point", "best setting", "best degree",
	"best is at", "best at", "perfect temperature", "perfect set point", "perfect at", "right temperature", "just the right temperature").
	except("ideally we", "ideally one", "ideally there", "an ideal world", "ideal slab", "peak season", "maximum time", "the maximum of the scale")

func judgeOptimum(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	h := optimumWords.find(c.Trial.Conclusion.V)
	if len(h) == 0 {
		return clear()
	}
	k := c.Levels()
	j := sayOf(c, h[0], Fill{"n": count(k)})
	j.Statistic, j.Value, j.Threshold = "set points", quantity.Num(float64(k)), quantity.Num(3)
	if k < 3 {
		return j
	}
	best, shape, ok := c.bestPoint()
	switch {
	case !ok:
		return tooFew("fitted curves", 0, 1)
	case shape == "line only" || shape == "no shape can be seen":
		j.Variant = "line"
		return j
	case best <= c.Factor.Values[0]+0.05 || best >= c.Factor.Values[k-1]-0.05:
		j.Variant = "edge"
		return j
	}
	return clear()
}

// bestPoint is the headline's best set point in °C and the shape of its curve.
func (c *Case) bestPoint() (best float64, shape string, ok bool) {
	m := c.primaryFit()
	if m == nil || len(m.Curves) == 0 {
		return 0, "", false
	}
	shape = m.Curves[0].Shape
	for i := range c.Fit.Windows {
		if w := &c.Fit.Windows[i]; w.Headline {
			if v, known := w.Best.Get(); known {
				return v, shape, true
			}
		}
	}
	return 0, shape, shape == "line only" || shape == "no shape can be seen"
}
