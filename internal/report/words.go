package report

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/internal/answer"
	"tamis/internal/figure"
	"tamis/internal/quantity"
)

// piece is a stretch of prose as the template prints it: the same in both
// systems, or once for each.
type piece struct {
	Text       string
	Metric, US string // when they differ; Text is then empty
	Dual       bool
	Number     bool // a quantity: kept on one line
	Name       bool // somebody's own word, which may run in another direction
}

// words are pieces in reading order.
type words []piece

// of makes words of a sentence. Texts are cleaned; a quantity that reads the
// same in both systems is one piece.
func of(s answer.Sentence) (ws words) {
	for _, p := range s {
		if p.Quantity == nil {
			ws = append(ws, piece{Text: together(clean(p.Text))})
			continue
		}
		m, us := clean(p.Quantity.Text(quantity.Metric)), clean(p.Quantity.Text(quantity.US))
		if m == us {
			ws = append(ws, piece{Text: m, Number: true})
		} else {
			ws = append(ws, piece{Metric: m, US: us, Dual: true, Number: true})
		}
	}
	return ws
}

// all makes words of each sentence and drops empty ones.
func all(ss []answer.Sentence) (out []words) {
	for _, s := range ss {
		if ws := of(s); len(ws) > 0 {
			out = append(out, ws)
		}
	}
	return out
}

// length is how many characters the words take in the system in which they take
// more.
func (ws words) length() int {
	metric, us := 0, 0
	for _, p := range ws {
		n := utf8.RuneCountInString(p.Text)
		metric, us = metric+n+utf8.RuneCountInString(p.Metric), us+n+utf8.RuneCountInString(p.US)
	}
	return max(metric, us)
}

// both is a sentence as text of a figure.
func both(s answer.Sentence) figure.Text {
	return figure.Text{Metric: together(clean(s.Text(quantity.Metric))), US: together(clean(s.Text(quantity.US)))}
}

var apart = regexp.MustCompile(`(\d) (°[CF]|%|(?:mm|cm|kg|mg|ml|min|oz|lb|g|l|h|s|d|N|K)\b)`)

// together keeps a number and its unit on one line.
func together(s string) string { return apart.ReplaceAllString(s, "$1\u00a0$2") }

// dual makes words of a text of a figure.
func dual(t figure.Text) words {
	if !t.Dual() {
		return words{{Text: t.Metric}}
	}
	m, us := strings.Split(t.Metric, " "), strings.Split(t.US, " ")
	if len(m) != len(us) || len(t.Metric) < longText {
		return words{{Metric: t.Metric, US: t.US, Dual: true}}
	}
	// Long and alike but for a few words: only those stand in both.
	var ws words
	for i := 0; i < len(m); {
		k := i
		for k < len(m) && m[k] == us[k] {
			k++
		}
		if k > i {
			ws = append(ws, piece{Text: strings.Join(m[i:k], " ")})
			i = k
		}
		for k < len(m) && m[k] != us[k] {
			k++
		}
		if k > i {
			ws = append(ws, piece{Metric: strings.Join(m[i:k], " "), US: strings.Join(us[i:k], " "), Dual: true})
			i = k
		}
	}
	return spaced(ws)
}

// longText is the length from which a text is told apart word by word.
const longText = 60

// spaced puts a space between pieces, into what both systems share.
func spaced(ws words) words {
	for i := range ws {
		if ws[i].Dual {
			continue
		}
		if i > 0 {
			ws[i].Text = " " + ws[i].Text
		}
		if i+1 < len(ws) {
			ws[i].Text += " "
		}
	}
	return ws
}

// clean drops control characters and the marks that embed or override the
// direction of text, which would reach beyond the words they came with. Line
// breaks stay.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return r
		case unicode.IsControl(r), r == unicode.ReplacementChar, r == 0xFFFE, r == 0xFFFF:
			return -1
		case r >= 0x202A && r <= 0x202E, r >= 0x2066 && r <= 0x2069:
			return -1
		}
		return r
	}, s)
}

// plain turns a name of the file into words: surface_protein is surface protein.
func plain(name string) string { return clean(strings.ReplaceAll(name, "_", " ")) }

// capital makes the first letter a capital.
func capital(s string) string {
	for i, r := range s {
		return s[:i] + string(unicode.ToUpper(r)) + s[i+len(string(r)):]
	}
	return s
}

// capitalised is a sentence that begins with a capital, with names of the file
// turned into words.
func capitalised(s answer.Sentence) answer.Sentence {
	s = slices.Clone(s)
	for i := range s {
		s[i].Text = plain(s[i].Text)
	}
	if len(s) > 0 {
		s[0].Text = capital(s[0].Text)
	}
	return s
}
