package faults

import (
	"fmt"
	"slices"
)

// runFaults are faults of how often, when and in which bath set points were cooked.
var runFaults = []Fault{
	{Slug: "one-run-per-set-point", Design: func(t *Trial, s Strength) {
		runs := by(s, 2, 1, 1)
		t.keep(func(c *cook) bool { return c.session < runs || s == Medium && c.arm > 0 })
		if s != Medium {
			t.sessions, t.runs = runs, runs
		}
	}},
	{Slug: "split-run", Needs: Shape{Clocks: true}, Design: func(t *Trial, s Strength) {
		a := t.cooks[0]
		twin := *a
		twin.id, twin.fields = a.id+"x", map[string]string{}
		twin.start += int(float64(a.minutes) * by(s, 0.6, 0.7, 0.9) / 4)
		twin.pieces = nil
		for _, p := range a.pieces {
			q := *p
			q.id, q.fields = p.id+"x", map[string]string{}
			twin.pieces = append(twin.pieces, &q)
		}
		twin.place = len(t.setPoints)
		t.cooks = append(t.cooks, &twin)
	}},
	{Slug: "looks-counted-as-runs", Needs: Shape{Panel: true}, Scored: true, Design: func(t *Trial, s Strength) {
		if s == Weak {
			t.head = append(t.head, fmt.Sprintf("conclusion: \"Firmer at the hotter one (n = %d).\"", len(t.names)*len(t.cooks)))
			return
		}
		t.head = append(t.head, "analysis: {unit: "+by(s, "", "piece", pick(t.r, "piece", "score"))+"}")
	}},
	{Slug: "run-order-follows-set-point", Design: func(t *Trial, s Strength) {
		down := t.chance(0.5)
		for _, c := range t.cooks {
			c.place = c.arm
			if down {
				c.place = len(t.setPoints) - 1 - c.arm
			}
			c.start = 8*60 + c.place*(t.food.minutes+20)
		}
		if s == Weak && len(t.setPoints) > 2 { // one session turned round
			for _, c := range t.cooks {
				if c.session == 0 {
					c.place = len(t.setPoints) - 1 - c.place
					c.start = 8*60 + c.place*(t.food.minutes+20)
				}
			}
		}
		slices.SortStableFunc(t.cooks, func(a, b *cook) int { return 100*(a.session-b.session) + a.place - b.place })
	}},
	{Slug: "session-tied-to-set-point", Design: func(t *Trial, s Strength) {
		k := len(t.setPoints)
		n := 0
		for _, c := range t.cooks {
			if s == Strong || t.chance(by(s, 0.8, 0.95, 1)) {
				c.session = c.arm * t.sessions / max(k, t.sessions)
				if k < t.sessions {
					c.session = c.arm
				}
				n++
				c.place = n % t.runs
			}
		}
		used := map[int]int{}
		for _, c := range t.cooks {
			if _, ok := used[c.session]; !ok {
				used[c.session] = len(used)
			}
			c.session = used[c.session]
		}
		t.sessions = len(used)
		at := map[int]int{}
		for _, c := range t.cooks { // places count through again, and no two runs share a bath
			c.place = at[c.session]
			at[c.session]++
			c.start = 8*60 + c.place*(t.food.minutes+20)
		}
	}},
	{Slug: "bath-tied-to-set-point", Design: func(t *Trial, s Strength) {
		t.baths = max(2, min(len(t.setPoints), t.baths))
		for len(t.bathFact) < t.baths {
			t.bathFact = append(t.bathFact, map[string]string{"volume": "20 l"})
		}
		for _, c := range t.cooks {
			c.bath %= t.baths
			if s == Strong || t.chance(by(s, 0.75, 0.9, 1)) {
				c.bath = c.arm * t.baths / len(t.setPoints)
			}
		}
		t.separate()
	}},
	{Slug: "drift-over-runs", Needs: Shape{Panel: true, Arms: 4}, Scored: true, Design: func(t *Trial, s Strength) {
		k := float64(len(t.setPoints))
		way := pick(t.r, 1.0, -1)
		shrink := by(s, 1, 0.6, 0.35)
		t.effect *= shrink
		for _, v := range []*float64{&t.noise.cook, &t.noise.score, &t.noise.piece, &t.noise.source} {
			*v *= by(s, 1, 0.7, 0.5)
		}
		for _, c := range t.cooks {
			c.mean += way * by(s, 1, 2, 3.5) * (float64(c.place)/(k-1) - 0.5)
		}
	}},
}
