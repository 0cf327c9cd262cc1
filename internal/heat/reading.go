package heat

import "tamis/internal/quantity"

// LogReading is what the probe log of a cook says. Temperatures of the bath are
// corrected by the error of its thermometer where that is known; the core is
// taken as it was read. A number that the log cannot give is an absence with
// its reason.
type LogReading struct {
	Points int // lines of the log

	// BathMean, °C, and BathSD, K, from the first return of the bath to within
	// Returned of the set point after the food went in, until the food came out.
	// Every line counts for the time between its neighbours.
	BathMean, BathSD quantity.Number
	// BathLow is the coldest line of the whole cook, °C.
	BathLow quantity.Number

	CoreMax quantity.Number // °C
	// Reached reports whether the core came within ComeUp of the bath as it
	// really stood. It is false without a core column, and CoreMax is absent then.
	Reached bool
	Arrived quantity.Number // minutes in the bath at which it did
}
