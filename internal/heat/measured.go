package heat

import (
	"errors"

	"tamis/internal/heat/conduct"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// What is taken to be wrong, at 95 %, with the log of a kitchen: the bath, K, and
// the thickness, as a share. Either moves a diffusivity by more than the scatter
// of the readings does.
const (
	bathDoubt      = 0.2
	thicknessDoubt = 0.05
	measuredLevel  = 0.95
)

// Measured is what a probe log says of the piece itself, with 95 % intervals that
// hold the scatter of the readings, 0.2 K of the bath and 5 % of the thickness.
type Measured struct {
	Diffusivity [3]quantity.Number // m²/s: low, likely, high
	// Transfer is the coefficient at the surface, W/m²/K, with the piece's
	// conductivity by composition, of which a log only sees the ratio.
	Transfer [3]quantity.Number
	Residual quantity.Number // standard deviation of the readings about the curve, K
}

// MeasuredOf fits diffusivity and coefficient to the core in the log of a cook. The
// piece with the probe is taken to be the slowest. What cannot be said is absent
// with its reason. It costs milliseconds.
func MeasuredOf(t *trial.Trial, c *Cook) Measured {
	absent := func(why string) Measured {
		n := quantity.Absent(why)
		return Measured{[3]quantity.Number{n, n, n}, [3]quantity.Number{n, n, n}, n}
	}
	x := c.Likely
	switch {
	case c.Log == nil || len(c.Log.Core) == 0:
		return absent("the log has no core")
	case !c.ComeUp.Known || !(x.Thickness > 0):
		return absent("the piece is not known well enough")
	case x.Shape == trial.Block:
		return absent("a block is not fitted")
	case x.Start[0] != x.Start[2]:
		return absent("the start is not stated")
	}
	log := conduct.Log{Shape: map[trial.Shape]Shape{trial.Cylinder: Cylinder, trial.Sphere: Sphere}[x.Shape], Half: x.Thickness / 2000,
		Start: x.Start[1], Bath: conduct.Constant(x.Bath), Conductivity: x.Conductivity}
	for _, l := range c.Log.Core {
		if n := len(log.Seconds); n > 0 && 60*l.Minutes <= log.Seconds[n-1] {
			continue // a second reading at one time
		}
		log.Seconds, log.Core = append(log.Seconds, 60*l.Minutes), append(log.Core, l.Celsius)
	}
	if n := len(c.Log.Bath); n > 1 {
		at, value := make([]float64, n), make([]float64, n)
		for i, l := range c.Log.Bath {
			at[i], value[i] = 60*l.Minutes, l.Celsius
		}
		if p, err := conduct.Logged(at, value); err == nil {
			log.Bath = p
		}
	}
	f, err := conduct.Doubted(log, measuredLevel, conduct.Doubt{Bath: bathDoubt, Thickness: thicknessDoubt})
	switch {
	case errors.Is(err, conduct.ErrLog):
		return absent("the log does not tell")
	case err != nil:
		return absent("the log cannot be fitted")
	}
	three := func(e conduct.Estimate) [3]quantity.Number {
		return [3]quantity.Number{quantity.Num(e.Low), quantity.Num(e.Value), quantity.Num(e.High)}
	}
	return Measured{three(f.Diffusivity), three(f.Transfer), quantity.Num(f.Residual)}
}
