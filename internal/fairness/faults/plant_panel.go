package faults

import (
	"math"
	"slices"
)

// panelFaults are faults of who tasted, in which order, and what they made of it.
var panelFaults = []Fault{
	{Slug: "tasting-order-uneven", Needs: Shape{Panel: true, Order: true}, Scored: true, Sheet: func(t *Trial, s Strength) {
		at := map[[2]int]int{}
		rows := slices.Clone(t.rows)
		slices.SortStableFunc(rows, func(a, b *row) int { return a.cook.arm - b.cook.arm })
		for _, x := range rows {
			key := [2]int{x.who, x.session}
			if s == Strong || (x.who*7+x.session)%10 < by(s, 5, 8, 10) {
				x.place = at[key]
				at[key]++
			}
		}
	}},
	{Slug: "place-changes-scores", Needs: Shape{Panel: true, Order: true, Tasters: 10}, Scored: true, Sheet: func(t *Trial, s Strength) {
		for _, x := range t.rows {
			if x.place == 0 {
				x.values[0] = math.Min(10, x.values[0]+by(s, 0.6, 1.2, 2.2))
			}
		}
	}},
	{Slug: "carry-over", Needs: Shape{Panel: true, Order: true, Arms: 3, Tasters: 10}, Scored: true, Sheet: func(t *Trial, s Strength) {
		before := map[[3]int]*row{}
		for _, x := range t.rows {
			before[[3]int{x.who, x.session, x.place + 1}] = x
		}
		for _, x := range t.rows {
			if p := before[[3]int{x.who, x.session, x.place}]; p != nil {
				shift := float64(p.cook.arm)/float64(len(t.setPoints)-1) - 0.5
				x.values[0] = math.Max(0, math.Min(10, x.values[0]-by(s, 1.0, 2, 4)*shift))
			}
		}
	}},
	{Slug: "tasters-knew", Needs: Shape{Panel: true}, Design: func(t *Trial, s Strength) {
		if s == Strong {
			t.panel["blind"] = "no"
			return
		}
		t.panel["guessed"] = by(s, "{answers: 12, correct: 8, of: 3}", "{answers: 12, correct: 10, of: 3}", "")
	}},
	{Slug: "cook-tasted", Needs: Shape{Panel: true}, Design: func(t *Trial, s Strength) {
		for i := range by(s, 1, 2, len(t.names)/2+1) {
			t.assessors[i][pick(t.r, "cooked", "chose")] = "yes"
		}
	}},
	{Slug: "not-all-tasted-all", Needs: Shape{Panel: true, Order: true}, Scored: true, Sheet: func(t *Trial, s Strength) {
		t.panel["plan"] = "complete"
		t.rows = slices.DeleteFunc(t.rows, func(x *row) bool {
			mine := (x.who%2 == 0) == t.hot(x.cook)
			return !mine && (s == Strong || x.who < by(s, 2, len(t.names)/2, 0))
		})
	}},
	{Slug: "tasters-talked", Needs: Shape{Panel: true}, Design: func(t *Trial, s Strength) { t.panel["together"] = "yes" }},
	{Slug: "assessor-out-of-step", Needs: Shape{Panel: true, Order: true, Arms: 3}, Scored: true, Design: func(t *Trial, s Strength) {
		t.effect = math.Copysign(math.Max(math.Abs(t.effect), by(s, 2.0, 3, 5)), t.effect)
	}, Sheet: func(t *Trial, s Strength) {
		for _, x := range t.rows {
			if x.who == 1 {
				x.values[0] = math.Max(0, math.Min(10, 5+by(s, 0.0, -0.6, -1.2)*(x.values[0]-5)))
			}
		}
	}},
	{Slug: "panel-splits", Needs: Shape{Panel: true, Order: true, Tasters: 12}, Scored: true, Design: func(t *Trial, s Strength) {
		t.effect = math.Copysign(math.Max(math.Abs(t.effect), by(s, 2.0, 3, 5)), t.effect)
	}, Sheet: func(t *Trial, s Strength) {
		for _, x := range t.rows {
			if x.who%2 == 0 {
				x.values[0] = math.Max(0, math.Min(10, 5+by(s, 0.0, -0.7, -1.0)*(x.values[0]-5)))
			}
		}
	}},
}
