package answer

import (
	"math"
	"slices"

	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// The verdicts for eating now, worst first, as a result spells them.
var (
	VerdictDoNotEat       = safety.DoNotEat.String()
	VerdictNone           = safety.NoVerdict.String()
	VerdictNotPasteurised = safety.NotPasteurised.String()
	VerdictPasteurised    = safety.Pasteurised.String()
	VerdictNotAsked       = safety.NotAsked.String()
)

// safetyOf is the verdict on what the answer names: the headline set point by
// its method, computed anew, or without one the worst of what was cooked.
func safetyOf(t *trial.Trial, r *Result, judged *safety.Result) Safety {
	v := judged.Overall
	w := headOf(r)
	celsius, method, ok := named(r, w)
	if ok {
		v = safety.For(t, celsius, cooksBy(t, method))
	}
	lead, rest := safety.Cautions(t, v)
	if ok && v.Verdict != safety.DoNotEat {
		low := coldestReading(lowestShown(w))
		if floor, ok := safety.Floor(t, low, celsius, cooksBy(t, method)); ok {
			below := safety.For(t, low, cooksBy(t, method)).Verdict
			lead = slices.Insert(lead, 1, safety.FloorCaution(floor, v.Verdict, below))
		}
	}
	s := Safety{Verdict: v.Verdict.String(), Lead: spoken(lead), Cautions: spoken(rest)}
	if len(v.Why) > 0 {
		s.Why = v.Why[0].Text.Sentence().Text(quantity.Metric)
	}
	return s
}

// headOf is the headline window, nil when there is none.
func headOf(r *Result) *texture.Window {
	for i := range r.Windows {
		if r.Windows[i].Headline {
			return &r.Windows[i]
		}
	}
	return nil
}

// lowestShown is the low end of the widest window that is put in words, °C; +Inf
// where there is none.
func lowestShown(w *texture.Window) float64 {
	low := math.Inf(1)
	for _, s := range []texture.Span{w.Next.Range, w.Next.Likely, w.Mean.Range, w.Mean.Likely} {
		if v, ok := s.Low.Get(); ok && s.Stretches > 0 {
			low = math.Min(low, v)
		}
	}
	return low
}

// named is the set point in °C that the answer names, if it names one, as cold
// as it may be read: what is shown is rounded, and somebody cooks by that.
func named(r *Result, w *texture.Window) (celsius float64, method string, ok bool) {
	if w == nil {
		return 0, "", false
	}
	if best, known := w.Best.Get(); known && !r.OneCookEach() && w.Cannot == "" && holds(w) {
		return coldestReading(best), w.Method, true
	}
	c := closestOf(r)
	if c == nil {
		return 0, "", false
	}
	celsius, ok = c.SetPoint.Get()
	return coldestReading(celsius), c.Method, ok
}

func coldestReading(celsius float64) float64 {
	half := math.Round(2*celsius) / 2
	fahrenheit := (math.Round(celsius*1.8+32) - 32) / 1.8
	tenth := math.Round(10*celsius) / 10
	return min(celsius, half, tenth, fahrenheit)
}

// cooksBy are the cooks of which any piece was cooked by the method, by its
// label; all of them where the label names none.
func cooksBy(t *trial.Trial, method string) []int {
	rows := t.Layout()
	methods, code := trial.Methods(t.VariedFactors(rows), len(rows))
	var cooks []int
	seen := map[int]bool{}
	for i, row := range rows {
		if methods[code[i]].Label == method && !seen[row.Cook] {
			seen[row.Cook] = true
			cooks = append(cooks, row.Cook)
		}
	}
	return cooks
}

func spoken(cs []safety.Caution) []Sentence {
	out := make([]Sentence, len(cs))
	for i, c := range cs {
		out[i] = c.Text.Sentence()
	}
	return out
}
