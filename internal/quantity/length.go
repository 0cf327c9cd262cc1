package quantity

var lengths = kind{
	noun: "a length", like: "18 mm or 1 1/4 in", signed: false, fractions: true, suggest: []uint8{0, 3},
	units: []unit{
		{"mm", 1, []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
		{"cm", 10, []string{"centimetre", "centimetres", "centimeter", "centimeters"}},
		{"m", 1000, []string{"metre", "metres", "meter", "meters"}},
		{"in", 25.4, []string{"inch", "inches", "\"", "''"}},
	},
}

// Length is a length, such as a thickness. The zero value is 0 mm.
type Length struct{ a amount }

// Millimetres makes a length of x mm.
func Millimetres(x float64) Length { return Length{amount{v: x}} }

// Centimetres makes a length of x cm.
func Centimetres(x float64) Length { return Length{amount{v: x, u: 1}} }

// Inches makes a length of x in.
func Inches(x float64) Length { return Length{amount{v: x, u: 3}} }

// ParseLength reads 18 mm, 1.8 cm, 1 in, 1 1/4 in or 1 ¼ in. The error is an *Error.
func ParseLength(s string) (Length, error) {
	a, err := lengths.parse(s)
	return Length{a}, err
}

// Millimetres is the length in mm.
func (l Length) Millimetres() float64 { return lengths.in(l.a, 0) }

// Centimetres is the length in cm.
func (l Length) Centimetres() float64 { return lengths.in(l.a, 1) }

// Inches is the length in in; 1 in is exactly 25.4 mm.
func (l Length) Inches() float64 { return lengths.in(l.a, 3) }

// Unit is the unit as written; of a compound the last one.
func (l Length) Unit() string { return lengths.units[l.a.u].name }

// Value is the number in Unit.
func (l Length) Value() float64 { return l.a.v }

// IsZero reports whether the amount is nothing, whatever its unit.
func (l Length) IsZero() bool { return l.a.v == 0 }

// In gives the number and the unit to show in the system: mm or in.
func (l Length) In(s System) (float64, string) {
	if s == US {
		return l.Inches(), "in"
	}
	return l.Millimetres(), "mm"
}

// Format shows l in the system: to 0.1 mm, or to 0.01 in.
func (l Length) Format(s System) string {
	v, u := l.In(s)
	if s == US {
		return decimals(v, 2) + glue(u)
	}
	return decimals(v, 1) + glue(u)
}

// FormatDigits shows l in the system with exactly n decimals (0 to 12).
func (l Length) FormatDigits(s System, n int) string {
	v, u := l.In(s)
	return fixed(v, n) + glue(u)
}

// String is the length as written.
func (l Length) String() string { return lengths.format(l.a) }

// MarshalText gives the length as written; a value that is not finite is an *Error.
func (l Length) MarshalText() ([]byte, error) { return lengths.marshal(l.a) }

// UnmarshalText reads what ParseLength reads.
func (l *Length) UnmarshalText(b []byte) error {
	x, err := ParseLength(string(b))
	if err == nil {
		*l = x
	}
	return err
}
