// Package quantity holds the amounts that a kitchen writes down: temperature,
// difference of temperatures, length, mass, duration, share, volume and power,
// each a type of its own, so that one is never taken for another.
//
// A quantity keeps the number and the unit as they were written: 350 °F stays
// exactly 350 °F and is converted only where another unit is asked for. Values
// are comparable with ==; the zero value is 0 in the base unit of its type
// (°C, K, mm, g, min, %, l, W). MarshalText and UnmarshalText round-trip.
//
// Parsing asks for a unit, always. The number has a decimal point, not a
// comma; lengths and masses also take fractions (1 1/4 in, ½ lb), and a
// duration or a mass may have parts (1 h 30 min, 2 lb 3 oz). Refused: a missing
// or unknown unit, NaN and infinities, overflow, temperatures below absolute
// zero, and negative lengths, masses, durations, volumes and powers. Every
// refusal is an *Error with the text, what was expected and a hint that can be
// typed.
//
// Conversions use the exact factors of NIST SP 811 (2008), appendix B:
// 1 in = 25.4 mm, 1 lb = 453.59237 g, 1 oz = 1/16 lb, °F = °C × 1.8 + 32,
// 1 gal (US, liquid) = 3.785411784 l.
//
// What it does not do: it knows no ranges that depend on food or equipment, no
// clock times and no missing values. A constructor (Celsius, Grams, …) takes
// its number as given; handing it a NaN makes a quantity that MarshalText
// refuses.
package quantity
