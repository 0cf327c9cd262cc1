package schedule

import (
	"cmp"
	"maps"
	"slices"
	"testing"

	"tamis/internal/trial"
)

// Places follow the flights: every row keeps its sample, places stay those of its
// sitting, and nothing of the trial changes. Where no row stands before an earlier
// flight, none moves; scores that are there are never moved.
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
	scored := func(x trial.Score) trial.Score {
		x.Values = trial.ReadingOf("firmness", trial.Reading{V: 5})
		return x
	}
	flight := map[string]string{"A": "2", "B": "1", "C": "2", "D": "1", "X": "x"}
	for _, c := range []struct {
		name  string
		rows  []trial.Score
		want  string // flights of the cooks by place, one sitting after the other; x is none
		moved int
	}{
		{"two flights", []trial.Score{row("anna", "1", "A", 1), row("anna", "1", "B", 2), row("anna", "1", "C", 3), row("anna", "1", "D", 4)}, "1122", 1},
		{"rows in another order", []trial.Score{row("anna", "1", "D", 4), row("anna", "1", "B", 2), row("anna", "1", "C", 3), row("anna", "1", "A", 1)}, "1122", 1},
		{"two people", []trial.Score{row("anna", "1", "A", 1), row("ben", "1", "D", 1), row("anna", "1", "D", 2), row("ben", "1", "C", 2)}, "1212", 1},
		{"in order already", []trial.Score{row("anna", "1", "B", 1), row("anna", "1", "A", 2)}, "12", 0},
		{"without places", []trial.Score{row("anna", "1", "A", 0), row("anna", "1", "B", 0)}, "21", 0},
		{"a cook off the clock", []trial.Score{row("anna", "1", "A", 1), row("anna", "1", "X", 2), row("anna", "1", "B", 3)}, "2x1", 0},
		{"in order but for one place of it", []trial.Score{row("anna", "1", "D", 3), row("anna", "1", "B", 4), row("anna", "1", "C", 7)}, "112", 0},
		{"scored already", []trial.Score{scored(row("anna", "1", "A", 1)), row("anna", "1", "B", 2)}, "21", 0},
		{"nobody", nil, "", 0},
	} {
		tr := &trial.Trial{Panel: trial.Some(trial.Panel{Scores: c.rows})}
		before := slices.Clone(c.rows)
		rows, moved, err := s.Places(tr)
		if err != nil || len(moved) != c.moved {
			t.Errorf("%s: moved %v, %v", c.name, moved, err)
		}
		again := &trial.Trial{Panel: trial.Some(trial.Panel{Scores: rows})}
		if _, moved, _ := s.Places(again); len(moved) > 0 {
			t.Errorf("%s: moved again: %v", c.name, moved)
		}
		if !slices.EqualFunc(before, tr.Panel.V.Scores, func(a, b trial.Score) bool { return a.Cook == b.Cook && a.Position == b.Position }) {
			t.Errorf("%s: the trial was altered", c.name)
		}
		slices.SortStableFunc(rows, func(a, b trial.Score) int {
			return cmp.Or(cmp.Compare(a.Assessor, b.Assessor), cmp.Compare(a.Position.V, b.Position.V))
		})
		got := ""
		for _, x := range rows {
			got += flight[x.Cook]
		}
		if got != c.want {
			t.Errorf("%s: served %s, want %s", c.name, got, c.want)
		}
	}
}

// The orders follow from what everybody tastes and from the flights, not from the
// places that the rows had.
func TestPlacesForgetTheDraw(t *testing.T) {
	t.Parallel()
	s := &Schedule{Days: []Day{{}}}
	tr := &trial.Trial{Panel: trial.Some(trial.Panel{})}
	for i, c := range []string{"A", "B", "C", "D", "E", "F"} {
		s.Days[0].Cooks = append(s.Days[0].Cooks, Times{Cook: c, Flight: 2 - i%2})
		for _, who := range []string{"anna", "ben", "cleo"} {
			tr.Panel.V.Scores = append(tr.Panel.V.Scores, trial.Score{Assessor: who, Cook: c, Position: trial.Some(i + 1)})
		}
	}
	by := func() map[string]int {
		rows, moved, err := s.Places(tr)
		if err != nil || len(moved) == 0 {
			t.Fatal(moved, err)
		}
		out := map[string]int{}
		for _, r := range rows {
			out[r.Assessor+r.Cook] = r.Position.V
		}
		return out
	}
	first := by()
	for i := range tr.Panel.V.Scores {
		p := &tr.Panel.V.Scores[i].Position
		*p = trial.Some(7 - p.V)
	}
	if got := by(); !maps.Equal(first, got) {
		t.Errorf("places %v, and %v from other ones", first, got)
	}
}
