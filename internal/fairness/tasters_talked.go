package fairness

import (
	"math"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

var tastersTalked = Check{
	Slug:   "tasters-talked",
	Short:  "tasters talked",
	Family: Assessors,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Did tasters talk, or see each other's faces, while scoring?",
	Needs:  []string{"panel.together", "panel.scores"},
	Finds: "It weakens when the trial says that they scored together; the panel then counts as one assessor. Where nothing is written " +
		"down it is a note when, of four assessors or more on a scale of nine steps or more, all agree within one step on a share of " +
		"the samples of {alike} or more.",
	Clears:   "The trial says that they did not score together.",
	Unjudged: "Whether they scored together is not written down, and the scores do not give it away.",
	Why:      "Agreement that was made by talking is one opinion, written down several times. Its small scatter looks like certainty.",
	Wording:  "Tasters talked while scoring. {sheets} then hold little more than one opinion.",
	Others: map[string]string{
		"alike": "On {share} of the samples all tasters agree on {measure} within one step of the scale. Did they talk while scoring?",
	},
	Hedge:   "the tasters talked while scoring",
	Next:    "Silent, separate sheets; talk when they are in.",
	Eats:    true,
	Fix:     "taste-in-silence",
	Source:  "House rules.",
	Options: []string{"alike"},
	FiresOn: "panel: {together: yes}",
	ClearOn: "panel: {together: no}",
	Judge:   judgeTastersTalked,
	Example: exampleTalked,
}

// manyTasters and manySteps are where close agreement stops being ordinary.
const (
	manyTasters = 4
	manySteps   = 9
)

func judgeTastersTalked(c *Case) Judgement {
	p, ok := c.panel()
	tasted := c.tastedMeasures()
	if !ok || len(tasted) == 0 {
		return notApplicable("nobody tastes")
	}
	if p.Together.Known && !p.Together.V {
		return clear()
	}
	if p.Together.Known {
		n := len(c.tasters())
		sheets := prose.Say("Their sheets")
		if n > 0 {
			sheets = prose.Say("The ", count(n), " sheets")
		}
		return Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Measures: names(tasted), Fields: []string{"panel.together"}, At: p.Together.At},
			Fill: Fill{"sheets": sheets}}
	}
	limit := c.set.number("alike")
	for _, m := range tasted {
		share, judged := c.scoredAlike(m)
		if judged && share >= limit {
			return Judgement{Outcome: Fires, Severity: Note, Variant: "alike", Statistic: "share of samples scored alike", Value: quantity.Num(share),
				Threshold: quantity.Num(limit), Option: "alike", Where: Where{Measures: []string{m.Name}, At: p.At},
				Fill: Fill{"share": percent(share), "measure": measureWords(m.Name)}}
		}
	}
	return cannot("panel.together")
}

// scoredAlike is the share of samples that manyTasters or more scored within
// one step of each other. A step is 1, or a tenth of a scale of more than 20.
func (c *Case) scoredAlike(m trial.Measure) (share float64, judged bool) {
	width := m.Scale.Width()
	if m.Kind != trial.ScaleScore || width+1 < manySteps {
		return 0, false
	}
	step := 1.0
	if width > 20 {
		step = width / 10
	}
	type sample struct {
		cook, piece int
		repeat      string
	}
	type range3 struct {
		low, high float64
		n         int
	}
	seen := map[sample]*range3{}
	for _, r := range c.facts.scores {
		v, ok := r.S.Values.Get(m.Name)
		if !ok || v.Missing {
			continue
		}
		key := sample{r.Cook, r.Piece, r.S.Repeat.V}
		s := seen[key]
		if s == nil {
			s = &range3{v.V, v.V, 0}
			seen[key] = s
		}
		s.low, s.high, s.n = math.Min(s.low, v.V), math.Max(s.high, v.V), s.n+1
	}
	samples, alike := 0, 0
	for _, s := range seen {
		if s.n < manyTasters {
			continue
		}
		samples++
		if s.high-s.low <= step+1e-9 {
			alike++
		}
	}
	if samples == 0 {
		return 0, false
	}
	return float64(alike) / float64(samples), true
}
