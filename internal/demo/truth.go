package demo

import "math"

// Curve is the true mean of a measure against the set point in °C: a logistic
// between Low and High, or falling when Width is negative.
type Curve struct {
	Low, High float64
	Middle    float64 // °C at which it is half way
	Width     float64 // °C; the steepness at the middle is (High-Low)/(4·Width)
}

// At is the curve at a set point.
func (c Curve) At(celsius float64) float64 {
	return c.Low + (c.High-c.Low)/(1+math.Exp(-(celsius-c.Middle)/c.Width))
}

// Inverse is the set point at which the curve reaches v; NaN outside its ends.
func (c Curve) Inverse(v float64) float64 {
	u := (v - c.Low) / (c.High - c.Low)
	return c.Middle + c.Width*math.Log(u/(1-u))
}

// Spread is the standard deviation of each level of variation of a measure.
type Spread struct {
	Session, Cook, Source, Piece, Assessor, Score float64
}

// The truth of the pollack trial.
var (
	// PollackFirmness is steepest at 49 °C; 5 to 6.5 is met from 49.0 to
	// 51.6 °C by a plain piece.
	PollackFirmness = Curve{Low: 0, High: 10, Middle: 49, Width: 4.2}
	// PollackProtein is the coverage of a plain piece; at most 2 is met up to
	// 53.3 °C.
	PollackProtein = Curve{Low: 0, High: 5, Middle: 55, Width: 4.2}
	// PollackLiking has its top near 51 °C; see likingAt.
	pollackLikingTop = 51.0
)

// What the dry brine does to pollack: it lessens surface protein to six tenths
// and makes the flesh a little softer.
const (
	BrineProteinFactor   = 0.6
	BrineFirmnessShift   = -0.25
	pollackLossAt50      = 6.0  // percent
	pollackLossPerDegree = 0.55 // percentage points
	brineLossShift       = -2.0
)

// PollackWindow is the true window of the two aims (firmness 5 to 6.5, surface
// protein at most 2), °C.
func PollackWindow(brined bool) (low, high float64) {
	shift, factor := 0.0, 1.0
	if brined {
		shift, factor = BrineFirmnessShift, BrineProteinFactor
	}
	low = PollackFirmness.Inverse(5 - shift)
	high = PollackFirmness.Inverse(6.5 - shift)
	if limit := 2 / factor; limit < PollackProtein.High {
		high = math.Min(high, PollackProtein.Inverse(limit))
	}
	return low, high
}

var (
	pollackFirmness = Spread{Session: 0.25, Cook: 0.35, Source: 0.25, Piece: 0.25, Assessor: 0.6, Score: 0.7}
	pollackProtein  = Spread{Session: 0.10, Cook: 0.20, Source: 0.10, Piece: 0.25}
	pollackLoss     = Spread{Session: 0.3, Cook: 0.5, Source: 0.4, Piece: 0.6}
)

// The truth of the chicken trial: firmness rises, juiciness falls with the set
// point, and an hour more does a little of both.
var (
	ChickenFirmness  = Curve{Low: 2, High: 9, Middle: 63.5, Width: 2.4}
	ChickenJuiciness = Curve{Low: 2, High: 8.5, Middle: 65.5, Width: -2.6}
	chickenSpread    = Spread{Session: 0.2, Cook: 0.3, Source: 0.2, Piece: 0.25, Assessor: 0.5, Score: 0.7}
)

const (
	chickenHourFirm  = 0.4
	chickenHourJuicy = -0.45
)

// The truth of the carrot trial: the bite softens with the set point.
var (
	CarrotBite   = Curve{Low: 1, High: 9.5, Middle: 86, Width: -1.9}
	carrotSpread = Spread{Session: 0.2, Cook: 0.3, Source: 0.15, Piece: 0.2, Assessor: 0.5, Score: 0.6}
)

// The truth of the trout trial. Each is cooked once, so it cannot be found.
var (
	TroutFirmness = Curve{Low: 0, High: 10, Middle: 48.5, Width: 3.6}
	TroutProtein  = Curve{Low: 0, High: 5, Middle: 54, Width: 4}
)
