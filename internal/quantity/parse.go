package quantity

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxText is the longest text that is tried, in bytes. Real ones are short.
const maxText = 64

// tidy replaces the signs that keyboards and word processors put in the place
// of plain ones: no-break and thin spaces, the true minus, the ordinal sign
// that looks like a degree, the ready-made ℃ and ℉, the prime for inches.
var tidy = strings.NewReplacer(
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\t", " ",
	"\u2212", "-", "\u00ba", "°", "\u02da", "°", "\u2103", "°C", "\u2109", "°F",
	"\u2033", "\"", "\u201d", "\"", "\u212a", "K",
)

// vulgar maps the ready-made fractions to numerator and denominator.
var vulgar = map[rune][2]float64{
	'¼': {1, 4}, '½': {1, 2}, '¾': {3, 4}, '⅓': {1, 3}, '⅔': {2, 3},
	'⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
}

// part is one number with its unit.
type part struct {
	v    float64
	text string // canonical text of the number
	u    uint8
}

// parse reads s as a quantity of kind k.
func (k *kind) parse(s string) (amount, error) {
	if a, ok := k.plain(s); ok {
		return a, nil
	}
	a, err := k.read(s)
	if err == nil {
		return a, nil
	}
	if e := k.slip(err.Text); e != nil {
		return amount{}, e
	}
	return amount{}, err
}

// Parse reads a number as a quantity in a unit that stands elsewhere, as in the
// heading of a column, without joining the two: Parse("54", "°C") gives what
// ParseTemperature("54 °C") gives. It reads only plain decimal numbers and units
// as they are printed, and leaves all else, and all errors, to that.
func Parse[V Quantity](number, unit string) (V, bool) {
	var none V
	body := strings.TrimPrefix(number, "-")
	if n := scanDecimal(body); n == 0 || n < len(body) || len(number)+len(unit) >= maxText {
		return none, false
	}
	a, ok := KindOf[V]().table().amount(number, unit)
	return V{a}, ok
}

// plain reads what nearly every text is: a decimal number, a space or none, and a
// unit as it is printed. It gives what read gives, or leaves the text to it.
func (k *kind) plain(s string) (amount, bool) {
	body := strings.TrimPrefix(s, "-")
	n := scanDecimal(body)
	if n == 0 || len(s) > maxText {
		return amount{}, false
	}
	number := s[:len(s)-len(body)+n]
	return k.amount(number, strings.TrimPrefix(body[n:], " "))
}

// amount joins a decimal number and a unit as it is printed.
func (k *kind) amount(number, word string) (amount, bool) {
	u := slices.IndexFunc(k.units, func(u unit) bool { return u.name == word })
	if u < 0 {
		return amount{}, false
	}
	v, err := strconv.ParseFloat(number, 64)
	a := amount{v: v, u: uint8(u)}
	if b := k.base(a); err != nil || math.IsInf(b, 0) || v < 0 && !k.signed || k.limit != nil && k.limit(a) != nil {
		return amount{}, false
	}
	return a, true
}

func (k *kind) read(s string) (amount, *Error) {
	shown := strings.TrimSpace(s)
	if len(shown) > maxText {
		cut := maxText
		for cut > 0 && !utf8.RuneStart(shown[cut]) {
			cut--
		}
		return amount{}, &Error{shown[:cut] + "…", k.noun + " is a number with a unit", k.example()}
	}
	fail := func(expected, hint string) (amount, *Error) { return amount{}, &Error{shown, expected, hint} }
	rest := strings.TrimSpace(tidy.Replace(shown))
	if rest == "" {
		return fail(k.noun+" is missing", k.example())
	}
	if e := k.refuse(shown, rest); e != nil {
		return amount{}, e
	}
	var parts []part
	for rest != "" {
		if len(parts) == 4 {
			return fail(k.noun+" has too many parts", k.example())
		}
		p, tail, e := k.part(shown, rest, parts)
		if e != nil {
			return amount{}, e
		}
		parts, rest = append(parts, p), tail
	}
	a, e := k.join(shown, parts)
	if e != nil {
		return amount{}, e
	}
	if b := k.base(a); math.IsInf(b, 0) || math.IsNaN(b) {
		return fail("the number is too large", k.example())
	}
	if a.v < 0 && !k.signed {
		return fail(k.noun+" cannot be negative", "write "+k.format(amount{v: -a.v, u: a.u}))
	}
	if k.limit != nil {
		if e := k.limit(a); e != nil {
			e.Text = shown
			return amount{}, e
		}
	}
	return a, nil
}

// refuse finds the slips that deserve a hint of their own.
func (k *kind) refuse(shown, s string) *Error {
	low := strings.ToLower(strings.TrimLeft(s, "+-±. "))
	for _, word := range []string{"nan", "inf"} {
		if strings.HasPrefix(low, word) && !strings.HasPrefix(low, "inch") {
			return &Error{shown, k.noun + " is a finite number with a unit", "leave it out where it was not measured"}
		}
	}
	m := ""
	if strings.ContainsRune(s, ',') {
		m = commas.FindString(s)
	}
	if m != "" {
		expected := "a number has a decimal point here, not a comma"
		var means []string
		for _, c := range Commas(s) {
			if _, e := k.read(c); e == nil {
				means = append(means, c)
			} else if h, found := strings.CutPrefix(e.Hint, "write "); found && h != k.likeIt() { // it lacks its unit too
				means = append(means, h)
			}
		}
		switch {
		case len(means) == 0:
			return &Error{shown, expected, k.example()}
		case len(Commas(s)) > 1 || !decimalComma.MatchString(m): // 1,000 g is a thousand to some and one to others
			expected = "a number has a decimal point and no thousands separator"
		}
		return &Error{shown, expected, "write " + strings.Join(means, " or ")}
	}
	return nil
}

// part reads one number and its unit from the head of s, after the parts that
// were read before.
func (k *kind) part(shown, s string, before []part) (part, string, *Error) {
	v, text, rest, ok := k.number(s, len(before) == 0)
	if !ok {
		return part{}, "", &Error{shown, k.noun + " is a number with a unit", k.example()}
	}
	if math.IsInf(v, 0) {
		return part{}, "", &Error{shown, "the number is too large", k.example()}
	}
	rest = strings.TrimLeft(rest, " ")
	end := strings.IndexFunc(rest, func(r rune) bool { return unicode.IsDigit(r) || vulgar[r] != [2]float64{} })
	if end < 0 {
		end = len(rest)
	}
	word := strings.TrimRight(rest[:end], " ")
	if word == "" {
		return part{}, "", &Error{shown, k.noun + " needs its unit", k.withUnits(before, text, word, rest[end:])}
	}
	u, ok := k.unit(word)
	if !ok {
		return part{}, "", &Error{shown, fmt.Sprintf("%s has no unit %q", k.noun, word), k.withUnits(before, text, word, rest[end:])}
	}
	return part{v, text, u}, rest[end:], nil
}

// number reads a decimal number or, where the kind has them, a fraction.
func (k *kind) number(s string, signs bool) (v float64, text, rest string, ok bool) {
	sign, body := "", s
	if signs && body != "" {
		for _, c := range []string{"+", "-", "±"} {
			if c != "±" || k == &differences {
				if t, found := strings.CutPrefix(body, c); found {
					body = strings.TrimLeft(t, " ")
					if c == "-" {
						sign = "-"
					}
					break
				}
			}
		}
	}
	n := scanDecimal(body)
	whole, tail := body[:n], body[n:]
	if k.fractions {
		if v, text, rest, ok := fraction(whole, tail); ok {
			if sign == "-" {
				v = -v
			}
			return v, sign + text, rest, true
		}
	}
	if n == 0 {
		return 0, "", s, false
	}
	v, err := strconv.ParseFloat(sign+whole, 64)
	if err != nil && !math.IsInf(v, 0) {
		return 0, "", s, false
	}
	return v, number(v), tail, true
}

// fraction reads n/d, w n/d or w½, where whole holds the digits already seen.
func fraction(whole, tail string) (v float64, text, rest string, ok bool) {
	if strings.ContainsAny(whole, ".eE") || len(whole) > 6 {
		return 0, "", "", false
	}
	n := func(s string) float64 { f, _ := strconv.ParseFloat(s, 64); return f }
	join := func(w, num, den float64) (float64, string) {
		t := fmt.Sprintf("%v/%v", num, den)
		if w > 0 {
			t = fmt.Sprintf("%v %s", w, t)
		}
		return (w*den + num) / den, t
	}
	trimmed := strings.TrimLeft(tail, " ")
	if r, size := utf8.DecodeRuneInString(trimmed); vulgar[r] != [2]float64{} {
		v, text = join(n(whole), vulgar[r][0], vulgar[r][1])
		return v, text, trimmed[size:], true
	}
	num, after := whole, tail
	w := 0.0
	if !strings.HasPrefix(tail, "/") { // w n/d
		d := scanDigits(trimmed)
		if whole == "" || d == 0 || trimmed == tail {
			return 0, "", "", false
		}
		w, num, after = n(whole), trimmed[:d], trimmed[d:]
	}
	after, ok = strings.CutPrefix(after, "/")
	d := scanDigits(after)
	if !ok || num == "" || d == 0 || d > 3 || len(num) > 6 || n(after[:d]) == 0 {
		return 0, "", "", false
	}
	v, text = join(w, n(num), n(after[:d]))
	return v, text, after[d:], true
}

// join turns the parts of `1 h 30 min` into one amount, in the last unit.
func (k *kind) join(shown string, parts []part) (amount, *Error) {
	last := parts[len(parts)-1]
	a := amount{v: last.v, u: last.u}
	if strings.ContainsRune(last.text, '/') || len(parts) > 1 {
		words := make([]string, len(parts))
		for i, p := range parts {
			words[i] = p.text + glue(k.units[p.u].name)
		}
		a.text = wordingOf(strings.Join(words, " "))
	}
	for i := len(parts) - 2; i >= 0; i-- {
		big, small := parts[i], parts[i+1]
		ratio := 0.0
		for _, c := range k.compounds {
			if c == [2]uint8{big.u, small.u} {
				ratio = k.units[big.u].factor / k.units[small.u].factor
			}
		}
		if ratio == 0 {
			return a, &Error{shown, k.noun + " is one number with one unit", k.example()}
		}
		if big.v != math.Trunc(big.v) || strings.ContainsRune(big.text, '/') || small.v < 0 || small.v >= math.Round(ratio) {
			return a, &Error{shown, fmt.Sprintf("whole %s come first, then fewer than %s %s", k.units[big.u].name, number(math.Round(ratio)), k.units[small.u].name), k.example()}
		}
		a.v += big.v * k.units[big.u].factor / k.units[last.u].factor
	}
	return a, nil
}

// unit finds a spelling: as printed, or one of the aliases in any case.
func (k *kind) unit(word string) (uint8, bool) {
	for i, u := range k.units {
		if word == u.name {
			return uint8(i), true
		}
	}
	low := strings.TrimSuffix(strings.ToLower(strings.ReplaceAll(word, " ", "")), ".")
	for i, u := range k.units {
		if low == strings.ToLower(u.name) || slices.Contains(u.aliases, low) {
			return uint8(i), true
		}
	}
	return 0, false
}

// withUnits is the hint for a missing or an unknown unit: "write 54 °C or
// 54 °F", "write 1 h 30 min". Where the text holds more than a number and a
// word, so that a unit alone would lose part of it, it is only an example.
func (k *kind) withUnits(before []part, num, word, rest string) string {
	if rest != "" || strings.ContainsFunc(word, func(r rune) bool { return !unicode.IsLetter(r) && !strings.ContainsRune(`°%."' `, r) }) {
		return k.example()
	}
	if len(before) == 0 {
		out := make([]string, len(k.suggest))
		for i, u := range k.suggest {
			out[i] = num + glue(k.units[u].name)
		}
		return "write " + strings.Join(out, " or ")
	}
	var whole strings.Builder
	for _, p := range before {
		whole.WriteString(p.text + glue(k.units[p.u].name) + " ")
	}
	for _, c := range k.compounds {
		if c[0] == before[len(before)-1].u {
			if s := whole.String() + num + glue(k.units[c[1]].name); k.reads(s) {
				return "write " + s
			}
		}
	}
	return k.example()
}

// example shows the kind with its usual units: "write it like 18 mm or 1 in".
func (k *kind) example() string { return "write " + k.likeIt() }

func (k *kind) likeIt() string { return "it like " + k.like }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

func scanDigits(s string) int {
	n := 0
	for n < len(s) && isDigit(s[n]) {
		n++
	}
	return n
}

// scanDecimal returns the length of digits[.digits][e[±]digits] at the head of
// s, 0 when there is no digit.
func scanDecimal(s string) int {
	n := scanDigits(s)
	digits := n
	if n < len(s) && s[n] == '.' {
		if d := scanDigits(s[n+1:]); d > 0 {
			digits += d
			n += 1 + d
		}
	}
	if digits == 0 {
		return 0
	}
	if n < len(s) && (s[n] == 'e' || s[n] == 'E') {
		i := n + 1
		if i < len(s) && (s[i] == '+' || s[i] == '-') {
			i++
		}
		if d := scanDigits(s[i:]); d > 0 {
			n = i + d
		}
	}
	return n
}
