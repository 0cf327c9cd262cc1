package trialfile

import (
	"bytes"
	"fmt"
	"unicode/utf8"

	"tamis/internal/diag"
)

// text checks the bytes of a file and returns them without a byte order mark.
// It reports what is not UTF-8 text, at its place, and returns false then.
func (r *reader) text(file diag.File, b []byte) (s string, bom, ok bool) {
	whole := place{pos: diag.Pos{File: file}}
	switch {
	case bytes.HasPrefix(b, []byte("PK\x03\x04")):
		r.fail(whole, "encoding", "the file is a spreadsheet or an archive, not text", `export it as "CSV UTF-8"`)
		return "", false, false
	case bytes.HasPrefix(b, []byte{0xFF, 0xFE, 0, 0}), bytes.HasPrefix(b, []byte{0, 0, 0xFE, 0xFF}):
		r.fail(whole, "encoding", "the file is UTF-32, not UTF-8", `save it again as "UTF-8"`)
		return "", false, false
	case bytes.HasPrefix(b, []byte{0xFF, 0xFE}), bytes.HasPrefix(b, []byte{0xFE, 0xFF}), looksUTF16(b):
		r.fail(whole, "encoding", "the file is UTF-16, not UTF-8", `save it again as "UTF-8"`)
		return "", false, false
	}
	if rest, found := bytes.CutPrefix(b, []byte("\xEF\xBB\xBF")); found {
		b, bom = rest, true
	}
	if allVisible(b) {
		return string(b), bom, true
	}
	line, column := 1, 1
	for i := 0; i < len(b); {
		c, size := utf8.DecodeRune(b[i:])
		at := place{diag.At(file, line, column), 1}
		switch {
		case c == utf8.RuneError && size == 1:
			r.texts[file] = string(bytes.ToValidUTF8(b, []byte("\uFFFD")))
			name, guess := legacy(b)
			text := fmt.Sprintf("byte 0x%02X is not UTF-8 text; the file looks like %s", b[i], name)
			hint := `save it again as "UTF-8"`
			if c := guess(b[i]); c != 0 {
				hint = fmt.Sprintf(`this is probably %q; save it again as "UTF-8"`, c)
			}
			r.fail(at, "encoding", text, hint)
			return "", bom, false
		case invisible(c):
			r.texts[file] = string(b)
			r.fail(at, "control-character", fmt.Sprintf("the invisible character U+%04X has no place in a text", c), "delete it")
			return "", bom, false
		case c == '\n':
			line, column = line+1, 0
		}
		column++
		i += size
	}
	return string(b), bom, true
}

// allVisible reports whether bytes are UTF-8 text without invisible characters.
func allVisible(b []byte) bool {
	for i := 0; i < len(b); {
		if c := b[i]; ' ' <= c && c <= '~' {
			i++
			continue
		}
		c, size := rune(b[i]), 1
		if c >= utf8.RuneSelf {
			if c, size = utf8.DecodeRune(b[i:]); c == utf8.RuneError && size == 1 {
				return false
			}
		}
		if invisible(c) {
			return false
		}
		i += size
	}
	return true
}

// invisible reports whether a character has no place in a text: controls but the
// tab and the ends of lines, marks of byte order, separators of Unicode.
func invisible(c rune) bool {
	switch {
	case c < 0x20:
		return c != '\t' && c != '\n' && c != '\r'
	case c < 0x7F:
		return false
	}
	return c < 0xA0 || c == 0xFEFF || c == 0x2028 || c == 0x2029 || c == 0xFFFE || c == 0xFFFF
}

// looksUTF16 finds UTF-16 without its mark: every other byte of the head is 0.
func looksUTF16(b []byte) bool {
	head := b[:min(len(b), 64)]
	if len(head) < 4 {
		return false
	}
	zeros := [2]int{}
	for i, c := range head {
		if c == 0 {
			zeros[i%2]++
		}
	}
	return zeros[0]*3 > len(head) || zeros[1]*3 > len(head)
}

// legacy names the eight-bit encoding that the bytes suggest, with a reading of
// one byte where it is a letter or a sign of kitchens.
func legacy(b []byte) (string, func(byte) rune) {
	upper := func(c byte) rune {
		if c >= 0xA0 {
			return rune(c) // Latin-1 and Windows-1252 agree with Unicode here
		}
		return 0
	}
	for _, c := range b {
		if 0x80 <= c && c < 0xA0 {
			return "Windows-1252", func(c byte) rune {
				if r, ok := windows1252[c]; ok {
					return r
				}
				return upper(c)
			}
		}
	}
	return "Latin-1 (or Windows-1252)", upper
}

// windows1252 holds the signs that word processors put into text.
var windows1252 = map[byte]rune{0x80: '€', 0x85: '…', 0x91: '‘', 0x92: '’', 0x93: '“', 0x94: '”', 0x95: '•', 0x96: '–', 0x97: '—'}
