package trial

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/internal/diag"
)

// PlaceIn is where a byte of a text that an author wrote stands in the file. The
// text may be quoted, or a block over many lines that is folded into one, so that
// its place alone does not tell where a word of it is. Where the text of the file
// is not known, it is the place of the value.
func (o *Origin) PlaceIn(text Opt[string], at int) diag.Pos {
	pos := text.At
	lines := linesOf(o.Text)
	if pos.File != diag.FileNamed(o.File) || pos.Line < 1 || int(pos.Line) > len(lines) {
		return pos
	}
	for _, p := range placesIn(lines, pos, text.V) {
		if p.offset > at {
			break
		}
		pos = p.at
		pos.Column += int32(utf8.RuneCountInString(text.V[p.offset:at]))
	}
	return pos
}

// linesOf cuts text into lines without their ends.
func linesOf(s string) []string {
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	return strings.Split(s, "\n")
}

// textPlace is where a stretch of a text begins: in the text, in bytes, and in
// the file. It reaches to the next one.
type textPlace struct {
	offset int
	at     diag.Pos
}

// placesIn follows the words of a text through the lines of a file from the place
// of its value on, and notes where each line of it begins. A word that an escape
// spells otherwise is passed over.
func placesIn(lines []string, at diag.Pos, text string) []textPlace {
	var out []textPlace
	line := int(at.Line) - 1
	rest := dropRunes(lines[line], int(at.Column)-1)
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
			out = append(out, textPlace{start, diag.At(at.File, line+1, column)})
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
