package trial

import (
	"slices"

	"tamis/internal/diag"
)

// Reading is one observed number of one measure. Missing is true where the
// file has the place but no value (a blank cell).
type Reading struct {
	V       float64
	Missing bool
	At      diag.Pos
}

// Measured is a reading and the name of its measure.
type Measured struct {
	Measure string
	Reading
}

// Readings are what was observed of one sample, by the names of the measures, in
// their order. They are few, so they are looked through and take no index.
type Readings []Measured

// ReadingOf is the one reading of a sample of which one measure was observed.
func ReadingOf(measure string, v Reading) Readings { return Readings{{measure, v}} }

func (r Readings) find(measure string) (int, bool) {
	for i := range r {
		if r[i].Measure >= measure {
			return i, r[i].Measure == measure
		}
	}
	return len(r), false
}

// Get is the reading of a measure, and whether there is one.
func (r Readings) Get(measure string) (Reading, bool) {
	if i, ok := r.find(measure); ok {
		return r[i].Reading, true
	}
	return Reading{}, false
}

// Of is the reading of a measure; without one it is 0 and not missing.
func (r Readings) Of(measure string) Reading {
	v, _ := r.Get(measure)
	return v
}

// Set puts a reading in the place of the one that there is of its measure.
func (r *Readings) Set(measure string, v Reading) {
	i, ok := r.find(measure)
	if !ok {
		*r = slices.Insert(*r, i, Measured{Measure: measure})
	}
	(*r)[i].Reading = v
}

// Delete removes the reading of a measure.
func (r *Readings) Delete(measure string) {
	if i, ok := r.find(measure); ok {
		*r = slices.Delete(*r, i, i+1)
	}
}
