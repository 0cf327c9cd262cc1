package heat

import (
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Heat capacities for the energy balance of a bath, kJ/kg/K: water at bath
// temperature, and moist food (rounded, as a balance deserves).
const (
	waterHeat = 4.18
	foodHeat  = 3.6
)

// dip is by how much, K, cold food pulls its bath down where no heater helps:
// m c (Tb - Tf) / (mw cw + m c), with a litre of water as a kilogram. recovery
// is how long, in minutes, the heater needs at the least to give that heat back.
func dip(t *trial.Trial, c *trial.Cook, setPoint float64) (kelvin, recovery quantity.Number) {
	absent := func(why string) (quantity.Number, quantity.Number) {
		return quantity.Absent(why), quantity.Absent(why)
	}
	b := bathOf(t, c)
	m, weighed := mass(c)
	switch {
	case !weighed:
		return absent("the food was not weighed")
	case b == nil || !b.Volume.Known:
		return absent("the volume of the bath is not stated")
	}
	start, known := startOf(t, c)
	if !known {
		return absent("the start temperature is not stated")
	}
	litres := b.Volume.V.Litres()
	joule := m * foodHeat * (setPoint - start) // kJ per kelvin times kelvin
	kelvin = quantity.Num(joule / (litres*waterHeat + m*foodHeat))
	if !b.Power.Known || !(b.Power.V.Watts() > 0) {
		return kelvin, quantity.Absent("the power of the bath is not stated")
	}
	return kelvin, quantity.Num(1000 * joule / b.Power.V.Watts() / 60)
}

// startOf is the mean start temperature of the food of a cook, °C.
func startOf(t *trial.Trial, c *trial.Cook) (celsius float64, known bool) {
	if len(c.Pieces) == 0 {
		return t.Food.Start.V.Celsius(), t.Food.Start.Known
	}
	for i := range c.Pieces {
		s := c.Pieces[i].Start
		if !s.Known {
			s = t.Food.Start
		}
		if !s.Known {
			return 0, false
		}
		celsius += s.V.Celsius() / float64(len(c.Pieces))
	}
	return celsius, true
}
