package quantity

var volumes = kind{
	noun: "a volume", like: "20 l or 5 gal", signed: false, fractions: true, suggest: []uint8{0, 4},
	units: []unit{
		{"l", 1, []string{"litre", "litres", "liter", "liters"}},
		{"ml", 0.001, []string{"millilitre", "millilitres", "milliliter", "milliliters", "cc"}},
		{"dl", 0.1, []string{"decilitre", "decilitres"}},
		{"qt", 3.785411784 / 4, []string{"quart", "quarts"}},
		{"gal", 3.785411784, []string{"gallon", "gallons"}},
	},
}

// Volume is a volume. The zero value is 0 l.
type Volume struct{ a amount }

// Litres makes a volume of x l.
func Litres(x float64) Volume { return Volume{amount{v: x}} }

// Millilitres makes a volume of x ml.
func Millilitres(x float64) Volume { return Volume{amount{v: x, u: 1}} }

// Quarts makes a volume of x qt.
func Quarts(x float64) Volume { return Volume{amount{v: x, u: 3}} }

// ParseVolume reads 20 l, 250 ml, 5 qt or 1/2 gal (US liquid measure). The error is an *Error.
func ParseVolume(s string) (Volume, error) {
	a, err := volumes.parse(s)
	return Volume{a}, err
}

// Litres is the volume in l.
func (v Volume) Litres() float64 { return volumes.in(v.a, 0) }

// Millilitres is the volume in ml.
func (v Volume) Millilitres() float64 { return volumes.in(v.a, 1) }

// Quarts is the volume in US liquid quarts; 4 are exactly 3.785411784 l.
func (v Volume) Quarts() float64 { return volumes.in(v.a, 3) }

// Unit is the unit as written; of a compound the last one.
func (v Volume) Unit() string { return volumes.units[v.a.u].name }

// Value is the number in Unit.
func (v Volume) Value() float64 { return v.a.v }

// IsZero reports whether the amount is nothing, whatever its unit.
func (v Volume) IsZero() bool { return v.a.v == 0 }

// In gives the number and the unit to show in the system: ml below 1 l, else l; qt.
func (v Volume) In(s System) (float64, string) {
	switch {
	case s == US:
		return v.Quarts(), "qt"
	case v.Litres() < 1 && v.Litres() > -1 && !v.IsZero():
		return v.Millilitres(), "ml"
	}
	return v.Litres(), "l"
}

// Format shows v in the system with at most one decimal.
func (v Volume) Format(s System) string {
	x, u := v.In(s)
	return decimals(x, 1) + glue(u)
}

// FormatDigits shows v in the system with exactly n decimals (0 to 12).
func (v Volume) FormatDigits(s System, n int) string {
	x, u := v.In(s)
	return fixed(x, n) + glue(u)
}

// String is the volume as written.
func (v Volume) String() string { return volumes.format(v.a) }

// MarshalText gives the volume as written; a value that is not finite is an *Error.
func (v Volume) MarshalText() ([]byte, error) { return volumes.marshal(v.a) }

// UnmarshalText reads what ParseVolume reads.
func (v *Volume) UnmarshalText(b []byte) error {
	x, err := ParseVolume(string(b))
	if err == nil {
		*v = x
	}
	return err
}
