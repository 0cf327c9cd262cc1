package quantity

import (
	"encoding"
	"errors"
	"math"
	"regexp"
	"strings"
	"testing"
)

// near is relative, for conversions that are exact up to the last bits.
func near(got, want float64) bool {
	return math.Abs(got-want) <= 1e-13*math.Max(1, math.Abs(want))
}

func TestConversions(t *testing.T) {
	t.Parallel()
	tests := []struct {
		name      string
		got, want float64
		source    string
	}{
		{"350 °F in °C", Fahrenheit(350).Celsius(), 318.0 * 5 / 9, "NIST SP 811 B.9: t/°C = (t/°F − 32)/1.8"},
		{"54 °C in °F", Celsius(54).Fahrenheit(), 129.2, "the same, inverted"},
		{"130 °F in K", Fahrenheit(130).Kelvin(), 589.67 / 1.8, "NIST SP 811 B.9: T/K = (t/°F + 459.67)/1.8"},
		{"0 °C in K", Celsius(0).Kelvin(), 273.15, "NIST SP 811 B.9"},
		{"0 K in °F", Kelvin(0).Fahrenheit(), -459.67, "NIST SP 811 B.9"},
		{"−40 °C in °F", Celsius(-40).Fahrenheit(), -40, "the scales cross at −40"},
		{"327.15 K in °C", Kelvin(327.15).Celsius(), 54, "NIST SP 811 B.9"},
		{"1 °F as a difference", FahrenheitDegrees(1).Kelvin(), 5.0 / 9, "NIST SP 811 B.9: 1 °F interval = 1/1.8 K"},
		{"0.3 K in °F", Kelvins(0.3).Fahrenheit(), 0.54, "the same, inverted"},
		{"1 in", Inches(1).Millimetres(), 25.4, "NIST SP 811 B.8: exact"},
		{"1 m", Length{amount{v: 1, u: 2}}.Inches(), 1000 / 25.4, "the same, inverted"},
		{"1 lb", Pounds(1).Grams(), 453.59237, "NIST SP 811 B.8: exact"},
		{"1 oz", Ounces(1).Grams(), 28.349523125, "NIST SP 811 B.8: 1/16 lb"},
		{"1 kg in lb", Kilograms(1).Pounds(), 1 / 0.45359237, "the same, inverted"},
		{"1 gal", Volume{amount{v: 1, u: 4}}.Litres(), 3.785411784, "NIST SP 811 B.8: US liquid gallon"},
		{"1 qt", Quarts(1).Litres(), 0.946352946, "NIST SP 811 B.8: US liquid quart"},
		{"1 d in min", FromDays(1).Minutes(), 1440, "definition"},
		{"90 s in min", FromSeconds(90).Minutes(), 1.5, "definition"},
		{"1.5 h in s", FromHours(1.5).Seconds(), 5400, "definition"},
		{"0.6 %", Percent(0.6).Fraction(), 0.006, "definition"},
		{"1.1 kW", Kilowatts(1.1).Watts(), 1100, "definition"},
	}
	for _, tt := range tests {
		if !near(tt.got, tt.want) {
			t.Errorf("%s = %v, want %v (%s)", tt.name, tt.got, tt.want, tt.source)
		}
	}
}

func TestTemperatureArithmetic(t *testing.T) {
	t.Parallel()
	if d := Celsius(54).Minus(Fahrenheit(129.2)); math.Abs(d.Kelvin()) > 1e-13 {
		t.Errorf("54 °C − 129.2 °F = %v", d)
	}
	if d := Fahrenheit(350).Minus(Fahrenheit(340)); d.String() != "10 °F" {
		t.Errorf("350 °F − 340 °F = %v", d)
	}
	if got := Fahrenheit(130).Plus(Kelvins(5)); got != Fahrenheit(139) {
		t.Errorf("130 °F + 5 K = %v", got)
	}
	if got := Celsius(54).Plus(FahrenheitDegrees(-9)); got != Celsius(49) {
		t.Errorf("54 °C − 9 °F = %v", got)
	}
}

type text interface {
	String() string
	Format(System) string
	encoding.TextMarshaler
}

// parsers by the name of the type, for the tables below.
var parsers = map[string]func(string) (text, error){
	"temperature": func(s string) (text, error) { return ParseTemperature(s) },
	"difference":  func(s string) (text, error) { return ParseDifference(s) },
	"length":      func(s string) (text, error) { return ParseLength(s) },
	"mass":        func(s string) (text, error) { return ParseMass(s) },
	"duration":    func(s string) (text, error) { return ParseDuration(s) },
	"share":       func(s string) (text, error) { return ParseShare(s) },
	"volume":      func(s string) (text, error) { return ParseVolume(s) },
	"power":       func(s string) (text, error) { return ParsePower(s) },
}

func TestParse(t *testing.T) {
	t.Parallel()
	tests := []struct{ kind, in, text, metric, us string }{
		{"temperature", "54 °C", "54 °C", "54 °C", "129.2 °F"},
		{"temperature", "54C", "54 °C", "54 °C", "129.2 °F"},
		{"temperature", "54℃", "54 °C", "54 °C", "129.2 °F"},
		{"temperature", "54.5 ºC", "54.5 °C", "54.5 °C", "130.1 °F"},
		{"temperature", "54\u00a0°C", "54 °C", "54 °C", "129.2 °F"},
		{"temperature", "-20 °C", "-20 °C", "-20 °C", "-4 °F"},
		{"temperature", "−20 °C", "-20 °C", "-20 °C", "-4 °F"},
		{"temperature", "130 °F", "130 °F", "54.4 °C", "130 °F"},
		{"temperature", "350 deg F", "350 °F", "176.7 °C", "350 °F"},
		{"temperature", "327.15 K", "327.15 K", "54 °C", "129.2 °F"},
		{"temperature", "-0 °C", "0 °C", "0 °C", "32 °F"},
		{"difference", "±0.3 °C", "0.3 °C", "0.3 °C", "0.54 °F"},
		{"difference", "+0.3 K", "0.3 K", "0.3 °C", "0.54 °F"},
		{"difference", "-1 °F", "-1 °F", "-0.56 °C", "-1 °F"},
		{"length", "18 mm", "18 mm", "18 mm", "0.71 in"},
		{"length", "1 1/4 in", "1 1/4 in", "31.8 mm", "1.25 in"},
		{"length", "1 ¼ in", "1 1/4 in", "31.8 mm", "1.25 in"},
		{"length", "1¼in", "1 1/4 in", "31.8 mm", "1.25 in"},
		{"length", "½ in", "1/2 in", "12.7 mm", "0.5 in"},
		{"length", "3/4 inch", "3/4 in", "19.1 mm", "0.75 in"},
		{"length", `1"`, "1 in", "25.4 mm", "1 in"},
		{"length", "2.5 cm", "2.5 cm", "25 mm", "0.98 in"},
		{"length", ".5 in", "0.5 in", "12.7 mm", "0.5 in"},
		{"mass", "142 g", "142 g", "142 g", "5 oz"},
		{"mass", "2 lb 3 oz", "2 lb 3 oz", "992.2 g", "2 lb 3 oz"},
		{"mass", "2lb 3.5oz", "2 lb 3.5 oz", "1.006 kg", "2 lb 3.5 oz"},
		{"mass", "1 lb 15.99 oz", "1 lb 15.99 oz", "906.9 g", "2 lb"},
		{"mass", "1/2 lb", "1/2 lb", "226.8 g", "8 oz"},
		{"mass", "2.345 g", "2.345 g", "2.35 g", "0.1 oz"},
		{"mass", "0 g", "0 g", "0 g", "0 oz"},
		{"duration", "45 min", "45 min", "45 min", "45 min"},
		{"duration", "1 h 30 min", "1 h 30 min", "90 min", "90 min"},
		{"duration", "1h30min", "1 h 30 min", "90 min", "90 min"},
		{"duration", "4.5 h", "4.5 h", "4 h 30 min", "4 h 30 min"},
		{"duration", "60 s", "60 s", "60 s", "60 s"},
		{"duration", "7 d", "7 d", "7 d", "7 d"},
		{"duration", "1 d 12 h", "1 d 12 h", "36 h", "36 h"},
		{"duration", "1 h 0 min", "1 h 0 min", "60 min", "60 min"},
		{"share", "0.6 %", "0.6 %", "0.6 %", "0.6 %"},
		{"share", "81%", "81 %", "81 %", "81 %"},
		{"volume", "20 l", "20 l", "20 l", "21.1 qt"},
		{"volume", "250 mL", "250 ml", "250 ml", "0.3 qt"},
		{"power", "1100 W", "1100 W", "1100 W", "1100 W"},
		{"power", "1.1 kW", "1.1 kW", "1100 W", "1100 W"},
	}
	for _, tt := range tests {
		got, err := parsers[tt.kind](tt.in)
		if err != nil {
			t.Errorf("%s %q: %v", tt.kind, tt.in, err)
			continue
		}
		if got.String() != tt.text || got.Format(Metric) != tt.metric || got.Format(US) != tt.us {
			t.Errorf("%s %q = %q, %q, %q; want %q, %q, %q", tt.kind, tt.in, got, got.Format(Metric), got.Format(US), tt.text, tt.metric, tt.us)
		}
		again, err := parsers[tt.kind](got.String())
		if err != nil || again != got {
			t.Errorf("%s %q read again: %#v, %v; want %#v", tt.kind, got, again, err, got)
		}
	}
}

// Every spelling of the table above matches the pattern of its kind, and no
// text of the table below does, unless only its value is at fault.
func TestPatterns(t *testing.T) {
	t.Parallel()
	kinds := map[string]Kind{}
	for k := KindTemperature; k <= KindPower; k++ {
		kinds[strings.TrimPrefix(k.Noun(), "a ")] = k
	}
	kinds["difference"] = KindDifference
	for kind, texts := range map[string][]string{
		"temperature": {"54 °C", "54C", "54℃", "130 degrees Fahrenheit", "−20 °C", "327.15 K", "1e2 °C", ".5 °C"},
		"difference":  {"±0.3 °C", "+0.3 K", "1 °F"},
		"length":      {"1 1/4 in", "1¼in", "½ in", "18 mm", `1"`},
		"mass":        {"2 lb 3 oz", "2lb 3.5oz", "1/2 lb", "142 g"},
		"duration":    {"1 h 30 min", "1h30min", "7 d", "1 d 12 h"},
		"share":       {"0.6 %", "81%"},
		"volume":      {"20 l", "250 mL"},
		"power":       {"1.1 kW"},
	} {
		re := regexp.MustCompile(kinds[kind].Pattern())
		for _, s := range append(texts, kinds[kind].Examples()...) {
			if _, err := parsers[kind](s); err != nil || !re.MatchString(s) {
				t.Errorf("%s %q: parsed %v, matched %v", kind, s, err == nil, re.MatchString(s))
			}
		}
		for _, s := range []string{"", "54", "54,5 °C", "54 x", "1:30", "warm", "54 °C and more"} {
			if re.MatchString(s) {
				t.Errorf("%s: %q matches", kind, s)
			}
		}
	}
}

func TestRefused(t *testing.T) {
	t.Parallel()
	tests := []struct{ kind, in, expected, hint string }{
		{"temperature", "54", "a temperature needs its unit", "write 54 °C or 54 °F"},
		{"temperature", "54,5 °C", "decimal point", "write 54.5 °C"},
		{"temperature", "54 mm", `no unit "mm"`, "write 54 °C or 54 °F"},
		{"temperature", "-300 °C", "colder", "check"},
		{"temperature", "-460 °F", "colder", "check"},
		{"temperature", "-0.1 K", "colder", "check"},
		{"temperature", "NaN °C", "finite", "leave it out"},
		{"temperature", ".inf", "finite", "leave it out"},
		{"temperature", "1e999 °C", "too large", "write it like"},
		{"temperature", "", "missing", "write it like 54 °C"},
		{"temperature", "warm", "a number with a unit", "write it like"},
		{"temperature", "±54 °C", "a number with a unit", "write it like"},
		{"temperature", "54 °C 3 °C", "one number", "write it like"},
		{"difference", "0.3", "needs its unit", "write 0.3 °C or 0.3 °F"},
		{"length", "18", "needs its unit", "write 18 mm or 18 in"},
		{"length", "1/0 in", "no 0 below", "write it like"},
		{"length", "1-1/4 in", "a space stands", "write 1 1/4 in"},
		{"length", "5_4 mm", `no unit "_"`, "write it like"},
		{"length", "18 mm - 20 mm", "not a range", "write 18 mm or 20 mm"},
		{"length", "-3 mm", "negative", "write 3 mm"},
		{"mass", "1,000 g", "thousands", "write 1000 g or 1.000 g"},
		{"mass", "2 lb 17 oz", "fewer than 16 oz", ""},
		{"mass", "2.5 lb 3 oz", "whole lb", ""},
		{"mass", "3 oz 2 lb", "one number", ""},
		{"mass", "-4 g", "negative", "write 4 g"},
		{"mass", "1e308 kg", "too large", ""},
		{"duration", "45", "needs its unit", "write 45 min or 45 h"},
		{"duration", "45 m", `no unit "m"`, "write 45 min or 45 h"},
		{"duration", "1 h 75 min", "fewer than 60 min", ""},
		{"duration", "1:30", "needs its units", "write 1 h 30 min or 1 min 30 s"},
		{"duration", "90:00", "needs its units", "write 90 h 0 min or 90 min 0 s"},
		{"duration", "1:02:03", "needs its units", "write 1 h 2 min 3 s"},
		{"duration", "1:75", "needs its units", "write it like"},
		{"duration", "1 h 30", "needs its unit", "write 1 h 30 min"},
		{"duration", "1 h 5 blinks", `no unit "blinks"`, "write 1 h 5 min"},
		{"duration", "40 to 50 min", "not a range", "write 40 min or 50 min"},
		{"temperature", "54 ± 0.3 °C", "one number", "write 54 °C"},
		{"temperature", "54 °C ± 0.3 °C", "one number", "write 54 °C"},
		{"temperature", "54-56 °C", "not a range", "write 54 °C or 56 °C"},
		{"temperature", "54–56 °F", "not a range", "write 54 °F or 56 °F"},
		{"temperature", "5_4 °C", `no unit "_"`, "write it like"},
		{"temperature", "5 4 °C", "needs its unit", "write it like"},
		{"temperature", "1,2,3 °C", "decimal point", "write it like"},
		{"mass", "2 lb 3 min", `no unit "min"`, "write 2 lb 3 oz"},
		{"mass", "2 lb 17", "needs its unit", "write it like"},
		{"mass", "1.234,5 g", "thousands", "write 1234.5 g"},
		{"mass", "1,234.5 g", "thousands", "write 1234.5 g"},
		{"mass", "1,234,567 g", "thousands", "write 1234567 g"},
		{"mass", "0,125 g", "decimal point here", "write 0.125 g"},
		{"share", "0.3", "needs its unit", "write 0.3 %"},
		{"power", "5 l", `no unit "l"`, "write 5 W or 5 kW"},
		{"volume", "-1 l", "negative", "write 1 l"},
		{"mass", strings.Repeat("9", 500) + " g", "number with a unit", ""},
	}
	for _, tt := range tests {
		got, err := parsers[tt.kind](tt.in)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%s %q = %v, %v; want an *Error", tt.kind, tt.in, got, err)
			continue
		}
		if !strings.Contains(e.Expected, tt.expected) || !strings.Contains(e.Hint, tt.hint) {
			t.Errorf("%s %q: %q, hint %q; want %q, %q", tt.kind, tt.in, e.Expected, e.Hint, tt.expected, tt.hint)
		}
	}
	_, err := ParseTemperature("54")
	if want := "54: write 54 °C or 54 °F"; err == nil || err.Error() != want {
		t.Errorf("error %v, want %q", err, want)
	}
}

// A hint that tells what to write can be typed: it parses, and it holds every
// digit that was typed, in order.
func TestHintsCanBeTyped(t *testing.T) {
	t.Parallel()
	digits := func(s string) string {
		return strings.Map(func(r rune) rune {
			if '1' <= r && r <= '9' {
				return r
			}
			return -1
		}, s)
	}
	numbers := []string{"5", "54", "1.5", "1,5", "1.234,5", "1,234", "1-1/4", "1 30", "5_4", "1:30", "1:02:03", "1 h 30", "2 lb 3", "1/0", "54-56", "1 2 3", "5 g 4"}
	for kind, parse := range parsers {
		for _, n := range numbers {
			for _, unit := range []string{"", " x", " min", " °C", " mm", "%", " :", " /2"} {
				_, err := parse(n + unit)
				var e *Error
				if !errors.As(err, &e) {
					continue
				}
				hints, found := strings.CutPrefix(e.Hint, "write ")
				if !found || strings.HasPrefix(hints, "it like") {
					continue
				}
				all := strings.Split(hints, " or ")
				kept := digits(all[0]) == digits(n+unit)
				for _, h := range all {
					if _, err := parse(h); err != nil {
						t.Errorf("%s %q: hint %q: %v", kind, n+unit, h, err)
					}
				}
				if len(all) > 1 && digits(strings.Join(all, "")) == digits(n+unit) {
					kept = true // a range, one end each
				}
				if !kept {
					t.Errorf("%s %q: hint %q loses a digit", kind, n+unit, e.Hint)
				}
			}
		}
	}
}

func TestCommas(t *testing.T) {
	t.Parallel()
	tests := map[string]string{
		"52,5": "52.5", "1.234,5": "1234.5", "1,234.5": "1234.5", "1,000 g": "1000 g|1.000 g", "0,125": "0.125", "-4,5 °C": "-4.5 °C",
		"1,234,567": "1234567", "12345,678": "12345.678", "1,2,3": "", "1.2,3": "", "": "", "a,b": "", "5": "",
	}
	for in, want := range tests {
		if got := strings.Join(Commas(in), "|"); got != want {
			t.Errorf("Commas(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestZeroValues(t *testing.T) {
	t.Parallel()
	zeros := map[string]text{
		"0 °C": Temperature{}, "0 K": Difference{}, "0 mm": Length{}, "0 g": Mass{}, "0 min": Duration{}, "0 %": Share{}, "0 l": Volume{}, "0 W": Power{},
	}
	for want, z := range zeros {
		if z.String() != want || !z.(interface{ IsZero() bool }).IsZero() {
			t.Errorf("zero value is %q, want %q", z, want)
		}
	}
	for _, bad := range []text{Celsius(math.NaN()), Grams(math.Inf(1)), Percent(math.NaN())} {
		if b, err := bad.MarshalText(); err == nil {
			t.Errorf("MarshalText of a value that is not finite gave %q", b)
		}
	}
}

func TestRounding(t *testing.T) {
	t.Parallel()
	lo, hi, ok := WindowInward(Celsius(50.3), Celsius(53.2), Metric)
	if !ok || lo != Celsius(50.5) || hi != Celsius(53) {
		t.Errorf("window %v to %v, %v", lo, hi, ok)
	}
	lo, hi, ok = WindowInward(Celsius(50.5), Celsius(53), US) // 122.9 to 127.4 °F
	if !ok || lo != Fahrenheit(123) || hi != Fahrenheit(127) {
		t.Errorf("window %v to %v, %v", lo, hi, ok)
	}
	if lo, hi, ok = WindowInward(Celsius(50.1), Celsius(50.4), Metric); ok || lo != Celsius(50.1) || hi != Celsius(50.4) {
		t.Errorf("a window without a rounded value: %v to %v, %v", lo, hi, ok)
	}
	for x := -200; x <= 2000; x++ { // a rounded bound stays where it is, in both systems
		c := Celsius(float64(x) / 2)
		if lo, hi, ok := WindowInward(c, c, Metric); !ok || lo != c || hi != c {
			t.Fatalf("window at %v moved to %v, %v", c, lo, hi)
		}
		f := Fahrenheit(float64(x))
		if lo, hi, ok := WindowInward(Celsius(f.Celsius()), Celsius(f.Celsius()), US); !ok || lo != f || hi != f {
			t.Fatalf("window at %v moved to %v, %v", f, lo, hi)
		}
	}
	if d := ToleranceInward(CelsiusDegrees(0.59), Metric); d != CelsiusDegrees(0.5) {
		t.Errorf("tolerance %v", d)
	}
	if d := ToleranceInward(CelsiusDegrees(0.5), US); d != FahrenheitDegrees(0.9) {
		t.Errorf("tolerance %v", d)
	}
	if m := MinimumUp(Celsius(54.41), Metric); m != Celsius(54.5) {
		t.Errorf("minimum %v", m)
	}
	if m := MinimumUp(Celsius(54.4), Metric); m != Celsius(54.4) {
		t.Errorf("minimum %v", m)
	}
	if m := MinimumUp(Celsius(54.4), US); m != Fahrenheit(130) {
		t.Errorf("minimum %v", m)
	}
	if d := MinimumTimeUp(FromMinutes(61)); d != FromMinutes(65) {
		t.Errorf("minimum time %v", d)
	}
	if d := DiscardTimeDown(FromMinutes(64.9)); d != FromMinutes(60) {
		t.Errorf("discard time %v", d)
	}
}

// The short way of reading gives what the long one does, or nothing.
func TestPlain(t *testing.T) {
	t.Parallel()
	kinds := []*kind{&temperatures, &differences, &lengths, &masses, &durations, &shares, &volumes, &powers}
	numbers := []string{"", "54", "54.5", "-3", "-0", "+3", ".5", "5.", "1e3", "1e400", "1e308", "-1e-400", "0x10", "1_0", "1,5", "1/4", "1 1/4", "½", "−3", "- 3", "nan", "007"}
	taken := 0
	for _, k := range kinds {
		words := []string{"", "c", "°C ", "° C", "mins", "g g", "℃"}
		for _, u := range k.units {
			words = append(words, u.name, strings.ToUpper(u.name), u.name+".", u.name+" 3 "+u.name)
		}
		for _, n := range numbers {
			for _, w := range words {
				for _, s := range []string{n + w, n + " " + w, n + "  " + w, " " + n + " " + w, n + "\t" + w} {
					a, ok := k.plain(s)
					if !ok {
						continue
					}
					taken++
					if b, err := k.read(s); err != nil || a != b || math.Signbit(a.v) != math.Signbit(b.v) {
						t.Errorf("%s %q: %+v in short, %+v and %v at length", k.noun, s, a, b, err)
					}
				}
			}
		}
	}
	if taken < 200 {
		t.Errorf("only %d texts were taken", taken)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"54 °C", "1 1/4 in", "2 lb 3 oz", "1 h 30 min", "±0.3 °C", "½ lb", "1e3 g", "54,5 °C", "NaN K", "1 d 2 h 3 min 4 s", "-0 °C", "1/3 in", "0x10 g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for kind, parse := range parsers {
			q, err := parse(s)
			if err != nil {
				var e *Error
				if !errors.As(err, &e) {
					t.Fatalf("%s %q: %T is not an *Error", kind, s, err)
				}
				continue
			}
			b, err := q.MarshalText()
			if err != nil {
				t.Fatalf("%s %q: %v", kind, s, err)
			}
			again, err := parse(string(b))
			if err != nil || again != q {
				t.Fatalf("%s %q → %q → %#v, %v; want %#v", kind, s, b, again, err, q)
			}
			_, _ = q.Format(Metric), q.Format(US)
		}
	})
}

// TestParseInUnit: a number whose unit stands elsewhere is read as the two joined
// are, or left to that.
func TestParseInUnit(t *testing.T) {
	t.Parallel()
	numbers := []string{"54", "-3", "0.25", ".5", "1e3", "", "-", "1/2", "5 ", " 5", "+5", "5 °C", "−5", "1e999", "999999999999999999999999999999999999999999999999999999999999999"}
	units := []string{"°C", "°F", "K", "g", "kg", "mm", "in", "min", "h", "%", "", "c", "°c", "deg C"}
	for _, number := range numbers {
		for _, unit := range units {
			if got, ok := Parse[Temperature](number, unit); ok {
				if want, err := ParseTemperature(number + " " + unit); err != nil || got != want {
					t.Errorf("%q in %q is %v, joined %v, %v", number, unit, got, want, err)
				}
			} else if number == "54" && (unit == "°C" || unit == "°F" || unit == "K") {
				t.Errorf("%q in %q is not read", number, unit)
			}
			if got, ok := Parse[Mass](number, unit); ok {
				if want, err := ParseMass(number + " " + unit); err != nil || got != want {
					t.Errorf("%q in %q is %v, joined %v, %v", number, unit, got, want, err)
				}
			}
		}
	}
}

func TestKindOf(t *testing.T) {
	t.Parallel()
	for k, got := range []Kind{KindOf[Temperature](), KindOf[Difference](), KindOf[Length](), KindOf[Mass](), KindOf[Duration](), KindOf[Share](), KindOf[Volume](), KindOf[Power]()} {
		if got != Kind(k) {
			t.Errorf("%v, want %v", got, Kind(k))
		}
	}
}
