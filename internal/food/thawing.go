package food

import (
	"fmt"
	"math"
)

// latent is the heat of melting of water at 0 °C, kJ/kg (from memory).
const latent = 333.6

// boundToProtein is how much water a gram of protein keeps from freezing, g
// (from memory of ASHRAE Handbook, Refrigeration, chapter 9).
const boundToProtein = 0.4

// Thawing is a food with a freezing point: how much of its water is ice at a
// temperature, and how much heat it holds.
//
// The ice is x = (w - b)(1 - tf/t) of the mass at t below the freezing point tf,
// both in °C, with w the water and b what is bound to protein: the law of Raoult
// for a thin solution, in the form of Schwartzberg (1976). Chen (1985) has the
// same curve written in the mass of the solute. The enthalpy is that of the parts
// as they are, plus the latent heat of the water that is liquid, so its slope
// holds the melting and no heat is lost or made on the way.
//
// What it does not do: supercooling, ice that grows while stored, water that
// drips out.
type Thawing struct {
	c     Composition
	point float64
}

// NewThawing makes the model of a food that freezes at point, in °C between -10
// and below 0. Errors are ErrComposition and ErrTemperature.
func NewThawing(c Composition, point float64) (Thawing, error) {
	n, err := c.Normalised()
	if err != nil {
		return Thawing{}, err
	}
	if !(point >= -10 && point < 0) {
		return Thawing{}, fmt.Errorf("%w: a freezing point of %v °C", ErrTemperature, point)
	}
	return Thawing{n, point}, nil
}

// Point is the freezing point, °C.
func (t Thawing) Point() float64 { return t.point }

// Ice is the share of the mass that is ice: 0 from the freezing point up. Outside
// the polynomials the nearest temperature counts, here and below.
func (t Thawing) Ice(celsius float64) float64 {
	celsius = within(celsius)
	free := t.c.Water - boundToProtein*t.c.Protein
	if !(celsius < t.point) || free <= 0 {
		return 0
	}
	return free * (1 - t.point/celsius)
}

// Enthalpy is the heat in J/kg above that of the food wholly liquid at 0 °C.
func (t Thawing) Enthalpy(celsius float64) float64 {
	celsius = within(celsius)
	iced := t.Ice(celsius)
	x := t.c.parts()
	h := (x[0]-iced)*waterRise(celsius) + iced*(ice.heat.rise(celsius)-latent)
	for i, p := range constituents[1:] {
		h += x[i+1] * p.heat.rise(celsius)
	}
	return 1000 * h
}

// At are the properties at a temperature. HeatCapacity is the slope of Enthalpy,
// with the melting in it; just below the freezing point it is thirty times that
// of the thawed food. Diffusivity has the melting in it too, ByVolume has not.
func (t Thawing) At(celsius float64) Thermal {
	celsius = within(celsius)
	iced := t.Ice(celsius)
	m := mix(t.c, iced, celsius)
	if iced > 0 {
		// d(ice)/dT = free × point/T², negative: what melts becomes water.
		melting := -(t.c.Water - boundToProtein*t.c.Protein) * t.point / (celsius * celsius)
		m.HeatCapacity += 1000 * melting * (waterRise(celsius) - ice.heat.rise(celsius) + latent)
		m.Diffusivity = m.Conductivity / (m.Density * m.HeatCapacity)
	}
	return m
}

// within is the nearest temperature for which there are properties; NaN stays.
func within(celsius float64) float64 { return math.Max(Coldest, math.Min(Hottest, celsius)) }

// Fixed gives conductivity in W/m/K and enthalpy in J/m³ of a piece that keeps its
// size, as a computation on a fixed shape needs them: the density is taken as that
// just above the freezing point throughout, so that no mass comes or goes. Density
// changes by 1 or 2 % up to 60 °C, and by a few when food freezes; that lies within
// Spread.
func (t Thawing) Fixed() (conductivity, enthalpy func(celsius float64) float64) {
	density := mix(t.c, 0, t.point).Density
	return func(celsius float64) float64 { return t.At(celsius).Conductivity },
		func(celsius float64) float64 { return density * t.Enthalpy(celsius) }
}
