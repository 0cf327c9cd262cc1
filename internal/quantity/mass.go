package quantity

import "math"

var masses = kind{
	noun: "a mass", like: "142 g or 5 oz", signed: false, fractions: true, suggest: []uint8{0, 3},
	units: []unit{
		{"g", 1, []string{"gram", "grams", "gramme", "grammes", "gr"}},
		{"kg", 1000, []string{"kilogram", "kilograms", "kilo", "kilos"}},
		{"mg", 0.001, []string{"milligram", "milligrams"}},
		{"oz", 453.59237 / 16, []string{"ounce", "ounces"}},
		{"lb", 453.59237, []string{"lbs", "pound", "pounds"}},
	},
	compounds: [][2]uint8{{4, 3}},
}

// Mass is a mass. The zero value is 0 g.
type Mass struct{ a amount }

// Grams makes a mass of x g.
func Grams(x float64) Mass { return Mass{amount{v: x}} }

// Kilograms makes a mass of x kg.
func Kilograms(x float64) Mass { return Mass{amount{v: x, u: 1}} }

// Ounces makes a mass of x oz.
func Ounces(x float64) Mass { return Mass{amount{v: x, u: 3}} }

// Pounds makes a mass of x lb.
func Pounds(x float64) Mass { return Mass{amount{v: x, u: 4}} }

// ParseMass reads 142 g, 1.2 kg, 5 oz, 2 lb 3 oz or 1/2 lb. The error is an *Error.
func ParseMass(s string) (Mass, error) {
	a, err := masses.parse(s)
	return Mass{a}, err
}

// Grams is the mass in g.
func (m Mass) Grams() float64 { return masses.in(m.a, 0) }

// Kilograms is the mass in kg.
func (m Mass) Kilograms() float64 { return masses.in(m.a, 1) }

// Ounces is the mass in oz; 1 oz is exactly 28.349523125 g.
func (m Mass) Ounces() float64 { return masses.in(m.a, 3) }

// Pounds is the mass in lb; 1 lb is exactly 453.59237 g.
func (m Mass) Pounds() float64 { return masses.in(m.a, 4) }

// Unit is the unit as written; of a compound the last one.
func (m Mass) Unit() string { return masses.units[m.a.u].name }

// Value is the number in Unit.
func (m Mass) Value() float64 { return m.a.v }

// IsZero reports whether the amount is nothing, whatever its unit.
func (m Mass) IsZero() bool { return m.a.v == 0 }

// In gives the number and the unit to show in the system: g or kg, oz or lb,
// the larger unit from 1 kg and from 1 lb on.
func (m Mass) In(s System) (float64, string) {
	switch {
	case s == US && math.Abs(m.Pounds()) >= 1:
		return m.Pounds(), "lb"
	case s == US:
		return m.Ounces(), "oz"
	case math.Abs(m.Grams()) >= 1000:
		return m.Kilograms(), "kg"
	}
	return m.Grams(), "g"
}

// Format shows m in the system: to 0.1 g, to 0.01 g below 10 g, to 0.001 kg;
// to 0.1 oz, and from one pound on as pounds and ounces.
func (m Mass) Format(s System) string {
	v, u := m.In(s)
	switch u {
	case "lb":
		tenths := math.Round(math.Abs(m.Ounces()) * 10) // rounded first, so 15.96 oz becomes the next pound
		if tenths > 1e15 {
			return decimals(v, 2) + " lb"
		}
		sign := ""
		if v < 0 {
			sign = "-"
		}
		out := sign + number(math.Floor(tenths/160)) + " lb"
		if rest := math.Mod(tenths, 160); rest > 0 {
			out += " " + decimals(rest/10, 1) + " oz"
		}
		return out
	case "kg":
		return decimals(v, 3) + " kg"
	case "g":
		if math.Abs(v) < 10 {
			return decimals(v, 2) + " g"
		}
	}
	return decimals(v, 1) + glue(u)
}

// FormatDigits shows m in the system with exactly n decimals (0 to 12).
func (m Mass) FormatDigits(s System, n int) string {
	v, u := m.In(s)
	return fixed(v, n) + glue(u)
}

// String is the mass as written.
func (m Mass) String() string { return masses.format(m.a) }

// MarshalText gives the mass as written; a value that is not finite is an *Error.
func (m Mass) MarshalText() ([]byte, error) { return masses.marshal(m.a) }

// UnmarshalText reads what ParseMass reads.
func (m *Mass) UnmarshalText(b []byte) error {
	x, err := ParseMass(string(b))
	if err == nil {
		*m = x
	}
	return err
}
