package trialfile

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/internal/diag"
	"tamis/internal/quantity"
)

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// one returns the text of a scalar, and reports anything else.
func (r *reader) one(it *item, expected string) (string, bool) {
	switch it.kind {
	case scalar:
		return it.text, true
	case blank:
		return "", false
	}
	hint := "write one value"
	if it.kind == list && len(it.list) == 1 {
		hint = "remove the brackets"
	}
	r.say(diag.Error, it.at, "not-a-value", fmt.Sprintf("expected %s, found %s", expected, it.describe()), "expected "+expected, hint)
	return "", false
}

// anything that a YAML reader may make of a plain word.
func anyText() js { return js{marker: "text", "type": []string{"string", "number", "boolean"}} }

// text is any text, kept as it is.
var text = textUpTo(math.MaxInt)

// shortText is a text that stands in headings, tables and lines: a title, a name.
var shortText = textUpTo(maxShort)

func textUpTo(most int) codec[string] {
	return codec[string]{
		read: func(r *reader, it *item) (string, bool) {
			s, ok := r.one(it, "text")
			if !ok || s == "" {
				return "", false
			}
			// The bytes of the file were looked at before; an escape such as "\0" writes
			// what they must not hold.
			if i := strings.IndexFunc(s, invisible); i >= 0 {
				c, _ := utf8.DecodeRuneInString(s[i:])
				r.fail(it.at, "control-character", fmt.Sprintf("the invisible character U+%04X has no place in a text", c), "delete it")
				return "", false
			}
			if n := runes(s); n > most {
				r.fail(it.at, "too-long", fmt.Sprintf("%d characters are too long for this", n), fmt.Sprintf("write up to %d, and the rest into notes", most))
				return "", false
			}
			return s, true
		},
		write:  textItem,
		schema: anyText,
	}
}

// idCodec is a name: any text on one line.
var idCodec = codec[string]{
	read: func(r *reader, it *item) (string, bool) {
		s, ok := r.one(it, "a name")
		if !ok {
			return "", false
		}
		if c, place, bad := unseen(s); bad && c != '\n' && c != '\r' && c != '\t' {
			r.fail(it.at, "bad-name", fmt.Sprintf("character %d of %s is the invisible U+%04X", place, quote(s), c), "type the name again, or delete that character")
			return "", false
		}
		bad := strings.ContainsFunc(s, unicode.IsControl)
		if strings.TrimSpace(s) != s || s == "" || bad || runes(s) > maxID {
			r.fail(it.at, "bad-name", fmt.Sprintf("%s is not a name", quote(s)), fmt.Sprintf("write up to %d visible characters on one line, without spaces around them", maxID))
			return "", false
		}
		return s, true
	},
	write:  textItem,
	schema: anyText,
}

// words is one of a closed list.
func words[W ~string](list ...W) codec[W] {
	have := make([]string, len(list))
	for i, w := range list {
		have[i] = string(w)
	}
	expected := "one of " + strings.Join(have, ", ")
	return codec[W]{
		read: func(r *reader, it *item) (W, bool) {
			s, ok := r.one(it, expected)
			if !ok {
				return "", false
			}
			for _, w := range have {
				if s == w || it.cell != nil && strings.EqualFold(strings.TrimSpace(s), w) {
					return W(w), true
				}
			}
			hint := either(have)
			if n, near := diag.Nearest(s, have); near {
				hint = "did you mean " + n + "?"
			}
			r.say(diag.Error, it.at, "unknown-word", fmt.Sprintf("%s is not one of the words for this", quote(s)), expected, hint)
			return "", false
		},
		write: func(w W) *item { return textItem(string(w)) },
		schema: func() js {
			e := make([]any, 0, len(have)+1)
			for _, w := range have {
				e = append(e, w)
				if w == "no" { // a YAML reader may take it for false
					e = append(e, false)
				}
			}
			return js{"enum": e}
		},
	}
}

// yesNo is yes or no; true and false are the same.
var yesNo = codec[bool]{
	read: func(r *reader, it *item) (bool, bool) {
		s, ok := r.one(it, "yes or no")
		if !ok {
			return false, false
		}
		if v, ok := parseYesNo(s); ok {
			return v, true
		}
		r.say(diag.Error, it.at, "yes-or-no", fmt.Sprintf("expected yes or no, found %s", quote(s)), "yes or no", "write yes or no")
		return false, false
	},
	write: func(v bool) *item {
		if v {
			return textItem("yes")
		}
		return textItem("no")
	},
	schema: func() js { return js{"enum": []any{true, false, "yes", "no"}} },
}

func parseYesNo(s string) (v, ok bool) {
	switch strings.ToLower(strings.TrimSpace(s)) {
	case "yes", "true", "y":
		return true, true
	case "no", "false", "n":
		return false, true
	}
	return false, false
}

// parseNumber reads a decimal number; a table may have decimal commas.
func parseNumber(s string, cell *cellStyle) (float64, error) {
	s = strings.ReplaceAll(strings.TrimSpace(s), "\u2212", "-")
	if cell.grouped(s) {
		return 0, strconv.ErrSyntax
	}
	if cell != nil && strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	for i := 0; i < len(s); i++ {
		if c := s[i]; !isDigit(c) && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			return 0, strconv.ErrSyntax // no hexadecimal, no underlines, no words
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, errors.Join(strconv.ErrSyntax, err)
	}
	return v, nil
}

func isNumber(it *item) bool {
	_, err := parseNumber(it.text, it.cell)
	return it.kind == scalar && err == nil
}

// number reads a number that may be followed by the unit of its measure.
func (r *reader) number(it *item, unit string) (float64, bool) {
	s, ok := r.one(it, "a number")
	if !ok {
		return 0, false
	}
	s = strings.TrimSpace(s)
	if unit != "" {
		s = strings.TrimSpace(strings.TrimSuffix(s, unit))
	}
	v, err := parseNumber(s, it.cell)
	if err == nil {
		return v, true
	}
	low := strings.ToLower(strings.TrimLeft(s, "+-."))
	switch {
	case strings.HasPrefix(low, "nan"), strings.HasPrefix(low, "inf"):
		r.fail(it.at, "not-finite", fmt.Sprintf("%s is not a number that can be observed", quote(it.text)), "leave the value blank where it was not measured")
	case errors.Is(err, strconv.ErrRange):
		r.fail(it.at, "not-finite", fmt.Sprintf("%s is too large", quote(it.text)), "check the digits")
	case it.cell.grouped(s):
		r.fail(it.at, "decimal-comma", commaEitherWay(it.text), "write "+strings.Join(quantity.Commas(s), " or "))
	case len(quantity.Commas(s)) > 0:
		r.fail(it.at, "decimal-comma", fmt.Sprintf("a number has a decimal point here, found %s", quote(it.text)), "write "+strings.Join(quantity.Commas(s), " or "))
	default:
		example := "6.5"
		if unit != "" {
			example += " " + unit
		}
		r.fail(it.at, "not-a-number", fmt.Sprintf("expected a number, found %s", quote(it.text)), numberSlip(s, example))
	}
	return 0, false
}

func numberItem(v float64) *item { return textItem(formatNumber(v)) }

func formatNumber(v float64) string {
	if v == 0 {
		return "0"
	}
	if a := math.Abs(v); a >= 1e15 || a < 1e-6 {
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// decimal is a number, at least low and above it where strict.
func decimal(low float64, strict bool) codec[float64] {
	return codec[float64]{
		read: func(r *reader, it *item) (float64, bool) {
			v, ok := r.number(it, "")
			if !ok {
				return 0, false
			}
			if v < low || strict && v == low {
				word := "at least "
				if strict {
					word = "above "
				}
				r.fail(it.at, "out-of-range", fmt.Sprintf("%s must be %s%s", formatNumber(v), word, formatNumber(low)), "check the number")
				return 0, false
			}
			return v, true
		},
		write: numberItem,
		schema: func() js {
			if math.IsInf(low, 0) {
				return js{"type": "number"}
			}
			if strict {
				return js{"type": "number", "exclusiveMinimum": low}
			}
			return js{"type": "number", "minimum": low}
		},
	}
}

// count is a whole number from low to high.
func count(low, high int) codec[int] {
	return codec[int]{
		read: func(r *reader, it *item) (int, bool) {
			s, ok := r.one(it, "a whole number")
			if !ok {
				return 0, false
			}
			v, err := parseNumber(s, it.cell)
			if err != nil || v != math.Trunc(v) {
				r.fail(it.at, "not-a-count", fmt.Sprintf("expected a whole number, found %s", quote(s)), "write digits, like "+strconv.Itoa(max(low, 3)))
				return 0, false
			}
			if v < float64(low) || v > float64(high) {
				r.fail(it.at, "out-of-range", fmt.Sprintf("%s is not between %d and %d", quote(s), low, high), "check the number")
				return 0, false
			}
			return int(v), true
		},
		write:  func(v int) *item { return textItem(strconv.Itoa(v)) },
		schema: func() js { return js{"type": "integer", "minimum": low, "maximum": high} },
	}
}

// seed is a whole number of 64 bits.
var seed = codec[uint64]{
	read: func(r *reader, it *item) (uint64, bool) {
		s, ok := r.one(it, "a whole number")
		if !ok {
			return 0, false
		}
		v, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			r.fail(it.at, "not-a-count", fmt.Sprintf("expected a whole number, found %s", quote(s)), "write digits, like 7")
		}
		return v, err == nil
	},
	write:  func(v uint64) *item { return textItem(strconv.FormatUint(v, 10)) },
	schema: func() js { return js{"type": "integer", "minimum": 0} },
}

// limits of a quantity beyond what its type refuses.
type limits[V any] struct {
	ok   func(V) bool
	must string // "must be above 0"
}

// amount is a quantity with its unit.
func amount[V interface {
	quantity.Quantity
	fmt.Stringer
}](parse func(string) (V, error), lim ...limits[V]) codec[V] {
	kind := quantity.KindOf[V]()
	return codec[V]{
		read: func(r *reader, it *item) (v V, ok bool) {
			s, ok := r.one(it, kind.Noun())
			if !ok {
				return v, false
			}
			ok = false
			if it.cell != nil && it.cell.unit != "" {
				v, ok = quantity.Parse[V](s, it.cell.unit)
			}
			if !ok {
				var err error
				if v, err = parse(cellQuantity(s, it.cell)); err != nil {
					r.quantityError(it, err)
					return v, false
				}
			}
			for _, l := range lim {
				if !l.ok(v) {
					r.fail(it.at, "out-of-range", fmt.Sprintf("%s: %s", quote(s), l.must), "check the number and its unit")
					return v, false
				}
			}
			return v, true
		},
		write:  func(v V) *item { return textItem(v.String()) },
		schema: func() js { return js{"$ref": "#/definitions/" + definition(kind)} },
	}
}

// definition is the name of a kind of quantity in the schema.
func definition(k quantity.Kind) string {
	words := strings.Fields(k.Noun())
	return words[len(words)-1]
}

// cellQuantity completes a cell of a table: the decimal comma becomes a point,
// and a bare number gets the unit of the header.
func cellQuantity(s string, cell *cellStyle) string {
	if cell == nil {
		return s
	}
	if s = strings.TrimSpace(s); cell.grouped(s) {
		return s
	}
	if i := strings.IndexByte(s, ','); i > 0 && strings.Count(s, ",") == 1 && !strings.Contains(s, ".") && i+1 < len(s) && isDigit(s[i-1]) && isDigit(s[i+1]) {
		s = s[:i] + "." + s[i+1:]
	}
	if cell.unit != "" {
		if _, err := parseNumber(s, nil); err == nil {
			s += " " + cell.unit
		}
	}
	return s
}

// quantityError says what a quantity lacks, under a slug of its own for the
// faults that are met most.
func (r *reader) quantityError(it *item, err error) {
	var e *quantity.Error
	if !errors.As(err, &e) {
		r.fail(it.at, "bad-quantity", fmt.Sprintf("%s cannot be read", quote(it.text)), "write a number and its unit")
		return
	}
	slug := "bad-quantity"
	switch {
	case strings.Contains(e.Expected, "needs its unit"):
		slug = "no-unit"
	case strings.Contains(e.Expected, "has no unit"):
		slug = "unknown-unit"
	case strings.Contains(e.Expected, "negative"):
		slug = "negative"
	case strings.Contains(e.Expected, "decimal point"):
		slug = "decimal-comma"
	case strings.Contains(e.Expected, "finite"), strings.Contains(e.Expected, "too large"):
		slug = "not-finite"
	case strings.Contains(e.Expected, "colder"):
		slug = "out-of-range"
	}
	hint := e.Hint
	if it.cell != nil && it.cell.unit != "" && strings.HasPrefix(hint, "write it like") {
		hint = "write a number; its unit, " + it.cell.unit + ", stands in the header"
	}
	r.say(diag.Error, it.at, slug, e.Expected, e.Expected, hint)
}

var above0 = limits[quantity.Duration]{func(d quantity.Duration) bool { return d.Minutes() > 0 }, "the time must be above 0"}

var (
	temperature = amount(quantity.ParseTemperature)
	tolerance   = amount(quantity.ParseDifference, limits[quantity.Difference]{func(d quantity.Difference) bool { return d.Kelvin() >= 0 }, "a tolerance cannot be negative"})
	length      = amount(quantity.ParseLength, limits[quantity.Length]{func(l quantity.Length) bool { return l.Millimetres() >= 0.1 && l.Millimetres() <= 2000 }, "a side is between 0.1 mm and 2 m"})
	mass        = amount(quantity.ParseMass, limits[quantity.Mass]{func(m quantity.Mass) bool { return m.Grams() > 0 && m.Grams() <= 1e6 }, "a mass is above 0 and below a tonne"})
	duration    = amount(quantity.ParseDuration)
	cookTime    = amount(quantity.ParseDuration, above0, limits[quantity.Duration]{func(d quantity.Duration) bool { return d.Days() <= 366 }, "nothing cooks for more than a year"})
	span        = amount(quantity.ParseDuration, above0, limits[quantity.Duration]{func(d quantity.Duration) bool { return d.Days() <= 36525 }, "the time is longer than a century"})
	share       = amount(quantity.ParseShare, limits[quantity.Share]{func(s quantity.Share) bool { return s.Percent() >= 0 && s.Percent() <= 100 }, "a share lies between 0 % and 100 %"})
	volume      = amount(quantity.ParseVolume, limits[quantity.Volume]{func(v quantity.Volume) bool { return v.Litres() > 0 }, "a volume is above 0"})
	power       = amount(quantity.ParsePower, limits[quantity.Power]{func(p quantity.Power) bool { return p.Watts() > 0 }, "a power is above 0"})
)
