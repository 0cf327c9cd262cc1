package conduct

// Product is a body of several directions: a block of three slabs, a short
// cylinder of a cylinder and a slab. Its θ is the product of theirs. That holds
// for constant properties, one start temperature, one bath temperature for all
// faces, and a coefficient for each pair of faces that does not change.
type Product []*Series

// NewBlock makes a block from its three sides in metres. The error is ErrInput.
func NewBlock(sides [3]float64, s Solid) (Product, error) {
	var p Product
	for _, side := range sides {
		x, err := NewSeries(Slab, side/2, s)
		if err != nil {
			return nil, err
		}
		p = append(p, x)
	}
	return p, nil
}

// NewShortCylinder makes a cylinder with two ends from its diameter and its
// length in metres. The error is ErrInput.
func NewShortCylinder(diameter, length float64, s Solid) (Product, error) {
	round, err := NewSeries(Cylinder, diameter/2, s)
	if err != nil {
		return nil, err
	}
	ends, err := NewSeries(Slab, length/2, s)
	if err != nil {
		return nil, err
	}
	return Product{round, ends}, nil
}

func (p Product) each(f func(*Series) float64) float64 {
	v := 1.0
	for _, s := range p {
		v *= f(s)
	}
	return v
}

// Centre is the product of the directions' θ at the centre.
func (p Product) Centre(seconds float64) float64 {
	return p.each(func(s *Series) float64 { return s.Centre(seconds) })
}

// Mean is the product of the means.
func (p Product) Mean(seconds float64) float64 {
	return p.each(func(s *Series) float64 { return s.Mean(seconds) })
}

// At is the product at relative places, one for each direction; a place that is
// not given is the centre.
func (p Product) At(places []float64, seconds float64) float64 {
	v := 1.0
	for i, s := range p {
		x := 0.0
		if i < len(places) {
			x = places[i]
		}
		v *= s.At(x, seconds)
	}
	return v
}

// Surface is θ at the middle of the face that is nearest to the centre.
func (p Product) Surface(seconds float64) float64 {
	near := p.nearest()
	v := 1.0
	for i, s := range p {
		if i == near {
			v *= s.Surface(seconds)
		} else {
			v *= s.Centre(seconds)
		}
	}
	return v
}

// nearest is the direction of the least half thickness: the fastest α/L².
func (p Product) nearest() int {
	near := 0
	for i := range p {
		if p[i].rate > p[near].rate {
			near = i
		}
	}
	return near
}

func (p Product) slowest() mode {
	out := mode{0, 1, 1, 1}
	near := p.nearest()
	for i, s := range p {
		m := s.slowest()
		if i != near {
			m.surface = m.centre
		}
		out = mode{out.rate + m.rate, out.centre * m.centre, out.mean * m.mean, out.surface * m.surface}
	}
	return out
}

func (p Product) core() []mode { return p.modes() }

// productTerms is how many terms of each direction a product of modes has.
const productTerms = 12

// modes are the products of the first terms of each direction: exponentials whose
// rates add.
func (p Product) modes() []mode {
	out := []mode{{0, 1, 1, 1}}
	near := p.nearest()
	for i, s := range p {
		var next []mode
		for _, a := range out {
			for _, t := range s.terms(someTerms)[:productTerms] {
				b := mode{s.rate * t.square, t.centre, t.mean, t.surface}
				if i != near {
					b.surface = b.centre
				}
				next = append(next, mode{a.rate + b.rate, a.centre * b.centre, a.mean * b.mean, a.surface * b.surface})
			}
		}
		out = next
	}
	return append(out, rest(out))
}
