package faults

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Strength is how gross a planted fault is.
type Strength int

// The strengths.
const (
	Weak Strength = iota
	Medium
	Strong
)

func (s Strength) String() string { return [...]string{"weak", "medium", "strong"}[s] }

// Fault is one way to spoil a trial. Design changes what is cooked, Sheet the
// scores. Scored says that only the scores show it.
type Fault struct {
	Slug   string
	Needs  Shape
	Scored bool
	Design func(t *Trial, s Strength)
	Sheet  func(t *Trial, s Strength)
}

// Draw gives a trial with a fault planted, or with nil a fair one.
func Draw(seed uint64, f *Fault, s Strength) *Trial {
	shape := Shape{}
	if f != nil {
		shape = f.Needs
	}
	t := Fair(seed, shape)
	if f != nil && f.Design != nil {
		f.Design(t, s)
	}
	t.settle()
	t.taste()
	if f != nil && f.Sheet != nil {
		f.Sheet(t, s)
	}
	return t
}

// by picks a number by strength.
func by[T any](s Strength, weak, medium, strong T) T { return []T{weak, medium, strong}[s] }

func (t *Trial) keep(want func(c *cook) bool) {
	t.cooks = slices.DeleteFunc(t.cooks, func(c *cook) bool { return !want(c) })
}

// hot reports whether a set point lies in the upper half.
func (t *Trial) hot(c *cook) bool { return 2*c.arm >= len(t.setPoints) }

// each does something to a share of the cooks by strength: of those that are hot
// a growing part, and none of the others.
func (t *Trial) hotShare(s Strength, do func(c *cook)) {
	for _, c := range t.cooks {
		if t.hot(c) && (s == Strong || t.chance(by(s, 0.5, 0.8, 1))) {
			do(c)
		}
	}
}

func conclusions(list ...string) func(t *Trial, s Strength) {
	return func(t *Trial, s Strength) {
		// A set point in the text is one of the trial's.
		low, high := t.degrees(t.setPoints[0]), t.degrees(t.setPoints[len(t.setPoints)-1])
		text := strings.NewReplacer("%[1]s", low, "%[2]s", high, "%%", "%").Replace(pick(t.r, list...))
		t.head = append(t.head, "conclusion: "+strconv.Quote(text))
	}
}

// Faults are all faults that can be planted, in the order of the catalogue.
var Faults = []Fault{
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
	{Slug: "hold-spread", Needs: Shape{Thickness: true}, Design: func(t *Trial, s Strength) {
		for _, c := range t.cooks {
			c.minutes = t.food.minutes + t.r.IntN(by(s, 12, 25, 60))
		}
		t.cooks[0].minutes += by(s, 6, 12, 30)
		t.separate()
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
	{Slug: "anything-else-moves", Design: func(t *Trial, s Strength) {
		key, a, b := "bag.seal", pick(t.r, "chamber", "displaced"), "clamp"
		if t.chance(0.5) {
			key, a, b = "bag.with", "oil", pick(t.r, "butter", "stock")
		}
		for _, c := range t.cooks {
			c.fields[key] = a
		}
		t.hotShare(s, func(c *cook) { c.fields[key] = b })
	}},
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
	{Slug: "one-cook-carries-it", Needs: Shape{Panel: true, Order: true}, Scored: true, Design: func(t *Trial, s Strength) {
		// One cook at the hot end pulls its mean down so far that the difference turns
		// round. An outlier that only adds to it widens the interval as well.
		t.effect = math.Max(1.2, math.Abs(t.effect)/2)
		t.write.incomplete = false
		k := len(t.setPoints)
		odd := slices.IndexFunc(t.cooks, func(c *cook) bool { return c.arm == k-1 })
		t.cooks[odd].mean -= float64(t.runs) * by(s, 0.8, 1.5, 2.5) * t.effect
	}},
	{Slug: "ratio-on-ratings", Needs: Shape{Panel: true}, Scored: true, Design: conclusions(
		"At %[2]s it was twice as firm.", "The firmness doubled from %[1]s to %[2]s.", "Firmness rose by 60 %% from %[1]s to %[2]s.", "%[2]s: 1.8 times the firmness of %[1]s.", "It was half as firm at %[1]s.")},
	{Slug: "proves", Scored: true, Design: conclusions(
		"This proves that %[2]s is right.", "%[2]s is always the better one.", "Definitely %[2]s.", "There is no doubt about %[2]s.", "%[1]s is guaranteed to work.", "It never fails at %[2]s.")},
	{Slug: "optimum-from-two", Scored: true, Design: func(t *Trial, s Strength) {
		k := len(t.setPoints)
		t.keep(func(c *cook) bool { return c.arm == 0 || c.arm == k-1 })
		for _, c := range t.cooks {
			c.arm = boolInt(c.arm == k-1)
			c.place = (c.arm + c.session) % 2
		}
		t.setPoints = []float64{t.setPoints[0], t.setPoints[k-1]}
		conclusions("The optimum is %[2]s.", "%[1]s is the sweet spot.", "The ideal set point is %[2]s.", "It peaks at %[1]s.", "%[2]s is the best temperature.")(t, s)
	}},
	{Slug: "beyond-set-points", Scored: true, Design: func(t *Trial, s Strength) {
		low, high := t.setPoints[0], t.setPoints[len(t.setPoints)-1]
		far := by(s, 0.2, 0.5, 1.2) * (high - low)
		v := pick(t.r, low-far, high+far)
		t.head = append(t.head, "conclusion: "+strconv.Quote(fmt.Sprintf(pick(t.r, "At %s it is dry.", "Cook it at %s.", "%s is too much.", "It firms up to %s."), t.degrees(math.Round(v)))))
	}},
	{Slug: "same-without-margin", Scored: true, Design: func(t *Trial, s Strength) {
		t.effect = 0
		conclusions("%[1]s and %[2]s are the same.", "There is no difference between %[1]s and %[2]s.", "%[1]s is just as firm as %[2]s.", "The set point does not matter.", "%[1]s and %[2]s cannot be told apart.")(t, s)
	}},
	{Slug: "wider-than-trial", Scored: true, Design: conclusions(
		"Guests prefer %[2]s.", "All fish firms at %[2]s.", "Everyone likes %[1]s.", "Meat is better at %[1]s.", "Lobster behaves like this at %[2]s.", "People want it at %[1]s.")},
	{Slug: "winner-within-noise", Needs: Shape{Panel: true, Order: true}, Scored: true, Design: func(t *Trial, s Strength) {
		t.effect = 0
		t.aim = "{measure: firmness, best: highest}"
		conclusions("%[2]s is better than %[1]s.", "%[1]s wins over %[2]s.", "We prefer %[2]s to %[1]s.", "%[2]s beats %[1]s.", "It was firmer at %[2]s than at %[1]s.")(t, s)
	}},
	{Slug: "safe-words", Needs: Shape{Animal: true}, Design: func(t *Trial, s Strength) {
		// A quarter of the time: no core is pasteurised, so that the words are wrong.
		for _, c := range t.cooks {
			c.minutes = t.food.minutes / 4
		}
		t.write.logs = false
		conclusions("At %[1]s it is safe for everyone.", "Fine for children, at %[1]s.", "It can be given to pregnant women.", "Safe for the elderly.", "At %[1]s there is no risk for children.")(t, s)
	}},
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}
