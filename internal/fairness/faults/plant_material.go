package faults

import (
	"fmt"
)

// materialFaults are faults of what was cooked, and what else went along.
var materialFaults = []Fault{
	{Slug: "source-tied-to-set-point", Needs: Shape{Pieces: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			for j, p := range c.pieces {
				if s == Strong || t.chance(by(s, 0.8, 0.95, 1)) {
					p.source = c.arm*len(c.pieces) + j
				}
			}
		}
	}},
	{Slug: "part-tied-to-set-point", Needs: Shape{Parts: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			for _, p := range c.pieces {
				p.part = t.r.IntN(3)
				if s == Strong || t.chance(by(s, 0.6, 0.8, 1)) {
					p.part = c.arm * 3 / len(t.setPoints)
				}
			}
		}
	}},
	{Slug: "size-differs", Needs: Shape{Thickness: true, Pieces: true}, Design: func(t *Trial, s Strength) {
		t.hotShare(Strong, func(c *cook) {
			for _, p := range c.pieces {
				p.thickness *= by(s, 1.08, 1.15, 1.3)
			}
		})
		for _, c := range t.cooks {
			c.minutes = t.food.minutes * 2
		}
		t.separate()
	}},
	{Slug: "cold-history-differs", Needs: Shape{Pieces: true}, Design: func(t *Trial, s Strength) {
		switch t.r.IntN(2) {
		case 0:
			for _, c := range t.cooks {
				for _, p := range c.pieces {
					p.fields["start"] = "4 °C"
				}
			}
			t.hotShare(s, func(c *cook) {
				for _, p := range c.pieces {
					p.fields["start"] = by(s, "8 °C", "10 °C", "16 °C")
				}
			})
		default: // the hot ones from the freezer, by sources of their own
			last := 0
			for _, c := range t.cooks {
				for _, p := range c.pieces {
					last = max(last, p.source)
				}
			}
			t.write.lots = true
			t.write.history = true
			for i := range 2*last + 2 {
				t.sources[fmt.Sprintf("f%d", i+1)] = map[string]string{"frozen": "no"}
			}
			t.hotShare(s, func(c *cook) {
				for _, p := range c.pieces {
					p.source += last + 1
					t.sources[fmt.Sprintf("f%d", p.source+1)] = map[string]string{"frozen": "{at: -20 °C, for: 7 d}"}
				}
			})
		}
	}},
	{Slug: "one-lot", Design: func(t *Trial, s Strength) { t.write.lots, t.lots = true, 1 }},
}
