package heat

import (
	"math"
	"slices"

	"tamis/internal/heat/conduct"
	"tamis/internal/trial"
)

// Around says what a prediction takes the bath to do.
type Around string

// The baths of a prediction.
const (
	Steady Around = "steady" // it stands at its temperature throughout
	Loaded Around = "loaded" // it dips with the food and its heater brings it back
	Logged Around = "logged" // as its log says, steps and dips included
)

// What is taken of a bath of which only water and heater are known: the heater is
// at its full power from fullPower K below the set point on, and the walls lose
// wallLoss W/K to the kitchen (house assumptions; a covered tub of 20 l).
const (
	fullPower = 1.0
	wallLoss  = 3.0
)

// mostPoints is how many points of a bath's course are followed; a longer log is
// thinned.
const mostPoints = 500

// surroundings is the course of a bath over the time that a piece is in it.
type surroundings struct {
	how     Around
	profile conduct.Profile // °C over seconds; not used where it is steady
	level   float64         // °C where the bath settles
}

// steadyAt is a bath that stands still.
func steadyAt(celsius float64) surroundings { return surroundings{how: Steady, level: celsius} }

// around is the bath of a cook: as it was logged, or else as its load and heater
// make it, or else steady. comeUp is the range in a steady bath.
func (s *Solver) around(b *bathed, x Setting, comeUp Range) surroundings {
	if hasBath(b.log) {
		if b.logged == nil { // all pieces of a cook have one bath
			at := loggedBath(b.log, x.Bath)
			b.logged = &at
		}
		return *b.logged
	}
	load, ok := loadOf(b.t, b.c)
	if !ok || !comeUp.Known || x.Start[1] < ColdStart || !(x.Bath > x.Start[1]) {
		return steadyAt(x.Bath)
	}
	if p, ok := s.loadedBath(x, load, comeUp); ok {
		return surroundings{Loaded, p, x.Bath}
	}
	return steadyAt(x.Bath)
}

// elsewhere is how far, K, from its set point a bath may settle and still be the one
// that was meant; one that went cold is not.
const elsewhere = 3.0

// loggedBath is the bath of a log, which settles at its mean, or where that is not
// known, or far from it, at celsius.
func loggedBath(r *LogReading, celsius float64) surroundings {
	every := 1 + (len(r.Bath)-1)/mostPoints
	points := make([]float64, 2*len(r.Bath))
	at, value := points[:0:len(r.Bath)], points[len(r.Bath):][:0]
	for i, l := range r.Bath {
		if i%every == 0 || i == len(r.Bath)-1 {
			at, value = append(at, 60*l.Minutes), append(value, l.Celsius)
		}
	}
	p, err := conduct.Logged(at, value)
	if err != nil {
		return steadyAt(celsius)
	}
	level := r.BathMean.Or(celsius)
	if math.Abs(level-celsius) > elsewhere {
		level = celsius
	}
	return surroundings{Logged, p, level}
}

// load is what is in a bath, and what heats it.
type load struct{ kilograms, litres, watts float64 }

// loadedBath is the course of a bath that this load of pieces like x cools, by
// finite volumes with the likely properties and the coldest start. All of the food is taken to be of that
// shape, a block as a slab of its shortest side.
func (s *Solver) loadedBath(x Setting, l load, comeUp Range) (conduct.Profile, bool) {
	key := loadKey{x, l}
	if p, ok := s.loads[key]; ok {
		return p, len(p.Times()) > 0
	}
	p, ok := solveLoad(x, l, comeUp)
	if finite(x.Thickness) && finite(x.Bath) && finite(x.Start[1]) { // a NaN never equals itself, so it must not become a key
		s.loads[key] = p
	}
	return p, ok
}

type loadKey struct {
	Setting
	load
}

func solveLoad(x Setting, l load, comeUp Range) (conduct.Profile, bool) {
	alpha, k := x.Diffusivity[1], x.Conductivity
	material, err := conduct.Uniform(k, k/alpha)
	if err != nil {
		return conduct.Profile{}, false
	}
	shape, half := Slab, x.Thickness/2000
	switch x.Shape {
	case trial.Cylinder:
		shape = Cylinder
	case trial.Sphere:
		shape = Sphere
	case trial.Block:
		half = slices.Min(x.Sides[:]) / 2000
	}
	seconds := 60 * math.Min(2*comeUp.High+1000*l.kilograms*foodHeat*(x.Bath-x.Start[2])/l.watts/60, longestFrozen)
	c, err := conduct.Solve(conduct.Problem{Shape: shape, Half: half, Material: material, Start: x.Start[2],
		Phases: []conduct.Phase{{Seconds: seconds, Outer: conduct.Bath(x.Bath, x.Transfer[1]), Tank: l.tank(x)}}}, conduct.Options{})
	if err != nil {
		return conduct.Profile{}, false
	}
	var at, value []float64
	for _, p := range c.Points {
		at, value = append(at, p.Seconds), append(value, p.Bath)
	}
	profile, err := conduct.Logged(at, value)
	return profile, err == nil
}

// tank is the bath with its heater, and as much surface as the food has.
func (l load) tank(x Setting) *conduct.Tank {
	// Of a body with as much heat as the food: volume = m c α / k.
	volume := l.kilograms * 1000 * foodHeat * x.Diffusivity[1] / x.Conductivity
	area := volume / (x.Thickness / 2000)
	switch x.Shape {
	case trial.Cylinder:
		area *= 2
	case trial.Sphere:
		area *= 3
	case trial.Block:
		area = volume / (slices.Min(x.Sides[:]) / 2000)
	}
	loss := math.Min(wallLoss, l.watts/2/math.Max(1, x.Bath-kitchen)) // no heater is sold that cannot hold its bath
	return &conduct.Tank{Mass: l.litres, Start: x.Bath, Set: x.Bath, Gain: l.watts / fullPower, Power: l.watts, Area: area,
		Loss: loss, Room: kitchen, Bias: math.Max(0, loss*(x.Bath-kitchen))}
}

// loadOf is the load of a cook in its bath; ok is false where it, the water or the
// heater is not stated.
func loadOf(t *trial.Trial, c *trial.Cook) (l load, ok bool) {
	m, weighed := mass(c)
	b := bathOf(t, c)
	if !weighed || b == nil || !b.Volume.Known || !b.Power.Known {
		return l, false
	}
	l = load{kilograms: m, litres: b.Volume.V.Litres(), watts: b.Power.V.Watts()}
	return l, l.kilograms > 0 && l.litres > 0 && l.watts > 0
}

// comeUpIn is the come-up of a piece in a bath that is not steady. A core that does
// not arrive in three times what is likely, or in the time of the log, is not known
// to arrive.
func (s *Solver) comeUpIn(x Setting, b surroundings, steady Range) Range {
	r := s.solved(x)
	if r.err != nil {
		return Range{Why: cannot("food.thickness", "the piece cannot be computed")}
	}
	var m [3]float64
	for end := range m {
		limit := math.Max(3*60*math.Max(steady.High, 1), 2*b.profile.End())
		seconds, ok := arrivalIn(r.solids[end], x.Start[end], b, math.Min(limit, 60*maxMinutes))
		if !ok {
			return Range{Why: cannot("cooks.log", "the core never arrives in a bath as it was logged")}
		}
		m[end] = seconds / 60
	}
	low, high := math.Min(m[0], math.Min(m[1], m[2])), math.Max(m[0], math.Max(m[1], m[2]))
	return Range{Known: true, Low: low, Mid: math.Max(low, math.Min(high, m[1])), High: high}
}

// arrivalIn is when a core is first within ComeUp of where the bath settles, in
// seconds.
func arrivalIn(r Solid, start float64, b surroundings, limit float64) (float64, bool) {
	target := b.level - ComeUp
	if start >= target {
		return 0, true
	}
	d, err := conduct.NewDriven(r, start, b.profile)
	if err != nil {
		return 0, false
	}
	seconds, err := d.Reach(target, limit)
	return seconds, err == nil
}
