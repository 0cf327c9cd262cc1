package trialfile

import "tamis/internal/trial"

// samples are the cooks and pieces that other places of the file can name.
type samples struct {
	of    map[string]sample
	twice bool // a cook has the id of another, or a piece that of another

	cooks       []trial.Cook
	all, cooked *names // made when they are asked for
}

// sample is what an id stands for: a cook, a piece, or both. Pieces win: a sheet
// that means the cook has a column cook.
type sample struct {
	cook            string // the cook itself, or that of the piece
	isCook, isPiece bool
}

// samples are known once all cooks are read.
func (r *reader) samples() *samples {
	if r.where != nil {
		return r.where
	}
	n := len(r.t.Cooks)
	for i := range r.t.Cooks {
		n += len(r.t.Cooks[i].Pieces)
	}
	s := &samples{of: make(map[string]sample, n), cooks: r.t.Cooks}
	for i := range s.cooks {
		c := &s.cooks[i]
		have := s.of[c.ID]
		s.twice = s.twice || have.isCook
		if have.isCook = true; !have.isPiece {
			have.cook = c.ID
		}
		s.of[c.ID] = have
		for j := range c.Pieces {
			id := c.Pieces[j].ID
			have := s.of[id]
			s.twice = s.twice || have.isPiece
			s.of[id] = sample{cook: c.ID, isCook: have.isCook, isPiece: true}
		}
	}
	r.where = s
	return s
}

// names are the ids of cooks and pieces.
func (s *samples) names() *names {
	if s.all == nil {
		s.all = newNames()
		for i := range s.cooks {
			s.all.add(s.cooks[i].ID)
			for j := range s.cooks[i].Pieces {
				s.all.add(s.cooks[i].Pieces[j].ID)
			}
		}
	}
	return s.all
}

// cookNames are the ids of cooks.
func (s *samples) cookNames() *names {
	if s.cooked == nil {
		s.cooked = newNames()
		for i := range s.cooks {
			s.cooked.add(s.cooks[i].ID)
		}
	}
	return s.cooked
}

// codebook is the key of a trial: what each blind code stands for.
type codebook struct {
	of    map[string]*trial.KeyEntry
	there bool // the trial has a key
}

// names are the codes of the key.
func (r *reader) codeNames() *names {
	n := newNames()
	for _, k := range r.t.Panel.V.Key {
		n.add(k.Code)
	}
	return n
}
