package svg

import (
	"math"
	"strings"
	"sync"
	"unicode"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"

	"tamis/internal/figure"
)

// families are the fonts of a figure, in a page and in a file of its own: their
// metrics are those that text is measured with, so labels fit where they stand.
const families = "Arial,Liberation Sans,Arimo,Helvetica,sans-serif"

var faces = sync.OnceValue(func() *font.Cache { return font.NewCache(liberation.Collection()) })

// width measures a line of text. The reader's font may run a little wider than
// the one measured with, so a twentieth is added.
func width(s string, size float64, bold bool) float64 {
	face := faces().Lookup(font.Font{Typeface: "Liberation", Variant: "Sans"}, vg.Length(size))
	w := 1.05 * float64(face.Width(clean(s)))
	if bold {
		w *= 1.08 // semibold cuts run about this much wider
	}
	return w
}

// widest measures text in both unit systems and keeps the larger, so that a
// figure has the same geometry in both.
func widest(t figure.Text, size float64) float64 {
	return math.Max(width(t.In(figure.Metric), size, false), width(t.In(figure.US), size, false))
}

// wrap breaks s at spaces into lines of at most w. A word longer than a line is
// cut.
func wrap(s string, size, w float64, bold bool) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(clean(s), " ") { // a no-break space does not break
		for head := ""; width(word, size, bold) > w; word = word[len(head):] {
			if head = fitting(word, size, w, bold); head == word {
				break
			}
			if line != "" {
				lines, line = append(lines, line), ""
			}
			lines = append(lines, head)
		}
		switch {
		case word == "":
		case line == "":
			line = word
		case width(line+" "+word, size, bold) <= w:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fitting is the longest beginning of a word that is at most w wide, at least
// one letter.
func fitting(word string, size, w float64, bold bool) string {
	end := len(word)
	for i := range word {
		if i > 0 && width(word[:i], size, bold) > w {
			break
		}
		end = i
	}
	if end == 0 {
		for i := range word {
			if i > 0 {
				return word[:i]
			}
		}
		return word
	}
	return word[:end]
}

// clean drops what must not reach a picture: control characters, which XML
// forbids, and the marks that turn the direction of the text around them.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t' || r == '\r':
			return ' '
		case unicode.IsControl(r), r == 0xFFFE, r == 0xFFFF, r == unicode.ReplacementChar:
			return -1
		case r == 0x061C, r == 0x200E, r == 0x200F, r >= 0x202A && r <= 0x202E, r >= 0x2066 && r <= 0x2069:
			return -1
		}
		return r
	}, s)
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escape is s as XML text or attribute value.
func escape(s string) string { return escaper.Replace(clean(s)) }
