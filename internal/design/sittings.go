package design

import (
	"slices"

	"tamis/internal/trial"
)

// Sitting is what one person tastes in a row on one day.
type Sitting struct {
	Assessor string
	Session  string // "" where the trial has none
	Tastes   []Taste
}

// Taste is one sample of a sitting.
type Taste struct {
	Position int    // in the sitting, from 1
	Code     string // "" where it is not coded
	Cook     string
	Piece    string // "" where the score row names a cook only
	// Slice is which slice of the piece this person gets, from 1 at the end where
	// the knife starts, of Of: as many as the piece has tasters that day. From
	// piece to piece the slices move on, so that nobody always gets an end.
	Slice, Of int
}

// Sittings reads the serving orders of a planned trial from its score rows:
// sessions and assessors in the order in which they come there, samples by
// position. A trial without score rows has none. The trial is not altered.
func Sittings(t *trial.Trial) []Sitting {
	if !t.Panel.Known {
		return nil
	}
	type key struct{ session, assessor, repeat string }
	index := map[key]int{}
	var out []Sitting
	people := map[string]int{} // in the order of their first row
	tasters := map[string][]string{}
	pieceAt := map[string]int{}
	for i := range t.Cooks {
		for j := range t.Cooks[i].Pieces {
			pieceAt[t.Cooks[i].Pieces[j].ID] = len(pieceAt)
		}
	}
	for i := range t.Panel.V.Scores {
		s := &t.Panel.V.Scores[i]
		k := key{s.Session.V, s.Assessor, s.Repeat.V}
		at, ok := index[k]
		if !ok {
			at = len(out)
			index[k] = at
			out = append(out, Sitting{Assessor: s.Assessor, Session: s.Session.V})
		}
		if _, ok := people[s.Assessor]; !ok {
			people[s.Assessor] = len(people)
		}
		out[at].Tastes = append(out[at].Tastes, Taste{Position: s.Position.V, Code: s.Code.V, Cook: s.Cook, Piece: s.Piece.V})
		if s.Piece.Known && !slices.Contains(tasters[s.Piece.V], s.Assessor) {
			tasters[s.Piece.V] = append(tasters[s.Piece.V], s.Assessor)
		}
	}
	for piece := range tasters {
		slices.SortFunc(tasters[piece], func(a, b string) int { return people[a] - people[b] })
	}
	for i := range out {
		slices.SortStableFunc(out[i].Tastes, func(a, b Taste) int { return a.Position - b.Position })
		for k := range out[i].Tastes {
			x := &out[i].Tastes[k]
			if all := tasters[x.Piece]; x.Piece != "" && len(all) > 0 {
				x.Of = len(all)
				x.Slice = 1 + (slices.Index(all, out[i].Assessor)+pieceAt[x.Piece])%x.Of
			}
		}
	}
	return out
}
