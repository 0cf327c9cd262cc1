package schedule

import (
	"cmp"
	"slices"
	"testing"

	"tamis/internal/trial"
)

// Places follow the flights, and within a flight the drawn order; every row keeps
// its sample, places stay those of its sitting, and nothing of the trial changes.
func TestPlacesFollowFlights(t *testing.T) {
	t.Parallel()
	s := &Schedule{Days: []Day{{Cooks: []Times{{Cook: "A", Flight: 2}, {Cook: "B", Flight: 1}, {Cook: "C", Flight: 2}, {Cook: "D", Flight: 1}}}}}
	row := func(who, session, cook string, place int) trial.Score {
		x := trial.Score{Assessor: who, Session: trial.Some(session), Cook: cook}
		if place > 0 {
			x.Position = trial.Some(place)
		}
		return x
	}
	for _, c := range []struct {
		name  string
		rows  []trial.Score
		want  string // cooks by place, one sitting after the other
		moved int
	}{
		{"two flights", []trial.Score{row("anna", "1", "A", 1), row("anna", "1", "B", 2), row("anna", "1", "C", 3), row("anna", "1", "D", 4)}, "BDAC", 1},
		{"rows in another order", []trial.Score{row("anna", "1", "D", 4), row("anna", "1", "B", 2), row("anna", "1", "C", 3), row("anna", "1", "A", 1)}, "BDAC", 1},
		{"two people", []trial.Score{row("anna", "1", "A", 1), row("ben", "1", "D", 1), row("anna", "1", "D", 2), row("ben", "1", "C", 2)}, "DADC", 1},
		{"in order already", []trial.Score{row("anna", "1", "B", 1), row("anna", "1", "A", 2)}, "BA", 0},
		{"without places", []trial.Score{row("anna", "1", "A", 0), row("anna", "1", "B", 0)}, "AB", 0},
		{"a cook off the clock", []trial.Score{row("anna", "1", "A", 1), row("anna", "1", "X", 2), row("anna", "1", "B", 3)}, "AXB", 0},
		{"nobody", nil, "", 0},
	} {
		tr := &trial.Trial{Panel: trial.Some(trial.Panel{Scores: c.rows})}
		before := slices.Clone(c.rows)
		rows, moved := s.Places(tr)
		if len(moved) != c.moved {
			t.Errorf("%s: moved %v", c.name, moved)
		}
		if !slices.EqualFunc(before, tr.Panel.V.Scores, func(a, b trial.Score) bool { return a.Cook == b.Cook && a.Position == b.Position }) {
			t.Errorf("%s: the trial was altered", c.name)
		}
		slices.SortStableFunc(rows, func(a, b trial.Score) int {
			return cmp.Or(cmp.Compare(a.Assessor, b.Assessor), cmp.Compare(a.Position.V, b.Position.V))
		})
		got := ""
		for _, x := range rows {
			got += x.Cook
		}
		if got != c.want {
			t.Errorf("%s: served %s, want %s", c.name, got, c.want)
		}
	}
}
