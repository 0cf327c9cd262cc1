package fairness

import (
	"strings"

	"tamis/internal/prose"
	"tamis/internal/trial"
)

var ratioOnRatings = Check{
	Slug: "ratio-on-ratings", Family: Claims, Stage: Plan, About: AboutWording,
	Short:    "a ratio of scores",
	Asks:     "Do you say “twice as firm” about scores?",
	Needs:    []string{"conclusion", "measures.NAME.scale", "measures.NAME.unit"},
	Finds:    "A word for a ratio (twice, half as, double, N times, N % firmer) in a sentence that names a measure on a scale or just-about-right, by its name or by the words for its ends.",
	Clears:   "No word for a ratio, or the measure has a unit with a true zero.",
	Unjudged: "The sentence names no measure of the trial.",
	Why:      "The zero of a rating scale is a label. That 8 is twice 4 says nothing about firmness.",
	Wording:  "“{quote}” treats scores as amounts. Say how many points apart they were: {better}.",
	Next:     "Measure shear or weight if you want a ratio.",
	Source:   "Ratios come from amounts or from magnitude estimation, ISO 11056, from memory.",
	FiresOn:  "conclusion: At 56 °C the pollack is twice as firm.",
	ClearOn:  "conclusion: At 56 °C shear was 1.4 times as high (1.2 to 1.7).",
	Judge:    judgeRatio,
	Example: func() prose.Sentence {
		return prose.Say("Scores of 4 and 8 on a scale of 0 to 10 are scores of 5 and 9 on a scale of 1 to 11: ", amount(2, "times", 0), " becomes ", amount(1.8, "times", 1), ", and nothing about the food has changed.")
	},
}

// ratioWords are a number that multiplies: twice as, 1.5 times the, 40 % firmer,
// half the, doubled. "Tasted twice" and "a double-blind tasting" multiply nothing.
var ratioWords = phrases{re: patternOf(`(?i)(?:^|[^\pL\pN])(` +
	`(?:` + ratioNumber + `)\s+(?:as|so|the|that|more|less|what|\pL+er)` +
	`|half\s+(?:as|the|that|again)(?:\s+\pL+)?` +
	`|(?:a|one|two|three)[ -](?:third|thirds|quarter|quarters|fifth|tenth)s?\s+(?:as|more|less|of\s+(?:that|the|its)|\pL+er)` +
	`|doubl(?:e|es|ed|ing)|tripl(?:e|es|ed|ing)|quadrupl(?:e|es|ed|ing)|halv(?:e|es|ed|ing)` +
	`|(?:\d+(?:[.,]\d+)?|two|three|four|five|ten|several|many)[- ]?fold|\d+(?:[.,]\d+)?\s?[x×]` +
	`|\d+(?:[.,]\d+)?\s*(?:%|per ?cent|percent)\s+(?:more|less|of\s+(?:that|what|its)|as|\pL+er)` +
	`|(?:up|down|rose|rises|fell|falls|dropped|drops|grew|increased|decreased|gained|lost)\s+(?:by\s+)?(?:about\s+|some\s+|roughly\s+|nearly\s+|over\s+)?\d+(?:[.,]\d+)?\s*(?:%|per ?cent|percent)` +
	`|(?:fell|falls|dropped|drops|down|cut|rose|rises|grew|up|reduced|increased|decreased|lost)\s+(?:by\s+)?(?:about\s+|some\s+|roughly\s+|nearly\s+|over\s+)?(?:a\s+|one\s+|two\s+|three\s+)?(?:half|thirds?|quarters?|fifths?)` +
	`)(?:$|[^\pL\pN])`),
	but: phraseRE([]string{"cut in half", "double blind", "double-blind", "double boiler", "double check*", "double-check*", "doubled up", "double portion*"})}

const ratioNumber = `twice|thrice|(?:\d+(?:[.,]\d+)?|two|three|four|five|six|ten|several|many|a few|one and a half|two and a half)[ -]?times`

func judgeRatio(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	found := ratioWords.find(c.Trial.Conclusion.V)
	if len(found) == 0 {
		return clear()
	}
	unnamed := 0
	for _, h := range found {
		named := namedIn(c.Trial, h.in.text)
		if len(named) == 0 {
			unnamed++
			continue
		}
		for _, m := range named {
			if m.Kind == trial.ScaleScore || m.Kind == trial.JustRight || m.Kind == trial.Rank {
				j := sayOf(c, h, Fill{"better": c.better()})
				j.Where.Measures = []string{m.Name}
				return j
			}
		}
	}
	if unnamed > 0 {
		return cannot("conclusion: the measure that is meant")
	}
	return clear()
}

// namedIn lists the measures that a sentence names: by name, by the words for
// the ends of the scale, or by an adjective made from the name (firmer, firm).
func namedIn(t *trial.Trial, text string) []trial.Measure {
	low := strings.ToLower(text)
	words := strings.FieldsFunc(low, func(r rune) bool { return !strings.ContainsRune("abcdefghijklmnopqrstuvwxyzäöüåøéè-", r) })
	var out []trial.Measure
	for _, m := range t.Measures {
		name := strings.ToLower(measureWords(m.Name))
		hit := hasWord(low, name) || hasWord(low, strings.ToLower(m.Name))
		for _, end := range []string{strings.ToLower(m.LowWord.V), strings.ToLower(m.HighWord.V)} {
			hit = hit || hasWord(low, end)
		}
		for _, w := range words {
			hit = hit || sameRoot(w, name)
		}
		if hit {
			out = append(out, m)
		}
	}
	return out
}

// sameRoot reports whether an adjective and a noun share a root: firm, firmer
// and firmest with firmness; juicy and juicier with juiciness.
func sameRoot(word, noun string) bool {
	root, ok := strings.CutSuffix(noun, "ness")
	if !ok {
		return false
	}
	root = strings.TrimSuffix(root, "i")
	word = strings.TrimSuffix(strings.TrimSuffix(word, "est"), "er")
	word = strings.TrimSuffix(strings.TrimSuffix(word, "i"), "y")
	return len(root) > 2 && (word == root || word+"e" == root || word == root+root[len(root)-1:])
}
