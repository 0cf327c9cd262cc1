package heat

import (
	"slices"
	"strings"

	"tamis/internal/food"
	"tamis/internal/trial"
)

// Limit is a reason for which a prediction is worth less, or nothing. Its slug
// is never reused; the words for people are made where sentences are made.
type Limit struct {
	Slug  Slug
	Field string // of the trial file, where it comes from
	// Voids reports that the prediction says nothing about this cook: it is a
	// number for another piece. Without it the prediction is rougher than it looks.
	Voids bool
	// Word is what the file says there, for people: "floated", "rolled".
	Word string
}

// Slug names a Limit.
type Slug string

// The limits. Assumed ones widen the range; the rest lie outside the model.
const (
	AssumedStart Slug = "start-assumed" // any start between ColdStart and WarmStart
	AssumedShape Slug = "shape-assumed" // a slab, the slowest of a thickness
	AssumedKind  Slug = "kind-assumed"  // moist food in general
	OwnNumber    Slug = "own-number"    // the user's own number in the place of the table's; Word names it

	Thin     Slug = "thin"      // below ThinBelow: bag and probe take as long as the food
	Thick    Slug = "thick"     // above ThickAbove: beyond every published table
	Shell    Slug = "shell"     // a shell, a pocket of air or of water
	Opened   Slug = "opened"    // rolled or stuffed: two foods, gaps and air
	Frozen   Slug = "frozen"    // starts frozen
	Ramp     Slug = "ramp"      // the bath was heated with the food in it
	AirInBag Slug = "air"       // no vacuum: a pocket of 1 mm doubles the time and more
	Touching Slug = "touching"  // pieces that lie together are one thicker piece
	FullBath Slug = "crowded"   // less than ten times as much water as food
	Mishap   Slug = "mishap"    // floated, leaked, power lost, lid off; Word says which
	Surface  Slug = "surface"   // the coefficient of this medium is a handbook range
	NoBath   Slug = "no-medium" // nothing is known of this medium
	WrongLog Slug = "log-unit"  // the log reads like °F under a heading of °C
)

// Where the model stops being one.
const (
	ThinBelow  = 5.0  // mm
	ThickAbove = 70.0 // mm; the published tables end there
	// EnoughWater is how many times its weight in water a load needs: at 10 : 1
	// and without a heater a bath of 55 °C settles 3.6 °C low.
	EnoughWater = 10.0
)

// spoils are parts of words of deviations after which the calculation says
// nothing about the core: the food was not all under moving water of the
// temperature stated, or the bag was not whole.
var spoils = []string{"float", "leak", "power", "lid", "bag", "burst", "torn", "tore", "hole", "heater", "outage", "unplug", "switched off", "turned off", "evaporat", "water level", "dry", "pump", "crowd", "touch", "stack", "overlap"}

// Spoils reports whether a deviation, in its words, is one after which the
// calculation says nothing about the core.
func Spoils(what string) bool {
	what = strings.ToLower(what)
	return slices.ContainsFunc(spoils, func(part string) bool { return strings.Contains(what, part) })
}

// limits lists what speaks against the prediction of a cook, the worst first. bathed
// says that the log tells what the bath did.
func limits(t *trial.Trial, c *trial.Cook, thick, start float64, startKnown, bathed bool) []Limit {
	var void, rough []Limit
	add := func(s Slug, field, word string, voids bool) {
		l := Limit{Slug: s, Field: field, Word: word, Voids: voids}
		if voids {
			void = append(void, l)
		} else {
			rough = append(rough, l)
		}
	}
	for i := range t.Deviations {
		d := &t.Deviations[i]
		if d.Cook.Known && d.Cook.V != c.ID {
			continue
		}
		if Spoils(d.What.V) {
			add(Mishap, "deviations", d.What.V, !strings.Contains(strings.ToLower(d.What.V), "lid"))
		}
	}
	if c.Ramp.V && !bathed {
		add(Ramp, "cooks.ramp", "", true)
	}
	if startKnown && start < ColdStart {
		add(Frozen, "food.start", "", true)
	}
	switch f := t.Food.Form; {
	case !f.Known:
	case f.V == trial.Rolled || f.V == trial.Stuffed:
		add(Opened, "food.form", string(f.V), true)
	}
	kind, known := food.Lookup(t.Food.Kind.V)
	known = known && t.Food.Kind.Known
	switch {
	case !known:
		add(AssumedKind, "food.kind", "", false)
	case kind.Name == "shell egg" || kind.Name == "bivalve" || kind.Name == "crustacean":
		add(Shell, "food.kind", kind.Name, true)
	}
	switch {
	case !(thick > 0): // there is no prediction to speak against
	case thick < ThinBelow:
		add(Thin, "food.thickness", "", false)
	case thick > ThickAbove:
		add(Thick, "food.thickness", "", false)
	}
	if !t.Food.Shape.Known {
		add(AssumedShape, "food.shape", "", false)
	}
	if !startKnown {
		add(AssumedStart, "food.start", "", false)
	}
	if s := c.Bag.V.Seal; c.Bag.Known && s.Known && (s.V == trial.Displaced || s.V == trial.Clamp) {
		add(AirInBag, "cooks.bag.seal", string(s.V), false)
	}
	if shared(c) {
		add(Touching, "cooks.pieces.bag", "", false)
	}
	if m, ok := mass(c); ok {
		if b := bathOf(t, c); b != nil && b.Volume.Known && b.Volume.V.Litres() < EnoughWater*m {
			add(FullBath, "baths.volume", "", false)
		}
	}
	return append(void, rough...)
}

// shared reports whether two pieces of a cook lie in one bag.
func shared(c *trial.Cook) bool {
	seen := map[string]bool{}
	for i := range c.Pieces {
		if b := c.Pieces[i].Bag; b.Known {
			if seen[b.V] {
				return true
			}
			seen[b.V] = true
		}
	}
	return false
}

// mass is the food in the bath in kg: the load as stated, or the sum of the
// pieces. ok is false where a piece was not weighed.
func mass(c *trial.Cook) (kg float64, ok bool) {
	if c.Load.Known {
		return c.Load.V.Kilograms(), true
	}
	for i := range c.Pieces {
		switch p := &c.Pieces[i]; {
		case p.Brined.Known:
			kg += p.Brined.V.Kilograms()
		case p.Before.Known:
			kg += p.Before.V.Kilograms()
		default:
			return 0, false
		}
	}
	return kg, len(c.Pieces) > 0
}
