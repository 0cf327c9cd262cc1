package design

import (
	"errors"
	"math"
	"slices"

	"tamis/internal/design/allot"
	"tamis/internal/trial"
)

// deal gives every slot a piece of the stock.
func (l *layout) deal(f *fixing, seed uint64) (*clash, error) {
	l.holds = nil
	if len(l.s.stock) == 0 {
		for k := range f.entries {
			if f.entries[k].ofPieces() {
				return &clash{allot.ErrFixed}, nil // there is no piece that it could speak of
			}
		}
		return nil, nil
	}
	n := len(l.s.stock)
	p := allot.Pieces{Stock: n, Places: len(l.slots), Must: f.must, May: func(i, j int) bool {
		for _, k := range f.pieces[i] {
			if !f.entries[k].allows(l, l.slots[j].run) {
				return false
			}
		}
		return true
	}}
	var sources, parts []string
	source, part := make([]int, n), make([]int, n)
	mass, thickness, place := make([]float64, n), make([]float64, n), make([]float64, n)
	order := l.partOrder()
	for i, x := range l.s.stock {
		source[i], part[i] = label(&sources, x.source), label(&parts, x.part)
		mass[i], thickness[i], place[i] = math.NaN(), math.NaN(), math.NaN()
		if x.before.Known {
			mass[i] = x.before.V.Grams()
		}
		if x.thickness.Known {
			thickness[i] = x.thickness.V.Millimetres()
		}
		if k := slices.Index(order, x.part); k >= 0 && x.part != "" {
			place[i] = float64(k)
		}
	}
	p.Kinds, p.Sizes = [][]int{source, part}, [][]float64{mass, thickness, place}
	var arm, cook, within, method, session []int
	for _, s := range l.slots {
		a := l.s.combinations[l.runs[s.run].combo].arm
		arm, cook, within = append(arm, a), append(cook, s.run), append(within, s.within)
		method = append(method, l.runs[s.run].combo*len(l.s.within)+s.within)
		session = append(session, l.when.Session[s.run])
	}
	p.Groups = [][]int{arm, cook, within, method, session}
	// The set point counts most: its checks can forbid a claim. Then what varies
	// within a cook, and only then a single cook or a day.
	p.Even = [][]float64{{6, 2, 3, 2, 1}, {5, 1, 3, 2, 0.5}}
	p.Alike = [][]float64{{60, 0.2, 20, 1, 0.5}, {60, 0.2, 20, 1, 0.5}, {10, 0, 6, 0.5, 0}}
	var err error
	if l.holds, err = allot.Deal(p, generator(seed, forPieces)); err != nil {
		var u *allot.Unplaced
		if errors.As(err, &u) {
			return &clash{err}, nil
		}
		return nil, err
	}
	return nil, nil
}

// partOrder is the order of the parts along a source: as the trial states it, or
// as the first source with the most parts lists them.
func (l *layout) partOrder() []string {
	if len(l.s.parts) > 0 {
		return l.s.parts
	}
	var longest []string
	for _, src := range l.s.d.Sources {
		if d := distinct(src.Parts()); len(d) > len(longest) {
			longest = d
		}
	}
	return longest
}

// label numbers names in the order in which they first come.
func label(names *[]string, x string) int {
	i := slices.Index(*names, x)
	if i < 0 {
		i = len(*names)
		*names = append(*names, x)
	}
	return i
}

// trial is the trial with the cooks of the layout, as far as it is decided, in
// the order in which they are run.
func (l *layout) trial(t *trial.Trial) *trial.Trial {
	out := *t
	laid := len(l.when.Order) == len(l.runs)
	order := make([]int, len(l.runs))
	for i := range order {
		order[i] = i
	}
	if laid {
		slices.SortStableFunc(order, func(a, b int) int {
			if d := l.when.Session[a] - l.when.Session[b]; d != 0 {
				return d
			}
			return l.when.Order[a] - l.when.Order[b]
		})
	}
	d := l.s.d
	out.Cooks = make([]trial.Cook, 0, len(order))
	for _, i := range order {
		r := l.runs[i]
		combo := l.s.combinations[r.combo]
		c := trial.Cook{ID: r.id, SetPoint: trial.Some(l.s.points[combo.arm]), Bag: bare(l.s.d.Bag)}
		switch {
		case len(d.Times) > 0:
			c.Time = trial.Some(d.Times[combo.time])
		case len(d.Holds) > 0:
			c.Hold = trial.Some(d.Holds[combo.time])
		}
		if laid {
			c.Session = trial.Some(l.s.sessions[l.when.Session[i]])
			c.Order = trial.Some(l.when.Order[i])
			c.Bath = trial.Some(l.s.baths[l.when.Bath[i]])
		}
		if len(d.Brine) == 1 {
			c.Brine = trial.Some(d.Brine[0])
		}
		if len(d.Finish) == 1 {
			c.Finish = trial.Some(d.Finish[0])
		}
		c.With = slices.Clone(combo.with)
		for j, s := range l.slots {
			if s.run != i {
				continue
			}
			p := trial.Piece{ID: c.ID + "-" + number(len(c.Pieces)+1), Treatment: l.s.within[s.within]}
			if len(l.holds) > 0 {
				x := l.s.stock[l.holds[j]]
				p.Source = trial.Some(x.source)
				if x.part != "" {
					p.Part = trial.Some(x.part)
				}
				p.Thickness, p.Before = bare(x.thickness), bare(x.before)
			} else if !laid {
				// Before the deal any piece may come here: the thickest counts.
				p.Thickness = l.s.thickest()
			}
			c.Pieces = append(c.Pieces, p)
		}
		out.Cooks = append(out.Cooks, c)
	}
	return &out
}

// bare is a value without its place in the file, since it is written elsewhere.
func bare[T any](o trial.Opt[T]) trial.Opt[T] {
	if !o.Known {
		return o
	}
	return trial.Some(o.V)
}
