package quantity

import "math"

var durations = kind{
	noun: "a duration", like: "45 min or 1 h 30 min", signed: false, fractions: false, suggest: []uint8{0, 2},
	units: []unit{
		{"min", 1, []string{"mins", "minute", "minutes"}},
		{"s", 1.0 / 60, []string{"sec", "secs", "second", "seconds"}},
		{"h", 60, []string{"hr", "hrs", "hour", "hours"}},
		{"d", 1440, []string{"day", "days"}},
	},
	compounds: [][2]uint8{{0, 1}, {2, 0}, {2, 1}, {3, 2}, {3, 0}},
}

// Duration is a span of time. The zero value is 0 min.
type Duration struct{ a amount }

// FromMinutes makes a duration of x min.
func FromMinutes(x float64) Duration { return Duration{amount{v: x}} }

// FromSeconds makes a duration of x s.
func FromSeconds(x float64) Duration { return Duration{amount{v: x, u: 1}} }

// FromHours makes a duration of x h.
func FromHours(x float64) Duration { return Duration{amount{v: x, u: 2}} }

// FromDays makes a duration of x d.
func FromDays(x float64) Duration { return Duration{amount{v: x, u: 3}} }

// ParseDuration reads 60 s, 45 min, 1.5 h, 7 d, 1 h 30 min or 1h30min. The error is an *Error.
func ParseDuration(s string) (Duration, error) {
	a, err := durations.parse(s)
	return Duration{a}, err
}

// Minutes is the duration in min.
func (d Duration) Minutes() float64 { return durations.in(d.a, 0) }

// Hours is the duration in h.
func (d Duration) Hours() float64 { return durations.in(d.a, 2) }

// Days is the duration in d.
func (d Duration) Days() float64 { return durations.in(d.a, 3) }

// Unit is the unit as written; of a compound the last one.
func (d Duration) Unit() string { return durations.units[d.a.u].name }

// Value is the number in Unit.
func (d Duration) Value() float64 { return d.a.v }

// IsZero reports whether the amount is nothing, whatever its unit.
func (d Duration) IsZero() bool { return d.a.v == 0 }

// Seconds is the duration in s.
func (d Duration) Seconds() float64 {
	if d.a.u == 1 {
		return d.a.v
	}
	return d.Minutes() * 60
}

// In gives the number and the unit to show; both systems share them: s below
// two minutes, min below three hours, h below two days, then d.
func (d Duration) In(System) (float64, string) {
	switch m := math.Abs(d.Minutes()); {
	case m == 0:
		return 0, "min"
	case m < 2:
		return d.Seconds(), "s"
	case m < 180:
		return d.Minutes(), "min"
	case m < 2880:
		return d.Hours(), "h"
	}
	return d.Days(), "d"
}

// Format shows d as a cook says it: 90 s, 45 min, 4 h 30 min, 7 d.
func (d Duration) Format(s System) string {
	v, u := d.In(s)
	switch u {
	case "h":
		whole := math.Round(math.Abs(d.Minutes()))
		sign := ""
		if v < 0 {
			sign = "-"
		}
		out := sign + number(math.Floor(whole/60)) + " h"
		if rest := math.Mod(whole, 60); rest > 0 {
			out += " " + number(rest) + " min"
		}
		return out
	case "s":
		if math.Abs(v) >= 10 {
			return decimals(v, 0) + " s"
		}
	}
	return decimals(v, 1) + glue(u)
}

// FormatDigits shows d with exactly n decimals (0 to 12) of the unit of In.
func (d Duration) FormatDigits(s System, n int) string {
	v, u := d.In(s)
	return fixed(v, n) + glue(u)
}

// String is the duration as written.
func (d Duration) String() string { return durations.format(d.a) }

// MarshalText gives the duration as written; a value that is not finite is an *Error.
func (d Duration) MarshalText() ([]byte, error) { return durations.marshal(d.a) }

// UnmarshalText reads what ParseDuration reads.
func (d *Duration) UnmarshalText(b []byte) error {
	x, err := ParseDuration(string(b))
	if err == nil {
		*d = x
	}
	return err
}
