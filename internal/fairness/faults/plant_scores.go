package faults

import (
	"fmt"
	"math"
	"slices"
)

// scoreFaults are faults of the scores and what was made of them.
var scoreFaults = []Fault{
	{Slug: "scores-at-the-end", Needs: Shape{Panel: true}, Scored: true, Sheet: func(t *Trial, s Strength) {
		for _, x := range t.rows {
			if x.cook.arm == 0 && t.chance(by(s, 0.25, 0.4, 0.7)) {
				x.values[0] = 0
			}
		}
	}},
	{Slug: "missing-by-set-point", Needs: Shape{Panel: true, Order: true}, Scored: true, Sheet: func(t *Trial, s Strength) {
		t.panel["plan"] = "complete"
		for _, x := range t.rows {
			if x.cook.arm == 0 && t.chance(by(s, 0.15, 0.3, 0.5)) {
				for i := range x.values {
					x.values[i] = math.NaN()
				}
			}
		}
	}},
	{Slug: "scores-left-out", Needs: Shape{Panel: true}, Scored: true, Sheet: func(t *Trial, s Strength) {
		for i, x := range t.rows {
			if i < by(s, 1, 3, 8) {
				x.fields["left_out"] = pick(t.r, "odd", "too salty", "yes")
			}
		}
	}},
	{Slug: "typing-slip", Needs: Shape{Masses: true, Pieces: true}, Design: func(t *Trial, s Strength) {
		p := t.cooks[t.r.IntN(len(t.cooks))].pieces[0]
		p.fields["before"] = fmt.Sprintf("%.1f g", p.before*by(s, 8.5, 10, 100))
	}},
	{Slug: "many-measures", Needs: Shape{Panel: true}, Design: func(t *Trial, s Strength) {
		t.aim = ""
		for _, n := range []string{"flake", "moistness", "sweetness", "saltiness", "fattiness", "chew", "crumb"}[:by(s, 1, 3, 7)] {
			t.measures = append(t.measures, measure{n, "{scale: 0 to 10}", 0.2})
		}
	}},
	{Slug: "declared-after-tasting", Needs: Shape{Panel: true}, Design: func(t *Trial, s Strength) {
		switch {
		case s == Weak:
			t.head = append(t.head, "looks: 3")
		default:
			t.declared = pick(t.r, "", fmt.Sprintf("2026-02-%02d", t.firstDay+3*t.step+1))
		}
	}},
	{Slug: "too-few-to-see", Needs: Shape{Panel: true}, Scored: true, Design: func(t *Trial, s Strength) {
		t.noise.cook = by(s, 0.4, 0.7, 1.2)
		t.measures[0].says = "{scale: 0 to 10, matters: 0.3}"
	}},
	{Slug: "analyses-disagree", Needs: Shape{Panel: true, Order: true}, Scored: true, Design: func(t *Trial, s Strength) {
		// The days lie so far apart that the answer stands only with the days taken out.
		for _, c := range t.cooks {
			c.mean += by(s, 0.4, 0.8, 1.6) * math.Abs(t.effect) * float64(c.session-1) / 1.5
		}
		shrink := 1.0
		if reach := by(s, 0.4, 0.8, 1.6) * math.Abs(t.effect); reach > 3.5 {
			shrink = 3.5 / reach
		}
		t.effect *= shrink
		for _, c := range t.cooks {
			c.mean *= shrink
		}
		for _, v := range []*float64{&t.noise.cook, &t.noise.source, &t.noise.piece, &t.noise.score} {
			*v *= shrink
		}
	}},
	{Slug: "one-cook-carries-it", Needs: Shape{Panel: true, Order: true}, Scored: true, Design: func(t *Trial, s Strength) {
		// One cook at the hot end pulls its mean down so far that the difference turns
		// round. An outlier that only adds to it widens the interval as well.
		t.effect = math.Max(1.2, math.Abs(t.effect)/2)
		t.write.incomplete = false
		k := len(t.setPoints)
		odd := slices.IndexFunc(t.cooks, func(c *cook) bool { return c.arm == k-1 })
		t.cooks[odd].mean -= float64(t.runs) * by(s, 0.8, 1.5, 2.5) * t.effect
	}},
}
