package schedule

import (
	"fmt"

	"tamis/internal/prose"
	"tamis/internal/quantity"
	"tamis/internal/safety"
	"tamis/internal/trial"
)

// Schema is the version of the JSON of a Schedule.
const Schema = "schedule/1"

// Schedule is one trial on the clock.
type Schedule struct {
	Tamis   string           `json:"tamis"`
	Version string           `json:"version,omitempty"`
	Title   string           `json:"title,omitempty"`
	File    string           `json:"file,omitempty"`
	Days    []Day            `json:"days"`
	Taken   []prose.Sentence `json:"taken"`   // what the file leaves open and how it was decided
	Remarks []prose.Sentence `json:"remarks"` // what to know about this schedule
	Lead    []prose.Sentence `json:"lead"`    // the cautions of the verdict
	// NotTasted says that this must not be eaten: it is weighed and sheared.
	NotTasted bool `json:"not_tasted"`
	// Conflicts are reasons for which some day has no schedule; such a day is left
	// out.
	Conflicts []Conflict `json:"conflicts"`
}

// Day is what is cooked for one day of serving.
type Day struct {
	Sessions []string   `json:"sessions"`
	Date     string     `json:"date,omitempty"`
	On       trial.Date `json:"-"` // zero where the file gives none
	Flights  []Flight   `json:"flights"`
	Cooks    []Times    `json:"cooks"` // in the order in which they go into the bath
	Steps    []Step     `json:"steps"` // by time
	Baths    []string   `json:"baths"`
	Pans     []string   `json:"pans"`
	Hands    int        `json:"hands"`
	Refills  int        `json:"refills"` // how often a bath is brought to another temperature
	// Night warns where clocks may be changed while something of the day is done.
	Night prose.Sentence `json:"night,omitempty"`
}

// Flight is what is served together.
type Flight struct {
	Served   Moment   `json:"served"`
	Ends     Moment   `json:"ends"` // the last bite
	Sessions []string `json:"sessions"`
	Cooks    []string `json:"cooks"`
	Samples  int      `json:"samples"` // a taster's, at the most
	Tasters  int      `json:"tasters"`
	Sets     int      `json:"triangles,omitempty"` // a taster's, at the most
	Portions int      `json:"portions,omitempty"`  // for the triangles, all together
}

// Times are those of one cook.
type Times struct {
	Cook     string          `json:"cook"`
	Bath     string          `json:"bath"`
	SetPoint quantity.Number `json:"set_point"` // °C
	Flight   int             `json:"flight"`    // from 1
	In       Moment          `json:"in"`
	Likely   *Moment         `json:"core_likely,omitempty"` // the core arrives; nil where that is not known
	Surely   *Moment         `json:"core_surely,omitempty"` // by the unfavourable end
	Out      Moment          `json:"out"`
	Plated   Moment          `json:"plated"`
	LastBite *Moment         `json:"last_bite,omitempty"` // nil where nobody tastes
	Discard  *Moment         `json:"discard,omitempty"`   // nil where no clock runs
	// Waits is the time from the bath to the plate, in minutes. Bite is the core
	// when the flight is served, °C, on the likely side.
	Waits float64 `json:"waits"`
	// Portions are those that the triangles need of this cook.
	Portions int             `json:"portions,omitempty"`
	Bite     quantity.Number `json:"bite"`
	Verdict  safety.Verdict  `json:"verdict"`
}

// Moment is a time on the clock of the day of serving, in seconds from its
// midnight. Its JSON is its String.
type Moment int

// Clock is the time of day: 18:05, or 18:05:30.
func (m Moment) Clock() string {
	s := int(m) - 86400*m.Day()
	out := fmt.Sprintf("%02d:%02d", s/3600, s/60%60)
	if s%60 != 0 {
		out += fmt.Sprintf(":%02d", s%60)
	}
	return out
}

// Day is 0 on the day of serving, -1 the day before.
func (m Moment) Day() int {
	d := int(m) / 86400
	if int(m)%86400 < 0 {
		d--
	}
	return d
}

// String is the clock time, with the day where it is another one.
func (m Moment) String() string {
	switch d := m.Day(); {
	case d == 0:
		return m.Clock()
	case d == -1:
		return m.Clock() + " the day before"
	case d < 0:
		return fmt.Sprintf("%s, %d days before", m.Clock(), -d)
	case d == 1:
		return m.Clock() + " the day after"
	default:
		return fmt.Sprintf("%s, %d days after", m.Clock(), d)
	}
}

// MarshalText gives String.
func (m Moment) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// What says what a step is; the names never change.
type What string

// The steps.
const (
	Water     What = "water"     // a bath is filled, or its water exchanged
	Heating   What = "heating"   // a bath gets to its set point
	Salting   What = "salting"   // pieces go into their brine
	Brining   What = "brining"   // they lie in it, in the cold
	Bagging   What = "bagging"   // out of the brine, into the bag
	Dropping  What = "dropping"  // into the bath
	Cooking   What = "cooking"   // in the bath
	Lifting   What = "lifting"   // out of the bath, and again out of the warming bath
	Chilling  What = "chilling"  // in ice water
	Rewarming What = "rewarming" // in the bath that warms up again
	Searing   What = "searing"
	Plating   What = "plating"
	Tasting   What = "tasting"
	Discard   What = "discard" // what is left is thrown away
)

// Step is one thing that is done or goes on.
type Step struct {
	From     Moment          `json:"from"`
	To       Moment          `json:"to"`
	What     What            `json:"what"`
	Cook     string          `json:"cook,omitempty"`
	Pieces   []string        `json:"pieces"`
	Bath     string          `json:"bath,omitempty"`
	Pan      string          `json:"pan,omitempty"`
	Hand     int             `json:"hand"` // whose hands, from 1; 0 where it goes on by itself
	Flight   int             `json:"flight"`
	SetPoint quantity.Number `json:"set_point"` // of the bath, °C
	Text     prose.Sentence  `json:"text"`
}

// Conflict says why something cannot be scheduled.
type Conflict struct {
	Slug    string         `json:"slug"` // never reused
	Session string         `json:"session,omitempty"`
	First   string         `json:"first,omitempty"`  // the step that has no place
	Second  string         `json:"second,omitempty"` // the step in its way
	At      *Moment        `json:"at,omitempty"`
	Text    prose.Sentence `json:"text"` // without a capital and a full stop
	Hint    prose.Sentence `json:"hint"`
}

// The slugs of conflicts.
const (
	NoTime     = "no-serving-time" // nothing says when it is served
	NoCooks    = "no-cooks"
	SetApart   = "triangle-apart" // its portions are not cooked for one table
	DoNotEat   = "do-not-eat"
	CannotTime = "cannot-time" // how long a cook takes is not known
	ColdBath   = "cold-bath"   // a bath does not get to its set point
	BathBusy   = "bath-busy"
	HandsBusy  = "hands-busy"
	PanBusy    = "pan-busy"
	TooEarly   = "too-early"    // it would begin before the kitchen opens
	GrowthLate = "growth-clock" // the last bite would be too late
	LongWait   = "long-wait"    // it would wait too long between bath and plate
	BadChill   = "chill"        // it may not be chilled
	BadNumber  = "bad-number"   // an option or a duration that means nothing
)
