package fairness

import (
	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/stats/discrim"
	"tamis/internal/trial"
)

var tastersKnew = Check{
	Slug:   "tasters-knew",
	Short:  "tasters knew",
	Family: Assessors,
	Stage:  Plan,
	About:  AboutTasted,
	Asks:   "Could the tasters know which was which?",
	Needs:  []string{"panel.blind", "panel.looks_masked", "panel.guessed"},
	Finds: "It fires where the trial says that the tasting was not blind, or where guesses which was which were right more often than by " +
		"luck (exact binomial, one-sided, p < {guess-p}; a note down to p = 0.005). It blocks liking and just-about-right, where " +
		"expectation is strongest, and weakens the other scored measures. Codes that were hidden while looks were not are a note.",
	Clears:   "Blind, with looks masked, and guesses no better than luck, or nobody asked for a guess.",
	Unjudged: "Whether the tasting was blind is not written down.",
	Why: "People find what they expect, above all when asked what they like. A low set point looks different, so a code alone does not " +
		"hide it.",
	Wording: "Tasters knew which piece was which. Their scores may show what they expected.",
	Others: map[string]string{
		"guessed": "Tasters were to guess which piece was which, and {correct} of {answers} guesses were right where luck gives {luck}. Their scores may show what they expected.",
		"looks":   "Codes were hidden, looks were not. Who can see that one piece is paler may score what the colour promises.",
	},
	Hedge:   "the tasters may have known which was which",
	Next:    "Use three-digit codes, let somebody else plate, taste under dim or coloured light, and ask for a guess at the end.",
	Eats:    true,
	Fix:     "taste-blind",
	Source:  "House rules.",
	Options: []string{"guess-p"},
	FiresOn: "panel: {blind: no}",
	ClearOn: "panel: {blind: yes, looks_masked: red light, guessed: {answers: 12, correct: 5, of: 3}}",
	Judge:   judgeTastersKnew,
	Example: func() prose.Sentence {
		p, err := discrim.BinomialP(8, 12, 1.0/3, false)
		if err != nil {
			return nil
		}
		return prose.Say("Twelve tasters guess which of three pieces is which. Luck gives 4 right; 8 or more come by luck in ", percent(p), " of such tastings.")
	},
}

func judgeTastersKnew(c *Case) Judgement {
	p, ok := c.panel()
	tasted := c.tastedMeasures()
	if !ok || len(tasted) == 0 {
		return notApplicable("nobody tastes")
	}
	j := Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Measures: names(tasted), At: p.At}, Fill: Fill{}}
	var liked []trial.Measure
	for _, m := range tasted {
		if asksLiking(m) {
			liked = append(liked, m)
		}
	}
	if len(liked) > 0 {
		// Expectation works most on liking, so that is what is blocked; the other
		// measures are named with it.
		j.Severity, j.About, j.Where.Measures = Blocks, AboutLiking, names(liked)
	}
	if p.Blind.Known && !p.Blind.V {
		j.Where.At, j.Where.Fields = p.Blind.At, []string{"panel.blind"}
		return j
	}
	if g := p.Guessed; g.Known {
		prob, err := discrim.BinomialP(g.V.Correct, g.V.Answers, 1/float64(g.V.Of), false)
		if err == nil && prob < c.set.number("guess-p") {
			j.Variant, j.Statistic, j.Value, j.Threshold, j.Option = "guessed", "p of the guesses", quantity.Num(prob), quantity.Num(c.set.number("guess-p")), "guess-p"
			j.Where.At, j.Where.Fields = g.At, []string{"panel.guessed"}
			if prob >= weakensBelow {
				j.Severity = Note
			}
			j.Fill = Fill{"correct": count(g.V.Correct), "answers": count(g.V.Answers),
				"luck": amount(float64(g.V.Answers)/float64(g.V.Of), "", decimals(float64(g.V.Answers)/float64(g.V.Of)))}
			return j
		}
	}
	if !p.Blind.Known {
		return cannot("panel.blind")
	}
	if p.LooksMasked.Known && p.LooksMasked.V == trial.NoMask {
		return Judgement{Outcome: Fires, Severity: Note, Variant: "looks", Fill: Fill{},
			Where: Where{Measures: names(tasted), Fields: []string{"panel.looks_masked"}, At: p.LooksMasked.At}}
	}
	var remark prose.Sentence
	if !p.Guessed.Known {
		remark = prose.Say("blind as stated; nobody was asked for a guess")
	}
	if !p.LooksMasked.Known {
		remark = prose.Say("blind as stated; whether looks were masked is not written down")
	}
	return Judgement{Outcome: Clear, Remark: remark}
}
