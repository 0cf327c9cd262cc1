package food

import (
	"math"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Origin says how a composition came about.
type Origin string

// The origins, the best first.
const (
	Stated  Origin = "stated"  // the trial names all of it, but for Rest
	Filled  Origin = "filled"  // the trial names some; the rest is divided as in the kind
	Table   Origin = "typical" // the kind's own
	Unknown Origin = "unknown" // anything in the table
)

// Basis is the composition that a trial's food is computed with, and what that
// rests on.
type Basis struct {
	Composition
	Origin Origin
	// Rest is the share of the mass that the trial does not name, where it names
	// some. It is below zero where the parts that it names add up to more than one.
	Rest     float64
	Freezing float64 // °C
	Source   string
	// others are compositions that would agree just as well with what is known.
	others []Composition
}

// small is the largest unnamed rest that could be any one constituent.
const small = 0.05

// BasisOf finds the composition of a trial's food: what it states beats the
// table. What it leaves out is divided among the parts that it does not name, in
// the proportions of the kind; without a kind, or where the kind has none of
// them, as in the middle of the table. Salt counts as ash. Nothing is refused: a
// composition that makes no sense counts as not stated, for it is the loader who
// complains.
func BasisOf(f trial.Food) Basis {
	t, known := TypicalOf(f.Kind.V)
	known = known && f.Kind.Known
	b := Basis{Origin: Table, Composition: t.Composition, Freezing: t.Freezing, Source: t.Source}
	if !known {
		b = Basis{Origin: Unknown, Composition: middle(), Freezing: middlePoint(), Source: "the middle of the table of kinds; the kind is not stated"}
		for _, r := range typical {
			b.others = append(b.others, r.Composition)
		}
	}
	if n, err := b.Composition.Normalised(); err == nil {
		b.Composition = n
	}
	if !f.Composition.Known {
		return b
	}
	x, named, ok := shares(f.Composition.V)
	if !ok {
		return b
	}
	var sum float64
	for _, v := range x {
		sum += v
	}
	out := Basis{Origin: Filled, Rest: 1 - sum, Freezing: b.Freezing, Source: "the trial's own composition"}
	full, ok := fill(x, named, out.Rest, b.Composition)
	if !ok {
		return b
	}
	out.Composition = full
	if out.Rest <= small {
		out.Origin = Stated
	} else {
		out.Source += ", the rest as in: " + b.Source
	}
	out.others = alternatives(x, named, out.Rest, known)
	return out
}

// shares are the parts that a trial names, in the order of Composition.
func shares(c trial.Composition) (x [6]float64, named [6]bool, ok bool) {
	for i, s := range []trial.Opt[quantity.Share]{c.Water, c.Protein, c.Fat, c.Carbohydrate, c.Fibre, c.Ash} {
		if s.Known {
			x[i], named[i], ok = s.V.Fraction(), true, true
		}
	}
	if c.Salt.Known { // salt is a mineral; ash that is named has it in it
		if !c.Ash.Known {
			x[5], ok = c.Salt.V.Fraction(), true
		}
	}
	for _, v := range x {
		if !(v >= 0 && v <= 1) {
			return x, named, false
		}
	}
	return x, named, ok
}

// fill divides the rest among the parts that are not named as in like, and then
// makes the whole one. With nothing unnamed, or a rest below zero, all parts are
// scaled. ok is false where the result is no composition.
func fill(x [6]float64, named [6]bool, rest float64, like Composition) (Composition, bool) {
	if rest > 0 {
		y := like.parts()
		var open float64
		for i := range y {
			if !named[i] {
				open += y[i]
			}
		}
		for i := range x {
			if !named[i] && open > 0 {
				x[i] += rest * y[i] / open
			}
		}
	}
	n, err := of(x).Normalised()
	return n, err == nil
}

// alternatives are other ways to divide the rest: as in every other kind, and a
// small rest as any one of the parts that are not named.
func alternatives(x [6]float64, named [6]bool, rest float64, kindKnown bool) []Composition {
	var out []Composition
	add := func(c Composition, ok bool) {
		if ok {
			out = append(out, c)
		}
	}
	if rest <= 0 {
		return nil
	}
	if rest > small || !kindKnown {
		for _, r := range typical {
			add(fill(x, named, rest, r.Composition))
		}
	}
	if rest <= small {
		for i := range x {
			if !named[i] {
				y := x
				y[i] += rest
				add(fill(y, named, 0, Composition{}))
			}
		}
	}
	return out
}

// Diffusivity is the range at a temperature in m²/s: the likely one, and the
// ends, Spread beyond everything that agrees with what is known. The error is
// ErrTemperature. It takes the food as thawed.
func (b Basis) Diffusivity(celsius float64) (low, mid, high float64, err error) {
	t, err := Properties(b.Composition, celsius)
	if err != nil {
		return 0, 0, 0, err
	}
	low, mid, high = t.Diffusivity, t.Diffusivity, t.Diffusivity
	for _, c := range b.others {
		o, err := Properties(c, celsius)
		if err != nil {
			return 0, 0, 0, err
		}
		low, high = math.Min(low, o.Diffusivity), math.Max(high, o.Diffusivity)
	}
	return low * (1 - Spread), mid, high * (1 + Spread), nil
}

// middle is the mean composition of the table.
func middle() Composition {
	var sum [6]float64
	for _, r := range typical {
		for i, v := range r.parts() {
			sum[i] += v / float64(len(typical))
		}
	}
	return of(sum)
}

// middlePoint is the mean freezing point of the table, °C.
func middlePoint() float64 {
	var sum float64
	for _, r := range typical {
		sum += r.Freezing
	}
	return sum / float64(len(typical))
}
