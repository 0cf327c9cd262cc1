package schedule

import (
	"slices"

	"tamis/internal/trial"
)

// Places puts the places of a serving order into the order of time: what an
// earlier flight serves is tasted first, and within a flight the drawn order is
// kept. Rows change places within the sitting of a person only. It returns the
// score rows of the trial, and the sessions in which a place is another one than
// it was; the trial is not altered. Rows without a place, and cooks without a time
// on the clock, are left alone.
func (s *Schedule) Places(t *trial.Trial) (rows []trial.Score, moved []string) {
	flight := map[string]int{}
	for i := range s.Days {
		for _, c := range s.Days[i].Cooks {
			flight[c.Cook] = c.Flight
		}
	}
	rows = slices.Clone(t.Panel.V.Scores)
	type sitting struct{ session, assessor, repeat string }
	own := map[sitting][]int{}
	for i := range rows {
		k := sitting{rows[i].Session.V, rows[i].Assessor, rows[i].Repeat.V}
		own[k] = append(own[k], i)
	}
	for k, at := range own {
		drawn := make([]trial.Score, len(at))
		known := true
		for i, row := range at {
			drawn[i] = rows[row]
			known = known && rows[row].Position.Known && flight[rows[row].Cook] > 0
		}
		if !known {
			continue
		}
		slices.SortStableFunc(drawn, func(a, b trial.Score) int { return a.Position.V - b.Position.V })
		was := make([]int, len(at))
		for i := range drawn {
			was[i] = drawn[i].Position.V
		}
		served := slices.Clone(drawn)
		slices.SortStableFunc(served, func(a, b trial.Score) int { return flight[a.Cook] - flight[b.Cook] })
		for i := range served {
			if served[i].Position.V != was[i] && !slices.Contains(moved, k.session) {
				moved = append(moved, k.session)
			}
			served[i].Position.V = was[i]
			rows[at[i]] = served[i]
		}
	}
	slices.Sort(moved)
	return rows, moved
}
