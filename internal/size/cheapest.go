package size

import (
	"math"

	"tamis/internal/quantity"
)

// cost is what a design costs: every cook, every piece and, once, every
// assessor: all of those who are asked, not only who scores one piece.
func (p Prices) cost(d Design) float64 {
	n := float64(d.TotalCooks())
	return p.Cook*n + p.Piece*n*float64(d.Pieces) + p.Assessor*float64(d.People())
}

// cheapest looks at every number of pieces and assessors within the bounds, with
// the fewest cooks that show the effect, and keeps the cheapest; of equals that
// with fewer cooks, then pieces, then assessors. More cooks than needed only cost
// more, so that no cheaper design of the grid is passed over. A measure that
// nobody tastes has no assessors. Sessions and set points stay as given.
func cheapest(r Request) *Cheapest {
	out := &Cheapest{Prices: *r.Prices, Bounds: r.Bounds, NowCost: r.Prices.cost(r.Design)}
	var best, strongest Point
	bestCost, most := 0.0, -1.0
	beyond := math.Inf(1) // the least that a design beyond the bound of cooks costs
	people := []int{0}
	if r.Design.Assessors > 0 {
		people = people[:0]
		for a := 1; a <= r.Bounds.Assessors && (a == 1 || (Design{Assessors: a, Panel: r.Design.Panel}).People() <= r.Bounds.Assessors); a++ {
			people = append(people, a)
		}
	} else {
		out.Bounds.Assessors = 0
	}
	for pieces := 1; pieces <= r.Bounds.Pieces; pieces++ {
		for _, a := range people {
			d := r.Design
			d.Pieces, d.Assessors = pieces, a
			if d.checkWithin() != nil {
				continue // the levels do not fit into so few pieces
			}
			d.Tastes = min(d.Tastes, pieces)
			out.Looked += r.Bounds.Cooks
			full, ok := needed(d, r.Spread, r.Question, r.Bounds.Cooks)
			if !ok {
				d.Cooks = r.Bounds.Cooks + 1
				beyond = min(beyond, r.Prices.cost(d))
				d.Cooks = r.Bounds.Cooks
				if p := point(d, r.Spread, r.Question); p.Power.Or(0) > most*(1+1e-12) {
					most, strongest = p.Power.Or(0), p
				}
				continue
			}
			c := r.Prices.cost(full)
			if !out.Found || c < bestCost || c == bestCost && fewer(full, best.Design) {
				out.Found, bestCost, best = true, c, point(full, r.Spread, r.Question)
			}
		}
	}
	if !out.Found {
		out.Point, out.Cost = &strongest, quantity.Absent("no design within the bounds shows the difference")
		return out
	}
	out.Point, out.Cost = &best, quantity.Num(bestCost)
	d := best.Design
	if beyond < bestCost {
		out.Limits = append(out.Limits, "cooks_per_set_point")
	}
	if d.Pieces == r.Bounds.Pieces && d.Pieces > 1 {
		out.Limits = append(out.Limits, "pieces_per_cook")
	}
	if d.Assessors == people[len(people)-1] && d.Assessors > 1 {
		out.Limits = append(out.Limits, "assessors")
	}
	return out
}

func fewer(a, b Design) bool {
	switch {
	case a.Cooks != b.Cooks:
		return a.Cooks < b.Cooks
	case a.Pieces != b.Pieces:
		return a.Pieces < b.Pieces
	}
	return a.Assessors < b.Assessors
}
