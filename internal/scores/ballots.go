package scores

import (
	"slices"

	"tamis/internal/trial"
)

// Ballot is what one assessor tastes in a row: a page to fill in, and the lines
// of a sheet in which it is typed in.
type Ballot struct {
	Assessor string // "" where it is not known who tastes
	Session  string // "" where the trial has none
	Repeat   string
	Rows     []trial.Score // by their place in the serving order
	Laid     bool          // the serving orders are those of the trial
}

// Ballots are the serving orders of a trial, sessions and assessors in the order
// in which its rows name them. A trial without rows gets every sample for every
// assessor in the order of the file, numbered within each session; that is no
// serving order that anybody drew, and Laid is false. Triangles are no part of
// it, and a trial that has them and no rows has no ballots of this kind. The trial is not altered.
func Ballots(t *trial.Trial) []Ballot {
	type key struct{ session, assessor, repeat string }
	index := map[key]int{}
	var out []Ballot
	rows, laid := t.Panel.V.Scores, true
	if len(rows) == 0 && len(t.Panel.V.Triangles) > 0 {
		return nil // what is tasted stands in the triangles
	}
	if len(rows) == 0 {
		rows, laid = unlaid(t), false
	}
	for i := range rows {
		s := &rows[i]
		k := key{s.Session.V, s.Assessor, s.Repeat.V}
		at, ok := index[k]
		if !ok {
			at = len(out)
			index[k] = at
			out = append(out, Ballot{Assessor: s.Assessor, Session: s.Session.V, Repeat: s.Repeat.V, Laid: laid})
		}
		out[at].Rows = append(out[at].Rows, *s)
	}
	for i := range out {
		b := &out[i]
		slices.SortStableFunc(b.Rows, func(x, y trial.Score) int { return x.Position.V - y.Position.V })
		for j := range b.Rows {
			if !laid {
				b.Rows[j].Position = trial.Some(j + 1)
			}
		}
	}
	return out
}

// unlaid is every sample for every assessor.
func unlaid(t *trial.Trial) []trial.Score {
	people := []string{}
	for _, x := range t.Panel.V.Assessors {
		people = append(people, x.ID)
	}
	if len(people) == 0 {
		people = []string{""}
	}
	codes := map[string]string{}
	for _, k := range t.Panel.V.Key {
		codes[k.Piece] = k.Code
	}
	coded := func(s trial.Score, id string) trial.Score {
		if c, ok := codes[id]; ok {
			s.Code = trial.Some(c)
		}
		return s
	}
	var samples []trial.Score
	for i := range t.Cooks {
		c := &t.Cooks[i]
		one := trial.Score{Cook: c.ID, Session: c.Session}
		for j := range c.Pieces {
			p := one
			p.Piece = trial.Some(c.Pieces[j].ID)
			samples = append(samples, coded(p, p.Piece.V))
		}
		if len(c.Pieces) == 0 {
			samples = append(samples, coded(one, c.ID))
		}
	}
	var out []trial.Score
	for _, who := range people {
		for _, s := range samples {
			s.Assessor = who
			out = append(out, s)
		}
	}
	return out
}

// TriangleBallot is the sets that one assessor tastes in a session.
type TriangleBallot struct {
	Assessor, Session string
	Sets              []trial.TriangleSet // in the order of the file
}

// TriangleBallots are the sets of a trial, sessions and assessors in the order in
// which they are named. The trial is not altered.
func TriangleBallots(t *trial.Trial) []TriangleBallot {
	type key struct{ assessor, session string }
	at := map[key]int{}
	var out []TriangleBallot
	for _, x := range t.Panel.V.Triangles {
		k := key{x.Assessor, x.Session.V}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, TriangleBallot{Assessor: x.Assessor, Session: x.Session.V})
		}
		out[i].Sets = append(out[i].Sets, x)
	}
	return out
}
