package heat

import (
	"errors"
	"math"

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
	// Lag, s, and Offset, K, are those of the probe: how far behind its piece it is, and
	// how much it reads above a course that ends at the bath. Their intervals hold the
	// scatter, and of the offset 0.2 K of the bath.
	Lag, Offset [3]quantity.Number
}

// mostReadings is how many readings the probe is looked for in; a longer log is
// thinned.
const mostReadings = 100

// MeasuredOf fits diffusivity and coefficient to the core in the log of a cook. The
// piece with the probe is taken to be the slowest. What cannot be said is absent
// with its reason. It costs milliseconds.
func MeasuredOf(t *trial.Trial, c *Cook) Measured {
	absent := func(why string) Measured {
		n := quantity.Absent(why)
		all := [3]quantity.Number{n, n, n}
		return Measured{all, all, n, all, all}
	}
	x := c.Likely()
	switch {
	case c.Log == nil || len(c.Log.Core) == 0:
		return absent("the log has no core")
	case !c.ComeUp().Known || !(x.Thickness > 0):
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
	out := absent("the log does not tell")
	if p, err := conduct.Probe(thinned(log), measuredLevel); err == nil {
		out.Lag, out.Offset = three(p.Lag), three(p.Offset)
		wide := math.Hypot(p.Offset.High-p.Offset.Value, bathDoubt)
		out.Offset[0], out.Offset[2] = quantity.Num(p.Offset.Value-wide), quantity.Num(p.Offset.Value+wide)
	}
	f, err := conduct.Doubted(log, measuredLevel, conduct.Doubt{Bath: bathDoubt, Thickness: thicknessDoubt})
	switch {
	case errors.Is(err, conduct.ErrLog):
		return out
	case err != nil:
		return absent("the log cannot be fitted")
	}
	out.Diffusivity, out.Transfer, out.Residual = three(f.Diffusivity), three(f.Transfer), quantity.Num(f.Residual)
	return out
}

func three(e conduct.Estimate) [3]quantity.Number {
	return [3]quantity.Number{quantity.Num(e.Low), quantity.Num(e.Value), quantity.Num(e.High)}
}

// thinned is a log of at most mostReadings readings, the first and the last kept.
func thinned(l conduct.Log) conduct.Log {
	n := len(l.Seconds)
	every := 1 + (n-1)/mostReadings
	if every == 1 {
		return l
	}
	seconds, core := l.Seconds, l.Core
	l.Seconds, l.Core = nil, nil
	for i := range seconds {
		if i%every == 0 || i == n-1 {
			l.Seconds, l.Core = append(l.Seconds, seconds[i]), append(l.Core, core[i])
		}
	}
	return l
}
