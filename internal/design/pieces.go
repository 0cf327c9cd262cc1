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
	var sources, parts, lots []string
	source, part, lot := make([]int, n), make([]int, n), make([]int, n)
	mass, thickness, place := make([]float64, n), make([]float64, n), make([]float64, n)
	order := l.partOrder()
	for i, x := range l.s.stock {
		source[i], part[i], lot[i] = label(&sources, x.source), label(&parts, x.part), label(&lots, l.s.lotOf[x.source])
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
	p.Kinds, p.Sizes = [][]int{source, part, lot}, [][]float64{mass, thickness, place}
	p.Even, p.Alike = make([][]float64, 3), make([][]float64, 3)
	for _, g := range l.groups() {
		p.Groups = append(p.Groups, g.label)
		if g.compared {
			p.Compared++
		}
		for k, w := range g.even {
			if k == 2 && len(lots) < 2 {
				w = 0
			}
			p.Even[k] = append(p.Even[k], w)
		}
		for k, w := range g.alike {
			p.Alike[k] = append(p.Alike[k], w)
		}
	}
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

// group is what the places for pieces belong to, with how much it counts that each
// source, part and lot meets its labels evenly, and that mass, thickness and place
// along the source are alike in them.
type group struct {
	label       []int
	compared    bool
	even, alike [3]float64
}

// groups are those of the slots: what is compared first. The set point counts most:
// its checks can forbid a claim. Then the other factors, and only then a single cook
// or a day.
func (l *layout) groups() []group {
	of := func(label func(slot) int) []int {
		out := make([]int, len(l.slots))
		for j, x := range l.slots {
			out[j] = label(x)
		}
		return out
	}
	combo := func(x slot) combination { return l.s.combinations[l.runs[x.run].combo] }
	all := []group{{of(func(x slot) int { return combo(x).arm }), true, [3]float64{6, 5, 4}, [3]float64{60, 60, 40}}}
	factor := func(levels int, label func(slot) int) {
		if levels > 1 {
			all = append(all, group{of(label), true, [3]float64{3, 3, 2}, [3]float64{20, 20, 15}})
		}
	}
	factor(len(l.s.within), func(x slot) int { return x.within })
	factor(max(len(l.s.d.Times), len(l.s.d.Holds)), func(x slot) int { return combo(x).time })
	for k, f := range l.s.d.Factors {
		factor(len(f.Levels), func(x slot) int { return levelIndex(f.Levels, combo(x).with[k].Level) })
	}
	return append(all,
		group{of(func(x slot) int { return x.run }), false, [3]float64{2, 1, 0.5}, [3]float64{0.2, 0.2, 0}},
		group{of(func(x slot) int { return l.runs[x.run].combo*len(l.s.within) + x.within }), false, [3]float64{2, 2, 1}, [3]float64{1, 1, 0.5}},
		group{of(func(x slot) int { return l.when.Session[x.run] }), false, [3]float64{1, 0.5, 0.5}, [3]float64{0.5, 0.5, 0}})
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
