package diag

import "strings"

const keep = "\u00a0" // a space that does not break

// Wrap breaks s between words into lines of at most n columns; a longer word is
// cut. Non-breaking spaces do not break; they come out as plain ones.
func Wrap(s string, n int) []string {
	out := wrapAfter(s, n, n)
	if out[0] == "" {
		return nil
	}
	return out
}

// wrapAfter is Wrap with a first line of another width. That one is empty where
// the first word fits below it only.
func wrapAfter(s string, first, n int) []string {
	var out []string
	line, used, room := "", 0, first
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		for _, piece := range pieces(word, n) {
			w := Width(piece)
			gap := min(used, 1)
			if used+gap+w > room {
				out = append(out, strings.ReplaceAll(line, keep, " "))
				line, used, gap, room = "", 0, 0, n
			}
			line += strings.Repeat(" ", gap) + piece
			used += gap + w
		}
	}
	return append(out, strings.ReplaceAll(line, keep, " "))
}

// pieces cuts a word that is wider than n columns.
func pieces(word string, n int) []string {
	if Width(word) <= n {
		return []string{word}
	}
	var out []string
	start, used := 0, 0
	for i, r := range word {
		if w := runeWidth(r); used+w > n {
			out = append(out, word[start:i])
			start, used = i, w
		} else {
			used += w
		}
	}
	return append(out, word[start:])
}

// KeepUnits puts a non-breaking space between a number and the unit after it,
// so that they stay on one line.
func KeepUnits(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, w := range words {
		if i > 0 {
			sep := " "
			if units[strings.Trim(w, ".,;:()")] && endsInDigit(words[i-1]) {
				sep = keep
			}
			b.WriteString(sep)
		}
		b.WriteString(w)
	}
	return b.String()
}

var units = map[string]bool{"°C": true, "°F": true, "K": true, "mm": true, "cm": true, "in": true, "min": true, "h": true,
	"s": true, "d": true, "g": true, "kg": true, "oz": true, "lb": true, "%": true, "N": true, "°": true}

func endsInDigit(s string) bool { return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }
