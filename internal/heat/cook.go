package heat

import (
	"fmt"
	"math"

	"tamis/internal/food"
	"tamis/internal/quantity"
	"tamis/internal/trial"
)

// What is assumed on the unfavourable side.
const (
	// Transfer is the effective coefficient of bagged food in a moving bath,
	// W/m²/K: the low end of the range quoted for circulators (from memory).
	Transfer = 95.0
	// LowDiffusivity is how much lower than the table the diffusivity may be.
	LowDiffusivity  = 0.9
	highDiffusivity = 1.1
	// Unchecked is how far a bath may be below its reading, K, when nobody
	// checked its thermometer.
	Unchecked = 1.0
	// ColdStart is the start temperature, °C, where none is stated, and the
	// lowest that is not frozen.
	ColdStart = -1.0
	// ComeUp is how far below the set point the core has arrived, K.
	ComeUp = 0.5

	// Returned is how close to the set point, K, a bath has come back.
	Returned = 0.3

	maxSetPoint = 100.0      // °C; a water bath at kitchen pressure
	maxMinutes  = 7 * 1440.0 // a week; longer earns nothing more
)

// Cannot says why a cook cannot be computed and which field would help.
type Cannot struct {
	Field string // of the trial file, such as food.thickness
	Why   string // in a few words, without a full stop
}

func (c *Cannot) Error() string { return c.Field + ": " + c.Why }

func cannot(field, format string, args ...any) *Cannot {
	return &Cannot{Field: field, Why: fmt.Sprintf(format, args...)}
}

// Cook is one cook. Of the first group either Cannot is set or the rest, all on
// the unfavourable side, for verdicts. The second group is what was seen, each part
// there or not on its own; what is likely is Predicted.
type Cook struct {
	Cannot *Cannot

	SetPoint  float64 // °C, as stated
	Bath      float64 // °C, the set point less the error of its thermometer
	Start     float64 // °C, the coldest piece
	Thickness float64 // mm, the thickest piece
	Minutes   float64 // in the bath, of the piece that was in it for the shortest time
	From      float64 // when the time that counts begins, in minutes: 0, or with a hold the earliest arrival
	Longest   float64 // in the bath, of the piece that was in it for the longest time
	Checked   bool    // the error of the bath's thermometer is known
	Stated    bool    // the start temperature is stated

	Log *LogReading // nil without a log
	// Dip is by how much, K, the cold food pulls the bath down without a heater;
	// Recovery is how long, min, the heater needs to give that heat back.
	Dip, Recovery quantity.Number

	body  *Body
	log   *probe // the log for the worse; nil without one
	later *later // what is likely; nil where that is not asked
}

// core is the core temperature in °C after the minutes given in the bath. A
// probe log lowers it where the log reads lower, and never raises it.
func (c *Cook) core(minutes float64) float64 {
	if c.log != nil {
		return c.log.lower(minutes, c.computed)
	}
	return c.computed(minutes)
}

func (c *Cook) computed(minutes float64) float64 {
	return c.Bath - c.body.Centre(60*minutes)*(c.Bath-c.Start)
}

// Step is the time between two samples of Path, in minutes.
const Step = 0.25

// Path is the core in °C every Step minutes, beginning at from and up to to. It
// is empty when to is before from, and nil where the cook cannot be computed or
// the minutes are not between 0 and a week.
func (c *Cook) Path(from, to float64) []float64 {
	if c.Cannot != nil || c.body == nil || !(from >= 0 && from <= maxMinutes && to >= 0 && to <= maxMinutes) {
		return nil
	}
	if to < from {
		return []float64{}
	}
	path := make([]float64, 1+int((to-from)/Step+1e-9)) // 20 min of hold are 80 steps, whatever the rounding of from
	c.body.CentreEvenly(60*from, 60*Step, path)
	for i, theta := range path {
		path[i] = c.Bath - theta*(c.Bath-c.Start)
	}
	if c.log != nil {
		log := along{p: c.log, computed: c.computed}
		for i, core := range path {
			path[i] = log.lower(from+float64(i)*Step, core)
		}
	}
	return path
}

// Trial holds every cook of a trial, in the order of the file.
type Trial struct{ Cooks []Cook }

// OfTrial computes each cook of a trial once: a slab of the greatest thickness
// that is stated for any of its pieces or for the food, heated from both faces,
// with the diffusivity of its kind 10 % low, the bath low by the error of its
// thermometer, and the start temperature of the coldest piece. What is not
// stated is taken at its unfavourable end, or the cook cannot be computed.
//
// Beside that each cook has its log read, and its likely come-up and hold as ranges
// when they are asked for. OfTrial solves series only, each once, and so costs well
// under a millisecond for a trial whose cooks share their settings.
func OfTrial(t *trial.Trial) *Trial { return NewSolver(Given{}).OfTrial(t) }

// OfTrial is the same with the user's own numbers for the likely range; the
// unfavourable side does not know them.
func (s *Solver) OfTrial(t *trial.Trial) *Trial {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := &Trial{Cooks: make([]Cook, len(t.Cooks))}
	for i := range t.Cooks {
		c := &t.Cooks[i]
		out.Cooks[i] = s.strict(t, c)
		s.likely(t, c, &out.Cooks[i])
	}
	return out
}

// strict is the unfavourable side of a cook.
func (s *Solver) strict(t *trial.Trial, c *trial.Cook) Cook {
	if m := t.Medium.Or(trial.WaterBath); m != trial.WaterBath {
		return Cook{Cannot: noMedium(m)}
	}
	if !c.SetPoint.Known {
		return Cook{Cannot: cannot("cooks.set_point", "the set point is not stated")}
	}
	return s.compute(t, c, c.SetPoint.V.Celsius(), greatest(t, c), true)
}

// Planned computes what a cook would be at another set point, in °C: the same
// times, baths and start, the greatest thickness of the whole trial, no log.
// An index without a cook cannot be computed.
func Planned(t *trial.Trial, cook int, celsius float64) Cook {
	if cook < 0 || cook >= len(t.Cooks) {
		return Cook{Cannot: cannot("cooks", "there is no such cook")}
	}
	thick := greatest(t, &t.Cooks[cook])
	for i := range t.Cooks {
		other := greatest(t, &t.Cooks[i])
		if math.IsNaN(other) || other > thick {
			thick = other
		}
	}
	return NewSolver(Given{}).compute(t, &t.Cooks[cook], celsius, thick, false)
}

func noMedium(m trial.Medium) *Cannot {
	return cannot("medium", "without the log of a checked probe nobody knows the core in this medium (%s)", m)
}

func (s *Solver) compute(t *trial.Trial, c *trial.Cook, setPoint, thick float64, logged bool) Cook {
	out := Cook{SetPoint: setPoint, Thickness: thick}
	fail := func(field, format string, args ...any) Cook {
		return Cook{SetPoint: setPoint, Cannot: cannot(field, format, args...)}
	}
	if m := t.Medium.Or(trial.WaterBath); m != trial.WaterBath {
		return Cook{SetPoint: setPoint, Cannot: noMedium(m)}
	}
	if c.Ramp.V {
		return fail("cooks.ramp", "a bath that is heated with the food in it is not computed")
	}
	kind, ok := food.Lookup(t.Food.Kind.V)
	if !t.Food.Kind.Known || !ok {
		return fail("food.kind", "the kind of food is not stated")
	}
	if !(thick > 0) {
		return fail("food.thickness", "the thickness is not stated for every piece")
	}
	out.Start, out.Stated = coldest(t, c)
	if out.Start < ColdStart {
		return fail("cooks.probe", "what goes in frozen has no verdict without the log of a checked probe")
	}
	out.Bath, out.Checked = truth(t, c, setPoint)
	if logged {
		out.log = probeOf(c, setPoint, out.Bath)
		out.Bath = out.log.bath(out.Bath)
	}
	if !(setPoint <= maxSetPoint) || !(out.Bath > out.Start) {
		return fail("cooks.set_point", "the set point lies outside a water bath, or is not above the start temperature")
	}
	slow, quick := s.ends(t, kind, out.Start, out.Bath)
	body, err := s.body(Slab, thick, slow)
	if err != nil {
		return fail("food.thickness", "the thickness cannot be computed")
	}
	out.body = body
	if c := out.times(c, s, quick); c != nil {
		return Cook{SetPoint: setPoint, Cannot: c}
	}
	return out
}

// ends are the material on the unfavourable side, and the fastest that it can be,
// for the earliest arrival: by the practical value of the kind, by its composition
// and by the one that the trial states, whichever is furthest out. So a lean piece
// earns nothing by saying so, and a fat one pays for it.
func (s *Solver) ends(t *trial.Trial, k food.Kind, start, bath float64) (slow, quick Material) {
	h, _ := Coefficients(trial.WaterBath)
	slow = Material{Diffusivity: LowDiffusivity * k.Diffusivity, Conductivity: k.Conductivity, Transfer: Transfer}
	quick = Material{Diffusivity: highDiffusivity * k.Diffusivity, Conductivity: k.Conductivity, Transfer: h.High}
	for _, kind := range [...]bool{true, false} {
		if p, err := s.basisOf(&t.Food, kind).properties(halfWay(start, bath)); err == nil {
			slow.Diffusivity = math.Min(slow.Diffusivity, LowDiffusivity*p.diffusivity[1])
			quick.Diffusivity = math.Max(quick.Diffusivity, highDiffusivity*p.diffusivity[1])
		}
	}
	return slow, quick
}

// greatest is the greatest thickness in mm that is stated for the food or a
// piece of the cook. It is NaN where a piece has none and the food has none.
func greatest(t *trial.Trial, c *trial.Cook) float64 {
	most := math.NaN()
	if t.Food.Thickness.Known {
		most = t.Food.Thickness.V.Millimetres()
	}
	if len(t.Food.Sides) > 0 {
		// A block is no slower than a slab of its shortest side.
		side := math.Inf(1)
		for _, s := range t.Food.Sides {
			side = math.Min(side, s.Millimetres())
		}
		if !(most > side) {
			most = side
		}
	}
	lacks := len(c.Pieces) == 0
	for i := range c.Pieces {
		p := &c.Pieces[i]
		if !p.Thickness.Known {
			lacks = true
		}
	}
	if math.IsNaN(most) && lacks {
		return most // nothing is known of that piece
	}
	for i := range c.Pieces {
		if p := &c.Pieces[i]; p.Thickness.Known && !(most > p.Thickness.V.Millimetres()) {
			most = p.Thickness.V.Millimetres()
		}
	}
	return most
}

// coldest is the lowest start temperature that is stated for the food or a
// piece, or the cautious default where any piece has none.
func coldest(t *trial.Trial, c *trial.Cook) (celsius float64, stated bool) {
	low, stated := math.Inf(1), len(c.Pieces) > 0
	for i := range c.Pieces {
		if s := c.Pieces[i].Start; s.Known {
			low = math.Min(low, s.V.Celsius())
		} else {
			stated = false
		}
	}
	if t.Food.Start.Known {
		return math.Min(low, t.Food.Start.V.Celsius()), true
	}
	if !stated {
		return math.Min(low, ColdStart), false
	}
	return low, true
}

// truth is the set point less what the bath's thermometer reads too high. One
// that reads low earns nothing, and one that nobody checked is taken to read
// at least 1.0 °C high.
func truth(t *trial.Trial, c *trial.Cook, setPoint float64) (celsius float64, checked bool) {
	if b := bathOf(t, c); b != nil {
		high := math.Max(0, b.Reads.V.Kelvin())
		if b.Reads.Known && b.Checked.Known {
			return setPoint - high, true
		}
		return setPoint - math.Max(high, Unchecked), false
	}
	return setPoint - Unchecked, false
}

// times sets the shortest and the longest time that a piece spent in the bath.
// A hold is counted from the arrival of the core. Nobody saw it arrive, so the
// shortest begins with the earliest arrival that can be, diffusivity 10 % high
// and a fast surface in the bath as it reads, and the longest with the latest. What the core does
// before it arrives does not count, or a thicker piece would earn more.
func (h *Cook) times(c *trial.Cook, s *Solver, quick Material) *Cannot {
	switch d, ok := c.BathTime(); {
	case ok:
		h.Minutes, h.Longest = d.Minutes(), d.Minutes()
	case c.Hold.Known:
		fast, err := s.body(Slab, h.Thickness, quick)
		if err != nil {
			return cannot("food.thickness", "the thickness cannot be computed")
		}
		early, err1 := SecondsTo(fast, h.Start, h.SetPoint, h.SetPoint-ComeUp)
		late, err2 := SecondsTo(h.body, h.Start, h.Bath, h.Bath-ComeUp)
		if err1 != nil || err2 != nil {
			return cannot("cooks.hold", "the core starts too close to the bath to see it arrive")
		}
		h.From = early / 60
		h.Minutes, h.Longest = h.From+c.Hold.V.Minutes(), late/60+c.Hold.V.Minutes()
	default:
		return cannot("cooks.time", "neither the time in the bath nor the hold is stated")
	}
	if c.Started.Known {
		for i := range c.Pieces {
			if out := c.Pieces[i].Out; out.Known {
				m := out.V.MinutesAfter(c.Started.V)
				h.Minutes, h.Longest = math.Min(h.Minutes, m), math.Max(h.Longest, m)
			}
		}
	}
	if !(h.Minutes > 0) {
		return cannot("cooks.time", "the time in the bath is not above 0")
	}
	h.From = math.Min(h.From, maxMinutes)
	h.Minutes, h.Longest = math.Min(h.Minutes, maxMinutes), math.Min(h.Longest, maxMinutes)
	return nil
}
