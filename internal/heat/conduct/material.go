package conduct

import "math"

// Law says how a material depends on temperature, in °C. Conductivity is in
// W/m/K. Of the other two one is given: Capacity in J/m³/K, or Enthalpy in J/m³
// above any level. Both must be positive, Enthalpy rising, from Low to High;
// outside, the values at the ends are kept.
type Law struct {
	Conductivity       func(celsius float64) float64
	Capacity, Enthalpy func(celsius float64) float64
	Low, High          float64
	// Freezing is where Capacity jumps, from thirty times as much just below to
	// that of the thawed food; 0 is none, for water in food freezes below it.
	Freezing float64
}

// Steps of the table of a material, K. Properties of thawed food change by 1 % in
// 10 K; the peak under the freezing point is a kelvin wide.
const (
	coarse = 0.5
	fine   = 0.02
)

// maxNodes bounds a table; it is far above -40 to 150 °C.
const maxNodes = 20000

// Material is a law made into a table: enthalpy H, capacity H', and the integral
// φ of the conductivity (Kirchhoff's transform), whose differences are fluxes
// whatever the conductivity does between. It is safe for use by several at once.
type Material struct {
	below, above table
	freezing     float64
	linear       bool
}

// table has nodes at equal steps. Conductivity is linear between nodes. So is the
// capacity, where it was given; under an enthalpy curve it is constant in between.
// H and φ are their exact integrals, and so agree with them to the last digit.
type table struct {
	from, step, inverse float64
	nodes               []node // the last one has no interval of its own, and no slopes
}

// node is the start of an interval; dc and dk are slopes per kelvin within it.
type node struct{ h, c, dc, phi, k, dk float64 }

// Uniform is a material of constant conductivity, W/m/K, and capacity, J/m³/K.
func Uniform(conductivity, capacity float64) (*Material, error) {
	constant := func(v float64) func(float64) float64 { return func(float64) float64 { return v } }
	m, err := NewMaterial(Law{Conductivity: constant(conductivity), Capacity: constant(capacity), Low: 0, High: coarse})
	if err == nil {
		m.linear = true
	}
	return m, err
}

// NewMaterial makes the table of a law. The error is ErrInput.
func NewMaterial(l Law) (*Material, error) {
	if l.Conductivity == nil || (l.Capacity == nil) == (l.Enthalpy == nil) {
		return nil, bad("a conductivity and one of capacity and enthalpy are needed")
	}
	if !finite(l.Low) || !finite(l.High) || !(l.Low < l.High) || !finite(l.Freezing) {
		return nil, bad("from %v to %v °C, freezing at %v", l.Low, l.High, l.Freezing)
	}
	m := &Material{freezing: math.Inf(-1)}
	start := l.Low
	var level, phi float64
	if l.Enthalpy != nil {
		level = l.Enthalpy(l.Low)
	}
	if l.Freezing != 0 && l.Freezing > l.Low && l.Freezing < l.High {
		m.freezing, start = l.Freezing, l.Freezing
		if err := m.below.fill(l, l.Low, l.Freezing, fine, level, phi, true); err != nil {
			return nil, err
		}
		last := m.below.nodes[len(m.below.nodes)-1]
		level, phi = last.h, last.phi
	}
	return m, m.above.fill(l, start, l.High, coarse, level, phi, false)
}

// fill makes the nodes from one temperature to another. openEnd takes the values
// of the last node from just below it, where the law jumps there.
func (t *table) fill(l Law, from, to, step, level, phi float64, openEnd bool) error {
	n := int(math.Max(1, math.Ceil((to-from)/step)))
	if n > maxNodes {
		return bad("from %v to %v °C", from, to)
	}
	t.from, t.step = from, (to-from)/float64(n)
	t.inverse = 1 / t.step
	at := func(i int) float64 {
		switch {
		case i < n:
			return from + float64(i)*t.step
		case openEnd:
			return to - 1e-9*(1+math.Abs(to))
		}
		return to
	}
	t.nodes = make([]node, n+1)
	for i := range t.nodes {
		k := l.Conductivity(at(i))
		if !positive(k) {
			return bad("conductivity %v at %v °C", k, at(i))
		}
		t.nodes[i] = node{h: level, phi: phi, k: k}
		if i == 0 {
			continue
		}
		a, b := &t.nodes[i-1], &t.nodes[i]
		if l.Capacity != nil {
			a.c, b.c = l.Capacity(at(i-1)), l.Capacity(at(i))
		} else {
			a.c = (l.Enthalpy(at(i)) - a.h) * t.inverse
			b.c = a.c
		}
		if !positive(a.c) || !positive(b.c) {
			return bad("capacity %v, %v up to %v °C", a.c, b.c, at(i))
		}
		a.dc, a.dk = (b.c-a.c)*t.inverse, (b.k-a.k)*t.inverse
		level += (a.c + b.c) / 2 * t.step
		phi += (a.k + b.k) / 2 * t.step
		b.h, b.phi = level, phi
	}
	return nil
}

// look gives enthalpy, capacity, φ and conductivity at a temperature. Outside, the
// values at the ends go on.
func (m *Material) look(celsius float64) (h, c, phi, k float64) {
	t := &m.above
	if celsius < m.freezing {
		t = &m.below
	}
	x := celsius - t.from
	last := len(t.nodes) - 1
	i := 0
	if x > 0 {
		i = int(min(x*t.inverse, float64(last)))
	}
	n := &t.nodes[i]
	if x < 0 {
		return n.h + x*n.c, n.c, n.phi + x*n.k, n.k
	}
	x -= float64(i) * t.step
	// The integral of c + dc x is x (c + dc x/2).
	return n.h + x*(n.c+x*n.dc/2), n.c + x*n.dc, n.phi + x*(n.k+x*n.dk/2), n.k + x*n.dk
}

// Enthalpy is H in J/m³, from the level of the law, or from its Low.
func (m *Material) Enthalpy(celsius float64) float64 { h, _, _, _ := m.look(celsius); return h }

// Conductivity is k in W/m/K.
func (m *Material) Conductivity(celsius float64) float64 { _, _, _, k := m.look(celsius); return k }

// Diffusivity is k/H' in m²/s.
func (m *Material) Diffusivity(celsius float64) float64 {
	_, c, _, k := m.look(celsius)
	return k / c
}
