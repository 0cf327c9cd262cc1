package report

import (
	"sort"
	"strconv"
	"strings"

	"tamis/internal/answer"
	"tamis/internal/quantity"
)

// dash is what a table has where there is no value; the reason goes below it.
const dash = "–"

// fixed is a number with so many decimals.
func (t *numbered) fixed(n quantity.Number, digits int) cellView {
	v, ok := n.Get()
	if !ok {
		return t.none(n)
	}
	return cellView{Words: words{{Text: answer.Fixed(v, digits)}}}
}

func (t *numbered) none(n quantity.Number) cellView {
	t.absent[clean(n.Reason())] = true
	return cellView{Words: words{{Text: dash}}}
}

// significant is a number with so many significant digits.
func (t *numbered) significant(n quantity.Number, digits int) cellView {
	v, ok := n.Get()
	if !ok {
		return t.none(n)
	}
	return cellView{Words: words{{Text: significant(v, digits)}}}
}

// brief is a number with at most so many significant digits.
func (t *numbered) brief(n quantity.Number, digits int) cellView {
	v, ok := n.Get()
	if !ok {
		return t.none(n)
	}
	s := significant(v, digits)
	if strings.Contains(s, ".") && !strings.Contains(s, "e") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return cellView{Words: words{{Text: s}}}
}

// interval has two ends; an open end says so.
func (t *numbered) interval(low, high quantity.Number, digits int) cellView {
	lo, okLo := low.Get()
	hi, okHi := high.Get()
	switch {
	case okLo && okHi:
		return cellView{Words: words{{Text: answer.Fixed(lo, digits) + " to " + answer.Fixed(hi, digits)}}}
	case okLo:
		return cellView{Words: words{{Text: "from " + answer.Fixed(lo, digits)}}}
	case okHi:
		return cellView{Words: words{{Text: "to " + answer.Fixed(hi, digits)}}}
	}
	return t.none(low)
}

func (t *numbered) p(n quantity.Number) cellView {
	v, ok := n.Get()
	if !ok {
		return t.none(n)
	}
	return cellView{Words: words{{Text: strings.ReplaceAll(answer.Quantity{Kind: answer.PValue, Value: v}.Text(quantity.Metric), " ", "\u00a0")}}}
}

// df prints degrees of freedom: whole where they are whole.
func (t *numbered) df(n quantity.Number) cellView {
	v, ok := n.Get()
	if ok && v == float64(int(v)) {
		return t.fixed(n, 0)
	}
	return t.fixed(n, 1)
}

// degrees is a temperature in °C in the reader's unit.
func (t *numbered) degrees(n quantity.Number) cellView {
	v, ok := n.Get()
	if !ok {
		return t.none(n)
	}
	return cellView{Words: tenths(v)}
}

// tenths is a temperature with one decimal, so that a column of them lines up.
func tenths(celsius float64) words {
	t := quantity.Celsius(celsius)
	return words{{Metric: t.FormatDigits(quantity.Metric, 1), US: t.FormatDigits(quantity.US, 1), Dual: true}}
}

// minutes is a number of minutes.
func (t *numbered) minutes(n quantity.Number) cellView { return t.fixed(n, 0) }

// significant prints v with so many significant digits and no exponent where
// that stays readable.
func significant(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	a := abs(v)
	switch {
	case a >= 1e7 || a < 1e-5:
		return strings.Replace(strconv.FormatFloat(v, 'e', digits-1, 64), "-", "−", 2)
	}
	s := strconv.FormatFloat(v, 'g', digits, 64)
	f, _ := strconv.ParseFloat(s, 64)
	d := 0
	for x := abs(f); x < pow10(digits-1) && d < digits+5; d++ {
		x *= 10
	}
	return answer.Fixed(f, d)
}

func pow10(n int) float64 {
	p := 1.0
	for range n {
		p *= 10
	}
	return p
}

func sortedKeys(set map[string]bool) []string {
	out := make([]string, 0, len(set))
	for k := range set {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
