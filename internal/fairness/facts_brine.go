package fairness

import (
	"math"

	"tamis/internal/trial"
)

// recipe is one brine as it was applied: the number that pieces have in common
// when their brine differs by no more than soak-gap.
type recipe struct {
	brine trial.Brine // of the first piece
	rows  []brinedRow
}

// brinedRow is a piece, or a cook without pieces (piece -1), with its brine.
type brinedRow struct {
	cook, piece int
	p           *trial.Piece            // nil for a cook
	brine       *trial.Opt[trial.Brine] // of the trial, not to be altered
	recipe      int                     // index into allRecipes; -1 where no brine is stated
}

// brinedRows lists every piece and every cook without pieces with its brine.
func (c *Case) brinedRows() []brinedRow {
	f := &c.facts.lazy
	if !f.brinedKnown {
		f.brined, f.brinedKnown = c.findBrined(), true
		f.recipes = recipes(f.brined, c.set.number("soak-gap"))
	}
	return f.brined
}

// allRecipes sorts all rows by brine.
func (c *Case) allRecipes() []recipe {
	c.brinedRows()
	return c.facts.lazy.recipes
}

func (c *Case) findBrined() []brinedRow {
	var out []brinedRow
	for ci := range c.Trial.Cooks {
		k := &c.Trial.Cooks[ci]
		for pi := range k.Pieces {
			out = append(out, brinedRow{ci, pi, &k.Pieces[pi], k.BrineOf(pi), -1})
		}
		if len(k.Pieces) == 0 {
			out = append(out, brinedRow{ci, -1, nil, &k.Brine, -1})
		}
	}
	return out
}

// recipes sorts rows by brine: the kind, what the salt is a share of, and salt,
// sugar and time within a share of each other. Rows without a stated brine are
// passed over. Tubs are no part of a recipe.
func recipes(rows []brinedRow, within float64) []recipe {
	var out []recipe
	for i := range rows {
		r := &rows[i]
		if !r.brine.Known {
			continue
		}
		at := 0
		for at < len(out) && !sameBrine(out[at].brine, r.brine.V, within) {
			at++
		}
		if at == len(out) {
			out = append(out, recipe{brine: r.brine.V})
		}
		r.recipe = at
		out[at].rows = append(out[at].rows, *r)
	}
	return out
}

func sameBrine(a, b trial.Brine, within float64) bool {
	if a.Kind != b.Kind || a.Of != b.Of && a.Of.V != b.Of.V {
		return false
	}
	if a.Kind == trial.NoBrine {
		return true
	}
	near := func(x, y float64, known, known2 bool) bool {
		return known == known2 && math.Abs(x-y) <= within*math.Max(math.Abs(x), math.Abs(y))+1e-9
	}
	return near(a.Salt.V.Percent(), b.Salt.V.Percent(), a.Salt.Known, b.Salt.Known) &&
		near(a.Sugar.V.Percent(), b.Sugar.V.Percent(), a.Sugar.Known, b.Sugar.Known) &&
		near(a.For.V.Minutes(), b.For.V.Minutes(), a.For.Known, b.For.Known)
}

// uptake is the gain in the brine as a share of the raw mass, in percent.
func uptake(p *trial.Piece) (float64, bool) {
	if p == nil || !p.Before.Known || !p.Brined.Known || p.Before.V.Grams() <= 0 {
		return 0, false
	}
	return 100 * (p.Brined.V.Grams() - p.Before.V.Grams()) / p.Before.V.Grams(), true
}

// ids names the cooks and the pieces of rows, each once.
func (c *Case) idsOf(rows []brinedRow) (cooks, pieces []string) {
	last := -1
	for _, r := range rows {
		if r.cook != last {
			cooks, last = append(cooks, c.Trial.Cooks[r.cook].ID), r.cook
		}
		if r.p != nil && r.p.ID != "" {
			pieces = append(pieces, r.p.ID)
		}
	}
	return cooks, pieces
}
