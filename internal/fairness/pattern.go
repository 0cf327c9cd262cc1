package fairness

import (
	"regexp"
	"strings"
	"sync"
	"unicode/utf8"
)

// pattern is a regular expression that is compiled when it is first asked for.
// There are many and long ones, and few runs of the program read anybody's words.
type pattern func() *regexp.Regexp

// patternOf is a pattern; a faulty one panics when it is asked for, which a test
// does of all.
func patternOf(expr string) pattern {
	p := pattern(sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) }))
	patterns = append(patterns, p)
	return p
}

// patterns are all that there are, for that test.
var patterns []pattern

// beginnings are the first words of a list of phrases, in small letters: the cheap
// question that is asked before a pattern. Most sentences hold none of them.
type beginnings struct {
	words [26][]string // by their first letter
	any   bool         // a phrase begins with no plain word, so all may hold one
}

func beginningsOf(list []string) *beginnings {
	b := &beginnings{}
	for _, p := range list {
		w := strings.ToLower(p)
		if i := strings.IndexFunc(w, func(r rune) bool { return r == ' ' || r == '*' || r == '\'' || r >= utf8.RuneSelf }); i >= 0 {
			w = w[:i]
		}
		if w == "" || !letter(w[0]) {
			b.any = true
			continue
		}
		b.words[w[0]-'a'] = append(b.words[w[0]-'a'], w)
	}
	return b
}

// in reports whether a text may hold one of the phrases: false is certain. Without
// beginnings every text may.
func (b *beginnings) in(text string) bool {
	if b == nil || b.any || strings.ContainsAny(text, "\u017f\u212a") { // letters that a pattern takes for s and k
		return true
	}
	inside := false // a word of letters and digits
	for i := range len(text) {
		c := lower(text[i])
		if !inside && letter(c) {
			for _, w := range b.words[c-'a'] {
				if len(w) <= len(text)-i && equalLower(text[i:i+len(w)], w) {
					return true
				}
			}
		}
		inside = c >= '0' && c <= '9' || letter(c)
	}
	return false
}

// equalLower reports whether a text of the same length is the word in small letters.
func equalLower(text, word string) bool {
	for i := range len(word) {
		if lower(text[i]) != word[i] {
			return false
		}
	}
	return true
}

func letter(c byte) bool { return c >= 'a' && c <= 'z' }

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c + ('a' - 'A')
	}
	return c
}
