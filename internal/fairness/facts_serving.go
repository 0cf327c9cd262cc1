package fairness

import "tamis/internal/trial"

// servedAt reads the temperature at the bite, °C: from the score sheet where it
// has one, which is nearest to the mouth, then from the piece, then from the cook.
func (c *Case) servedAt() (marks []mark, lacks []string) {
	said := c.saidOf(func(r scoreRow) (float64, bool) { return r.S.ServedAt.V.Celsius(), r.S.ServedAt.Known })
	return c.marks(func(k *trial.Cook, p *trial.Piece, cook, piece int) (float64, bool) {
		if v, ok := said.of(cook, piece); ok {
			return v, true
		}
		if p != nil && p.ServedAt.Known {
			return p.ServedAt.V.Celsius(), true
		}
		return k.ServedAt.V.Celsius(), k.ServedAt.Known
	})
}

// longestWait is the longest wait that can be read from two times of day without
// a date, in minutes: above it, the food was served before it was pulled.
const longestWait = 12 * 60

// waits reads the time from bath to mouth in minutes: served less out of the
// piece or its cook, and the clock of the score sheet where nothing says when it
// was served. A wait of more than longestWait without dates is not known.
func (c *Case) waits() (marks []mark, lacks []string) {
	said := c.saidOf(func(r scoreRow) (float64, bool) {
		out, served := pulledAndServed(&c.Trial.Cooks[r.Cook], c.facts.pieceOf(c.Trial, r))
		if !r.S.Clock.Known || !out.Known || served.Known {
			return 0, false
		}
		return waited(out.V, r.S.Clock.V)
	})
	return c.marks(func(k *trial.Cook, p *trial.Piece, cook, piece int) (float64, bool) {
		out, served := pulledAndServed(k, p)
		if !out.Known {
			return 0, false
		}
		if served.Known {
			return waited(out.V, served.V)
		}
		return said.of(cook, piece)
	})
}

// pieceOf is the piece of a score, or nil.
func (f *facts) pieceOf(t *trial.Trial, r scoreRow) *trial.Piece {
	if r.Piece < 0 {
		return nil
	}
	return &t.Cooks[r.Cook].Pieces[r.Piece]
}

// pulledAndServed are the times of a piece, or those of its cook.
func pulledAndServed(k *trial.Cook, p *trial.Piece) (out, served trial.Opt[trial.Clock]) {
	out, served = k.Out, k.Served
	if p != nil && p.Out.Known {
		out = p.Out
	}
	if p != nil && p.Served.Known {
		served = p.Served
	}
	return out, served
}

func waited(out, served trial.Clock) (float64, bool) {
	m := served.MinutesAfter(out)
	dated := !out.Date.IsZero() && !served.Date.IsZero()
	return m, m >= 0 && (dated || m <= longestWait)
}

// said is the mean of one entry of the score sheet for each sample. The zero
// said knows nothing.
type said map[[2]int]*sum

type sum struct {
	total float64
	n     int
}

// wholeCook marks scores that name no piece.
const wholeCook = -2

// saidOf averages an entry of the score sheet by cook and piece, by cook alone
// (piece -1), and over the scores that name no piece (wholeCook).
func (c *Case) saidOf(entry func(scoreRow) (float64, bool)) said {
	var out said
	add := func(cook, piece int, v float64) {
		s := out[[2]int{cook, piece}]
		if s == nil {
			s = &sum{}
			out[[2]int{cook, piece}] = s
		}
		s.total += v
		s.n++
	}
	for _, r := range c.facts.scores {
		v, ok := entry(r)
		if !ok {
			continue
		}
		if out == nil {
			out = said{}
		}
		add(r.Cook, -1, v)
		if r.Piece >= 0 {
			add(r.Cook, r.Piece, v)
		} else {
			add(r.Cook, wholeCook, v)
		}
	}
	return out
}

// of gives the mean of a sample. Scores that name no piece count for the pieces
// of their cook that have none of their own.
func (s said) of(cook, piece int) (float64, bool) {
	keys := [][2]int{{cook, piece}, {cook, wholeCook}}
	for _, k := range keys {
		if have := s[k]; have != nil {
			return have.total / float64(have.n), true
		}
	}
	return 0, false
}
