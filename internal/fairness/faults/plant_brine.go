package faults

import (
	"fmt"
	"math"
)

// kitchenFaults are faults of brine, finish, chill and the way to the plate.
var kitchenFaults = []Fault{
	{Slug: "brine-tied-to-set-point", Needs: Shape{Pieces: true, Plain: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			c.fields["brine"] = "none"
		}
		t.hotShare(s, func(c *cook) {
			delete(c.fields, "brine")
			c.fields["brine.salt"], c.fields["brine.of"], c.fields["brine.for"], c.fields["brine.tub"] = "6 %", "water", "30 min", fmt.Sprintf("t%d", c.session+1)
		})
	}},
	{Slug: "one-tub", Needs: Shape{Wet: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			for _, p := range c.pieces {
				if p.brined {
					p.fields["brine.tub"] = by(s, fmt.Sprintf("t%d", c.session%2), "t1", "t1")
				}
			}
		}
	}},
	{Slug: "brine-dose-differs", Needs: Shape{Wet: true, Masses: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			for _, p := range c.pieces {
				p.uptake = 3 * math.Exp(by(s, 0.25, 0.4, 0.7)*t.r.NormFloat64())
			}
		}
	}},
	{Slug: "salt-gives-it-away", Needs: Shape{Panel: true, Brine: true, Tasters: 10}, Scored: true, Design: func(t *Trial, s Strength) {
		t.measures = append(t.measures[:1], measure{"saltiness", "{scale: 0 to 10, role: salt}", 0})
	}, Sheet: func(t *Trial, s Strength) {
		for _, x := range t.rows {
			if x.piece.brined {
				x.values[1] = math.Min(10, x.values[1]+by(s, 0.8, 1.5, 2.5))
				x.values[0] = math.Min(10, x.values[0]+by(s, 0.8, 1.5, 2.5))
			}
		}
	}},
	{Slug: "finish-differs", Design: func(t *Trial, s Strength) {
		if s == Weak {
			for _, c := range t.cooks {
				c.fields["finish"], c.fields["finish.sear"] = "", fmt.Sprintf("%d s per side", 30+8*boolInt(t.hot(c)))
			}
			return
		}
		t.hotShare(s, func(c *cook) { c.fields["finish"], c.fields["finish.sear"] = "", "45 s per side" })
	}},
	{Slug: "sear-hides-set-point", Needs: Shape{Thickness: true}, Design: func(t *Trial, s Strength) {
		seconds := t.food.thickness / 2 * by(s, 0.4, 0.6, 0.85) // mm a face
		sec := seconds * seconds / (4 * 0.14)
		for _, c := range t.cooks {
			c.fields["finish"], c.fields["finish.sear"] = "", fmt.Sprintf("%.0f s per side", sec)
		}
	}},
	{Slug: "chilled-only-some", Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			c.fields["chilled"] = "no"
		}
		t.hotShare(s, func(c *cook) { c.fields["chilled"] = "yes" })
	}},
	{Slug: "served-at-differs", Needs: Shape{Served: true}, Design: func(t *Trial, s Strength) {
		t.hotShare(Strong, func(c *cook) { c.servedAt += by(s, 4.5, 7, 12) })
	}},
	{Slug: "wait-differs", Needs: Shape{Clocks: true}, Design: func(t *Trial, s Strength) {
		t.hotShare(Strong, func(c *cook) { c.wait += by(s, 4, 7, 15) })
	}},
}
