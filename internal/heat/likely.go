package heat

import (
	"fmt"
	"math"

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
	bath := bathed{t: t, c: c, log: out.Log}
	if len(c.Pieces) > 0 {
		out.Pieces = make([]Piece, 0, len(c.Pieces))
	}
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
			around = s.around(&bath, x, piece.ComeUp)
			piece.ComeUp = s.inBath(&bath, x, around, piece.ComeUp)
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

// bathed is one cook in its bath, with what its pieces share.
type bathed struct {
	t      *trial.Trial
	c      *trial.Cook
	log    *LogReading
	logged *surroundings // the bath as it was logged, found once
	done   []predicted   // pieces that are done, for those that are alike
}

// predicted is the come-up of the pieces of one cook that share a setting, in the
// bath as it was.
type predicted struct {
	x      Setting
	comeUp Range
}

// inBath predicts a piece in its bath. steady is its come-up in one that stands still.
func (s *Solver) inBath(b *bathed, x Setting, around surroundings, steady Range) Range {
	if around.how == Steady {
		return steady
	}
	for i := range b.done {
		if b.done[i].x == x {
			return b.done[i].comeUp
		}
	}
	comeUp := s.comeUpIn(x, around, steady)
	b.done = append(b.done, predicted{x, comeUp})
	return comeUp
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
	food := s.basisOf(&t.Food, false)
	f, err := food.properties(halfWay(x.Start[1], x.Bath))
	if err != nil {
		return x, cannot("cooks.set_point", "no properties of food are known at that temperature")
	}
	x.Diffusivity, x.Conductivity = f.diffusivity, f.conductivity
	for _, end := range [...]int{0, 2} { // a colder start has the diffusivity of colder food
		if at, err := food.properties(halfWay(x.Start[end], x.Bath)); err == nil {
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

// String says what is predicted, for messages of tests and of developers.
func (r Range) String() string {
	if !r.Known {
		return fmt.Sprintf("not known: %v", r.Why)
	}
	return fmt.Sprintf("%.2f (%.2f to %.2f) min", r.Mid, r.Low, r.High)
}
