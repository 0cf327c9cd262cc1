package fairness

import (
	"slices"
	"strings"

	"tamis/internal/prose"
	"tamis/internal/trial"
)

// otherCategory is a field with words in it that no other check compares.
type otherCategory struct {
	name, words string
	of          func(k *trial.Cook, piece int) (string, bool)
	ofPieces    bool // written down by piece
}

func (c *Case) otherCategories() []otherCategory {
	out := []otherCategory{
		{name: "cooks.bag.seal", words: "how the bags were sealed", of: func(k *trial.Cook, _ int) (string, bool) {
			return string(k.Bag.V.Seal.V), k.Bag.Known && k.Bag.V.Seal.Known
		}},
		{name: "cooks.bag.with", words: "what else was in the bags", of: func(k *trial.Cook, _ int) (string, bool) {
			// A bag that is described and holds nothing else is as much a statement.
			with := slices.Clone(k.Bag.V.With)
			if len(with) == 0 {
				return "nothing else", k.Bag.Known
			}
			slices.Sort(with)
			return "with " + prose.List(with), true
		}},
	}
	for _, f := range c.Trial.Factors {
		if f.Name == c.Factor.Name {
			continue
		}
		out = append(out, otherCategory{name: "cooks.with." + f.Name, words: "the " + strings.ReplaceAll(f.Name, "_", " "), of: func(k *trial.Cook, piece int) (string, bool) {
			for _, l := range k.Treatments(piece).With {
				if l.Factor == f.Name {
					return l.Level, true
				}
			}
			return "", false
		}})
	}
	if len(c.Trial.Deviations) > 0 {
		out = append(out, otherCategory{name: "deviations", words: "what did not go to plan", of: func(k *trial.Cook, _ int) (string, bool) {
			var what []string
			for _, d := range c.Trial.Deviations {
				if d.Cook.Known && d.Cook.V == k.ID && d.What.Known && !slices.Contains(what, d.What.V) {
					what = append(what, d.What.V)
				}
			}
			slices.Sort(what)
			if len(what) == 0 {
				what = []string{"nothing"}
			}
			return prose.List(what), true
		}})
	}
	for _, name := range c.extraColumns() {
		if cells, ok := c.extraWords(name); ok {
			out = append(out, otherCategory{name: "the column " + name, words: "the " + name, of: cells, ofPieces: c.onPieces(name)})
		}
	}
	return out
}

// otherNumber is a field with a number in it that no other check compares.
type otherNumber struct {
	name, words string
	of          func(c *Case, k *trial.Cook, p *trial.Piece) (float64, bool)
	say         func(v float64) any // a quantity, or words
}

var writtenNumbers = []otherNumber{
	{"brine.at", "the temperature of the brine", func(_ *Case, k *trial.Cook, p *trial.Piece) (float64, bool) {
		b := k.Brine
		if p != nil && p.Brine.Known {
			b = p.Brine
		}
		return b.V.AtTmp.V.Celsius(), b.Known && b.V.AtTmp.Known
	}, quantityOf(celsius)},
	{"sources.kept_at", "how cold the food was kept", func(c *Case, _ *trial.Cook, p *trial.Piece) (float64, bool) {
		s := c.sourceOf(p)
		if s == nil {
			return 0, false
		}
		return s.KeptAt.V.Celsius(), s.KeptAt.Known
	}, quantityOf(celsius)},
	{"sources.frozen.for", "how long the food was frozen", func(c *Case, _ *trial.Cook, p *trial.Piece) (float64, bool) {
		s := c.sourceOf(p)
		if s == nil || !s.Frozen.Known || !s.Frozen.V.For.Known {
			return 0, false
		}
		return s.Frozen.V.For.V.Minutes(), true
	}, quantityOf(minutes)},
	{"sources.thawed.for", "how long the food thawed", func(c *Case, _ *trial.Cook, p *trial.Piece) (float64, bool) {
		s := c.sourceOf(p)
		if s == nil || !s.Thawed.Known || !s.Thawed.V.For.Known {
			return 0, false
		}
		return s.Thawed.V.For.V.Minutes(), true
	}, quantityOf(minutes)},
}

func quantityOf(of func(v float64) prose.Quantity) func(v float64) any {
	return func(v float64) any { return of(v) }
}

// otherNumbers are the numbers that are written down and that no other check
// compares.
func (c *Case) otherNumbers() []otherNumber {
	out := slices.Clone(writtenNumbers)
	// With one run a session there is no run order, but there is the hour.
	if o := c.orders(c.runs()); o.most == 1 && len(o.noSession) == 0 {
		out = append(out, otherNumber{"cooks.started", "the hour of the day", func(c *Case, k *trial.Cook, _ *trial.Piece) (float64, bool) {
			return float64(k.Started.V.Minute), k.Started.Known
		}, func(v float64) any { return trial.Clock{Minute: int(v)}.String() }})
	}
	for _, name := range c.extraColumns() {
		unit, ok := c.extraUnit(name)
		if !ok {
			continue
		}
		out = append(out, otherNumber{"the column " + name, "the " + name, func(_ *Case, k *trial.Cook, p *trial.Piece) (float64, bool) {
			x, ok := extraOf(k, p, name)
			return x.Number, ok && x.IsNumber
		}, func(v float64) any { return amount(v, unit, decimals1(v)) }})
	}
	return out
}

// extraColumns are the columns of the tables that are no key of the format, in
// the order in which they are met.
func (c *Case) extraColumns() []string {
	var out []string
	add := func(cells []trial.Extra) {
		for _, x := range cells {
			if !slices.Contains(out, x.Name) {
				out = append(out, x.Name)
			}
		}
	}
	for i := range c.Trial.Cooks {
		k := &c.Trial.Cooks[i]
		add(k.Extra)
		for j := range k.Pieces {
			add(k.Pieces[j].Extra)
		}
	}
	return out
}

// onPieces reports whether a column stands in a table of pieces.
func (c *Case) onPieces(name string) bool {
	for i := range c.Trial.Cooks {
		for _, p := range c.Trial.Cooks[i].Pieces {
			if slices.ContainsFunc(p.Extra, func(x trial.Extra) bool { return x.Name == name }) {
				return true
			}
		}
	}
	return false
}

// extraOf is what a column says of a piece, or else of its cook.
func extraOf(k *trial.Cook, p *trial.Piece, name string) (trial.Extra, bool) {
	cells := k.Extra
	if p != nil {
		cells = slices.Concat(p.Extra, cells)
	}
	for _, x := range cells {
		if x.Name == name {
			return x, true
		}
	}
	return trial.Extra{}, false
}

// extraCells are all cells of a column that say something.
func (c *Case) extraCells(name string) []trial.Extra {
	var out []trial.Extra
	for i := range c.Trial.Cooks {
		k := &c.Trial.Cooks[i]
		if len(k.Pieces) == 0 {
			if x, ok := extraOf(k, nil, name); ok {
				out = append(out, x)
			}
		}
		for j := range k.Pieces {
			if x, ok := extraOf(k, &k.Pieces[j], name); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

// extraUnit is the unit behind the numbers of a column, and false where some cell
// is no number, or the units differ.
func (c *Case) extraUnit(name string) (unit string, ok bool) {
	for i, x := range c.extraCells(name) {
		if !x.IsNumber || i > 0 && x.Unit != unit {
			return "", false
		}
		unit = x.Unit
	}
	return unit, true
}

// extraWords is a column as a category, and false where its cells are numbers, or
// where most of them are said once: names and remarks are no category.
func (c *Case) extraWords(name string) (of func(k *trial.Cook, piece int) (string, bool), ok bool) {
	if _, number := c.extraUnit(name); number {
		return nil, false
	}
	cooks := map[string]map[string]bool{} // word → cooks that have it
	for i := range c.Trial.Cooks {
		k := &c.Trial.Cooks[i]
		for j := -1; j < len(k.Pieces); j++ {
			var p *trial.Piece
			if j >= 0 {
				p = &k.Pieces[j]
			}
			if x, ok := extraOf(k, p, name); ok {
				if cooks[x.Text] == nil {
					cooks[x.Text] = map[string]bool{}
				}
				cooks[x.Text][k.ID] = true
			}
		}
	}
	shared := 0
	for _, of := range cooks {
		if len(of) > 1 {
			shared++
		}
	}
	return func(k *trial.Cook, piece int) (string, bool) {
		var p *trial.Piece
		if piece >= 0 {
			p = &k.Pieces[piece]
		}
		x, ok := extraOf(k, p, name)
		return x.Text, ok
	}, 2*shared > len(cooks)
}
