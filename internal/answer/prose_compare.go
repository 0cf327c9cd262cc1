package answer

import (
	"math"

	"tamis/internal/texture"
	"tamis/internal/trial"
)

// compare puts the largest differences in words, as wide as the claim ladder
// allows and with the hedges of what else changed.
func (b *builder) compare() []Sentence {
	var out []Sentence
	for _, m := range b.r.Measures {
		if b.isAim(m.Name) && len(m.Arms) > 1 {
			if s := b.acrossArms(m); s != nil {
				out = append(out, s)
			}
		}
	}
	return append(out, b.treatments()...)
}

func (b *builder) levelsOf(factor string) int {
	for _, u := range b.r.Units {
		if u.Factor == factor {
			return len(u.Levels)
		}
	}
	return 0
}

func (b *builder) isAim(measure string) bool {
	for _, a := range b.t.Aims {
		if a.Measure == measure {
			return true
		}
	}
	return false
}

// gap is a difference as it is put in words: second minus first.
type gap struct {
	m              *texture.Measure
	est, low, high float64
	bounded        bool // the interval is known
	digits         int
}

// gapOf turns A minus B around.
func gapOf(m *texture.Measure, d texture.Difference) (gap, bool) {
	est, ok := d.Estimate.Get()
	low, ok1 := d.Low.Get()
	high, ok2 := d.High.Get()
	return gap{m: m, est: -est, low: -high, high: -low, bounded: ok1 && ok2, digits: digitsOf(d.SE)}, ok
}

// unclear reports whether the interval leaves the direction open.
func (g gap) unclear() bool { return g.bounded && g.low <= 0 && g.high >= 0 }

// zero reports whether there is no difference in the digits that are shown.
func (g gap) zero() bool { return math.Abs(g.est) < 0.5*math.Pow(10, -float64(g.digits)) }

// size is "7.3 (6.6 to 8.0)", in the direction of the difference.
func (g gap) size() Sentence {
	return Say(Quantity{Kind: Amount, Value: math.Abs(g.est), Unit: unitWords(g.m), Digits: g.digits}, g.spread())
}

// spread is " (6.6 to 8.0)", in the direction of the difference, or nothing.
func (g gap) spread() Sentence {
	if !g.bounded {
		return nil
	}
	low, high := g.low, g.high
	if g.est < 0 {
		low, high = -high, -low
	}
	return Say(" (", Quantity{Kind: Amount, Value: low, Digits: g.digits}, " to ", Quantity{Kind: Amount, Value: high, Digits: g.digits}, ")")
}

// pick is the word for the direction.
func (g gap) pick(up, down string) string {
	if g.est < 0 {
		return down
	}
	return up
}

// acrossArms compares the two ends of the set points.
func (b *builder) acrossArms(m *texture.Measure) Sentence {
	cold, hot := m.Arms[0], m.Arms[len(m.Arms)-1]
	for _, d := range m.Differences {
		if d.Term != trial.SetPointFactor || d.A != cold.Arm || d.B != hot.Arm || d.Adjust == "dunnett" {
			continue
		}
		if b.r.Claim == nil {
			return nil
		}
		return b.r.Claim.Difference(m, &d)
	}
	return nil
}

func tempOf(n texture.Number) Sentence {
	v, ok := n.Get()
	if !ok {
		return Say("an unstated set point")
	}
	return Say(Quantity{Kind: Temperature, Value: v, Digits: tempDigits(v)})
}

// tempDigits keeps a whole degree whole.
func tempDigits(c float64) int {
	if math.Abs(c-math.Round(c)) < 1e-6 {
		return 0
	}
	return 1
}

// basis is what the answer rests on: "18 cooks, 72 pieces, 8 tasters, blind".
func (b *builder) basis() Sentence {
	s := plural(len(b.t.Cooks), "cook")
	pieces := 0
	for i := range b.t.Cooks {
		pieces += len(b.t.Cooks[i].Pieces)
	}
	if pieces > 0 {
		s = Say(s, ", ", plural(pieces, "piece"))
	}
	if n := len(b.t.AssessorIDs()); n > 0 {
		s = Say(s, ", ", plural(n, "taster"))
	}
	if p, ok := b.t.Panel.Get(); ok && p.Blind.Known {
		if p.Blind.V {
			s = Say(s, ", blind")
		} else {
			s = Say(s, ", not blind")
		}
	}
	s = Say(s, ".")
	if b.r.Claim != nil && b.anyNumbers() {
		s = Say(s, " Holds for: ", b.r.Claim.HoldsFor, ".")
	}
	return s
}

// next says what to cook next. Nothing is proposed where food is not to be
// eaten.
func (b *builder) next() []Sentence {
	if b.refused() {
		return []Sentence{Say("Nothing is proposed until the food is safe to eat.")}
	}
	if b.r.OneCookEach() {
		return []Sentence{Say("Cook the two or three most interesting set points at least twice each, on different days, with the pieces swapped.")}
	}
	if len(b.r.Next) == 0 {
		return nil
	}
	n := b.r.Next[0]
	at := Quantity{Kind: SetPoint, Value: n.SetPoint, Digits: 1}
	s := Say("Cook ", at, b.commaMethod(n.Method), " ", timesWords(n.Repeats, n.New))
	share, ok := n.Narrows.Get()
	if !ok || share < 0.02 {
		return []Sentence{Say("Two more cooks would hardly narrow the window; what is there is enough, or the aim is wide.")}
	}
	return []Sentence{Say(s, "; the interval of the best set point would narrow by about ", shareWords(share), ".")}
}

func (b *builder) commaMethod(method string) Sentence {
	if method == "" {
		return nil
	}
	return Say(", ", method, ",")
}

func timesWords(n int, fresh bool) string {
	times := map[int]string{1: "once", 2: "twice", 3: "three times"}[n]
	if fresh {
		return times + " (a new set point)"
	}
	return times + " more"
}

// shareWords is a fraction in words.
func shareWords(v float64) string {
	for _, w := range []struct {
		at    float64
		words string
	}{{0.07, "a twentieth"}, {0.13, "a tenth"}, {0.18, "a sixth"}, {0.22, "a fifth"}, {0.29, "a quarter"}, {0.42, "a third"}, {0.58, "a half"}} {
		if v < w.at {
			return w.words
		}
	}
	return "more than a half"
}

// panel says how the panel did on the primary measure. Names are numbers here;
// the renderer may put names in.
func (b *builder) panel() []Sentence {
	m := b.primary()
	if m == nil || m.Panel == nil {
		return nil
	}
	var out []Sentence
	if n := len(m.Panel.OutOfStep); n > 0 {
		out = append(out, Say(upper(list(m.Panel.OutOfStep)), " scored ", measureWords(m.Name), " against the rest of the panel."))
	}
	if n := len(m.Panel.Flat); n > 0 {
		out = append(out, Say(upper(list(m.Panel.Flat)), " told nothing apart in ", measureWords(m.Name), "."))
	}
	return out
}

// Window is a range of set points, rounded to its inside in each system.
func Window(low, high float64) Sentence {
	return Say(Quantity{Kind: WindowLow, Value: low, Other: &high}, " to ", Quantity{Kind: WindowHigh, Value: high, Other: &low})
}
