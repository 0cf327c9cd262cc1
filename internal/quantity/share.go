package quantity

import "math"

var shares = kind{
	noun: "a share", like: "0.6 %", signed: true, fractions: false, suggest: []uint8{0},
	units: []unit{
		{"%", 1, []string{"percent", "percents", "pct"}},
	},
}

// Share is a part of a whole. Its range is the business of the field that holds it. The zero value is 0 %.
type Share struct{ a amount }

// Percent makes a share of x %.
func Percent(x float64) Share { return Share{amount{v: x}} }

// ParseShare reads 0.6 % or 5 per cent. The error is an *Error.
func ParseShare(s string) (Share, error) {
	a, err := shares.parse(s)
	return Share{a}, err
}

// Percent is the share in per cent.
func (p Share) Percent() float64 { return shares.in(p.a, 0) }

// Unit is the unit as written; of a compound the last one.
func (p Share) Unit() string { return shares.units[p.a.u].name }

// Value is the number in Unit.
func (p Share) Value() float64 { return p.a.v }

// IsZero reports whether the amount is nothing, whatever its unit.
func (p Share) IsZero() bool { return p.a.v == 0 }

// Fraction makes a share of x, where 1 is the whole.
func Fraction(x float64) Share { return Percent(x * 100) }

// Fraction is the share as a number, where 1 is the whole.
func (p Share) Fraction() float64 { return p.a.v / 100 }

// In gives the number and the unit to show, the same in both systems.
func (p Share) In(System) (float64, string) { return p.a.v, "%" }

// Format shows p with at most one decimal, two below 1 %.
func (p Share) Format(System) string {
	if math.Abs(p.a.v) < 1 {
		return decimals(p.a.v, 2) + " %"
	}
	return decimals(p.a.v, 1) + " %"
}

// FormatDigits shows p with exactly n decimals (0 to 12).
func (p Share) FormatDigits(_ System, n int) string { return fixed(p.a.v, n) + " %" }

// String is the share as written.
func (p Share) String() string { return shares.format(p.a) }

// MarshalText gives the share as written; a value that is not finite is an *Error.
func (p Share) MarshalText() ([]byte, error) { return shares.marshal(p.a) }

// UnmarshalText reads what ParseShare reads.
func (p *Share) UnmarshalText(b []byte) error {
	x, err := ParseShare(string(b))
	if err == nil {
		*p = x
	}
	return err
}
