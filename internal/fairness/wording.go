package fairness

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/internal/diag"
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
type phrases struct{ re *regexp.Regexp }

func phrasesOf(list ...string) phrases {
	parts := make([]string, len(list))
	for i, p := range list {
		q := regexp.QuoteMeta(p)
		q = strings.ReplaceAll(q, `\*`, `\pL*`)
		parts[i] = strings.ReplaceAll(q, " ", `\s+`)
	}
	return phrases{regexp.MustCompile(`(?i)(?:^|[^\pL\pN])(` + strings.Join(parts, "|") + `)(?:$|[^\pL\pN])`)}
}

// find gives the phrases that stand in a text without a denial before them in
// the same sentence and outside quotation marks.
func (p phrases) find(text string) []hit {
	var out []hit
	for _, s := range sentences(text) {
		from := 0
		for from <= len(s.text) {
			m := p.re.FindStringSubmatchIndex(s.text[from:])
			if m == nil {
				break
			}
			low, high := from+m[2], from+m[3]
			if !denied(s.text[:low]) && !inQuotes(s.text, low) {
				out = append(out, hit{s.text[low:high], s, s.at + low})
			}
			from = high
		}
	}
	return out
}

// denials are the words that turn what follows around.
var denials = map[string]bool{"not": true, "no": true, "cannot": true, "never": true, "without": true, "nor": true, "neither": true,
	"isn't": true, "doesn't": true, "don't": true, "can't": true, "aren't": true, "won't": true, "wasn't": true, "nothing": true, "none": true, "hardly": true}

// denied reports whether a denial stands within the last five words before.
func denied(before string) bool {
	words := strings.Fields(strings.ToLower(before))
	for i := max(0, len(words)-5); i < len(words); i++ {
		if denials[strings.Trim(strings.ReplaceAll(words[i], "’", "'"), ",;:()\"")] {
			return true
		}
	}
	return false
}

// inQuotes reports whether an odd number of quotation marks stands before.
func inQuotes(s string, at int) bool {
	open := strings.Count(s[:at], "“") + strings.Count(s[:at], "„") + strings.Count(s[:at], "«")
	shut := strings.Count(s[:at], "”") + strings.Count(s[:at], "»")
	return open > shut || strings.Count(s[:at], `"`)%2 == 1
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

// placeIn is where a byte of a text stands in the file. A text of several lines
// is a block that begins on the line after its key; its column is not known.
func placeIn(t trial.Opt[string], at int) diag.Pos {
	pos := t.At
	if pos.IsZero() {
		return pos
	}
	if strings.Contains(t.V, "\n") {
		return diag.Pos{File: pos.File, Line: pos.Line + 1 + strings.Count(t.V[:at], "\n")}
	}
	return diag.Pos{File: pos.File, Line: pos.Line, Column: pos.Column + utf8.RuneCountInString(t.V[:at])}
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
	return Judgement{Outcome: Fires, Severity: Weakens, Where: Where{Quote: h.in.text, Fields: []string{"conclusion"}, At: placeIn(c.Trial.Conclusion, h.at)}, Fill: f}
}
