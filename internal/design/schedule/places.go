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
	flight := map[string]int{}
	for i := range s.Days {
		for _, c := range s.Days[i].Cooks {
			flight[c.Cook] = c.Flight
		}
	}
	return design.InFlights(t, flight)
}
