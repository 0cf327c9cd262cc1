package fairness

import (
	"slices"
	"strings"

	"tamis/internal/diag"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

var safeWords = Check{
	Slug: "safe-words", Family: Claims, Stage: Plan, About: AboutSafety,
	Short:    "safe, in words",
	Asks:     "Do you say that it is safe?",
	Needs:    []string{"conclusion", "title", "notes", "photos.caption"},
	Finds:    "Words such as safe, pasteurised, kills, no risk, or fine for children in the title, conclusion, notes or captions, where the verdict on what was cooked does not say so for those people.",
	Clears:   "None of these words, or the verdict says the same.",
	Unjudged: "The text is in a language without a word list; the verdict then opens the page.",
	Why:      "A reader cooks by the sentence, not by the footnote.",
	Wording:  "“{quote}” is not what the heat says: {verdict}.",
	Next:     "Leave the word out, or cook as the verdict asks.",
	Source:   "The verdict's own sources.",
	FiresOn:  "conclusion: At 52 °C it is safe to eat.",
	ClearOn:  "conclusion: It is not safe for children.",
	Judge:    judgeSafeWords,
	Example:  exampleSafeWords,
}

var (
	safeList = phrasesOf("safe", "safely", "food-safe", "food safe", "pasteurised", "pasteurized", "pasteurisation", "pasteurization", "pasteurises", "pasteurizes", "kills", "kill", "killed", "no risk", "risk-free", "harmless", "sterile", "sterilised", "sterilized", "germ-free", "bacteria-free", "without risk", "no danger", "nothing can happen", "not dangerous", "germs are dead", "bacteria are dead", "sanitised", "sanitized").
			except("the safe side", "safe distance", "safe keeping", "pasteurised egg*", "pasteurized egg*", "pasteurised milk", "pasteurized milk", "pasteurised cream", "pasteurised juice",
			"kills the flavour", "kills the flavor", "kills the taste", "kills the texture", "kills the aroma", "kills the bite", "kills the crunch", "kills the mood",
			"killed the flavour", "killed the flavor", "killed the taste", "killed the texture", "killed the aroma", "killed the crunch")
	peopleList = phrasesOf("children", "kids", "toddlers", "babies", "pregnant", "pregnancy", "elderly", "older people", "old people", "grandmother", "seniors", "infants", "guests of any age", "everyone", "everybody", "anyone", "the whole family", "immun*", "patients", "hospital*")
	fineList   = phrasesOf("fine", "ok", "okay", "good", "suitable", "perfect", "can be served", "can be given", "can eat", "may eat", "can have", "may have", "edible", "served to", "healthy", "no problem", "great")
	storeList  = phrasesOf("keeps for", "keep for", "shelf life", "will keep", "keeps up to", "store for", "stores for", "good for a week", "keeps a week")
	// riskPhrases hold their own denial.
	riskPhrases = phrasesOf("no risk", "no danger", "without risk", "risk-free", "nothing can happen", "not dangerous", "no germs", "no bacteria", "no parasites", "no worry", "no worries")
)

// safeText is one text that a reader sees.
type safeText struct {
	field string
	text  trial.Opt[string]
}

func judgeSafeWords(c *Case) Judgement {
	t := c.Trial
	texts := []safeText{{"title", t.Title}, {"conclusion", t.Conclusion}, {"notes", t.Notes}, {"question", t.Question}}
	for i := range t.Photos {
		texts = append(texts, safeText{"photos.caption", t.Photos[i].Caption}, safeText{"photos.alt", t.Photos[i].Alt})
	}
	if !slices.ContainsFunc(texts, func(s safeText) bool { return strings.TrimSpace(s.text.V) != "" }) {
		return notApplicable("there is no text")
	}
	if !english(t) {
		return cannot("language")
	}
	verdict, vulnerable, words := c.verdict()
	for _, s := range texts {
		for _, part := range sentences(s.text.V) {
			h, forVulnerable, found := safeClaim(part)
			if !found {
				continue
			}
			if forVulnerable && vulnerable || !forVulnerable && verdict >= safety.Pasteurised && verdict != safety.NotAsked {
				continue
			}
			at := diag.Pos{}
			if s.text.Known {
				at = t.Origin.PlaceIn(s.text, part.at+h.at)
			}
			return Judgement{
				Outcome: Fires, Severity: Blocks, Statistic: "verdict", Value: quantity.Absent(verdict.String()),
				Where: Where{Quote: part.text, Fields: []string{s.field}, At: at},
				Fill:  Fill{"quote": strings.TrimSpace(h.phrase), "verdict": words},
			}
		}
	}
	return clear()
}

// safeClaim finds in a sentence the claim that something is safe, and whether
// it is made for vulnerable people.
func safeClaim(s sentence) (h hit, vulnerable, found bool) {
	people := peopleList.find(s.text)
	vulnerable = len(people) > 0
	for _, p := range []phrases{safeList, storeList} {
		if hits := p.find(s.text); len(hits) > 0 {
			return hits[0], vulnerable, true
		}
	}
	for _, m := range riskPhrases.matches(s.text) {
		if !denied(s.text[:m[0]]) && !inQuotes(s.text, m[0]) && !s.asks() {
			return hit{s.text[m[0]:m[1]], s, m[0]}, vulnerable, true
		}
	}
	if fine := fineList.find(s.text); len(fine) > 0 && vulnerable {
		return hit{fine[0].phrase + " … " + people[0].phrase, s, fine[0].at}, true, true
	}
	return hit{}, false, false
}

// verdict is the worst of what was cooked: what is claimed must hold for all of
// it, whether it clears vulnerable people, and the verdict in words.
func (c *Case) verdict() (safety.Verdict, bool, string) {
	if c.Safety == nil {
		return safety.NoVerdict, false, safety.NoVerdict.String()
	}
	o := c.Safety.Overall
	words := o.Verdict.String()
	if o.Verdict >= safety.Pasteurised && !o.Vulnerable {
		words += ", and not for vulnerable people"
	}
	return o.Verdict, o.Vulnerable, words
}
