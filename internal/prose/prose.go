package prose

import (
	"math"
	"strconv"
	"strings"

	"tamis/internal/quantity"
)

// The kinds of a quantity in a sentence. The kind decides the unit in which
// Value is stored and how it is rounded in each system.
const (
	SetPoint    = "set_point"   // °C; to 0.5 °C or whole °F
	WindowLow   = "window_low"  // °C; up to 0.5 °C or whole °F, see Other
	WindowHigh  = "window_high" // °C; down to 0.5 °C or whole °F, see Other
	Temperature = "temperature" // °C; at most Digits decimals, whole degrees whole
	Difference  = "difference"  // K; Digits decimals, × 1.8 in °F
	Tolerance   = "tolerance"   // K; down to 0.1 of the degree
	Duration    = "duration"    // minutes
	Length      = "length"      // millimetres
	Mass        = "mass"        // grams
	Share       = "share"       // 0 to 1, as a percentage
	Amount      = "amount"      // a value of a measure, Unit is its unit
	PerDegree   = "per_degree"  // measure units per °C; ÷ 1.8 in °F
	Count       = "count"       // a whole number
	PValue      = "p"           // a probability under a null hypothesis
)

// Quantity is a number in a sentence.
type Quantity struct {
	Kind   string  `json:"kind"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit,omitempty"`
	Digits int     `json:"digits"` // decimals
	// Other is the other end of a window, °C. Where rounding would leave less than
	// two set points of the window, its ends are given to a tenth of the degree, as
	// far inside as that goes.
	Other *float64 `json:"other,omitempty"`
}

// Part is a piece of a sentence: text or a quantity.
type Part struct {
	Text     string    `json:"text,omitempty"`
	Quantity *Quantity `json:"quantity,omitempty"`
}

// Sentence is one or more sentences of prose that belong together.
type Sentence []Part

// Say builds a sentence from strings and Quantities, in order. Anything else
// is ignored, so a slip shows in the golden files and not as a panic.
func Say(parts ...any) Sentence {
	n := 0
	for _, p := range parts {
		switch v := p.(type) {
		case Sentence:
			n += len(v)
		case string, Quantity:
			n++
		}
	}
	s := make(Sentence, 0, n)
	for _, p := range parts {
		switch v := p.(type) {
		case string:
			if v == "" {
				continue
			}
			if n := len(s); n > 0 && s[n-1].Quantity == nil {
				s[n-1].Text += v
			} else {
				s = append(s, Part{Text: v})
			}
		case Quantity:
			q := v
			s = append(s, Part{Quantity: &q})
		case Sentence:
			s = append(s, v...)
		}
	}
	if len(s) == 0 {
		return nil
	}
	return s
}

// Text renders the sentence in one system.
func (s Sentence) Text(sys quantity.System) string {
	var b strings.Builder
	for _, p := range s {
		if p.Quantity != nil {
			b.WriteString(p.Quantity.Text(sys))
		} else {
			b.WriteString(p.Text)
		}
	}
	return b.String()
}

// windowEnd is one end of a window from low to high, of which one stands for the
// other end where that is not known.
func (q Quantity) windowEnd(low, high quantity.Temperature, sys quantity.System) string {
	if q.Other != nil && q.Kind == WindowLow {
		high = quantity.Celsius(*q.Other)
	} else if q.Other != nil {
		low = quantity.Celsius(*q.Other)
	}
	lo, hi, ok := quantity.WindowInward(low, high, sys)
	if !ok || !(lo.Celsius() < hi.Celsius()) {
		lo, hi = low, high
		unit := quantity.Celsius
		if sys == quantity.US {
			unit = quantity.Fahrenheit
		}
		a, _ := low.In(sys)
		b, _ := high.In(sys)
		if l, h := math.Ceil(tenths(a)), math.Floor(tenths(b)); l < h {
			lo, hi = unit(l/10), unit(h/10)
		}
	}
	if q.Kind == WindowHigh {
		lo = hi
	}
	return lo.Format(sys)
}

// tenths is v in tenths, without the dust of binary fractions.
func tenths(v float64) float64 {
	if r := math.Round(10 * v); math.Abs(10*v-r) < 1e-7 {
		return r
	}
	return 10 * v
}

// Text renders the quantity in one system.
func (q Quantity) Text(sys quantity.System) string {
	t := quantity.Celsius(q.Value)
	switch q.Kind {
	case SetPoint:
		if sys == quantity.US {
			return quantity.Fahrenheit(math.Round(t.Fahrenheit())).Format(sys)
		}
		return quantity.Celsius(math.Round(2*q.Value) / 2).Format(sys)
	case WindowLow:
		return q.windowEnd(t, quantity.Celsius(q.Value+1000), sys)
	case WindowHigh:
		return q.windowEnd(quantity.Celsius(-273), t, sys)
	case Temperature:
		v, _ := t.In(sys)
		if math.Abs(v-math.Round(v)) < 0.5*math.Pow(10, -float64(q.Digits)) { // a tenth of it would be 0
			return t.FormatDigits(sys, 0)
		}
		return t.FormatDigits(sys, q.Digits)
	case Difference:
		return quantity.CelsiusDegrees(q.Value).FormatDigits(sys, q.Digits)
	case Tolerance:
		return quantity.ToleranceInward(quantity.CelsiusDegrees(q.Value), sys).Format(sys)
	case Duration:
		return quantity.FromMinutes(q.Value).Format(sys)
	case Length:
		return quantity.Millimetres(q.Value).Format(sys)
	case Mass:
		return quantity.Grams(q.Value).Format(sys)
	case Share:
		return Fixed(100*q.Value, q.Digits) + " %"
	case PerDegree:
		v, u := q.Value, "°C"
		if sys == quantity.US {
			v, u = q.Value/1.8, "°F"
		}
		return strings.TrimSpace(Fixed(v, q.Digits)+" "+q.Unit) + " per " + u
	case Count:
		return strconv.Itoa(int(math.Round(q.Value)))
	case PValue:
		return pText(q.Value)
	}
	return strings.TrimSpace(Fixed(q.Value, q.Digits) + " " + q.Unit)
}

// pText prints a p-value: "< 0.001" below that, else three decimals.
func pText(p float64) string {
	if p < 0.001 {
		return "< 0.001"
	}
	return Fixed(p, 3)
}

// Fixed prints v with n decimals and a true minus sign, never a negative zero.
func Fixed(v float64, n int) string {
	if n < 0 {
		n = 0
	}
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.HasPrefix(s, "-") {
		if strings.Trim(s, "-0.") == "" {
			return s[1:]
		}
		return "−" + s[1:]
	}
	return s
}

// DigitsFor is the number of decimals a value deserves: one more digit than
// the leading digit of its standard error, at most six. A standard error of 0
// or less gives two.
func DigitsFor(se float64) int {
	if !(se > 0) || math.IsInf(se, 0) {
		return 2
	}
	d := 1 - int(math.Floor(math.Log10(se)))
	return max(0, min(6, d))
}

// OutOfTen puts a chance in words: "9 in 10", "more likely than not".
func OutOfTen(p float64) string {
	n := int(math.Floor(p*10 + 1e-9)) // never more than the number says
	switch {
	case n <= 0:
		return "less than 1 in 10"
	case n >= 10:
		return "nearly certain"
	}
	return strconv.Itoa(n) + " in 10"
}
