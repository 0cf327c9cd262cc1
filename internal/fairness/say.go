package fairness

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// Difference says how two set points differ in a measure, as wide as the claim
// may be and with its hedges: the sentence that every page and the offered
// conclusion share. It is empty where the difference could not be estimated.
func (k *Claim) Difference(m *texture.Measure, d *texture.Difference) prose.Sentence {
	cold, hot := armNamed(m, d.A), armNamed(m, d.B)
	est, ok := d.Estimate.Get()
	if !ok || cold == nil || hot == nil {
		return nil
	}
	est = -est // B minus A: hot minus cold
	flip := 1.0
	if cold.SetPoint.Or(0) > hot.SetPoint.Or(0) {
		cold, hot, est, flip = hot, cold, -est, -1
	}
	digits := digitsOf(d.SE)
	name, at, than := measureWords(m.Name), celsius(hot.SetPoint.Or(0)), celsius(cold.SetPoint.Or(0))
	each := k.each()
	size := prose.Say(amount(math.Abs(est), m.Unit, digits), spreadOf(d, est, flip, digits))
	word := "higher"
	if est < 0 {
		word = "lower"
	}
	if low, high := d.Low.Get, d.High.Get; unclear(low, high) {
		return prose.Say("No difference in ", name, " could be shown between ", than, " and ", at, each, ": ", word, " at the hotter by ", size, ".")
	}
	if math.Abs(est) < 0.5*math.Pow10(-digits) {
		return prose.Say("Mean ", name, " was the same at ", than, " and ", at, each, ".")
	}
	switch level := k.levelOf(m.Name, d); {
	case level == L0:
		return k.observed(m, cold, hot)
	case level == L1 && m.Assessors == 0:
		return k.hedged(prose.Say("The ", at, " pieces had ", word, " ", name, " than the ", than, " pieces", each, ", by ", size))
	case level == L1:
		return k.hedged(prose.Say(panelWord(m), " scored the ", at, " pieces ", word, " in ", name, " than the ", than, " pieces", each, ", by ", size))
	case level == L2:
		return k.hedged(prose.Say("In our kitchen ", at, " tended to give ", word, " ", name, " than ", than, each, ", by ", size))
	case level == L3:
		return k.hedged(prose.Say("With this food, as we buy it, ", at, " gives ", word, " ", name, " than ", than, each, ", by ", size))
	}
	return k.hedged(prose.Say("Guests like those we asked give ", at, " ", word, " ", name, " than ", than, each, ", by ", size))
}

// levelOf is the level of one comparison, never above that of the trial.
func (k *Claim) levelOf(measure string, d *texture.Difference) Level {
	level := L0
	for _, c := range k.Contrasts {
		if c.Measure == measure && (c.A == d.A && c.B == d.B || c.A == d.B && c.B == d.A) {
			level = c.Level
		}
	}
	if k.Level >= L1 {
		return min(level, k.Level)
	}
	return level
}

// hedged ends a sentence with what weakens it: the first two hedges; the rest
// stand with the findings.
func (k *Claim) hedged(s prose.Sentence) prose.Sentence {
	for i, h := range k.Hedges {
		if i == 2 {
			break
		}
		s = prose.Say(s, "; ", h)
	}
	return prose.Say(s, ".")
}

// each says, after two set points, what they cannot be told apart from; nothing
// where a set point can stand alone.
func (k *Claim) each() string {
	switch k.Subject {
	case SubjectTime:
		return ", each with its own time"
	case SubjectMethod:
		return ", each with all that went with it"
	}
	return ""
}

func armNamed(m *texture.Measure, label string) *texture.Arm {
	for i := range m.Arms {
		if m.Arms[i].Arm == label && m.Arms[i].SetPoint.Known() {
			return &m.Arms[i]
		}
	}
	return nil
}

// digitsOf is one digit fewer than a standard error allows in a table.
func digitsOf(se quantity.Number) int {
	v, ok := se.Get()
	if !ok {
		return 1
	}
	return max(0, prose.DigitsFor(v)-1)
}

func unclear(low, high func() (float64, bool)) bool {
	l, ok := low()
	h, ok2 := high()
	return ok && ok2 && l <= 0 && h >= 0
}

// spreadOf is " (6.6 to 8.0)" in the direction of the difference, or nothing.
func spreadOf(d *texture.Difference, est, flip float64, digits int) prose.Sentence {
	low, ok := d.Low.Get()
	high, ok2 := d.High.Get()
	if !ok || !ok2 {
		return nil
	}
	if flip > 0 { // A minus B is turned around
		low, high = -high, -low
	}
	if est < 0 {
		low, high = -high, -low
	}
	return prose.Say(" (", amount(low, "", digits), " to ", amount(high, "", digits), ")")
}

func scoredWord(m *texture.Measure) string {
	if m.Assessors > 0 {
		return "scored"
	}
	return "had"
}

func panelWord(m *texture.Measure) string {
	if m.Assessors == 1 {
		return "Our taster"
	}
	return "Our panel"
}

func meanOf(m *texture.Measure, a *texture.Arm) prose.Sentence {
	v, ok := a.Mean.Get()
	if !ok {
		return prose.Say("no known mean")
	}
	return prose.Say(amount(v, m.Unit, digitsOf(a.SE)))
}

// better is the sentence that is offered in place of one that says too much: the
// leading comparison of the primary measure at its level.
func (c *Case) better() prose.Sentence {
	m := c.primaryFit()
	if m == nil || c.Claim == nil {
		return prose.Say("what was seen in this cook, in the past tense")
	}
	if d := leading(m); d != nil {
		if s := c.Claim.Difference(m, d); len(s) > 0 {
			return inside(s)
		}
	} else if s := c.seen(m); len(s) > 0 {
		return inside(s)
	}
	return prose.Say("what was seen in this cook, in the past tense")
}

// inside is a sentence as part of another one, which has a full stop of its own.
func inside(s prose.Sentence) prose.Sentence {
	s = slices.Clone(s)
	if n := len(s); n > 0 {
		s[n-1].Text = strings.TrimSuffix(s[n-1].Text, ".")
	}
	return prose.Say("“", s, "”")
}

// seen says of two set points what was observed, where nothing was repeated and
// so nothing can be compared: those that the conclusion names, else the coldest
// and the hottest.
func (c *Case) seen(m *texture.Measure) prose.Sentence {
	var all, named []*texture.Arm
	for i := range m.Arms {
		a := &m.Arms[i]
		if _, ok := a.Mean.Get(); !ok || a.Term != trial.SetPointFactor {
			continue
		}
		x, ok := a.SetPoint.Get()
		if !ok {
			continue
		}
		all = append(all, a)
		for _, u := range []quantity.System{quantity.Metric, quantity.US} {
			number, _, _ := strings.Cut(quantity.Celsius(x).Format(u), " ")
			if hasWord(c.Trial.Conclusion.V, number) {
				named = append(named, a)
				break
			}
		}
	}
	if len(named) < 2 {
		named = all
	}
	if len(named) < 2 {
		return nil
	}
	byHeat := func(a, b *texture.Arm) int { return cmp.Compare(a.SetPoint.Or(0), b.SetPoint.Or(0)) }
	cold, hot := slices.MinFunc(named, byHeat), slices.MaxFunc(named, byHeat)
	return c.Claim.observed(m, cold, hot)
}

// observed is the lowest rung: what was, of these pieces, in the past tense.
func (k *Claim) observed(m *texture.Measure, cold, hot *texture.Arm) prose.Sentence {
	return prose.Say("In this trial the pieces at ", celsius(hot.SetPoint.Or(0)), " ", scoredWord(m), " ", meanOf(m, hot), " in ", measureWords(m.Name), ", those at ", celsius(cold.SetPoint.Or(0)), " ", meanOf(m, cold), k.each(), ".")
}
