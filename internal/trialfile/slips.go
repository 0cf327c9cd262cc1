package trialfile

import (
	"regexp"
	"strings"
	"unicode"

	"tamis/internal/diag"
)

// thousands is a number whose comma may part thousands, at the head of a cell.
var thousands = regexp.MustCompile(`^[+-]?[1-9][0-9]{0,2},[0-9]{3}(?:[^0-9,]|$)`)

// grouped reports whether the comma of a cell can be read in two ways: in a table
// with commas between its cells 1,250 is what a spreadsheet makes of 1250, and what
// a hand makes of 1.25. Where another cell has a decimal comma that is none of the
// first, commas are decimal.
func (c *cellStyle) grouped(s string) bool {
	return c != nil && c.commas && strings.Contains(s, ",") && thousands.MatchString(s)
}

var (
	dayAndMonth    = regexp.MustCompile(`(?i)^(?:[0-9]{1,2}[-./ ]*(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|mai|okt|dez)[a-z]*[-./ ]*[0-9]*|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|mai|okt|dez)[a-z]*[-./ ]*[0-9]+|[0-9]{1,4}[-./][0-9]{1,2}[-./][0-9]{1,4})$`)
	severalNumbers = regexp.MustCompile(`^[0-9.,]+ ?(?:-|–|—|/|to|or|and|bis|;|,| ) ?[0-9.,]+$`)
	blankWords     = map[string]bool{"na": true, "n/a": true, "?": true, "": true, "x": true, "none": true, "nil": true, "null": true, "blank": true, "missing": true, "no score": true, "–": true, "—": true, "--": true}
)

// numberSlip says what to type where a number was expected and none was found.
func numberSlip(s, example string) string {
	low := strings.ToLower(strings.TrimSpace(s))
	plain := plainDigits(s)
	switch {
	case blankWords[low] || strings.Trim(low, "-.–—/ ") == "":
		return "leave the value blank where it was not measured"
	case dayAndMonth.MatchString(low):
		return "a spreadsheet makes dates of such cells: set the column to text and type the number again, like " + example
	case plain != s:
		if _, err := parseNumber(plain, nil); err == nil {
			return "write " + plain
		}
	case severalNumbers.MatchString(low):
		return "write one number, like " + example
	case strings.HasSuffix(low, "%"):
		return "write the number in the unit of the measure and without %, like " + example
	}
	return "write digits, like " + example
}

// plainDigits writes the digits of other scripts, full-width ones among them, as
// 0 to 9.
func plainDigits(s string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case c < 0x80 || !unicode.Is(unicode.Nd, c):
			return c
		}
		zero := c
		for zero > 0 && c-zero < 9 && unicode.Is(unicode.Nd, zero-1) {
			zero-- // digits of a script stand in a row of ten
		}
		if zero >= 0xFF10 && zero <= 0xFF19 {
			zero = 0xFF10
		}
		return '0' + (c - zero)
	}, s)
}

// codeSlip finds the code that was meant by a cell which a spreadsheet, a scanner
// or a hand has changed: 618.0, #618, ６１８, 6I8.
func codeSlip(s string, have *names) (string, bool) {
	t := plainDigits(strings.Trim(s, " #'\"“”‘’.:;"))
	for _, cut := range []string{".0", ".00", ",0", ",00"} {
		if c := strings.TrimSuffix(t, cut); have.has(c) {
			return c, true
		}
	}
	for _, c := range have.list { // leading zeros
		if t != "" && strings.TrimLeft(c, "0") == strings.TrimLeft(t, "0") {
			return c, true
		}
	}
	c := strings.NewReplacer("O", "0", "o", "0", "l", "1", "I", "1", "i", "1", "S", "5", "B", "8", " ", "").Replace(t)
	return c, have.has(c)
}

// nearestCode is nearest for codes.
func (r *reader) nearestCode(s string, have *names) string {
	if c, ok := codeSlip(s, have); ok {
		return "did you mean " + c + "?"
	}
	return r.nearest(s, have)
}

// unseen names the first character of a name that nobody sees: one that is
// invisible, or a space at an end.
func unseen(s string) (c rune, place int, ok bool) {
	place = 1
	for _, c := range s {
		if unicode.IsControl(c) || unicode.Is(unicode.Cf, c) {
			return c, place, true
		}
		place++
	}
	return 0, 0, false
}

// runTogether reports a header whose cells are parted by something else than a
// comma, a semicolon or a tab.
func (r *reader) runTogether(t *table) bool {
	if len(t.head) != 1 {
		return false
	}
	known := append(append(scoreTable.keys(), answerTable.keys()...), r.measureNames()...)
	for _, sep := range []string{"|", ":", "/", "\u00a0", " "} {
		n := 0
		for _, w := range strings.Split(t.head[0].text, sep) {
			for _, k := range known {
				if loose(w) == loose(k) {
					n++
					break
				}
			}
		}
		if n > 1 {
			name := map[string]string{" ": "spaces", "\u00a0": "spaces"}[sep]
			if name == "" {
				name = quote(sep)
			}
			r.fail(t.at(&t.head[0]), "separator", "the cells are parted by "+name, "put commas, semicolons or tabs between them, or save it as CSV")
			return true
		}
	}
	return false
}

// noHeader reports a first line that holds values, as when the header was cut off.
func (r *reader) noHeader(t *table, people, codes *names) bool {
	known := append(append(scoreTable.keys(), "set", "odd"), append(r.measureNames(), "measure", "score", "value")...)
	values := 0
	for i := range t.head {
		s := strings.TrimSpace(t.head[i].text)
		for _, k := range known {
			if _, near := diag.Nearest(s, []string{k}); near || loose(s) == loose(k) {
				return false
			}
		}
		_, err := parseNumber(s, &cellStyle{})
		if err == nil || people.has(s) || codes.has(s) {
			values++
		}
	}
	if values < 2 {
		return false
	}
	r.fail(t.at(&t.head[0]), "no-header", "the first line holds values, and it should say what the columns are", "begin with a line such as assessor,code,"+strings.Join(r.measureNames(), ","))
	return true
}

// headerAgain reports whether a row repeats the header, as where two sheets were
// joined.
func headerAgain(t *table, row []cell) bool {
	same := 0
	for i := range t.head {
		if i < len(row) && loose(row[i].text) == loose(t.head[i].text) && strings.TrimSpace(row[i].text) != "" {
			same++
		}
	}
	return same > 1 && same == len(t.head)
}
