package conduct

import "math"

// Problem is a piece of food and what happens to it, phase by phase.
type Problem struct {
	Shape Shape
	Half  float64 // half the thickness of a slab, or the radius, m
	*Material
	Start  float64 // °C, throughout
	Phases []Phase
}

// Phase is a time with one kind of surface: a bath, a rest in air, an ice bath, a
// pan. Times of its profiles begin at 0 with the phase.
type Phase struct {
	Seconds float64
	// Outer is the surface: of a slab both faces, unless Inner says otherwise of
	// one of them.
	Outer Face
	Inner *Face
	// Tank, if any, is the bath of the outer surface, cooled by what it heats; the
	// ambient of Outer is not used then.
	Tank *Tank
}

// Face is what a surface meets.
type Face struct {
	Ambient  Profile // °C
	Transfer Profile // W/m²/K; 0 lets nothing through
	Held     bool    // the surface itself is at Ambient, and Transfer is not used
}

// Bath is a face in a medium of one temperature, with one coefficient.
func Bath(celsius, transfer float64) Face {
	return Face{Ambient: Constant(celsius), Transfer: Constant(transfer)}
}

// Pan is a face that is held at a temperature.
func Pan(celsius float64) Face { return Face{Ambient: Constant(celsius), Held: true} }

// Insulated is a face that lets nothing through.
func Insulated() Face { return Face{Ambient: Constant(0), Transfer: Constant(0)} }

// Tank is a stirred bath of one temperature Tb with a heater and losses:
//
//	Mass × Capacity × Tb' = clip(Gain × (Set - Tb) + Bias, 0, Power) - Loss × (Tb - Room) - what the food takes
type Tank struct {
	Mass     float64 // of the water, kg
	Capacity float64 // J/kg/K; 0 stands for 4180
	Start    float64 // °C
	Set      float64 // °C
	Gain     float64 // W/K
	Bias     float64 // W, what the heater gives at the set point
	Power    float64 // W, the most it can; 0 is no heater
	Loss     float64 // W/K
	Room     float64 // °C
	Area     float64 // of all the food in it, m²
}

// heater is the power at a bath temperature, W, and its slope.
func (t *Tank) heater(celsius float64) (power, slope float64) {
	switch p := t.Gain*(t.Set-celsius) + t.Bias; {
	case p <= 0:
		return 0, 0
	case p >= t.Power:
		return t.Power, 0
	default:
		return p, -t.Gain
	}
}

func (t *Tank) heat() float64 {
	if t.Capacity == 0 {
		return 4180 * t.Mass
	}
	return t.Capacity * t.Mass
}

// Options of a solution. The zero value is the default resolution.
type Options struct {
	// Cells from the centre to the surface; 0 is 30. More cells take shorter steps.
	Cells int
	// Halvings cuts every step, and every cell, in two as often as it says.
	Halvings int
	// Times, in seconds from the start, at which a reading and a profile are kept.
	Times []float64
}

const (
	defaultCells = 30
	maxCells     = 2000
	maxHalvings  = 6
	maxPhase     = 60 * 86400.0 // s; longer than any cook
)

func (p *Problem) check(o Options) error {
	switch {
	case p.Shape > Sphere || !positive(p.Half):
		return bad("%v of half thickness %v m", p.Shape, p.Half)
	case p.Material == nil || len(p.above.nodes) == 0:
		return bad("no material")
	case !finite(p.Start):
		return bad("start %v °C", p.Start)
	case len(p.Phases) == 0:
		return bad("nothing happens to it")
	case o.Cells < 0 || o.Cells > maxCells || o.Halvings < 0 || o.Halvings > maxHalvings:
		return bad("%d cells, %d halvings", o.Cells, o.Halvings)
	case o.Cells > 0 && o.Cells < 4:
		return bad("%d cells are too few", o.Cells)
	}
	for _, t := range o.Times {
		if !finite(t) {
			return bad("a time of %v s", t)
		}
	}
	split := false
	for i := range p.Phases {
		ph := &p.Phases[i]
		if !positive(ph.Seconds) || ph.Seconds > maxPhase {
			return bad("phase %d of %v s", i+1, ph.Seconds)
		}
		if ph.Inner != nil {
			if p.Shape != Slab {
				return bad("a %v has no inner face", p.Shape)
			}
			split = true
			if err := ph.Inner.check(i, false); err != nil {
				return err
			}
		}
		if err := ph.Outer.check(i, ph.Tank != nil); err != nil {
			return err
		}
		if t := ph.Tank; t != nil {
			if split || ph.Outer.Held {
				return bad("phase %d: a tank that the food cools needs two faces alike and a coefficient, before any phase with faces that differ", i+1)
			}
			if err := t.check(i); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *Face) check(phase int, tank bool) error {
	if len(f.Ambient.at) == 0 && !tank {
		return bad("phase %d: a face without an ambient", phase+1)
	}
	if f.Held {
		return nil
	}
	if len(f.Transfer.at) == 0 {
		return bad("phase %d: a face without a coefficient", phase+1)
	}
	for _, h := range f.Transfer.value {
		if !(h >= 0) || math.IsInf(h, 1) {
			return bad("phase %d: a coefficient of %v W/m²/K", phase+1, h)
		}
	}
	return nil
}

func (t *Tank) check(phase int) error {
	for _, v := range []float64{t.Capacity, t.Gain, t.Bias, t.Power, t.Loss} {
		if !(v >= 0) || math.IsInf(v, 1) {
			return bad("phase %d: a tank with %v", phase+1, v)
		}
	}
	if !positive(t.Mass) || !positive(t.Area) || !finite(t.Start) || !finite(t.Set) || !finite(t.Room) {
		return bad("phase %d: a tank of %v kg with %v m² of food, at %v, %v and %v °C", phase+1, t.Mass, t.Area, t.Start, t.Set, t.Room)
	}
	return nil
}
