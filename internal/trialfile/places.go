package trialfile

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/internal/diag"
	"tamis/internal/trial"
)

// textPlaces says where the lines of the author's own texts stand. A text may be
// quoted, or a block over many lines that is folded into one, so that its place
// alone does not tell where a word of it is.
func (r *reader) textPlaces() map[diag.Pos][]trial.TextPlace {
	out := map[diag.Pos][]trial.TextPlace{}
	add := func(text trial.Opt[string]) {
		if !text.Known {
			return
		}
		if lines := r.linesOf(text.At.File); text.At.Line >= 1 && text.At.Line <= len(lines) {
			out[text.At] = placesIn(lines, text.At, text.V)
		}
	}
	for _, text := range []trial.Opt[string]{r.t.Title, r.t.Question, r.t.Conclusion, r.t.Notes} {
		add(text)
	}
	for i := range r.t.Photos {
		add(r.t.Photos[i].Caption)
		add(r.t.Photos[i].Alt)
	}
	return out
}

// placesIn follows the words of a text through the lines of a file from the place
// of its value on, and notes where each line of it begins. A word that an escape
// spells otherwise is passed over.
func placesIn(lines []string, at diag.Pos, text string) []trial.TextPlace {
	var out []trial.TextPlace
	line := at.Line - 1
	rest := dropRunes(lines[line], at.Column-1)
	if strings.HasPrefix(rest, "|") || strings.HasPrefix(rest, ">") { // the block begins on the next line
		rest = ""
	} else {
		rest = strings.TrimPrefix(strings.TrimPrefix(rest, `"`), "'")
	}
	noted := -1
	for from := 0; from < len(text); {
		start := from + strings.IndexFunc(text[from:], notSpace)
		if start < from {
			break
		}
		end := start + strings.IndexFunc(text[start:]+" ", unicode.IsSpace)
		word := text[start:end]
		from = end
		rest = strings.TrimLeftFunc(rest, unicode.IsSpace)
		for rest == "" && line+1 < len(lines) {
			line++
			rest = strings.TrimLeftFunc(lines[line], unicode.IsSpace)
		}
		i := strings.Index(rest, word)
		if i < 0 {
			continue
		}
		if line != noted || i > 0 {
			column := 1 + utf8.RuneCountInString(lines[line]) - utf8.RuneCountInString(rest[i:])
			out = append(out, trial.TextPlace{Offset: start, At: diag.Pos{File: at.File, Line: line + 1, Column: column}})
			noted = line
		}
		rest = rest[i+len(word):]
	}
	return out
}

func notSpace(r rune) bool { return !unicode.IsSpace(r) }

// dropRunes is a text without its first n characters.
func dropRunes(s string, n int) string {
	for ; n > 0 && s != ""; n-- {
		_, size := utf8.DecodeRuneInString(s)
		s = s[size:]
	}
	return s
}
