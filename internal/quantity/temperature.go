package quantity

import "math"

const (
	celsius = iota
	fahrenheit
	kelvin
)

// zeroCelsius is 0 °C in kelvin, exact by definition (NIST SP 811, 4.2.1).
const zeroCelsius = 273.15

// absoluteZero in the units of temperatures, exact.
var absoluteZero = [...]float64{celsius: -273.15, fahrenheit: -459.67, kelvin: 0}

// factor stays 1: a temperature is not proportional to another, so nothing
// here goes through base and in. Only names and aliases are used.
var temperatures = kind{
	noun: "a temperature", like: "54 °C or 130 °F", signed: true, suggest: []uint8{celsius, fahrenheit},
	units: []unit{
		{"°C", 1, []string{"°c", "c", "degc", "deg.c", "celsius", "°celsius", "degreescelsius"}},
		{"°F", 1, []string{"°f", "f", "degf", "deg.f", "fahrenheit", "°fahrenheit", "degreesfahrenheit"}},
		{"K", 1, []string{"k", "kelvin", "°k"}},
	},
	limit: func(a amount) *Error {
		if a.v < absoluteZero[a.u] {
			return &Error{Expected: "nothing is colder than −273.15 °C (−459.67 °F)", Hint: "check the number and its unit"}
		}
		return nil
	},
}

// Temperature is a point on a temperature scale, never a difference.
type Temperature struct{ a amount }

// Celsius makes a temperature of c °C.
func Celsius(c float64) Temperature { return Temperature{amount{v: c}} }

// Fahrenheit makes a temperature of f °F.
func Fahrenheit(f float64) Temperature { return Temperature{amount{v: f, u: fahrenheit}} }

// Kelvin makes a temperature of k K.
func Kelvin(k float64) Temperature { return Temperature{amount{v: k, u: kelvin}} }

// ParseTemperature reads 54 °C, 54C, 130 °F or 327.15 K. The error is an *Error.
func ParseTemperature(s string) (Temperature, error) {
	a, err := temperatures.parse(s)
	return Temperature{a}, err
}

// Celsius is the temperature in °C.
func (t Temperature) Celsius() float64 {
	switch t.a.u {
	case fahrenheit:
		return (t.a.v - 32) * 5 / 9 // NIST SP 811, B.9
	case kelvin:
		return t.a.v - zeroCelsius
	}
	return t.a.v
}

// Fahrenheit is the temperature in °F.
func (t Temperature) Fahrenheit() float64 {
	switch t.a.u {
	case fahrenheit:
		return t.a.v
	case kelvin:
		return t.a.v*9/5 - 459.67
	}
	return t.a.v*9/5 + 32
}

// Kelvin is the thermodynamic temperature in K.
func (t Temperature) Kelvin() float64 {
	switch t.a.u {
	case fahrenheit:
		return (t.a.v + 459.67) * 5 / 9
	case kelvin:
		return t.a.v
	}
	return t.a.v + zeroCelsius
}

// Unit is the unit as written: °C, °F or K.
func (t Temperature) Unit() string { return temperatures.units[t.a.u].name }

// Value is the number as written, in Unit.
func (t Temperature) Value() float64 { return t.a.v }

// Minus is t − other.
func (t Temperature) Minus(other Temperature) Difference {
	if t.a.u == fahrenheit && other.a.u == fahrenheit {
		return FahrenheitDegrees(t.a.v - other.a.v)
	}
	return Kelvins(t.Celsius() - other.Celsius())
}

// Plus is t moved by d, in the unit of t.
func (t Temperature) Plus(d Difference) Temperature {
	step := d.Kelvin()
	if t.a.u == fahrenheit {
		step = d.Fahrenheit()
	}
	return Temperature{amount{v: t.a.v + step, u: t.a.u}}
}

// IsZero reports whether t is the zero value, 0 °C.
func (t Temperature) IsZero() bool { return t == Temperature{} }

// In gives the number and the unit to show in the system: °C or °F.
func (t Temperature) In(s System) (float64, string) {
	if s == US {
		return t.Fahrenheit(), "°F"
	}
	return t.Celsius(), "°C"
}

// Format shows t in the system with at most one decimal.
func (t Temperature) Format(s System) string {
	v, u := t.In(s)
	return decimals(v, 1) + glue(u)
}

// FormatDigits shows t in the system with exactly n decimals (0 to 12).
func (t Temperature) FormatDigits(s System, n int) string {
	v, u := t.In(s)
	return fixed(v, n) + glue(u)
}

// String is the temperature as written.
func (t Temperature) String() string { return temperatures.format(t.a) }

// MarshalText gives the temperature as written; a value that is not finite is an *Error.
func (t Temperature) MarshalText() ([]byte, error) { return temperatures.marshal(t.a) }

// UnmarshalText reads what ParseTemperature reads.
func (t *Temperature) UnmarshalText(b []byte) (err error) {
	x, err := ParseTemperature(string(b))
	if err == nil {
		*t = x
	}
	return err
}

var differences = kind{
	noun: "a temperature difference", like: "0.5 °C or 1 °F", signed: true, suggest: []uint8{1, 2},
	units: []unit{
		{"K", 1, []string{"k", "kelvin", "kelvins"}},
		{"°C", 1, []string{"°c", "c", "degc", "celsius"}},
		{"°F", 5.0 / 9, []string{"°f", "f", "degf", "fahrenheit"}},
	},
}

// Difference is a difference of two temperatures: 0.3 °C is 0.3 K and 0.54 °F.
type Difference struct{ a amount }

// Kelvins makes a difference of k K.
func Kelvins(k float64) Difference { return Difference{amount{v: k}} }

// CelsiusDegrees makes a difference of c °C, which is c K.
func CelsiusDegrees(c float64) Difference { return Difference{amount{v: c, u: 1}} }

// FahrenheitDegrees makes a difference of f °F, 5/9 K each.
func FahrenheitDegrees(f float64) Difference { return Difference{amount{v: f, u: 2}} }

// ParseDifference reads 0.3 °C, ±0.3 °C, +0.3 K or 1 °F. A ± is dropped: that
// a value counts both ways is the field's meaning. The error is an *Error.
func ParseDifference(s string) (Difference, error) {
	a, err := differences.parse(s)
	return Difference{a}, err
}

// Kelvin is the difference in K, which is also the difference in °C.
func (d Difference) Kelvin() float64 {
	if d.a.u == 2 {
		return d.a.v * 5 / 9
	}
	return d.a.v
}

// Fahrenheit is the difference in °F: × 1.8, without the 32.
func (d Difference) Fahrenheit() float64 {
	if d.a.u == 2 {
		return d.a.v
	}
	return d.a.v * 9 / 5
}

// Abs is the difference without its sign.
func (d Difference) Abs() Difference {
	d.a.v = math.Abs(d.a.v)
	return d
}

// Neg is the difference with the other sign.
func (d Difference) Neg() Difference {
	d.a.v = 0 - d.a.v // 0 stays 0, not -0
	return d
}

// IsZero reports whether the difference is nil, whatever its unit.
func (d Difference) IsZero() bool { return d.a.v == 0 }

// In gives the number and the unit to show in the system: °C or °F.
func (d Difference) In(s System) (float64, string) {
	if s == US {
		return d.Fahrenheit(), "°F"
	}
	return d.Kelvin(), "°C"
}

// Format shows d in the system with at most two decimals.
func (d Difference) Format(s System) string {
	v, u := d.In(s)
	return decimals(v, 2) + glue(u)
}

// FormatDigits shows d in the system with exactly n decimals (0 to 12).
func (d Difference) FormatDigits(s System, n int) string {
	v, u := d.In(s)
	return fixed(v, n) + glue(u)
}

// String is the difference as written.
func (d Difference) String() string { return differences.format(d.a) }

// MarshalText gives the difference as written; a value that is not finite is an *Error.
func (d Difference) MarshalText() ([]byte, error) { return differences.marshal(d.a) }

// UnmarshalText reads what ParseDifference reads.
func (d *Difference) UnmarshalText(b []byte) error {
	x, err := ParseDifference(string(b))
	if err == nil {
		*d = x
	}
	return err
}
