package fairness

import (
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

var winnerWithinNoise = Check{
	Slug: "winner-within-noise", Family: Claims, Stage: Scored, About: AboutWording,
	Short: "a lead that may be chance",
	Asks:  "Is the winner ahead by more than the noise?",
	Needs: []string{"conclusion", "the scores"},
	Finds: "The text ranks one set point or level over another, or tells to cook at one, and the interval of that difference (adjusted for several comparisons; over cooks) holds 0. " +
		"Where the aim is a target, it fires when all aims hold there with a chance below {likely}.",
	Clears:   "The interval excludes 0, or the chance is at least {likely}.",
	Unjudged: "There is no interval, because nothing was repeated, or the sentence names no set point of the trial.",
	Why:      "The top of a list is always somebody. Next time it is often somebody else.",
	Wording:  "{a} leads {b} by {diff} ({low} to {high}). That lead could be chance; call it a tie.",
	Others: map[string]string{
		"chance": "At {a} all aims hold with a chance of {p}. That is less likely than not.",
	},
	Next:    "Repeat the two leaders only.",
	Eats:    true,
	Fix:     "repeat-runs",
	Source:  "Intervals by Tukey's procedure, or Dunnett's against a control.",
	Options: []string{"likely"},
	FiresOn: "conclusion: 63 °C makes the better egg.",
	ClearOn: "conclusion: 63 °C made the softer yolk.",
	Judge:   judgeWinner,
	Example: exampleWinner,
}

var (
	rankWords = phrasesOf("better", "best", "winner", "wins", "won", "prefer*", "superior", "beats", "beat", "ahead", "firmer", "softer", "juicier", "tenderer", "drier", "moister", "more tender",
		"more juicy", "more moist", "flakier", "tougher", "chewier", "nicer", "favour*", "favor*", "top", "leads", "outperform*", "outdoes", "improve*", "clearly", "*er than",
		"more * than", "more * * than", "less * than", "less * * than", "highest", "lowest", "firmest", "softest", "juiciest", "tenderest", "driest", "moistest")
	cookItAt = patternOf(`(?i)\b(?:cook|go for|use|choose|pick|recommend|set)\b`)
)

func judgeWinner(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	if !c.Compares() {
		return notApplicable("nothing is compared")
	}
	target := false
	for _, a := range c.Trial.Aims {
		target = target || !a.Best.Known
	}
	var unjudged *Judgement
	for _, s := range sentences(c.Trial.Conclusion.V) {
		ranks := rankWords.find(s.text)
		tells := cookItAt().FindStringIndex(s.text)
		if len(ranks) == 0 && tells == nil {
			continue
		}
		at := s.at
		if len(ranks) > 0 {
			at += ranks[0].at
		} else if denied(s.text[:tells[0]]) {
			continue
		}
		h := hit{s.text, s, at}
		levels := c.levelsIn(s.text)
		if len(levels) == 0 {
			if len(ranks) > 0 && c.brineIn(s.text) == nil {
				j := tooFew("set points that the sentence names", 0, 1)
				unjudged = &j
			}
			if d := c.brineIn(s.text); d != nil && len(ranks) > 0 {
				if j := c.lead(h, d, false); j != nil {
					return *j
				}
			}
			continue
		}
		if target && tells != nil && len(levels) == 1 {
			if j := c.chanceAt(h, levels[0]); j != nil {
				return *j
			}
			continue
		}
		d, known := c.winnerAgainst(s.text, levels)
		switch {
		case !known:
			j := c.tooFewRuns(minOf(c.runsPerLevel()))
			unjudged = &j
		case d != nil:
			if j := c.lead(h, d, false); j != nil {
				return *j
			}
		}
	}
	if unjudged != nil {
		return *unjudged
	}
	return clear()
}

func minOf(n []int) int {
	least := n[0]
	for _, v := range n {
		least = min(least, v)
	}
	return least
}

// levelsIn lists the levels of the compared factor that a text names.
func (c *Case) levelsIn(text string) []int {
	var out []int
	for l := range c.Factor.Levels {
		if mentions(c, text, c.label(l)) {
			out = append(out, l)
		}
	}
	return out
}

// mentions reports whether a text names a level: a set point in either unit, or
// a level by its word.
func mentions(c *Case, text, label string) bool {
	for l, name := range c.Factor.Levels {
		if name != label || len(c.Factor.Values) <= l || !c.Factor.IsSetPoint() {
			continue
		}
		for _, m := range temperaturesIn(text) {
			if abs(m.celsius-c.Factor.Values[l]) < 0.3 {
				return true
			}
		}
		return false
	}
	return hasWord(strings.ToLower(text), strings.ToLower(label))
}

// brineIn is the difference of the brine that a text speaks of.
func (c *Case) brineIn(text string) *texture.Difference {
	m := c.measureOf(text)
	if m == nil || !strings.Contains(strings.ToLower(text), "brine") && !strings.Contains(strings.ToLower(text), "salted") {
		return nil
	}
	return leadingOf(m, trial.BrineFactor)
}

// winnerAgainst is the difference between the named winner and what it is held
// against: the other named level, or the runner-up. known is false where no
// interval exists.
func (c *Case) winnerAgainst(text string, levels []int) (d *texture.Difference, known bool) {
	m := c.measureOf(text)
	if m == nil {
		return nil, false
	}
	known = true
	for i := range m.Differences {
		x := &m.Differences[i]
		if x.Term != c.Factor.Name || !x.Estimate.Known() {
			continue
		}
		a, b := x.A == c.label(levels[0]), x.B == c.label(levels[0])
		if len(levels) > 1 {
			if (a || b) && (x.A == c.label(levels[1]) || x.B == c.label(levels[1])) {
				return x, x.Low.Known()
			}
			continue
		}
		if !a && !b {
			continue
		}
		if !x.Low.Known() {
			known = false
			continue
		}
		// Against the nearest rival: the smallest difference.
		if d == nil || abs(x.Estimate.Or(0)) < abs(d.Estimate.Or(0)) {
			d = x
		}
	}
	if d == nil {
		return nil, known && len(m.Differences) > 0
	}
	return d, true
}

// lead is the finding about a difference whose interval holds 0.
func (c *Case) lead(h hit, d *texture.Difference, _ bool) *Judgement {
	if !d.Low.Known() || excludesZero(d) {
		return nil
	}
	est, low, high, a, b := d.Estimate.Or(0), d.Low.Or(0), d.High.Or(0), d.A, d.B
	if est < 0 {
		est, low, high, a, b = -est, -high, -low, d.B, d.A
	}
	m := c.measureOf(h.in.text)
	digits := digitsOf(d.SE)
	j := sayOf(c, h, Fill{"a": c.nameOf(a), "b": c.nameOf(b), "diff": amount(est, m.Unit, digits), "low": amount(low, "", digits), "high": amount(high, "", digits), "p": ""})
	j.Statistic, j.Value, j.Threshold = "lower end of the interval of the lead", quantity.Num(low), quantity.Num(0)
	j.Where.Measures, j.Where.Arms = []string{m.Name}, []string{a, b}
	return &j
}

// nameOf names a level in both units.
func (c *Case) nameOf(label string) any {
	for l, name := range c.Factor.Levels {
		if name == label {
			return c.levelWords(l)
		}
	}
	return label
}

// chanceAt is the finding about a recommended set point at which the aims hold
// less likely than not; nil where they do, or no chance is known.
func (c *Case) chanceAt(h hit, level int) *Judgement {
	likely := c.set.number("likely")
	for i := range c.Fit.Windows {
		w := &c.Fit.Windows[i]
		if !w.Headline || w.Cannot != "" {
			continue
		}
		for _, dot := range w.Grid {
			if abs(dot.SetPoint-c.Factor.Values[level]) < 0.051 {
				if dot.Mean >= likely {
					return nil
				}
				j := sayOf(c, h, Fill{"a": c.levelWords(level), "p": percent(dot.Mean)})
				j.Variant = "chance"
				j.Statistic, j.Value, j.Threshold, j.Option = "chance that all aims hold", quantity.Num(dot.Mean), quantity.Num(likely), "likely"
				return &j
			}
		}
	}
	return nil
}
