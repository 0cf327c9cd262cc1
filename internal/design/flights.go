package design

import (
	"fmt"
	"slices"

	"tamis/internal/design/order"
	"tamis/internal/trial"
)

// InFlights gives the score rows of a trial the places that serving in flights
// leaves: what an earlier flight serves is tasted first. flight is that of each
// cook, from 1. Within their flights samples change places so that, over all
// sittings together, every set point stands at every place, and right after every
// other one, as often as the flights allow. It draws from the seed of the plan and
// from what each person tastes, not from the places that the rows have, so that
// the same flights give the same orders.
//
// Rows change places within the sitting of a person only. Where no row has to
// move, none does. moved are the sessions in which a place is another one than it
// was; the trial is not altered. Sittings with a row without a place, with a cook
// without a flight or with a score are left alone, and so are sessions that are
// served at once.
func InFlights(t *trial.Trial, flight map[string]int) (rows []trial.Score, moved []string, err error) {
	rows = slices.Clone(t.Panel.V.Scores)
	sat := sat(rows, flight)
	if !slices.ContainsFunc(sat, func(s seated) bool { return s.open && s.late(rows, flight) }) {
		return rows, nil, nil
	}
	samples, labels := samplesOf(t, rows)
	var start, part [][]int
	for _, s := range sat {
		at := slices.Clone(s.rows)
		if s.open {
			slices.SortStableFunc(at, func(a, b int) int {
				if d := flight[rows[a].Cook] - flight[rows[b].Cook]; d != 0 {
					return d
				}
				return samples[a] - samples[b]
			})
		}
		row, parts := make([]int, len(at)), make([]int, len(at))
		for k, i := range at {
			row[k], parts[k] = samples[i], -1-k // a part of its own: it stays
			if s.open {
				parts[k] = flight[rows[i].Cook]
			}
		}
		start, part = append(start, row), append(part, parts)
	}
	seed := t.Drawn.V.Seed.Or(1)
	served, err := order.ArrangeWithin(start, part, len(labels[0]), labels, generator(seed, forFlights))
	if err != nil {
		return nil, nil, err
	}
	for i, s := range sat {
		if !s.open {
			continue
		}
		was := make([]trial.Score, len(s.rows))
		for k, at := range s.rows {
			was[k] = rows[at]
		}
		left := slices.Clone(s.rows)
		for k, x := range served[i] {
			// Of rows of one sample the first that is left.
			n := slices.IndexFunc(left, func(at int) bool { return samples[at] == x })
			from := slices.Index(s.rows, left[n])
			left = slices.Delete(left, n, n+1)
			now := was[from]
			now.Position = was[k].Position
			rows[s.rows[k]] = now
			if from != k && !slices.Contains(moved, s.session) {
				moved = append(moved, s.session)
			}
		}
	}
	slices.Sort(moved)
	return rows, moved, nil
}

// seated is one sitting: its rows in the order of their places.
type seated struct {
	session string
	rows    []int
	open    bool // it may be put into another order
}

// sat finds the sittings of score rows, in the order of their first row.
func sat(rows []trial.Score, flight map[string]int) []seated {
	type key struct{ session, assessor, repeat string }
	index := map[key]int{}
	flights := map[string]int{} // of a session
	var out []seated
	for i := range rows {
		k := key{rows[i].Session.V, rows[i].Assessor, rows[i].Repeat.V}
		at, ok := index[k]
		if !ok {
			at = len(out)
			index[k] = at
			out = append(out, seated{session: k.session, open: true})
		}
		s := &out[at]
		s.rows = append(s.rows, i)
		s.open = s.open && rows[i].Position.Known && flight[rows[i].Cook] > 0
		for _, v := range rows[i].Values {
			s.open = s.open && v.Missing
		}
		if f := flight[rows[i].Cook]; f > 0 {
			if have := flights[k.session]; have == 0 {
				flights[k.session] = f
			} else if have != f {
				flights[k.session] = -1 // several
			}
		}
	}
	for i := range out {
		s := &out[i]
		s.open = s.open && flights[s.session] < 0
		slices.SortStableFunc(s.rows, func(a, b int) int { return rows[a].Position.V - rows[b].Position.V })
	}
	return out
}

// late reports whether something of an earlier flight stands behind a later one.
func (s *seated) late(rows []trial.Score, flight map[string]int) bool {
	for k := 1; k < len(s.rows); k++ {
		if flight[rows[s.rows[k]].Cook] < flight[rows[s.rows[k-1]].Cook] {
			return true
		}
	}
	return false
}

// samplesOf numbers what the rows serve, in the order of cooks and pieces of the
// trial, with the set point and the method of each.
func samplesOf(t *trial.Trial, rows []trial.Score) (of []int, labels [][]int) {
	type sample struct{ cook, piece int }
	cookAt := map[string]int{}
	for i := range t.Cooks {
		cookAt[t.Cooks[i].ID] = i
	}
	arm := make([]int, len(t.Cooks))
	for a, x := range t.Arms() {
		for _, c := range x.Cooks {
			arm[c] = a + 1 // 0: no set point
		}
	}
	find := func(s *trial.Score) sample {
		c, ok := cookAt[s.Cook]
		if !ok {
			c = len(cookAt)
			cookAt[s.Cook] = c
			arm = append(arm, c+1)
		}
		if c >= len(t.Cooks) || !s.Piece.Known {
			return sample{c, -1}
		}
		return sample{c, slices.IndexFunc(t.Cooks[c].Pieces, func(p trial.Piece) bool { return p.ID == s.Piece.V })}
	}
	have := make([]sample, len(rows))
	for i := range rows {
		have[i] = find(&rows[i])
	}
	all := slices.Clone(have)
	slices.SortFunc(all, func(a, b sample) int {
		if a.cook != b.cook {
			return a.cook - b.cook
		}
		return a.piece - b.piece
	})
	all = slices.Compact(all)
	var arms, brine, finish, method []int
	var brines, finishes, methods []string
	for _, s := range all {
		arms = append(arms, arm[s.cook])
		var c trial.Cook
		if s.cook < len(t.Cooks) {
			c = t.Cooks[s.cook]
		}
		x := c.Treatments(s.piece)
		brine, finish = append(brine, label(&brines, x.Brine.V.Label())), append(finish, label(&finishes, x.Finish.V.Label()))
		what := fmt.Sprint(arm[s.cook], "/", c.Time.V, "/", c.Hold.V, "/", x.Brine.V.Label(), "/", x.Finish.V.Label())
		for _, l := range x.With {
			what = fmt.Sprint(what, "/", l.Factor, "=", l.Level)
		}
		method = append(method, label(&methods, what))
	}
	for _, s := range have {
		of = append(of, slices.Index(all, s))
	}
	return of, [][]int{arms, brine, finish, method}
}
