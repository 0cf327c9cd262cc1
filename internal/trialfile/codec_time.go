package trialfile

import (
	"fmt"
	"regexp"
	"strings"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

const (
	datePattern  = `[0-9]{4}-[0-9]{2}-[0-9]{2}`
	clockPattern = `^(` + datePattern + `[ T])?[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?$`
)

var otherDay = regexp.MustCompile(`^([0-9]{1,4})[./-]([0-9]{1,2})[./-]([0-9]{2,4})$`)

// date is a day of the calendar, 2026-02-11.
var date = codec[trial.Date]{
	read: func(r *reader, it *item) (trial.Date, bool) {
		s, ok := r.one(it, "a date")
		if !ok {
			return trial.Date{}, false
		}
		d, problem := parseDate(strings.TrimSpace(s))
		if problem == "" {
			return d, true
		}
		hint := "write it like 2026-02-11 (year-month-day)"
		if m := otherDay.FindStringSubmatch(s); m != nil && len(m[3]) == 4 {
			hint = fmt.Sprintf("write %s-%02s-%02s, or %s-%02s-%02s", m[3], m[2], m[1], m[3], m[1], m[2])
		}
		r.fail(it.at, "bad-date", fmt.Sprintf("%s %s", quote(s), problem), hint)
		return trial.Date{}, false
	},
	write: func(d trial.Date) *item { return textItem(d.String()) },
	schema: func() js {
		return js{marker: "date", "type": "string", "pattern": "^" + datePattern + "$", "examples": []string{"2026-02-11"}}
	},
}

var monthDays = [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// parseDate returns the problem in words, "" when there is none.
func parseDate(s string) (trial.Date, string) {
	if !looksLikeDate(s) {
		return trial.Date{}, "is not a date"
	}
	d := trial.Date{Year: atoi(s[:4]), Month: atoi(s[5:7]), Day: atoi(s[8:])}
	if d.Month < 1 || d.Month > 12 {
		return d, "has no such month"
	}
	days := monthDays[d.Month-1]
	if d.Month == 2 && (d.Year%4 == 0 && d.Year%100 != 0 || d.Year%400 == 0) {
		days = 29
	}
	if d.Day < 1 || d.Day > days {
		return d, "is not a day of the calendar"
	}
	if d.Year < 1800 || d.Year > 2999 {
		return d, "has an unlikely year"
	}
	return d, ""
}

// looksLikeDate reports whether a text matches datePattern.
func looksLikeDate(s string) bool {
	return len(s) == len("2026-02-11") && s[4] == '-' && s[7] == '-' && allDigits(s[:4]) && allDigits(s[5:7]) && allDigits(s[8:])
}

func allDigits(s string) bool {
	for i := range len(s) {
		if !isDigit(s[i]) {
			return false
		}
	}
	return true
}

// atoi reads digits that a pattern has already bounded.
func atoi(s string) int {
	n := 0
	for i := range len(s) {
		n = 10*n + int(s[i]-'0')
	}
	return n
}

// clock is a time of day, with a date where it has one.
var clock = codec[trial.Clock]{
	read: func(r *reader, it *item) (trial.Clock, bool) {
		s, ok := r.one(it, "a clock time")
		if !ok {
			return trial.Clock{}, false
		}
		c, problem := parseClock(strings.TrimSpace(s))
		if problem == "" {
			return c, true
		}
		r.fail(it.at, "bad-clock", fmt.Sprintf("%s %s", quote(s), problem), clockHint(s))
		return trial.Clock{}, false
	},
	write: func(c trial.Clock) *item { return textItem(c.String()) },
	schema: func() js {
		return js{marker: "clock-time", "type": "string", "pattern": clockPattern, "examples": []string{"10:05", "2026-02-10 22:05"}}
	},
}

func clockHint(s string) string {
	t := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(s), " ", ""))
	for _, suffix := range []string{"am", "pm", "uhr", "h"} {
		if rest, found := strings.CutSuffix(t, suffix); found {
			rest = strings.ReplaceAll(rest, ".", ":")
			if !strings.Contains(rest, ":") {
				rest += ":00"
			}
			c, problem := parseClock(rest)
			if problem == "" {
				if suffix == "pm" && c.Minute < 12*60 {
					c.Minute += 12 * 60
				}
				return "write " + c.String()
			}
		}
	}
	if c, problem := parseClock(strings.Replace(t, ".", ":", 1)); problem == "" {
		return "write " + c.String()
	}
	return "write it like 10:05, or with its day 2026-02-10 22:05"
}

// parseClock reads what clockPattern matches. It returns the problem in words, ""
// when there is none.
func parseClock(s string) (trial.Clock, string) {
	const no = "is not a clock time"
	day, rest := "", s
	if n := len("2026-02-11"); len(s) > n && (s[n] == ' ' || s[n] == 'T') {
		day, rest = s[:n], s[n+1:]
		if !looksLikeDate(day) {
			return trial.Clock{}, no
		}
	}
	hour, rest, ok := strings.Cut(rest, ":")
	minute, second, seconds := strings.Cut(rest, ":")
	if !ok || len(hour) < 1 || len(hour) > 2 || len(minute) != 2 || seconds && len(second) != 2 || !allDigits(hour) || !allDigits(minute) || !allDigits(second) {
		return trial.Clock{}, no
	}
	c := trial.Clock{Minute: 60*atoi(hour) + atoi(minute), Second: atoi(second)}
	if atoi(hour) > 23 || atoi(minute) > 59 || c.Second > 59 {
		return trial.Clock{}, "is not a time of the day"
	}
	if day != "" {
		d, problem := parseDate(day)
		if problem != "" {
			return trial.Clock{}, problem
		}
		c.Date = d
	}
	return c, ""
}

var rangeRE = regexp.MustCompile(`^\s*(\S+)\s*(?:to|–|\.\.)\s*(\S+)\s*$`)

// dashed is a range as it is typed elsewhere: 5-6.
var dashed = regexp.MustCompile(`^\s*([0-9.]+)\s*-\s*([0-9.]+)\s*$`)

// rangeOf is two numbers, the lower first: 5 to 6.5.
var rangeOf = codec[trial.Range]{
	read: func(r *reader, it *item) (trial.Range, bool) { return r.span(it, "") },
	write: func(v trial.Range) *item {
		return textItem(formatNumber(v.Low) + " to " + formatNumber(v.High))
	},
	schema: func() js {
		return js{"type": "string", "pattern": `^\s*[-+−]?[0-9.eE+-]+\s*(to|–|\.\.)\s*[-+−]?[0-9.eE+-]+.*$`, "examples": []string{"0 to 10"}}
	},
}

// span reads a range whose numbers may carry the unit of their measure.
func (r *reader) span(it *item, unit string) (trial.Range, bool) {
	s, ok := r.one(it, "a range")
	if !ok {
		return trial.Range{}, false
	}
	body := s
	if unit != "" {
		body = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(s), unit))
	}
	bad := func(text, hint string) (trial.Range, bool) {
		r.fail(it.at, "bad-range", text, hint)
		return trial.Range{}, false
	}
	m := rangeRE.FindStringSubmatch(body)
	if m == nil {
		hint := "write it like 0 to 10"
		if d := dashed.FindStringSubmatch(body); d != nil {
			hint = "write " + d[1] + " to " + d[2]
		}
		return bad(fmt.Sprintf("%s is not a range", quote(s)), hint)
	}
	low, err1 := parseNumber(m[1], it.cell)
	high, err2 := parseNumber(strings.TrimSuffix(m[2], "."), it.cell)
	if err1 != nil || err2 != nil {
		return bad(fmt.Sprintf("%s is not a range of two numbers", quote(s)), "write it like 0 to 10")
	}
	if !(low < high) {
		return bad(fmt.Sprintf("the range %s is empty", quote(s)), fmt.Sprintf("write the lower end first: %s to %s", formatNumber(min(low, high)), formatNumber(max(low, high)+b2f(low == high))))
	}
	return trial.Range{Low: low, High: high}, true
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// reads is the known error of a thermometer: 0.1 °C high is +0.1 °C.
var reads = codec[quantity.Difference]{
	read: func(r *reader, it *item) (quantity.Difference, bool) {
		s, ok := r.one(it, "an error such as 0.1 °C high")
		if !ok {
			return quantity.Difference{}, false
		}
		body, sign := strings.TrimSpace(s), 0.0
		if t, found := strings.CutSuffix(body, "high"); found {
			body, sign = t, 1
		} else if t, found := strings.CutSuffix(body, "low"); found {
			body, sign = t, -1
		}
		d, err := quantity.ParseDifference(cellQuantity(strings.TrimSpace(body), it.cell))
		if err != nil {
			r.quantityError(it, err)
			return d, false
		}
		if sign == 0 && d.Kelvin() != 0 && !strings.HasPrefix(body, "+") && !strings.HasPrefix(body, "-") && !strings.HasPrefix(body, "−") {
			r.fail(it.at, "no-direction", fmt.Sprintf("%s: does the thermometer read high or low?", quote(s)), fmt.Sprintf("write %s high or %s low", d, d))
			return d, false
		}
		if sign != 0 && d.Kelvin() < 0 {
			r.fail(it.at, "no-direction", fmt.Sprintf("%s has both a sign and a direction", quote(s)), fmt.Sprintf("write %s high or %s low", d.Abs(), d.Abs()))
			return d, false
		}
		if sign < 0 {
			d = d.Neg()
		}
		return d, true
	},
	write: func(d quantity.Difference) *item {
		switch {
		case d.Kelvin() < 0:
			return textItem(d.Abs().String() + " low")
		case d.Kelvin() > 0:
			return textItem(d.String() + " high")
		}
		return textItem(d.String())
	},
	schema: func() js {
		p := strings.TrimSuffix(quantity.KindDifference.Pattern(), "$")
		return js{"type": "string", "pattern": p + `(\s*(high|low))?$`, "examples": []string{"0.1 °C high"}}
	},
}
