package faults

import "fmt"

// otherFaults are what goes along with the set point and has no check of its own.
var otherFaults = []Fault{
	{Slug: "anything-else-moves", By: "the bags", Design: func(t *Trial, s Strength) {
		key, a, b := "bag.seal", pick(t.r, "chamber", "displaced"), "clamp"
		if t.chance(0.5) {
			key, a, b = "bag.with", "oil", pick(t.r, "butter", "stock")
		}
		for _, c := range t.cooks {
			c.fields[key] = a
		}
		t.hotShare(s, func(c *cook) { c.fields[key] = b })
	}},
	{Slug: "anything-else-moves", By: "words in a column of one's own", Design: func(t *Trial, s Strength) {
		t.write.inline = false
		name := pick(t.r, "rack", "whose pan", "Topf", "shelf")
		a, b := pick(t.r, "left", "A", "old"), pick(t.r, "right", "B", "new")
		for _, c := range t.cooks {
			c.fields[name] = a
		}
		t.hotShare(s, func(c *cook) { c.fields[name] = b })
	}},
	{Slug: "anything-else-moves", By: "numbers in a column of one's own", Design: func(t *Trial, s Strength) {
		t.write.inline = false
		name, unit := pick(t.r, "pH", "bench (°C)", "stir (rpm)", "days in the fridge"), ""
		if t.chance(0.3) {
			name, unit = "salt water", " g"
		}
		way := pick(t.r, 1.0, -1)
		say := func(c *cook) string {
			x := way * (float64(c.arm)/float64(len(t.setPoints)-1) - 0.5)
			return fmt.Sprintf("%.2f%s", 20+by(s, 1.5, 3, 8)*x+0.6*t.r.NormFloat64(), unit)
		}
		if t.chance(0.5) {
			for _, c := range t.cooks {
				c.fields[name] = say(c)
			}
			return
		}
		for _, c := range t.cooks {
			for _, p := range c.pieces {
				p.fields[name] = say(c)
			}
		}
	}},
	{Slug: "anything-else-moves", By: "the hour of the day", Needs: Shape{Clocks: true}, Design: func(t *Trial, s Strength) {
		// One cook a day, so that there is no order within a session, but an hour.
		way := pick(t.r, 1.0, -1)
		for i, c := range t.cooks {
			x := way * (float64(c.arm)/float64(len(t.setPoints)-1) - 0.5)
			c.session, c.place, c.bath = i, 0, 0
			c.start = 13*60 + int(by(s, 120.0, 240, 480)*x+25*t.r.NormFloat64())
		}
		t.r.Shuffle(len(t.cooks), func(i, j int) {
			t.cooks[i].session, t.cooks[j].session = t.cooks[j].session, t.cooks[i].session
		})
		t.sessions = len(t.cooks)
		t.firstDay, t.step = 2, 1
	}},
	{Slug: "anything-else-moves", By: "what did not go to plan", Design: func(t *Trial, s Strength) {
		what := pick(t.r, "floated", "leaked", "power lost", "lid off", "the circulator stopped")
		t.hotShare(s, func(c *cook) {
			if len(t.deviations) == 0 {
				t.deviations = append(t.deviations, "deviations:")
			}
			t.deviations = append(t.deviations, fmt.Sprintf("  - {cook: %s, what: %s}", c.id, what))
		})
	}},
}
