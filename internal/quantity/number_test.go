package quantity

import (
	"encoding/json"
	"math"
	"testing"
)

func TestNumber(t *testing.T) {
	t.Parallel()
	tests := []struct {
		n            Number
		known        bool
		text, inJSON string
	}{
		{Num(1.5), true, "1.5", "1.5"},
		{Num(1.0 / 3), true, "0.3333333333", "0.3333333333"},
		{Num(math.Copysign(0, -1)), true, "0", "0"},
		{Num(math.NaN()), false, "(no finite value)", `{"absent":"no finite value"}`},
		{Num(math.Inf(-1)), false, "(no finite value)", `{"absent":"no finite value"}`},
		{Absent("one cook"), false, "(one cook)", `{"absent":"one cook"}`},
		{Number{}, false, "(not computed)", `{"absent":"not computed"}`},
	}
	for _, tt := range tests {
		b, err := json.Marshal(tt.n)
		if err != nil || string(b) != tt.inJSON || tt.n.String() != tt.text || tt.n.Known() != tt.known {
			t.Errorf("%v: %s, %s, %v, %v; want %s, %s, %v", tt.n, b, tt.n, tt.n.Known(), err, tt.inJSON, tt.text, tt.known)
		}
		var back Number
		if err := json.Unmarshal(b, &back); err != nil || back.String() != tt.n.String() {
			t.Errorf("%s read back as %v, %v", b, back, err)
		}
		if v, ok := tt.n.Get(); ok != tt.known || !ok && tt.n.Or(7) != 7 || ok && tt.n.Or(7) != v {
			t.Errorf("%v: Get %v, %v; Or %v", tt.n, v, ok, tt.n.Or(7))
		}
	}
	for _, bad := range []string{`"x"`, `{}`, `{"absent":3}`, `[1]`} {
		var n Number
		if err := json.Unmarshal([]byte(bad), &n); err == nil {
			t.Errorf("%s was read as %v", bad, n)
		}
	}
}

func TestFormatDigits(t *testing.T) {
	t.Parallel()
	tests := []struct {
		x interface {
			FormatDigits(System, int) string
			In(System) (float64, string)
		}
		n          int
		metric, us string
	}{
		{Celsius(54), 1, "54.0 °C", "129.2 °F"},
		{CelsiusDegrees(0.5), 1, "0.5 °C", "0.9 °F"},
		{Millimetres(18), 2, "18.00 mm", "0.71 in"},
		{Grams(1500), 2, "1.50 kg", "3.31 lb"},
		{Grams(-0.001), 1, "0.0 g", "0.0 oz"},
		{FromHours(4.5), 1, "4.5 h", "4.5 h"},
		{FromSeconds(30), 0, "30 s", "30 s"},
		{Percent(0.6), 1, "0.6 %", "0.6 %"},
		{Millilitres(250), 0, "250 ml", "0 qt"},
		{Kilowatts(1.1), 0, "1100 W", "1100 W"},
		{Celsius(54), 99, "54.000000000000 °C", "129.200000000000 °F"},
		{Celsius(54), -1, "54 °C", "129 °F"},
	}
	for _, tt := range tests {
		if m, u := tt.x.FormatDigits(Metric, tt.n), tt.x.FormatDigits(US, tt.n); m != tt.metric || u != tt.us {
			t.Errorf("%v with %d digits: %q, %q; want %q, %q", tt.x, tt.n, m, u, tt.metric, tt.us)
		}
	}
}

func TestWrittenUnits(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		x interface {
			Unit() string
			Value() float64
			UnmarshalText([]byte) error
		}
		text, unit string
		value      float64
	}{
		{new(Temperature), "350 °F", "°F", 350}, {new(Length), "1 1/4 in", "in", 1.25}, {new(Mass), "2 lb 3 oz", "oz", 35},
		{new(Duration), "1 h 30 min", "min", 90}, {new(Share), "0.6 %", "%", 0.6}, {new(Volume), "20 l", "l", 20}, {new(Power), "1.1 kW", "kW", 1.1},
	} {
		if err := tt.x.UnmarshalText([]byte(tt.text)); err != nil || tt.x.Unit() != tt.unit || tt.x.Value() != tt.value {
			t.Errorf("%s: %v %s, %v", tt.text, tt.x.Value(), tt.x.Unit(), err)
		}
		if err := tt.x.UnmarshalText([]byte("7")); err == nil || tt.x.Value() != tt.value {
			t.Errorf("%s: a text that is refused changed the value, or was not refused", tt.text)
		}
	}
	if d := CelsiusDegrees(-0.5).Neg(); d != CelsiusDegrees(0.5) || d.Abs() != d || !CelsiusDegrees(0).Neg().IsZero() {
		t.Errorf("sign of a difference: %v", d)
	}
}
