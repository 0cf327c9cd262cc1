package heat

import (
	"math"
	"slices"

	"tamis/internal/food"
	"tamis/internal/heat/conduct"
	"tamis/internal/trial"
)

// What is met after the bath, °C: a kitchen is taken to have 20 °C and ice water
// 1 °C. Coefficients are those of the table of surfaces.
const (
	kitchen, iceWater      = 20.0, 1.0
	wetSurface             = 100.0 // °C: while a pan dries a surface, it boils
	longestFrozen          = 2880.0
	coldestLaw, hottestLaw = -40.0, 140.0
)

// Stage names what happens to a piece.
type Stage string

// The stages of a cook, in the order in which they come.
const (
	InBath  Stage = "bath"
	Chilled Stage = "ice water"
	Rested  Stage = "rest"
	Seared  Stage = "sear"
)

// Bite is a piece at the moment at which it was served, °C, on the likely side.
type Bite struct {
	Minutes             float64 // after it came out of the bath
	Core, Mean, Surface float64
	Stages              []Stage // what happened to it, the bath first
}

// BiteOf is the i-th cook when it was served, by finite volumes: its slowest piece
// with properties that follow the temperature, in the bath, in ice water, in still
// air, in the pan. ok is false where the time in the bath, the serving or the
// come-up is not known. A pan is taken to hold both faces at the boil, and the
// plate takes no heat, so a seared surface is only roughly known.
func BiteOf(t *trial.Trial, i int, c *Cook) (b Bite, ok bool) {
	if i < 0 || i >= len(t.Cooks) || !c.ComeUp().Known {
		return b, false
	}
	tc := &t.Cooks[i]
	inBath, timed := tc.BathTime()
	if !timed || !tc.Served.Known || !tc.Started.Known {
		return b, false
	}
	after := tc.Served.V.MinutesAfter(tc.Started.V) - inBath.Minutes()
	if !(inBath.Minutes() > 0 && after >= 0 && after <= 600) {
		return b, false // what is served another day was kept cold, and how warm it is then is not known
	}
	x := c.Likely()
	phases := []conduct.Phase{{Seconds: 60 * inBath.Minutes(), Outer: c.face(x.Transfer[1])}}
	b.Minutes, b.Stages = after, []Stage{InBath}
	rest := 60 * after
	add := func(s Stage, seconds float64, f conduct.Face) {
		if seconds = math.Min(seconds, rest); seconds > 0 {
			phases = append(phases, conduct.Phase{Seconds: seconds, Outer: f})
			b.Stages = append(b.Stages, s)
			rest -= seconds
		}
	}
	if ch := tc.Chill.V; tc.Chill.Known && ch.Is && ch.Into.Known && ch.AtTime.Known {
		add(Chilled, 60*ch.AtTime.V.MinutesAfter(ch.Into.V), surface("iced-water", iceWater))
	}
	var sear float64
	if f := tc.Finish.V; tc.Finish.Known && !f.None && f.Sear.Known {
		if sear = f.Sear.V.Seconds(); f.PerSide {
			sear *= 2
		}
		sear = math.Min(sear, rest)
	}
	add(Rested, rest-sear, surface("still-air", kitchen))
	add(Seared, sear, conduct.Pan(wetSurface))
	course, err := solveDetail(t, x, x.Start[1], phases)
	if err != nil || len(course.Points) == 0 {
		return b, false
	}
	end := course.Points[len(course.Points)-1]
	b.Core, b.Mean, b.Surface = end.Core, end.Mean, end.Surface
	return b, true
}

// FromFrozen predicts the come-up of the i-th cook, which starts frozen, by finite
// volumes with the heat of thawing. It is a range for the coefficient, widened by
// the spread of the diffusivity as a share of the time; solving takes
// milliseconds. A cook that does not start frozen has its ComeUp already.
func FromFrozen(t *trial.Trial, i int, c *Cook) Range {
	x := c.Likely()
	if i < 0 || i >= len(t.Cooks) || !(x.Thickness > 0) || !(x.Bath > ColdStart) || !(x.Start[1] < ColdStart) {
		return Range{Why: cannot("food.start", "it does not start frozen")}
	}
	var m [3]float64
	for end := range m {
		y := x
		y.Transfer = same(x.Transfer[end])
		slab := y
		slab.Shape = trial.Slab
		if y.Shape != trial.Block {
			slab.Shape = y.Shape
		} else {
			slab.Thickness = slices.Min(y.Sides[:])
		}
		s, why := c.frozenArrival(t, i, slab, x.Start[end], 60*longestFrozen)
		if why == nil && y.Shape == trial.Block { // no slower than a slab of its shortest side
			s, why = c.frozenArrival(t, i, y, x.Start[end], 1.05*s)
		}
		if why != nil {
			return Range{Why: why}
		}
		m[end] = s / 60
	}
	// The diffusivity of the ends goes into the times in proportion. No piece is sooner
	// there for being frozen, whatever the two methods differ by.
	out := Range{Known: true, Low: m[0] * x.Diffusivity[1] / x.Diffusivity[0], Mid: m[1], High: m[2] * x.Diffusivity[1] / x.Diffusivity[2]}
	thawed := x
	thawed.Start = same(ColdStart)
	s := NewSolver(Given{})
	from := s.comeUp(thawed)
	if around := s.around(&bathed{t: t, c: &t.Cooks[i], log: c.Log}, thawed, from); around.how != Steady {
		from = s.comeUpIn(thawed, around, from)
	}
	if from.Known {
		out.Low, out.Mid, out.High = math.Max(out.Low, from.Low), math.Max(out.Mid, from.Mid), math.Max(out.High, from.High)
	}
	return out
}

// frozenArrival is when a piece that starts frozen has come up, in seconds.
func (c *Cook) frozenArrival(t *trial.Trial, i int, x Setting, start, limit float64) (float64, *Cannot) {
	face := conduct.Bath(x.Bath, x.Transfer[1])
	if hasBath(c.Log) {
		b := loggedBath(c.Log, x.Bath)
		x.Bath, face.Ambient = b.level, b.profile
	}
	phase := conduct.Phase{Seconds: limit, Outer: face}
	if l, ok := loadOf(t, &t.Cooks[i]); ok && !hasBath(c.Log) {
		phase.Tank = l.tank(x)
	}
	course, err := solveDetail(t, x, start, []conduct.Phase{phase})
	if err != nil {
		return 0, cannot("food.thickness", "the piece cannot be computed")
	}
	s, err := course.Reach(x.Bath - ComeUp)
	if err != nil {
		return 0, cannot("cooks.set_point", "the core does not arrive within two days")
	}
	return s, nil
}

// face is the surface of a piece in the bath of a cook, with a coefficient.
func (c *Cook) face(transfer float64) conduct.Face {
	f := conduct.Bath(c.Likely().Bath, transfer)
	if c.Around() == Loaded || c.Around() == Logged {
		f.Ambient = c.Predicted().around.profile
	}
	return f
}

// surface is that of a piece in a medium of the table.
func surface(slug string, celsius float64) conduct.Face {
	s, _ := conduct.SurfaceOf(slug)
	return conduct.Bath(celsius, s.Likely)
}

// coarseBlock is how many cells of a block lie from its centre to each face: a
// block is solved in three dimensions, to about 2 % of its times.
const coarseBlock = 6

// solveDetail runs finite volumes over the phases.
func solveDetail(t *trial.Trial, x Setting, start float64, phases []conduct.Phase) (*conduct.Course, error) {
	b := food.BasisOf(t.Food)
	law, err := food.NewThawing(b.Composition, b.Freezing)
	if err != nil {
		return nil, err
	}
	// Half way to the bath it has the properties of the setting, which may be the
	// user's own; elsewhere it differs from there as its composition says.
	mid := law.At(halfWay(x.Start[1], x.Bath))
	conducts := x.Conductivity / mid.Conductivity
	holds := x.Conductivity / x.Diffusivity[1] / mid.HeatCapacity // kg/m³: what makes a mass a volume
	material, err := conduct.NewMaterial(conduct.Law{
		Conductivity: func(c float64) float64 { return conducts * law.At(c).Conductivity },
		Enthalpy:     func(c float64) float64 { return holds * law.Enthalpy(c) },
		Low:          coldestLaw, High: hottestLaw, Freezing: law.Point(),
	})
	if err != nil {
		return nil, err
	}
	shape := map[trial.Shape]Shape{trial.Cylinder: Cylinder, trial.Sphere: Sphere}[x.Shape] // else a slab
	half := x.Thickness / 2000
	if x.Shape == trial.Block {
		sides := [3]float64{x.Sides[0] / 1000, x.Sides[1] / 1000, x.Sides[2] / 1000}
		return conduct.SolveBlock(sides, conduct.Problem{Material: material, Start: start, Phases: phases}, conduct.Options{Cells: coarseBlock})
	}
	return conduct.Solve(conduct.Problem{Shape: shape, Half: half, Material: material, Start: start, Phases: phases}, conduct.Options{})
}
