package prose

import (
	"testing"

	"tamis/internal/quantity"
)

// Rounding as the reports promise: windows inwards, tolerances × 1.8 without
// the 32, set points to half a degree or a whole °F.
func TestQuantityText(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		q          Quantity
		metric, us string
	}{
		{Quantity{Kind: SetPoint, Value: 51.3}, "51.5 °C", "124 °F"},
		{Quantity{Kind: WindowLow, Value: 50.1}, "50.5 °C", "123 °F"},
		{Quantity{Kind: WindowHigh, Value: 52.4}, "52 °C", "126 °F"},
		{Quantity{Kind: WindowLow, Value: 50.0}, "50 °C", "122 °F"},
		{Quantity{Kind: WindowLow, Value: 50.1, Other: other(52.4)}, "50.5 °C", "123 °F"},
		{Quantity{Kind: WindowHigh, Value: 52.4, Other: other(50.1)}, "52 °C", "126 °F"},
		// 62.46 to 63.06 °C hold two half degrees and one whole °F; 59.26 to 59.94 °C
		// hold one of each.
		{Quantity{Kind: WindowLow, Value: 62.46, Other: other(63.06)}, "62.5 °C", "144.5 °F"},
		{Quantity{Kind: WindowHigh, Value: 63.06, Other: other(62.46)}, "63 °C", "145.5 °F"},
		{Quantity{Kind: WindowLow, Value: 59.26, Other: other(59.94)}, "59.3 °C", "138.7 °F"},
		{Quantity{Kind: WindowHigh, Value: 59.94, Other: other(59.26)}, "59.9 °C", "139.8 °F"},
		// Less than a tenth: nothing is left inside, so it is the nearest tenth.
		{Quantity{Kind: WindowLow, Value: 59.26, Other: other(59.28)}, "59.3 °C", "138.7 °F"},
		{Quantity{Kind: WindowHigh, Value: 59.28, Other: other(59.26)}, "59.3 °C", "138.7 °F"},
		{Quantity{Kind: Temperature, Value: 60, Digits: 0}, "60 °C", "140 °F"},
		{Quantity{Kind: Difference, Value: 1, Digits: 1}, "1.0 °C", "1.8 °F"},
		{Quantity{Kind: Tolerance, Value: 0.69}, "0.6 °C", "1.2 °F"},
		{Quantity{Kind: Share, Value: 0.95}, "95 %", "95 %"},
		{Quantity{Kind: PerDegree, Value: 0.9, Unit: "N", Digits: 2}, "0.90 N per °C", "0.50 N per °F"},
		{Quantity{Kind: Count, Value: 18}, "18", "18"},
		{Quantity{Kind: PValue, Value: 0.00004}, "< 0.001", "< 0.001"},
		{Quantity{Kind: PValue, Value: 0.0314}, "0.031", "0.031"},
		{Quantity{Kind: Amount, Value: -1.25, Unit: "N", Digits: 1}, "−1.2 N", "−1.2 N"},
		{Quantity{Kind: Amount, Value: -0.001, Digits: 1}, "0.0", "0.0"},
		{Quantity{Kind: Duration, Value: 90}, "90 min", "90 min"},
	} {
		if got := c.q.Text(quantity.Metric); got != c.metric {
			t.Errorf("%+v in metric: %q, want %q", c.q, got, c.metric)
		}
		if got := c.q.Text(quantity.US); got != c.us {
			t.Errorf("%+v in US: %q, want %q", c.q, got, c.us)
		}
	}
}

func TestDigitsFor(t *testing.T) {
	t.Parallel()
	// One more digit than the leading digit of the standard error.
	for _, c := range []struct {
		se   float64
		want int
	}{{0.3, 2}, {0.03, 3}, {3, 1}, {30, 0}, {300, 0}, {0, 2}, {-1, 2}, {1e-9, 6}} {
		if got := DigitsFor(c.se); got != c.want {
			t.Errorf("DigitsFor(%v) = %d, want %d", c.se, got, c.want)
		}
	}
}

// A chance in words never says more than the number.
func TestOutOfTen(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		p    float64
		want string
	}{{0, "less than 1 in 10"}, {0.099, "less than 1 in 10"}, {0.1, "1 in 10"}, {0.79, "7 in 10"}, {0.8, "8 in 10"},
		{0.999, "9 in 10"}, {1, "nearly certain"}} {
		if got := OutOfTen(c.p); got != c.want {
			t.Errorf("OutOfTen(%v) = %q, want %q", c.p, got, c.want)
		}
	}
}

func TestSayJoins(t *testing.T) {
	t.Parallel()
	s := Say("a ", "b ", Quantity{Kind: Count, Value: 3}, "", Say(" c", Quantity{Kind: Count, Value: 4}), 7)
	if got := s.Text(quantity.Metric); got != "a b 3 c4" {
		t.Errorf("text %q", got)
	}
	if len(s) != 4 {
		t.Errorf("%d parts, want 4: neighbouring text is one part", len(s))
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	if got := List([]string{"a", "b", "c"}); got != "a, b and c" {
		t.Error(got)
	}
	if got := List(nil); got != "" {
		t.Error(got)
	}
	if got := Upper("ähre"); got != "Ähre" {
		t.Error(got)
	}
}

func other(celsius float64) *float64 { return &celsius }
