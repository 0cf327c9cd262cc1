package heat

import (
	"fmt"
	"math"
	"slices"

	"tamis/internal/food"
	"tamis/internal/heat/conduct"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// What is assumed where a start is not stated, °C: anything between a chilled
// piece that all but freezes and a fridge that is too warm.
const (
	FridgeStart = 4.0
	WarmStart   = 8.0
)

// Given are numbers that somebody puts in the place of the table's. 0 is none.
// They count as they are, the diffusivity with its ±10 %.
type Given struct {
	Diffusivity  float64 // m²/s
	Conductivity float64 // W/m/K
	Transfer     float64 // W/m²/K
}

// Piece is the prediction for one piece of a cook.
type Piece struct {
	ID           string
	Thickness    float64 // mm
	ComeUp, Hold Range
}

// Setting is a piece in a bath, everything that its come-up depends on.
type Setting struct {
	Shape trial.Shape // a block has Sides
	// Thickness is the thickness of a slab, the diameter of a cylinder or a
	// sphere, mm. Sides are those of a block, mm.
	Thickness float64
	Sides     [3]float64
	Bath      float64    // °C, as it really stands
	Start     [3]float64 // °C: warmest, likely, coldest
	// Diffusivity in m²/s and Transfer in W/m²/K: favourable, likely, unfavourable.
	Diffusivity  [3]float64
	Transfer     [3]float64
	Conductivity float64 // W/m/K
}

// ComeUpOf predicts how long the core of a piece takes to within ComeUp of its
// bath: from everything favourable to everything unfavourable.
func ComeUpOf(s Setting) Range { return NewSolver(Given{}).comeUp(s) }

// Solver computes trials and keeps what it solved: the cooks of a trial, and the
// cells of a table, share most of it. It is not safe for use by two at once.
type Solver struct {
	given  Given
	bodies map[bodyKey]*Body
	ranges map[Setting]Range
	bases  map[basisKey]food.Basis
	foods  map[foodKey]properties
	loads  map[loadKey]conduct.Profile
}

// basisKey is all that the composition of a food follows from: its kind, and the
// shares that are stated, in percent; -1 is not stated.
type basisKey struct {
	kind        string
	kindKnown   bool
	composition [7]float64
	known       bool
}

func basisKeyOf(f trial.Food) basisKey {
	key := basisKey{kind: f.Kind.V, kindKnown: f.Kind.Known, known: f.Composition.Known}
	c := &f.Composition.V
	for i, s := range [...]*trial.Opt[quantity.Share]{&c.Water, &c.Protein, &c.Fat, &c.Carbohydrate, &c.Fibre, &c.Ash, &c.Salt} {
		if key.composition[i] = -1; s.Known {
			key.composition[i] = s.V.Percent()
		}
	}
	return key
}

type foodKey struct {
	basisKey
	celsius float64
}

// properties are those of a food at a temperature; the diffusivity is favourable,
// likely, unfavourable.
type properties struct {
	diffusivity  [3]float64
	conductivity float64
}

type bodyKey struct {
	shape Shape
	half  float64
	m     Material
}

// NewSolver is a solver with the user's own numbers, if any.
func NewSolver(g Given) *Solver {
	return &Solver{given: g, bodies: map[bodyKey]*Body{}, ranges: map[Setting]Range{}, bases: map[basisKey]food.Basis{}, foods: map[foodKey]properties{}, loads: map[loadKey]conduct.Profile{}}
}

func (s *Solver) body(shape Shape, mm float64, m Material) (*Body, error) {
	key := bodyKey{shape, mm / 2000, m}
	if b := s.bodies[key]; b != nil {
		return b, nil
	}
	b, err := New(key.shape, key.half, m)
	if err == nil {
		s.bodies[key] = b
	}
	return b, err
}

// solid is the body of a setting at one end of its range: 0 favourable, 1
// likely, 2 unfavourable.
func (s *Solver) solid(x Setting, end int) (Solid, error) {
	m := Material{Diffusivity: x.Diffusivity[end], Conductivity: x.Conductivity, Transfer: x.Transfer[end]}
	switch x.Shape {
	case trial.Block:
		p, err := conduct.NewBlock([3]float64{x.Sides[0] / 1000, x.Sides[1] / 1000, x.Sides[2] / 1000}, m)
		if err != nil {
			return nil, err
		}
		return p, nil
	case trial.Cylinder:
		return s.body(Cylinder, x.Thickness, m)
	case trial.Sphere:
		return s.body(Sphere, x.Thickness, m)
	}
	return s.body(Slab, x.Thickness, m)
}

func (s *Solver) comeUp(x Setting) Range {
	// A NaN never equals itself, so it must not become a key.
	for _, v := range []float64{x.Thickness, x.Bath, x.Start[0], x.Start[1], x.Start[2], x.Conductivity} {
		if !finite(v) {
			return Range{Why: cannot("food.thickness", "there is no number to compute with")}
		}
	}
	if r, ok := s.ranges[x]; ok {
		return r
	}
	r := s.solve(x)
	s.ranges[x] = r
	return r
}

func (s *Solver) solve(x Setting) Range {
	var m [3]float64
	for end := range m {
		solid, err := s.solid(x, end)
		if err != nil {
			return Range{Why: cannot("food.thickness", "the piece cannot be computed")}
		}
		start := x.Start[end]
		if !(start < x.Bath) {
			return Range{Why: cannot("cooks.set_point", "the set point is not above the start temperature")}
		}
		if start >= x.Bath-ComeUp {
			continue // it is there already
		}
		sec, err := SecondsTo(solid, start, x.Bath, x.Bath-ComeUp)
		if err != nil || !finite(sec) {
			return Range{Why: cannot("cooks.set_point", "the core never arrives")}
		}
		m[end] = sec / 60
	}
	return Range{Known: true, Low: math.Min(m[0], m[1]), Mid: m[1], High: math.Max(m[1], m[2])}
}

// likely fills in what is likely of one cook, whatever the verdict can be.
func (s *Solver) likely(t *trial.Trial, c *trial.Cook, out *Cook) {
	g := s.given
	if !c.SetPoint.Known {
		why := cannot("cooks.set_point", "the set point is not stated")
		out.ComeUp, out.Hold, out.Dip = Range{Why: why}, Range{Why: why}, quantity.Absent(why.Why)
		return
	}
	setPoint := c.SetPoint.V.Celsius()
	out.Log = readLog(t, c, setPoint)
	wrongUnit := out.Log != nil && out.Log.fahrenheit(setPoint)
	if wrongUnit {
		out.Log = out.Log.unread("it reads like °F under a heading of °C")
	}
	out.Dip, out.Recovery = dip(t, c, setPoint)
	medium := t.Medium.Or(trial.WaterBath)
	coefficient, known := Coefficients(medium)
	n := max(1, len(c.Pieces))
	var thickest *trial.Piece
	var done []predicted
	for i := range n {
		var p *trial.Piece
		if len(c.Pieces) > 0 {
			p = &c.Pieces[i]
		}
		piece := Piece{}
		if p != nil {
			piece.ID = p.ID
		}
		x, why := s.setting(t, c, p, coefficient)
		switch {
		case why != nil:
			piece.ComeUp = Range{Why: why}
		case !known && g.Transfer == 0:
			piece.ComeUp = Range{Why: cannot("medium", "nothing useful is known of the surface in this medium (%s)", medium)}
		case c.Ramp.V && !hasBath(out.Log):
			piece.ComeUp = Range{Why: cannot("cooks.ramp", "a bath that is heated with the food in it is not computed")}
		case x.Start[2] < ColdStart:
			piece.ComeUp = Range{Why: cannot("food.start", "what goes in frozen is not computed by series")}
		case medium == trial.WaterBath && !(setPoint <= maxSetPoint):
			piece.ComeUp = Range{Why: cannot("cooks.set_point", "no water bath is hotter than 100 °C")}
		default:
			piece.ComeUp = s.comeUp(x)
		}
		around := steadyAt(x.Bath)
		if piece.ComeUp.Known {
			k := slices.IndexFunc(done, func(p predicted) bool { return p.x == x })
			if k < 0 {
				k, done = len(done), append(done, s.inBath(t, c, x, out.Log, piece.ComeUp))
			}
			piece.ComeUp, around = done[k].comeUp, done[k].around
		}
		if why == nil {
			piece.Thickness = x.Thickness
		}
		piece.Hold = holdOf(c, p, piece.ComeUp)
		if len(c.Pieces) > 0 {
			out.Pieces = append(out.Pieces, piece)
		}
		if i == 0 || slower(piece.ComeUp, out.ComeUp) {
			out.ComeUp, out.Hold, out.Likely, out.around, thickest = piece.ComeUp, piece.Hold, x, around, p
		}
	}
	out.Around = out.around.how
	if l := out.Log; l != nil && !c.Hold.Known {
		if at, ok := l.Arrived.Get(); ok {
			if m, ok := minutesOf(c, thickest); ok {
				out.Hold = Exactly(math.Max(0, m-at))
			}
		} else if l.CoreMax.Known() {
			out.Hold = Exactly(0) // it was seen not to arrive
		}
	}
	start, startKnown := out.Likely.Start[2], out.Likely.Start[0] == out.Likely.Start[2]
	out.Limits = limits(t, c, out.Likely.Thickness, start, startKnown, hasBath(out.Log))
	switch {
	case !known:
		out.Limits = append(out.Limits, Limit{Slug: NoBath, Field: "medium", Word: string(medium), Voids: true})
	case medium != trial.WaterBath:
		out.Limits = append(out.Limits, Limit{Slug: Surface, Field: "medium", Word: string(medium)})
	}
	for _, o := range []struct {
		v     float64
		field string
	}{{g.Diffusivity, "diffusivity"}, {g.Conductivity, "conductivity"}, {g.Transfer, "coefficient"}} {
		if o.v > 0 {
			out.Limits = append(out.Limits, Limit{Slug: OwnNumber, Word: o.field})
		}
	}
	if wrongUnit {
		out.Limits = append([]Limit{{Slug: WrongLog, Field: "cooks.log", Voids: true}}, out.Limits...)
	}
}

// predicted is the come-up of the pieces of one cook that share a setting, in the
// bath as it was.
type predicted struct {
	x      Setting
	comeUp Range
	around surroundings
}

// inBath predicts a piece in its bath. steady is its come-up in one that stands still.
func (s *Solver) inBath(t *trial.Trial, c *trial.Cook, x Setting, log *LogReading, steady Range) predicted {
	out := predicted{x, steady, s.around(t, c, x, log, steady)}
	if out.around.how != Steady {
		out.comeUp = s.comeUpIn(x, out.around, steady)
	}
	return out
}

// slower reports whether a decides over b for a cook: what is not known decides
// over everything.
func slower(a, b Range) bool {
	if a.Known != b.Known {
		return !a.Known
	}
	return a.Mid > b.Mid
}

// holdOf is how long the core of one piece stayed within ComeUp of the bath.
func holdOf(c *trial.Cook, p *trial.Piece, comeUp Range) Range {
	if c.Hold.Known {
		return Exactly(c.Hold.V.Minutes())
	}
	m, ok := minutesOf(c, p)
	if !ok {
		return Range{Why: cannot("cooks.time", "neither the time in the bath nor the hold is stated")}
	}
	if !comeUp.Known {
		return comeUp
	}
	left := func(arrival float64) float64 { return math.Max(0, m-arrival) }
	return Range{Known: true, Low: left(comeUp.High), Mid: left(comeUp.Mid), High: left(comeUp.Low)}
}

// minutesOf is the time in the bath of a piece, or of the cook where p is nil.
func minutesOf(c *trial.Cook, p *trial.Piece) (float64, bool) {
	if p != nil && p.Out.Known && c.Started.Known {
		return p.Out.V.MinutesAfter(c.Started.V), true
	}
	d, ok := c.BathTime()
	return d.Minutes(), ok
}

// setting puts together what the come-up of a piece depends on.
func (s *Solver) setting(t *trial.Trial, c *trial.Cook, p *trial.Piece, h Coefficient) (x Setting, why *Cannot) {
	g := s.given
	x = Setting{Shape: t.Food.Shape.Or(trial.Slab), Bath: c.SetPoint.V.Celsius() - readsHigh(t, c)}
	if t.Food.Thickness.Known {
		x.Thickness = t.Food.Thickness.V.Millimetres()
	}
	if len(t.Food.Sides) == 3 {
		thin := 0
		for i, s := range t.Food.Sides {
			x.Sides[i] = s.Millimetres()
			if x.Sides[i] < x.Sides[thin] {
				thin = i
			}
		}
		if p != nil && p.Thickness.Known {
			x.Sides[thin] = p.Thickness.V.Millimetres()
		}
		if x.Thickness == 0 {
			x.Thickness = x.Sides[thin]
		}
	} else if x.Shape == trial.Block {
		x.Shape = trial.Slab // of which the sides are not known
	}
	if p != nil && p.Thickness.Known {
		x.Thickness = p.Thickness.V.Millimetres()
	}
	if !(x.Thickness > 0) {
		return x, cannot("food.thickness", "the thickness is not stated")
	}
	switch {
	case p != nil && p.Start.Known:
		x.Start = same(p.Start.V.Celsius())
	case t.Food.Start.Known:
		x.Start = same(t.Food.Start.V.Celsius())
	default:
		x.Start = [3]float64{WarmStart, FridgeStart, ColdStart}
	}
	f, err := s.properties(t.Food, halfWay(x.Start[1], x.Bath))
	if err != nil {
		return x, cannot("cooks.set_point", "no properties of food are known at that temperature")
	}
	x.Diffusivity, x.Conductivity = f.diffusivity, f.conductivity
	for _, end := range []int{0, 2} { // a colder start has the diffusivity of colder food
		if at, err := s.properties(t.Food, halfWay(x.Start[end], x.Bath)); err == nil {
			x.Diffusivity[end] = at.diffusivity[end]
		}
	}
	if g.Diffusivity > 0 {
		x.Diffusivity = around(g.Diffusivity)
	}
	if g.Conductivity > 0 {
		x.Conductivity = g.Conductivity
	}
	x.Transfer = [3]float64{h.High, h.Mid, h.Low}
	if g.Transfer > 0 {
		x.Transfer = same(g.Transfer)
	}
	return x, nil
}

func same(v float64) [3]float64 { return [3]float64{v, v, v} }

func around(alpha float64) [3]float64 {
	return [3]float64{highDiffusivity * alpha, alpha, LowDiffusivity * alpha}
}

// halfWay is the temperature at which the properties of a piece are taken, °C.
func halfWay(start, bath float64) float64 { return math.Max(0, (start+bath)/2) }

// properties are those of the food by its composition.
func (s *Solver) properties(f trial.Food, celsius float64) (properties, error) {
	key := foodKey{basisKeyOf(f), celsius}
	if p, ok := s.foods[key]; ok {
		return p, nil
	}
	b, ok := s.bases[key.basisKey]
	if !ok {
		b = food.BasisOf(f)
		s.bases[key.basisKey] = b
	}
	low, mid, high, err := b.Diffusivity(celsius)
	if err != nil {
		return properties{}, err
	}
	at, err := food.Properties(b.Composition, celsius)
	if err != nil {
		return properties{}, err
	}
	p := properties{[3]float64{high, mid, low}, at.Conductivity}
	if celsius == celsius { // a NaN never equals itself, so it must not become a key
		s.foods[key] = p
	}
	return p, nil
}

// String says what is predicted, for messages of tests and of developers.
func (r Range) String() string {
	if !r.Known {
		return fmt.Sprintf("not known: %v", r.Why)
	}
	return fmt.Sprintf("%.2f (%.2f to %.2f) min", r.Mid, r.Low, r.High)
}
