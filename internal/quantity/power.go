package quantity

var powers = kind{
	noun: "a power", like: "1100 W or 1.1 kW", signed: false, fractions: false, suggest: []uint8{0, 1},
	units: []unit{
		{"W", 1, []string{"w", "watt", "watts"}},
		{"kW", 1000, []string{"kw", "kilowatt", "kilowatts"}},
	},
}

// Power is a power, such as that of a heater. The zero value is 0 W.
type Power struct{ a amount }

// Watts makes a power of x W.
func Watts(x float64) Power { return Power{amount{v: x}} }

// Kilowatts makes a power of x kW.
func Kilowatts(x float64) Power { return Power{amount{v: x, u: 1}} }

// ParsePower reads 1100 W or 1.1 kW. The error is an *Error.
func ParsePower(s string) (Power, error) {
	a, err := powers.parse(s)
	return Power{a}, err
}

// Watts is the power in W.
func (p Power) Watts() float64 { return powers.in(p.a, 0) }

// Kilowatts is the power in kW.
func (p Power) Kilowatts() float64 { return powers.in(p.a, 1) }

// Unit is the unit as written; of a compound the last one.
func (p Power) Unit() string { return powers.units[p.a.u].name }

// Value is the number in Unit.
func (p Power) Value() float64 { return p.a.v }

// IsZero reports whether the amount is nothing, whatever its unit.
func (p Power) IsZero() bool { return p.a.v == 0 }

// In gives the number and the unit to show, the same in both systems.
func (p Power) In(System) (float64, string) { return p.Watts(), "W" }

// Format shows p in whole watts.
func (p Power) Format(s System) string { return p.FormatDigits(s, 0) }

// FormatDigits shows p in watts with exactly n decimals (0 to 12).
func (p Power) FormatDigits(_ System, n int) string { return fixed(p.Watts(), n) + " W" }

// String is the power as written.
func (p Power) String() string { return powers.format(p.a) }

// MarshalText gives the power as written; a value that is not finite is an *Error.
func (p Power) MarshalText() ([]byte, error) { return powers.marshal(p.a) }

// UnmarshalText reads what ParsePower reads.
func (p *Power) UnmarshalText(b []byte) error {
	x, err := ParsePower(string(b))
	if err == nil {
		*p = x
	}
	return err
}
