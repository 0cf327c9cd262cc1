package heat

import (
	"fmt"
	"math"

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
