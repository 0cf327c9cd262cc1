package fairness

var proves = Check{
	Slug: "proves", Family: Claims, Stage: Plan, About: AboutWording,
	Short:    "certainty in words",
	Asks:     "Does the text claim certainty?",
	Needs:    []string{"conclusion"},
	Finds:    "Words of certainty (proves, always, guarantee, definitely, the perfect); confirmed while the question was not fixed beforehand; and words of cause while something blocks a claim about the set point.",
	Clears:   "None of these words.",
	Unjudged: "The conclusion is in a language without a word list.",
	Why:      "One trial moves a belief. It does not end the question.",
	Wording:  "“{quote}” is stronger than this trial. Allowed here: {better}.",
	Others: map[string]string{
		"cause":     "“{quote}” names a cause, and {blocks} stands against it. Allowed here: {better}.",
		"confirmed": "“{quote}” needs a question that was fixed before tasting. Allowed here: {better}.",
	},
	Next:    "Use the sentence that is offered for your trial.",
	Source:  "House rule.",
	FiresOn: "conclusion: This proves 64 °C is right for chicken breast.",
	ClearOn: "conclusion: In our kitchen 64 °C tended to score juicier than 68 °C.",
	Judge:   judgeProves,
}

var (
	certainWords = phrasesOf("prove", "proves", "proved", "proven", "proof", "always", "never fails", "guarantee*", "definitely", "without doubt",
		"without a doubt", "science says", "the perfect", "undoubtedly", "certainly", "conclusively", "once and for all", "every time", "undeniabl*", "beyond doubt")
	causeWords     = phrasesOf("makes", "make", "made", "because of", "causes", "caused", "due to the temperature", "due to the set point", "thanks to the temperature", "leads to", "results in")
	confirmedWords = phrasesOf("confirm", "confirms", "confirmed", "confirmation")
	// certainPhrases are certain though a denial stands in them.
	certainPhrases = phrasesOf("never fails", "without doubt", "without a doubt")
)

func judgeProves(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	text := c.Trial.Conclusion.V
	if h := certainWords.find(text); len(h) > 0 {
		return sayOf(c, h[0], Fill{"better": c.better()})
	}
	if h := certainPhrases.find(text); len(h) > 0 {
		return sayOf(c, h[0], Fill{"better": c.better()})
	}
	if c.Claim == nil {
		return clear()
	}
	if h := confirmedWords.find(text); len(h) > 0 && !c.Claim.Confirmed {
		j := sayOf(c, h[0], Fill{"better": c.better()})
		j.Variant = "confirmed"
		return j
	}
	if slug := c.blocking(); slug != "" {
		if h := causeWords.find(text); len(h) > 0 {
			j := sayOf(c, h[0], Fill{"better": c.better(), "blocks": slug})
			j.Variant = "cause"
			return j
		}
	}
	return clear()
}

// blocking is the first finding that blocks a claim about the set point.
func (c *Case) blocking() string {
	for i := range c.Findings {
		f := &c.Findings[i]
		if f.Outcome == Fires && f.Severity == Blocks && f.About == AboutSetPoint && f.Factor == "" && f.Under == "" {
			return f.Slug
		}
	}
	return ""
}
