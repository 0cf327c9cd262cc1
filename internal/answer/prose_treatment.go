package answer

import (
	"math"

	"tamis/internal/quantity"
	"tamis/internal/texture"
	"tamis/internal/trial"
)

// treatments puts the effects of factors with two levels in words, the measures
// of one treatment together where they speak of the same set points.
func (b *builder) treatments() []Sentence {
	var out []Sentence
	var group []effect
	flush := func() {
		if len(group) > 0 {
			out = append(out, joined(group))
		}
		group = nil
	}
	for _, m := range b.r.Measures {
		if !b.isAim(m.Name) && len(b.t.Aims) > 0 {
			continue
		}
		for _, t := range m.Treatments {
			if b.levelsOf(t.Factor) != 2 {
				continue // the table of means says more about several levels
			}
			e := effect{t: t, over: b.overSetPoints(t)}
			var ok bool
			if e.gap, ok = gapOf(m, t.Average); !ok {
				continue
			}
			if t.Factor != trial.BrineFactor || e.unclear() || e.zero() {
				flush()
				out = append(out, e.alone())
				continue
			}
			if len(group) > 0 && !group[0].goesWith(e) {
				flush()
			}
			group = append(group, e)
		}
	}
	flush()
	return out
}

// effect is what a treatment did to one measure, B against A.
type effect struct {
	gap
	t    texture.Treatment
	over Sentence
}

// goesWith reports whether two effects may share a sentence.
func (e effect) goesWith(o effect) bool {
	return e.t.Factor == o.t.Factor && e.t.A == o.t.A && e.t.B == o.t.B && e.over.Text(quantity.Metric) == o.over.Text(quantity.Metric)
}

// joined is "Dry-brined pieces scored 0.24 lower in firmness (0.08 to 0.41) and
// 0.79 lower in surface protein (0.68 to 0.90) than plain ones, averaged over
// the set points."
func joined(group []effect) Sentence {
	t := group[0].t
	s := Say(upper(t.B), " pieces")
	if len(group) == 1 {
		return Say(s, " ", group[0].verb(), " ", group[0].change(), " than ", t.A, " ones", group[0].spread(), group[0].over, ".")
	}
	for i, e := range group {
		switch {
		case i > 0 && i == len(group)-1:
			s = Say(s, " and ")
		case i > 0:
			s = Say(s, ", ")
		default:
			s = Say(s, " ")
		}
		if i == 0 || e.verb() != group[i-1].verb() {
			s = Say(s, e.verb(), " ")
		}
		s = Say(s, e.change(), e.spread())
	}
	return Say(s, " than ", t.A, " ones", group[0].over, ".")
}

// scored reports whether people put the measure on a scale.
func (g gap) scored() bool { return len(g.m.Scale) == 2 }

func (g gap) verb() string {
	if g.scored() {
		return "scored"
	}
	return "had"
}

// change is "0.24 lower in firmness" of a score and "0.8 N less shear" of an
// amount.
func (g gap) change() Sentence {
	size := Quantity{Kind: Amount, Value: math.Abs(g.est), Unit: unitWords(g.m), Digits: g.digits}
	if g.scored() {
		return Say(size, " ", g.pick("higher", "lower"), " in ", measureWords(g.m.Name))
	}
	return Say(size, " ", g.pick("more", "less"), " ", measureWords(g.m.Name))
}

// alone is the sentence of an effect that is nothing, that may go either way, or
// that is not one of pieces.
func (e effect) alone() Sentence {
	t, name := e.t, measureWords(e.m.Name)
	if t.Factor == trial.BrineFactor {
		switch {
		case e.unclear():
			return Say(upper(t.B), " and ", t.A, " pieces did not differ measurably in ", name, ": ", t.B, " ones ", e.verb(), " ", e.change(),
				e.spread(), e.over, ".")
		default:
			return Say(upper(t.B), " and ", t.A, " pieces had the same ", name, e.over, ".")
		}
	}
	between := factorWords(t.Factor) + " " + t.A + " and " + t.B
	switch {
	case e.unclear():
		return Say("Mean ", name, " did not differ measurably between ", between, ": ", e.pick("higher", "lower"), " with ", t.B, " by ", e.size(), e.over, ".")
	case e.zero():
		return Say("Mean ", name, " was the same with ", between, e.over, ".")
	}
	return Say("With ", factorWords(t.Factor)+" "+t.B, " mean ", name, " was ", e.pick("higher", "lower"), " than with ", t.A, ", by ", e.size(), e.over, ".")
}

// overSetPoints says which set points a difference speaks of, and when it has
// no interval.
func (b *builder) overSetPoints(t texture.Treatment) Sentence {
	var at []texture.Number
	for i, d := range t.At {
		if d.Estimate.Known() && i < len(t.SetPoints) {
			at = append(at, t.SetPoints[i])
		}
	}
	var s Sentence
	switch {
	case len(at) == 1 && len(t.At) > 1:
		s = Say(" at ", tempOf(at[0]))
	case len(at) > 1 && len(at) == len(t.At):
		s = Say(", averaged over the set points")
	case len(at) > 1:
		s = Say(", averaged over ", Quantity{Kind: Count, Value: float64(len(at))}, " set points")
	}
	if !t.Average.Low.Known() {
		s = Say(s, "; too few were cooked for an interval")
	}
	return s
}
