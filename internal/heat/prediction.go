package heat

import (
	"math"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// Prediction is what is likely of a cook, whatever the verdict can be. Each of its
// parts is there or not on its own.
type Prediction struct {
	// ComeUp is the predicted time until the core of the slowest piece is within
	// ComeUp of the bath. Hold is how long that core stayed there: as stated, or
	// the time in the bath less the arrival, by the log where it has a core.
	ComeUp, Hold Range
	Pieces       []Piece // the same for each piece that is listed
	Likely       Setting // what the come-up was predicted from; zero where it was not
	// Around says what ComeUp and Trace take the bath to do.
	Around Around
	Limits []Limit // what speaks against the prediction, the worst first

	around surroundings
}

// later is a prediction that is made when it is first asked for. Who only judges a
// cook that was logged never asks, and it costs more than the verdict.
type later struct {
	s         *Solver
	t         *trial.Trial
	c         *trial.Cook
	log       *LogReading
	wrongUnit bool // the log reads like °F
	made      *Prediction
}

// Predicted is the prediction of a cook.
func (c *Cook) Predicted() *Prediction {
	l := c.later
	if l == nil {
		return &Prediction{}
	}
	l.s.mu.Lock()
	defer l.s.mu.Unlock()
	if l.made == nil {
		l.made = l.s.predict(l)
	}
	return l.made
}

// ComeUp is that of Prediction.
func (c *Cook) ComeUp() Range { return c.Predicted().ComeUp }

// Hold is that of Prediction. Where a log has seen the core of a cook whose pieces
// came out together, nothing is predicted for it.
func (c *Cook) Hold() Range {
	if l := c.later; l != nil && l.together() {
		if hold, ok := l.seen(nil); ok {
			return hold
		}
	}
	return c.Predicted().Hold
}

// Pieces are those of Prediction.
func (c *Cook) Pieces() []Piece { return c.Predicted().Pieces }

// Likely is that of Prediction.
func (c *Cook) Likely() Setting { return c.Predicted().Likely }

// Around is that of Prediction.
func (c *Cook) Around() Around { return c.Predicted().Around }

// Limits are those of Prediction.
func (c *Cook) Limits() []Limit { return c.Predicted().Limits }

// together reports whether no piece came out at a time of its own.
func (l *later) together() bool {
	for i := range l.c.Pieces {
		if l.c.Pieces[i].Out.Known {
			return false
		}
	}
	return true
}

// seen is the hold of a piece by the log; ok is false where the log does not tell, or
// the hold is stated.
func (l *later) seen(p *trial.Piece) (hold Range, ok bool) {
	if l.log == nil || l.c.Hold.Known {
		return Range{}, false
	}
	if at, ok := l.log.Arrived.Get(); ok {
		m, ok := minutesOf(l.c, p)
		return Exactly(math.Max(0, m-at)), ok
	}
	return Exactly(0), l.log.CoreMax.Known() // it was seen not to arrive
}

// likely reads the log of a cook, and prepares its prediction.
func (s *Solver) likely(t *trial.Trial, c *trial.Cook, out *Cook) {
	if !c.SetPoint.Known {
		why := cannot("cooks.set_point", "the set point is not stated")
		out.later = &later{s: s, made: &Prediction{ComeUp: Range{Why: why}, Hold: Range{Why: why}}, c: c}
		out.Dip = quantity.Absent(why.Why)
		return
	}
	setPoint := c.SetPoint.V.Celsius()
	out.Log = readLog(t, c, setPoint)
	wrongUnit := out.Log != nil && out.Log.fahrenheit(setPoint)
	if wrongUnit {
		out.Log = out.Log.unread("it reads like °F under a heading of °C")
	}
	out.Dip, out.Recovery = dip(t, c, setPoint)
	out.later = &later{s: s, t: t, c: c, log: out.Log, wrongUnit: wrongUnit}
}

// predict makes the prediction of one cook.
func (s *Solver) predict(l *later) *Prediction {
	t, c, g, out := l.t, l.c, s.given, &Prediction{}
	setPoint := c.SetPoint.V.Celsius()
	medium := t.Medium.Or(trial.WaterBath)
	coefficient, known := Coefficients(medium)
	n := max(1, len(c.Pieces))
	var thickest *trial.Piece
	bath := bathed{t: t, c: c, log: l.log}
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
		case c.Ramp.V && !hasBath(l.log):
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
	if hold, ok := l.seen(thickest); ok {
		out.Hold = hold
	}
	start, startKnown := out.Likely.Start[2], out.Likely.Start[0] == out.Likely.Start[2]
	out.Limits = limits(t, c, out.Likely.Thickness, start, startKnown, hasBath(l.log))
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
	if l.wrongUnit {
		out.Limits = append([]Limit{{Slug: WrongLog, Field: "cooks.log", Voids: true}}, out.Limits...)
	}
	return out
}
