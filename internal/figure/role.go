package figure

import (
	"math"
	"strconv"
)

// Role is what a colour means. A backend maps each role to a colour of the
// light and of the dark scheme; nothing in the model is a colour.
type Role string

// The roles. Tones of the set-point scale come from SetPoint, those of
// treatments from Treatment.
const (
	Ink       Role = "ink"    // text and axes
	Muted     Role = "muted"  // secondary text, pieces
	Rule      Role = "rule"   // grid lines
	Curve     Role = "curve"  // a fitted curve and its band, when nothing else is compared
	Aim       Role = "aim"    // the aim zone and its label
	Allowed   Role = "window" // the window on the axis
	Warning   Role = "warn"   // a limit that must not be passed
	tonePre        = "t"
	treatPre       = "s"
	treatment      = 4
)

// Tones is the number of steps of the set-point scale.
const Tones = 7

// SetPoint is the tone of a set point that lies at the given share (0 lowest,
// 1 highest) of the range of set points: one sequential scale from cool to
// warm whose lightness is monotone, so that it reads in grey. Shares outside 0
// to 1 take the nearest end.
func SetPoint(share float64) Role {
	if math.IsNaN(share) {
		share = 0
	}
	k := int(math.Round(math.Min(1, math.Max(0, share)) * (Tones - 1)))
	return Role(tonePre + strconv.Itoa(k))
}

// Roles lists every role, in a fixed order.
func Roles() []Role {
	rs := []Role{Ink, Muted, Rule, Curve, Aim, Allowed, Warning}
	for i := range treatment {
		rs = append(rs, Role(treatPre+strconv.Itoa(i)))
	}
	for i := range Tones {
		rs = append(rs, Role(tonePre+strconv.Itoa(i)))
	}
	return rs
}

// Tone returns the step of the set-point scale that the role names, or false
// for a role that is none.
func (r Role) Tone() (int, bool) {
	for i := range Tones {
		if r == Role(tonePre+strconv.Itoa(i)) {
			return i, true
		}
	}
	return 0, false
}

// Dash is the pattern of a line.
type Dash int

// The patterns, easiest to tell apart first.
const (
	Solid Dash = iota
	Dashed
	Dotted
	DashDot
)

// Mark is the shape of a point.
type Mark int

// The shapes, easiest to tell apart first.
const (
	Disc Mark = iota
	Square
	Diamond
	Triangle
)

// Style is how a series is told apart from the others: by hue, dash and mark
// together, never by hue alone.
type Style struct {
	Role Role
	Dash Dash
	Mark Mark
}

// Treatment is the style of the i-th treatment (0 the reference). There are
// four hues; dash and mark go round at different speeds, so the first twelve
// differ in at least one of the three.
func Treatment(i int) Style {
	if i < 0 {
		i = 0
	}
	return Style{
		Role: Role(treatPre + strconv.Itoa(i%treatment)),
		Dash: Dash((i + i/treatment) % 4),
		Mark: Mark((i + 2*(i/treatment)) % 4),
	}
}
