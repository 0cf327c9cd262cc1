package fairness

import (
	"math"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
)

var sameWithoutMargin = Check{
	Slug: "same-without-margin", Family: Claims, Stage: Scored, About: AboutWording,
	Short:   "the same, without a margin",
	Asks:    "Do you say “the same” because no difference was found?",
	Needs:   []string{"conclusion", "measures.NAME.same_within", "difference_tests.similarity"},
	Finds:   "Words for sameness, and neither does the 90 % interval of the difference lie within measures.NAME.same_within, fixed by declared, nor does a similarity test that was planned as such meet its limit.",
	Clears:  "Either of the two. “No difference was seen” is allowed.",
	Why:     "A small trial finds no difference nearly every time. Showing sameness needs a margin and about twice the panel.",
	Wording: "“{quote}”: no difference was seen, but up to {upper} could be there. Sameness needs a margin that was fixed beforehand.",
	Others: map[string]string{
		"unknown": "“{quote}”: no difference was looked for with enough cooks to say so. Sameness needs a margin that was fixed beforehand.",
	},
	Next:    "Before you cook, say how close counts as the same (same_within), then size the trial for it.",
	Fix:     "size-for-sameness",
	Source:  "Two one-sided tests at 5 % (Schuirmann 1987, Journal of Pharmacokinetics and Biopharmaceutics 15, 657–680, from memory). Panel sizes: duo-trio 32 to 36 for a difference, about 72 for similarity, ISO 10399, from memory.",
	FiresOn: "conclusion: Brined and plain trout are the same.",
	ClearOn: "measures: {firmness: {scale: 0 to 10, same_within: 1}}",
	Judge:   judgeSame,
	Example: exampleSame,
}

// sameWords claim sameness: "the same" as a predicate, "the same firmness", and
// words that mean it. "The same fish" and "at the same time" claim none.
var sameWords = phrases{re: patternOf(`(?i)(?:^|[^\pL\pN])(` +
	`the\s+same(?:\s*(?:$|[.,;:)!]|—|–)|\s+(?:at|for|in|as|whether|when|if|with|to|within|or|result|results|texture|textures|score|scores|taste|thing|bite|quality|answer|again|\pL*ness|tenderness))` +
	`|no\s+(?:real\s+|true\s+)?differences?|no\s+different|indifferent|identical|equal|equally|equals|equivalent|just\s+as|every\s+bit\s+as|as\s+good\s+as|is\s+as\s+\pL+\s+as|are\s+as\s+\pL+\s+as|was\s+as\s+\pL+\s+as|were\s+as\s+\pL+\s+as` +
	`|indistinguishable|interchangeable|alike|cannot\s+be\s+told\s+apart|can['’]t\s+be\s+told\s+apart|(?:cannot|can\s+not|can['’]t|could\s+not|couldn['’]t)\s+(?:\pL+\s+)?tell\s+(?:the\s+difference|them\s+apart|the\s+two\s+apart|which|it\s+from|\S+\s+(?:°[CF]\s+)?from)|(?:does|do|did)\s+not\s+(?:matter|differ)|(?:doesn|don|didn)['’]t\s+(?:matter|differ)|makes?\s+no\s+odds|ha[sd]\s+no\s+effect|no\s+effect\s+on|unaffected|unchanged` +
	`)(?:$|[^\pL\pN])`),
	but: phraseRE([]string{"no difference was seen", "no difference was found", "no differences were seen", "no differences were found", "no difference seen", "no difference could be seen", "no difference could be found", "no difference could be shown", "no difference was shown",
		"saw no difference", "found no difference", "noticed no difference", "tasted no difference", "no difference in * was seen", "no difference in * was found", "equal parts", "equal weight*", "equal size*", "equal amount*", "equal number*", "equal time*",
		"just as planned", "just as we", "just as the", "just as it", "alike in size", "equal portions", "at the same", "on the same"})}

// seenWords: a sentence that says what was seen, and no more.
var seenWords = phrasesOf("no difference was seen", "was seen", "was found", "were seen", "were found", "saw", "found", "noticed", "could see", "could be seen", "could be shown", "was shown", "to be seen", "measurable", "significant", "detect*")

func judgeSame(c *Case) Judgement {
	if j, ok := conclusionOr(c); !ok {
		return j
	}
	var found *hit
search:
	for _, s := range sentences(c.Trial.Conclusion.V) {
		if s.asks() {
			continue
		}
		for _, m := range sameWords.matches(s.text) {
			// "cannot be told apart" holds its own denial; "not the same" is none, and
			// "no difference was seen" says what was seen.
			phrase := strings.TrimRight(s.text[m[0]:m[1]], " .,;:)!—–")
			if inQuotes(s.text, m[0]) || denied(s.text[:m[0]]) || strings.HasPrefix(strings.ToLower(phrase), "no ") && seenWords.in(s.text) {
				continue
			}
			found = &hit{phrase, s, s.at + m[0]}
			break search
		}
	}
	if found == nil {
		return clear()
	}
	for _, t := range c.Fit.Tests {
		if t.Similar != nil && *t.Similar {
			return clear()
		}
	}
	m := c.measureOf(found.in.text)
	if m == nil {
		return notApplicable("nothing was compared")
	}
	tm, _ := c.Trial.MeasureNamed(m.Name)
	d := c.meant(m, found.in.text)
	if d == nil || !d.Estimate.Known() || !d.Low.Known() {
		j := sayOf(c, *found, nil)
		j.Variant = "unknown"
		return j
	}
	l := &ladder{c: c}
	if l.same(m, d) {
		return clear()
	}
	upper := math.Max(abs(d.Low.Or(0)), abs(d.High.Or(0)))
	j := sayOf(c, *found, Fill{"upper": prose.Say(amount(upper, unitOr(m), digitsOf(d.SE)))})
	j.Where.Measures = []string{m.Name}
	j.Statistic, j.Value = "largest difference inside the interval", quantity.Num(upper)
	if tm.SameWithin.Known {
		j.Threshold = quantity.Num(tm.SameWithin.V)
	}
	return j
}

// unitOr is the unit of an amount, or points of a scale.
func unitOr(m *texture.Measure) string {
	if m.Unit != "" {
		return m.Unit
	}
	return "points"
}

// measureOf is the analysed measure that a sentence names, else the primary one.
func (c *Case) measureOf(text string) *texture.Measure {
	for _, m := range namedIn(c.Trial, text) {
		if fit := c.Fit.Measures.Named(m.Name); fit != nil {
			return fit
		}
	}
	return c.primaryFit()
}

// meant is the difference that a sentence speaks of: of the two set points or
// levels that it names, else the largest of the compared factor.
func (c *Case) meant(m *texture.Measure, text string) *texture.Difference {
	for i := range m.Differences {
		d := &m.Differences[i]
		if mentions(c, text, d.A) && mentions(c, text, d.B) {
			return d
		}
	}
	return leading(m)
}
