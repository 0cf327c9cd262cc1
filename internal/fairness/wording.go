package fairness

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/internal/trial"
)

// sentence is one sentence of an author's text with its place in that text.
type sentence struct {
	text string
	at   int // byte offset in the whole text
}

// sentences cuts a text at full stops, question and exclamation marks, colons
// of lists and blank lines. A full stop between digits cuts nothing.
func sentences(text string) []sentence {
	var out []sentence
	start := 0
	flush := func(end int) {
		s := text[start:end]
		trimmed := strings.TrimLeftFunc(s, unicode.IsSpace)
		if strings.TrimSpace(trimmed) != "" {
			out = append(out, sentence{strings.TrimRightFunc(trimmed, unicode.IsSpace), start + len(s) - len(trimmed)})
		}
		start = end
	}
	for i, r := range text {
		switch r {
		case '.':
			next, _ := utf8.DecodeRuneInString(text[i+1:])
			if i+1 == len(text) || unicode.IsSpace(next) {
				flush(i + 1)
			}
		case '!', '?', ';':
			flush(i + 1)
		case '\n':
			if strings.HasPrefix(text[i+1:], "\n") {
				flush(i + 1)
			}
		}
	}
	flush(len(text))
	return out
}

// hit is a phrase found in a text.
type hit struct {
	phrase string // as the author wrote it
	in     sentence
	at     int // byte offset in the whole text
}

// phrases is a list of words and phrases, matched whole and without regard to
// case. A * at the end of a word matches any ending.
type phrases struct {
	re     pattern
	begins *beginnings
	// but are longer phrases in which the words mean something else.
	but pattern
}

func phrasesOf(list ...string) phrases {
	return phrases{re: phraseRE(list), begins: beginningsOf(list)}
}

// except is the same list, but for what stands inside one of the longer phrases.
func (p phrases) except(list ...string) phrases { return phrases{p.re, p.begins, phraseRE(list)} }

func phraseRE(list []string) pattern {
	parts := make([]string, len(list))
	for i, p := range list {
		q := regexp.QuoteMeta(p)
		q = strings.ReplaceAll(q, `\*`, `\pL*`)
		q = strings.ReplaceAll(q, `'`, `['’]`)
		parts[i] = strings.ReplaceAll(q, " ", `\s+`)
	}
	return patternOf(`(?i)(?:^|[^\pL\pN])(` + strings.Join(parts, "|") + `)(?:$|[^\pL\pN])`)
}

// find gives the phrases that a text says: without a denial before them in the
// same sentence, outside quotation marks, and in no question.
func (p phrases) find(text string) []hit {
	if !p.begins.in(text) {
		return nil
	}
	var out []hit
	for _, s := range sentences(text) {
		if s.asks() {
			continue
		}
		for _, m := range p.matches(s.text) {
			if !denied(s.text[:m[0]]) && !inQuotes(s.text, m[0]) {
				out = append(out, hit{s.text[m[0]:m[1]], s, s.at + m[0]})
			}
		}
	}
	return out
}

// in reports whether a text holds one of the phrases, said or denied.
func (p phrases) in(text string) bool { return len(p.matches(text)) > 0 }

// matches gives start and end of each phrase in one sentence, said or denied.
func (p phrases) matches(text string) [][2]int {
	if !p.begins.in(text) {
		return nil
	}
	found := slices.DeleteFunc(allOf(p.re, text), func(m [2]int) bool { return inID(text, m[1]) })
	if p.but == nil || len(found) == 0 {
		return found
	}
	other := allOf(p.but, text)
	return slices.DeleteFunc(found, func(m [2]int) bool {
		return slices.ContainsFunc(other, func(o [2]int) bool { return o[0] <= m[0] && m[1] <= o[1] })
	})
}

// inID reports whether a word that ends at a place goes on as a name of the file
// does: fish-3, fish_a.
func inID(text string, end int) bool {
	return end+1 < len(text) && (text[end] == '_' || text[end] == '-' && text[end+1] >= '0' && text[end+1] <= '9')
}

// allOf gives the places of the first group of a pattern. The character behind a
// phrase may be the one before the next.
func allOf(re pattern, text string) [][2]int {
	var out [][2]int
	for from := 0; from < len(text); {
		m := re().FindStringSubmatchIndex(text[from:])
		if m == nil {
			break
		}
		out = append(out, [2]int{from + m[2], from + m[3]})
		from += max(m[3], m[2]+1)
	}
	return out
}

func (s sentence) asks() bool { return strings.HasSuffix(strings.TrimRight(s.text, " \n)”\"'"), "?") }

// denials are the words that turn what follows around, beside those that end in
// n't. halfDenials are phrases with such a word that turn nothing around.
var (
	denials = map[string]bool{"not": true, "no": true, "cannot": true, "never": true, "without": true, "nor": true, "neither": true,
		"nothing": true, "none": true, "nobody": true, "hardly": true, "instead": true}
	halfDenials = map[string]bool{"only": true, "just": true, "merely": true, "doubt": true, "question": true, "surprise": true, "matter": true, "wonder": true, "exception": true}
)

// denied reports whether a denial stands within the last five words before, in
// the same part of the sentence: "but" begins a new one, and so does ", and".
func denied(before string) bool {
	words := strings.Fields(strings.ToLower(before))
	word := func(i int) string { return strings.Trim(strings.ReplaceAll(words[i], "’", "'"), ",;:()\"“”") }
	for i := len(words) - 1; i >= 0 && i >= len(words)-5; i-- {
		w := word(i)
		if w == "but" || (w == "and" || w == "so") && i > 0 && strings.HasSuffix(words[i-1], ",") {
			return false
		}
		if denials[w] || strings.HasSuffix(w, "n't") {
			if i+1 < len(words) && halfDenials[word(i+1)] {
				continue
			}
			return true
		}
	}
	return false
}

// inQuotes reports whether quotation marks are open before a place.
func inQuotes(s string, at int) bool {
	for _, pair := range [][2]string{{"“„", "”“"}, {"«", "»"}, {"‘", "’"}} {
		depth := 0
		for _, r := range s[:at] {
			switch {
			case depth > 0 && strings.ContainsRune(pair[1], r):
				depth--
			case strings.ContainsRune(pair[0], r):
				depth++
			}
		}
		if depth > 0 {
			return true
		}
	}
	return strings.Count(s[:at], `"`)%2 == 1
}

// hasWord reports whether a word or phrase stands whole in a text, both in
// lower case.
func hasWord(text, word string) bool {
	if word == "" {
		return false
	}
	for from := 0; ; {
		i := strings.Index(text[from:], word)
		if i < 0 {
			return false
		}
		low, high := from+i, from+i+len(word)
		before, _ := utf8.DecodeLastRuneInString(text[:low])
		after, _ := utf8.DecodeRuneInString(text[high:])
		if (low == 0 || !unicode.IsLetter(before)) && (high == len(text) || !unicode.IsLetter(after)) {
			return true
		}
		from = high
	}
}

// english reports whether the author's language has word lists.
func english(t *trial.Trial) bool {
	l := strings.ToLower(t.Language.Or("en"))
	return l == "en" || strings.HasPrefix(l, "en-") || l == "english"
}

// conclusionOr is what every check of the wording does first: without a
// conclusion it does not apply, and without word lists it cannot judge.
func conclusionOr(c *Case) (Judgement, bool) {
	switch {
	case strings.TrimSpace(c.Trial.Conclusion.V) == "":
		return notApplicable("there is no conclusion"), false
	case !english(c.Trial):
		return cannot("language"), false
	}
	return Judgement{}, true
}

// sayOf is a finding about words of the conclusion.
func sayOf(c *Case, h hit, f Fill) Judgement {
	if f == nil {
		f = Fill{}
	}
	f["quote"] = strings.TrimSpace(h.phrase)
	return Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Quote: h.in.text, Fields: []string{"conclusion"}, At: c.Trial.Origin.PlaceIn(c.Trial.Conclusion, h.at)}, Fill: f}
}
