package fairness

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
)

// count is a whole number in a sentence.
func count(n int) prose.Quantity { return prose.Quantity{Kind: prose.Count, Value: float64(n)} }

// asRead is the coldest that a proposed set point may be read as: it is printed
// in tenths or halves of a degree Celsius, or in whole degrees Fahrenheit.
func asRead(celsius float64) float64 {
	return min(celsius, math.Round(10*celsius)/10, math.Round(2*celsius)/2, quantity.Fahrenheit(math.Round(quantity.Celsius(celsius).Fahrenheit())).Celsius())
}

// pWords is what stands after "p": "= 0.031", or "< 0.001".
func pWords(p float64) prose.Sentence {
	q := prose.Quantity{Kind: prose.PValue, Value: p}
	if strings.HasPrefix(q.Text(quantity.Metric), "<") {
		return prose.Say(q)
	}
	return prose.Say("= ", q)
}

// plural picks a word by number.
func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// levelWords names a level of the compared factor in both units.
func (c *Case) levelWords(level int) prose.Sentence {
	if c.Factor.IsSetPoint() {
		return prose.Say(celsius(c.Factor.Values[level]))
	}
	return prose.Say(c.label(level))
}

// levelsWords is "46 °C and 54 °C".
func (c *Case) levelsWords(levels ...int) prose.Sentence {
	items := make([]prose.Sentence, len(levels))
	for i, l := range levels {
		items[i] = c.levelWords(l)
	}
	return prose.And(items...)
}

// celsius is a temperature in a sentence, with the decimal it has: a set point
// that was written in °F has no more to tell.
func celsius(v float64) prose.Quantity {
	return prose.Quantity{Kind: prose.Temperature, Value: v, Digits: decimals(v)}
}

// kelvins is a temperature difference in a sentence, to a tenth.
func kelvins(v float64) prose.Quantity {
	return prose.Quantity{Kind: prose.Difference, Value: v, Digits: 1}
}

func decimals(v float64) int {
	if math.Abs(v-math.Round(v)) < 1e-6 {
		return 0
	}
	return 1
}

// minutes is a time in a sentence, to a tenth of a minute where it is short.
func minutes(v float64) prose.Quantity {
	if v < 20 {
		v = math.Round(10*v) / 10
	} else {
		v = math.Round(v)
	}
	return prose.Quantity{Kind: prose.Duration, Value: v}
}

// minutesBetween are the ends of a range in a sentence, both to the same digit: to
// whole minutes where the larger is long, unless that would make one of them the
// time beside them, to which they are compared.
func minutesBetween(low, high, beside float64) (prose.Quantity, prose.Quantity) {
	step := 1.0
	if high < 20 || math.Round(low) == math.Round(beside) || math.Round(high) == math.Round(beside) || math.Round(low) == math.Round(high) {
		step = 10
	}
	end := func(v float64) prose.Quantity {
		return prose.Quantity{Kind: prose.Duration, Value: math.Round(step*v) / step}
	}
	return end(low), end(high)
}

// percent is a share of 0 to 1 in a sentence, as a whole percentage.
func percent(v float64) prose.Quantity { return prose.Quantity{Kind: prose.Share, Value: v} }

// amount is a value of a measure or another plain number in a sentence.
func amount(v float64, unit string, digits int) prose.Quantity {
	return prose.Quantity{Kind: prose.Amount, Value: v, Unit: unit, Digits: digits}
}

// factorWords names the compared factor: "set point", "brine", "recipe".
func (c *Case) factorWords() string {
	return strings.ReplaceAll(c.Factor.Name, "_", " ")
}

// listWords joins the first few names and counts the rest, so that a sentence
// stays one: "A, B and 4 more".
func listWords(names []string) string {
	const most = 4
	if len(names) > most+1 {
		return prose.List(append(slices.Clone(names[:most]), strconv.Itoa(len(names)-most)+" more"))
	}
	return prose.List(names)
}

// measureWords turns the name of a measure into words.
func measureWords(name string) string { return strings.ReplaceAll(name, "_", " ") }

// labels names levels as the file does.
func (c *Case) labels(levels ...int) []string {
	out := make([]string, len(levels))
	for i, l := range levels {
		out[i] = c.label(l)
	}
	return out
}

// person is how an assessor of the file is shown: P1, P2 … in the order of
// trial.AssessorIDs, as the fit does. Names stay in the file.
func (c *Case) person(id string) string {
	scored := c.Trial.AssessorIDs()
	for i, known := range scored {
		if known == id {
			return "P" + strconv.Itoa(i+1)
		}
	}
	// Who is described and has no line of a score sheet comes after those who have.
	n := len(scored)
	for i := range c.Trial.Panel.V.Assessors {
		described := c.Trial.Panel.V.Assessors[i].ID
		if slices.Contains(scored, described) {
			continue
		}
		n++
		if described == id {
			return "P" + strconv.Itoa(n)
		}
	}
	return id
}

func (c *Case) persons(ids []string) []string {
	if len(ids) == 0 {
		return ids
	}
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = c.person(id)
	}
	return out
}
