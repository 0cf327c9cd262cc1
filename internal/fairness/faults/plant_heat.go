package faults

import (
	"fmt"
	"math"
)

// heatFaults are faults of time, core, water and load.
var heatFaults = []Fault{
	{Slug: "time-moves-with-set-point", Needs: Shape{}, Design: func(t *Trial, s Strength) {
		way := pick(t.r, 1.0, -1)
		for _, c := range t.cooks {
			x := float64(c.arm)/float64(len(t.setPoints)-1) - 0.5
			c.minutes = int(float64(t.food.minutes) * 1.4 * (1 + way*by(s, 0.25, 0.5, 0.8)*x))
		}
		t.separate()
	}},
	{Slug: "ramp-in-one-bath", Needs: Shape{Clocks: true}, Design: func(t *Trial, s Strength) {
		if s == Weak {
			t.cooks[0].fields["ramp"] = "yes"
			return
		}
		for _, c := range t.cooks {
			c.bath = 0
			c.start = 9*60 + 5*c.arm
			c.minutes = t.food.minutes + by(s, 5, 10, 20)*c.arm
		}
	}},
	{Slug: "core-short", Needs: Shape{Thickness: true}, Design: func(t *Trial, s Strength) {
		t.write.logs = false
		for _, c := range t.cooks {
			c.minutes = int(float64(t.food.minutes) * by(s, 0.6, 0.45, 0.25))
		}
	}},
	{Slug: "core-short", By: "by a log", Needs: Shape{Logs: true}, Design: func(t *Trial, s Strength) {
		t.logOf = func(k *cook, minute float64) (float64, float64) {
			bath := t.setPoints[k.arm]
			stays := by(s, 0.9, 2, 5)
			if !t.hot(k) {
				stays = 0.2
			}
			tau := 0.25 * float64(k.minutes) / math.Log((bath-4)/0.5)
			return bath - stays - (bath-4-stays)*math.Exp(-minute/tau), bath + 0.05*t.r.NormFloat64()
		}
	}},
	{Slug: "hold-spread", Needs: Shape{Thickness: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			c.minutes = t.food.minutes + t.r.IntN(by(s, 12, 25, 60))
		}
		t.cooks[0].minutes += by(s, 6, 12, 30)
		t.separate()
	}},
	{Slug: "hold-spread", By: "by a log", Needs: Shape{Logs: true}, Design: func(t *Trial, s Strength) {
		// All come out after one time, but in some the core was there much sooner: a
		// thin tail, a bag that was stirred.
		early := map[*cook]float64{}
		for _, c := range t.cooks {
			early[c] = by(s, 0.2, 0.45, 0.7) * t.r.Float64()
		}
		early[t.cooks[0]], early[t.cooks[1]] = 0, by(s, 0.2, 0.45, 0.7)
		good := t.logOf
		t.logOf = func(k *cook, minute float64) (float64, float64) { return good(k, minute/(1-early[k])) }
	}},
	{Slug: "bath-off-set-point", Design: func(t *Trial, s Strength) {
		if t.write.logs {
			good := t.logOf
			off := map[*cook]float64{}
			t.logOf = func(k *cook, m float64) (float64, float64) {
				core, bath := good(k, m)
				if k.session == 0 {
					if _, ok := off[k]; !ok {
						off[k] = pick(t.r, 1.0, -1) * by(s, 0.45, 0.8, 1.5)
					}
				}
				return core + off[k], bath + off[k]
			}
			return
		}
		t.bathFact[0]["reads"] = fmt.Sprintf("%.1f °C %s", by(s, 0.5, 0.8, 1.6), pick(t.r, "high", "low"))
	}},
	{Slug: "load-differs", Design: func(t *Trial, s Strength) {
		if t.chance(0.5) {
			for _, c := range t.cooks {
				c.fields["vacuum"] = "95 %"
			}
			t.hotShare(s, func(c *cook) { c.fields["vacuum"] = by(s, "80 %", "75 %", "60 %") })
			return
		}
		for _, c := range t.cooks {
			c.fields["load"] = "0.6 kg"
		}
		t.hotShare(s, func(c *cook) { c.fields["load"] = by(s, "0.8 kg", "1.2 kg", "2.5 kg") })
	}},
	{Slug: "gap-between-set-points", Needs: Shape{Panel: true}, Design: func(t *Trial, s Strength) {
		// Half of the set points lie far above the other half, and the aim between.
		t.effect = math.Copysign(math.Max(math.Abs(t.effect), by(s, 2.0, 3, 5)), t.effect)
		k := len(t.setPoints)
		for i := range t.setPoints {
			if 2*i >= k {
				t.setPoints[i] += by(s, 7.0, 9, 13)
			}
		}
		if t.setPoints[k-1] > 95 {
			for i := range t.setPoints {
				t.setPoints[i] -= 12
			}
		}
		var a, b float64
		for i := range t.setPoints { // the step lies between the last of the low half and the first of the high one
			if 2*i >= k {
				a, b = t.truth(i-1), t.truth(i)
				break
			}
		}
		t.aim = fmt.Sprintf("{measure: firmness, target: %.2f to %.2f}", (a+b)/2-0.15*math.Abs(b-a), (a+b)/2+0.15*math.Abs(b-a))
	}, Scored: true},
}
