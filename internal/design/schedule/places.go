package schedule

import (
	"tamis/internal/design"
	"tamis/internal/trial"
)

// Places puts the places of a serving order into the order of time: what an
// earlier flight serves is tasted first, and within its flights every set point
// stands at every place as often as they allow; see design.InFlights. It returns
// the score rows of the trial, and the sessions in which a place is another one
// than it was; the trial is not altered.
func (s *Schedule) Places(t *trial.Trial) (rows []trial.Score, moved []string, err error) {
	return design.InFlights(t, s.flights())
}

// Sets puts the triangles of each person into the order in which they are served;
// see design.SetsInFlights.
func (s *Schedule) Sets(t *trial.Trial) (sets []trial.TriangleSet, moved bool) {
	return design.SetsInFlights(t, s.flights())
}

// flights are those of each cook, from 1.
func (s *Schedule) flights() map[string]int {
	flight := map[string]int{}
	for i := range s.Days {
		for _, c := range s.Days[i].Cooks {
			flight[c.Cook] = c.Flight
		}
	}
	return flight
}
