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
	Example: exampleProves,
}

var (
	certainWords = phrasesOf("prove", "proves", "proved", "proven", "proving", "proof", "always", "guarantee*", "definite", "definitely", "definitively",
		"science says", "scientifically", "the perfect", "is perfect", "undoubtedly", "certainly", "with certainty", "it is certain", "conclusive", "conclusively", "once and for all", "every time", "undeniabl*",
		"unquestionabl*", "indisputabl*", "irrefutabl*", "for sure", "infallibl*", "foolproof", "fail-safe", "the truth is", "a fact", "in all cases", "invariably", "settles it", "settles the question").
		except("proving basket", "proving drawer", "proved for", "prove for", "proof the dough", "the perfect storm", "nearly always", "almost always", "mostly always")
	causeWords = phrasesOf("makes", "make", "made", "because of", "because it was hotter", "because it was cooler", "causes", "caused", "cause of", "due to the temperature", "due to the set point", "due to temperature",
		"due to the heat", "thanks to the temperature", "thanks to the heat", "leads to", "led to", "results in", "resulted in", "effect of temperature", "effect of the temperature", "effect of the set point",
		"is down to the temperature", "owing to").except("we made", "were made", "was made", "makes sense", "made sure", "made by", "made from", "made in", "make sure", "made no", "makes no")
	confirmedWords = phrasesOf("confirm", "confirms", "confirmed", "confirmation", "confirming").except("to be confirmed", "must be confirmed", "should be confirmed", "needs to be confirmed", "remains to be confirmed", "to confirm")
	// certainPhrases are certain though a denial stands in them.
	certainPhrases = phrasesOf("never fails", "never failed", "cannot fail", "can't fail", "cannot go wrong", "can't go wrong", "without doubt", "without a doubt", "without any doubt", "no doubt", "beyond doubt", "beyond any doubt",
		"no question", "without question", "without exception", "no exceptions")
)

func judgeProves(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	text := c.Trial.Conclusion.V
	if h := certainWords.find(text); len(h) > 0 {
		return sayOf(c, h[0], Fill{"better": c.better()})
	}
	for _, s := range sentences(text) {
		for _, m := range certainPhrases.matches(s.text) {
			if !s.asks() && !denied(s.text[:m[0]]) && !inQuotes(s.text, m[0]) {
				return sayOf(c, hit{s.text[m[0]:m[1]], s, s.at + m[0]}, Fill{"better": c.better()})
			}
		}
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
