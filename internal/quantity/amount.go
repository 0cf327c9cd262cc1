package quantity

import (
	"math"
	"strconv"
	"unique"
)

// System says in which units a quantity is shown. Files keep their own.
type System uint8

const (
	Metric System = iota // °C, mm, g, l
	US                   // °F, in, oz and lb, qt
)

// String gives the word of the command line: "metric" or "us".
func (s System) String() string {
	if s == US {
		return "us"
	}
	return "metric"
}

// ParseSystem reads "metric" or "us".
func ParseSystem(s string) (System, error) {
	switch s {
	case "metric":
		return Metric, nil
	case "us":
		return US, nil
	}
	return Metric, &Error{Text: s, Expected: "a system of units", Hint: "write metric or us"}
}

// amount is what every quantity is made of.
type amount struct {
	v    float64 // in the unit u of its kind
	u    uint8   // index into the units of its kind; 0 is the base unit
	text wording // canonical text where number and unit alone would not give it back: fractions and compounds
}

// wording is a text that few amounts have, in the room of a pointer. Equal texts
// are equal wordings; the zero wording is none.
type wording struct{ text unique.Handle[string] }

func wordingOf(text string) wording { return wording{unique.Make(text)} }

// unit is one way to write an amount of a kind.
type unit struct {
	name    string   // as printed
	factor  float64  // base units in one of these
	aliases []string // other spellings, in lower case
}

// kind is the table by which the quantities of one type are read and printed.
type kind struct {
	noun      string // "a temperature"
	like      string // "54 °C or 130 °F"
	units     []unit
	signed    bool       // may be negative
	fractions bool       // 1 1/4 in
	compounds [][2]uint8 // pairs of units that may follow each other: h min
	suggest   []uint8    // units named in the hint for a missing one
	limit     func(amount) *Error
}

func (k *kind) base(a amount) float64 { return a.v * k.units[a.u].factor }

// in converts to unit u. A value that already has the unit is passed as it is,
// so nothing is lost on the way to the base unit and back.
func (k *kind) in(a amount, u uint8) float64 {
	if a.u == u {
		return a.v
	}
	return a.v * k.units[a.u].factor / k.units[u].factor
}

func (k *kind) format(a amount) string {
	if a.text != (wording{}) {
		return a.text.text.Value()
	}
	return number(a.v) + glue(k.units[a.u].name)
}

func (k *kind) marshal(a amount) ([]byte, error) {
	if math.IsNaN(a.v) || math.IsInf(a.v, 0) {
		return nil, &Error{Text: number(a.v), Expected: k.noun + " is a finite number with a unit"}
	}
	return []byte(k.format(a)), nil
}

// glue puts a space before every unit.
func glue(u string) string { return " " + u }

// number prints the shortest text that reads back as x, without an exponent
// where a person would not write one.
func number(x float64) string {
	if x == 0 {
		return "0" // never -0
	}
	if a := math.Abs(x); a >= 1e15 || a < 1e-6 {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// decimals prints x with at most n decimals and no trailing zeros. Halves go
// away from zero also where a conversion left them a hair short: 3/4 in is
// 19.049999999999997 mm in binary and 19.1 mm to a reader.
func decimals(x float64, n int) string {
	p := math.Pow10(n)
	r := math.Round(x*p*(1+1e-13)) / p
	if math.IsInf(r, 0) || math.IsNaN(r) {
		r = x
	}
	return number(r)
}

// fixed prints x with exactly n decimals, n from 0 to 12.
func fixed(x float64, n int) string {
	s := strconv.FormatFloat(x, 'f', min(max(n, 0), 12), 64)
	if f, err := strconv.ParseFloat(s, 64); err == nil && f == 0 && s[0] == '-' {
		return s[1:]
	}
	return s
}
