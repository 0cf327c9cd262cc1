package heat

import (
	"math"
	"sync"

	"tamis/internal/food"
	"tamis/internal/heat/conduct"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Solver computes trials and keeps what it solved: the cooks of a trial, and the
// cells of a table, share most of it. It is not safe for use by two at once.
type Solver struct {
	mu     sync.Mutex // what is likely of a cook may be asked for by several at once
	given  Given
	bodies map[bodyKey]*Body
	ranges []*solved
	bases  []*basis
	loads  map[loadKey]conduct.Profile
}

// NewSolver is a solver with the user's own numbers, if any.
func NewSolver(g Given) *Solver {
	return &Solver{given: g, bodies: map[bodyKey]*Body{}, loads: map[loadKey]conduct.Profile{}}
}

// solved is what a setting leads to in a bath that stands still, with its bodies:
// favourable, likely, unfavourable.
type solved struct {
	x      Setting
	comeUp Range
	solids [3]Solid
	err    error // of a body
}

type bodyKey struct {
	shape Shape
	half  float64
	m     Material
}

// body is a body that cooks share.
func (s *Solver) body(shape Shape, mm float64, m Material) (*Body, error) {
	key := bodyKey{shape, mm / 2000, m}
	if b := s.bodies[key]; b != nil {
		return b, nil
	}
	b, err := New(key.shape, key.half, m)
	if err == nil {
		s.bodies[key] = b
	}
	return b, err
}

// solid is the body of a setting at one end of its range: 0 favourable, 1
// likely, 2 unfavourable.
func (x *Setting) solid(end int) (Solid, error) {
	m := Material{Diffusivity: x.Diffusivity[end], Conductivity: x.Conductivity, Transfer: x.Transfer[end]}
	shape := Slab
	switch x.Shape {
	case trial.Block:
		p, err := conduct.NewBlock([3]float64{x.Sides[0] / 1000, x.Sides[1] / 1000, x.Sides[2] / 1000}, m)
		if err != nil {
			return nil, err
		}
		return p, nil
	case trial.Cylinder:
		shape = Cylinder
	case trial.Sphere:
		shape = Sphere
	}
	b, err := New(shape, x.Thickness/2000, m)
	if err != nil {
		return nil, err
	}
	return b, nil
}

// comeUp is the come-up of a setting in a bath that stands still.
func (s *Solver) comeUp(x Setting) Range { return s.solved(x).comeUp }

func (s *Solver) solved(x Setting) *solved {
	// A NaN never equals itself, so it must not become a key.
	for _, v := range [...]float64{x.Thickness, x.Bath, x.Start[0], x.Start[1], x.Start[2], x.Conductivity} {
		if !finite(v) {
			return &solved{comeUp: Range{Why: cannot("food.thickness", "there is no number to compute with")}}
		}
	}
	for _, r := range s.ranges { // they differ in their first numbers, so this is faster than any key
		if r.x == x {
			return r
		}
	}
	r := &solved{x: x}
	for end := range r.solids {
		if r.solids[end], r.err = x.solid(end); r.err != nil {
			break
		}
	}
	r.comeUp = r.solve(x)
	s.ranges = append(s.ranges, r)
	return r
}

func (r *solved) solve(x Setting) Range {
	if r.err != nil {
		return Range{Why: cannot("food.thickness", "the piece cannot be computed")}
	}
	var m [3]float64
	for end := range m {
		start := x.Start[end]
		if !(start < x.Bath) {
			return Range{Why: cannot("cooks.set_point", "the set point is not above the start temperature")}
		}
		if start >= x.Bath-ComeUp {
			continue // it is there already
		}
		sec, err := SecondsTo(r.solids[end], start, x.Bath, x.Bath-ComeUp)
		if err != nil || !finite(sec) {
			return Range{Why: cannot("cooks.set_point", "the core never arrives")}
		}
		m[end] = sec / 60
	}
	return Range{Known: true, Low: math.Min(m[0], m[1]), Mid: m[1], High: math.Max(m[1], m[2])}
}

// basis is what the composition of a food makes of it, with its properties at the
// temperatures that were asked for, °C.
type basis struct {
	key basisKey
	food.Basis
	at map[float64]properties
}

// properties are those of a food at a temperature; the diffusivity is favourable,
// likely, unfavourable.
type properties struct {
	diffusivity  [3]float64
	conductivity float64
}

// basisKey is all that the composition of a food follows from: its kind, and the
// shares that are stated, in percent; -1 is not stated.
type basisKey struct {
	kind        string
	kindKnown   bool
	composition [7]float64
	known       bool
}

func basisKeyOf(f *trial.Food) basisKey {
	key := basisKey{kind: f.Kind.V, kindKnown: f.Kind.Known, known: f.Composition.Known}
	c := &f.Composition.V
	for i, s := range [...]*trial.Opt[quantity.Share]{&c.Water, &c.Protein, &c.Fat, &c.Carbohydrate, &c.Fibre, &c.Ash, &c.Salt} {
		if key.composition[i] = -1; s.Known {
			key.composition[i] = s.V.Percent()
		}
	}
	return key
}

// basisOf is the basis of a food, of its kind alone where kind is set.
func (s *Solver) basisOf(f *trial.Food, kind bool) *basis {
	if kind && f.Composition.Known {
		f = &trial.Food{Kind: f.Kind}
	}
	key := basisKeyOf(f)
	for _, b := range s.bases {
		if b.key == key {
			return b
		}
	}
	b := &basis{key: key, Basis: food.BasisOf(*f), at: map[float64]properties{}}
	s.bases = append(s.bases, b)
	return b
}

// properties are those of the food by its composition, at a temperature in °C.
func (b *basis) properties(celsius float64) (properties, error) {
	if p, ok := b.at[celsius]; ok {
		return p, nil
	}
	low, mid, high, err := b.Diffusivity(celsius)
	if err != nil {
		return properties{}, err
	}
	at, err := food.Properties(b.Composition, celsius)
	if err != nil {
		return properties{}, err
	}
	p := properties{[3]float64{high, mid, low}, at.Conductivity}
	if celsius == celsius { // a NaN never equals itself, so it must not become a key
		b.at[celsius] = p
	}
	return p, nil
}
