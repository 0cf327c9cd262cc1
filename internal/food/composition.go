package food

import (
	"errors"
	"fmt"
	"math"
)

// The reasons for which properties are refused.
var (
	// ErrComposition: a share that is negative or not finite, shares that are
	// nothing together, or that are far from a whole.
	ErrComposition = errors.New("not a composition")
	// ErrTemperature: outside the range of the polynomials.
	ErrTemperature = errors.New("outside the temperatures for which properties are known")
)

// Composition is the food by mass, as fractions. Carbohydrate is without fibre;
// salt counts as ash. The parts need not add up to one exactly: analyses never
// do, and Normalised divides by their sum.
type Composition struct {
	Water, Protein, Fat, Carbohydrate, Fibre, Ash float64
}

// parts are the shares in a fixed order, with their constituents.
func (c Composition) parts() [6]float64 {
	return [6]float64{c.Water, c.Protein, c.Fat, c.Carbohydrate, c.Fibre, c.Ash}
}

var constituents = [6]*part{&water, &protein, &fat, &carbohydrate, &fibre, &ash}

func of(x [6]float64) Composition { return Composition{x[0], x[1], x[2], x[3], x[4], x[5]} }

// Sum is the sum of the shares.
func (c Composition) Sum() float64 {
	var s float64
	for _, x := range c.parts() {
		s += x
	}
	return s
}

// offWhole is how far the sum of an analysis may be from one before it is no
// rounding any more.
const offWhole = 0.05

// Normalised divides the shares by their sum. The error is ErrComposition for a
// share that is negative or not finite, and for a sum more than 5 % from one.
func (c Composition) Normalised() (Composition, error) {
	x := c.parts()
	for _, v := range x {
		if !(v >= 0) || math.IsInf(v, 1) {
			return Composition{}, fmt.Errorf("%w: a share of %v", ErrComposition, v)
		}
	}
	sum := c.Sum()
	if !(math.Abs(sum-1) <= offWhole) {
		return Composition{}, fmt.Errorf("%w: the shares add up to %v", ErrComposition, sum)
	}
	for i := range x {
		x[i] /= sum
	}
	return of(x), nil
}

// Thermal are the properties of a food at one temperature.
type Thermal struct {
	Density      float64 // kg/m³
	HeatCapacity float64 // J/kg/K
	// Conductivity, W/m/K, takes the parts as lying side by side along the heat,
	// which is the upper bound; Series is the lower one, the parts behind each
	// other. Measured foods lie nearer the upper.
	Conductivity, Series float64
	// Diffusivity is Conductivity/(Density × HeatCapacity), m²/s. ByVolume is the
	// other rule of the same authors, the volume shares times the parts' own
	// diffusivities; the two differ by 1 to 5 % above 5 °C, a little more near it.
	Diffusivity, ByVolume float64
}

// Spread is by how much the diffusivity of a real piece may differ from the one
// that follows from composition, as a share: cod of 81 % water was measured at
// 1.22e-7 m²/s at 5 °C, where composition gives 1.32e-7.
const Spread = 0.10

// Properties are those of a food above its freezing point, at celsius between
// Coldest and Hottest; below the freezing point use Thawing. The mixing rules are
// those of Choi and Okos (1986): with mass shares x and the parts' densities ρ,
//
//	ρ = 1/Σ(x/ρ), v = xρ/ρi, cp = Σ x cp, k = Σ v k.
//
// Errors are ErrComposition and ErrTemperature.
func Properties(c Composition, celsius float64) (Thermal, error) {
	if !(celsius >= Coldest && celsius <= Hottest) {
		return Thermal{}, fmt.Errorf("%w: %v °C", ErrTemperature, celsius)
	}
	n, err := c.Normalised()
	if err != nil {
		return Thermal{}, err
	}
	return mix(n, 0, celsius), nil
}

// mix is the food with a share of ice taken from its water. The heat capacity is
// that of the parts as they are, without any melting.
func mix(c Composition, iced, celsius float64) Thermal {
	x := c.parts()
	x[0] -= iced
	var volume, heat float64 // m³/kg; kJ/kg/K
	add := func(share float64, p *part, capacity float64) {
		volume += share / p.density.at(celsius)
		heat += share * capacity
	}
	for i, p := range constituents {
		capacity := p.heat.at(celsius)
		if p == &water {
			capacity = waterHeat(celsius)
		}
		add(x[i], p, capacity)
	}
	add(iced, &ice, ice.heat.at(celsius))
	t := Thermal{Density: 1 / volume, HeatCapacity: 1000 * heat}
	var resistance float64
	lay := func(share float64, p *part) {
		v := share / p.density.at(celsius) / volume // by volume
		k := p.conductivity.at(celsius)
		t.Conductivity += v * k
		resistance += v / k
		t.ByVolume += v * p.diffusivity.at(celsius)
	}
	for i, p := range constituents {
		lay(x[i], p)
	}
	lay(iced, &ice)
	t.Series = 1 / resistance
	t.Diffusivity = t.Conductivity / (t.Density * t.HeatCapacity)
	return t
}
