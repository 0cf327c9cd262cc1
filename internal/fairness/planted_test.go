package fairness

import (
	"fmt"
	"math"
	"strings"
)

// A planted trial is the complete fair trial with something grafted onto it, for
// one check and one of its outcomes. TestTrialsOfChecks writes them to
// testdata/fairness and reads them from there.
type planted struct {
	slug    string
	outcome Outcome
	variant string           // a further case of the same outcome
	grafts  []string         // as for graft; later ones go over earlier ones
	scores  func(*bite) bool // changes a line of the score sheet; false leaves it out
	says    Severity         // of one that fires
	lacks   string           // of one that cannot be judged: the field, or what there is too little of
	mark    string           // of one that is clear: the line that holds this text is the one that was grafted
}

// bite is a line of the score sheet.
type bite struct {
	who, arm, session, place, cook, piece int // from 0; arm is the place among the set points
	before                                int // arm of the sample before, -1 for the first
	row                                   int
	assessor, position, firmness          string
	value                                 float64
	more                                  []string // further cells: name, value, name, value …
}

// nine says something of each of the nine cooks; of gives it by the place in the
// list, the set point and the session, all from 0.
func nine(of func(i, arm, session int) string) string {
	var b strings.Builder
	b.WriteString("cooks: [")
	for i := range 9 {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString("{" + of(i, (fairArms[i/3][i%3]-48)/4, i/3) + "}")
	}
	return b.String() + "]"
}

// byArm says one thing of the cooks at each of the three set points.
func byArm(cold, middle, hot string) string {
	return nine(func(_, arm, _ int) string { return [3]string{cold, middle, hot}[arm] })
}

func allCooks(s string) string { return byArm(s, s, s) }

// ofFirst says something of the first cook.
func ofFirst(s string) string {
	return nine(func(i, _, _ int) string {
		if i == 0 {
			return s
		}
		return ""
	})
}

// pieces says one thing of each of the three pieces of a cook.
func pieces(a, b, c string) string { return fmt.Sprintf("pieces: [{%s}, {%s}, {%s}]", a, b, c) }

func samePieces(s string) string { return pieces(s, s, s) }

// conclude is a conclusion of the author.
func conclude(s string) []string { return on("conclusion: " + s) }

const (
	noLog     = "log: none"
	noClock   = "started: ~, out: ~, served: ~"
	dry       = "brine: {dry salt: 1 %, of: flesh, for: 20 min}"
	bathsOnly = "baths: {north: {volume: 20 l}, south: {volume: 20 l}, east: {volume: 20 l}}"
)

func wet(tub string) string {
	return "brine: {salt: 5 %, of: water, for: 20 min" + tub + "}"
}

// oneOf says something of one piece of the cook in place i, which goes round the
// sources of a session, and that the other two are plain.
func oneOf(i int, s string) string {
	list := [3]string{"brine: none", "brine: none", "brine: none"}
	list[i%3] = s
	return pieces(list[0], list[1], list[2])
}

// wetCooks have one piece of three from a wet brine.
func wetCooks(tub func(session int) string, brined func(i int) string) string {
	return nine(func(i, _, session int) string {
		return oneOf(i, "before: 80 g, after: 74 g, "+brined(i)+wet(tub(session)))
	})
}

func tubOfDay(session int) string { return fmt.Sprintf(", tub: t%d", session+1) }

func evenDose(i int) string { return fmt.Sprintf("brined: %.1f g, ", 82+0.1*float64(i%3)) }

// flat takes the difference between the set points out of the scores.
func flat3(b *bite) bool {
	b.value -= 1.4 * float64(b.arm-1)
	return true
}

func also(f func(*bite)) func(*bite) bool {
	return func(b *bite) bool { f(b); return true }
}

// onlyThe keeps the scores of the first tasters.
func onlyThe(n int) func(*bite) bool { return func(b *bite) bool { return b.who < n } }

// even is a number from -1 to 1 that looks like chance, for a line of the sheet.
func even(row int) float64 { return 2 * chance(row) }

var plantedTrials = []planted{
	{slug: "one-run-per-set-point", outcome: Fires, says: Blocks, grafts: on(`cooks: [{}, {}, {}]`)},
	{slug: "one-run-per-set-point", outcome: Clear, mark: "cooks:"},

	{slug: "split-run", outcome: Fires, says: Note, grafts: on(`cooks: [{}, {}, {}, {}, {}, {}, {}, {}, {}, {id: J, set_point: 52 °C, session: first, order: 4, bath: south, started: 10:05, out: 10:55}]`)},
	{slug: "split-run", outcome: Clear, mark: "id: J", grafts: on(`cooks: [{}, {}, {}, {}, {}, {}, {}, {}, {}, {id: J, set_point: 52 °C, session: first, order: 4, bath: south, started: 12:05, out: 12:55}]`)},
	{slug: "split-run", outcome: CannotJudge, lacks: "cooks.started", grafts: on(`cooks: [{}, {}, {}, {}, {}, {}, {}, {}, {}, {id: J, set_point: 52 °C, session: first, order: 4, bath: south, ` + noClock + `}]`)},

	{slug: "looks-counted-as-runs", outcome: Fires, says: Blocks, grafts: on(`analysis: {unit: piece}`)},
	{slug: "looks-counted-as-runs", outcome: Clear, mark: "analysis:", grafts: on(`analysis: {unit: cook}`)},
	{slug: "looks-counted-as-runs", outcome: CannotJudge, lacks: "runs at one", grafts: on(`thresholds: {icc: none}`, `cooks: [{}, {}, {}]`)},

	{slug: "run-order-follows-set-point", outcome: Fires, says: Blocks, grafts: on(nine(func(_, arm, session int) string {
		return fmt.Sprintf("order: %d, started: %s", arm+1, clockText(600+70*session+20*arm))
	}))},
	{slug: "run-order-follows-set-point", outcome: Clear, mark: "cooks:"},
	{slug: "run-order-follows-set-point", outcome: CannotJudge, lacks: "cooks.order", grafts: on(allCooks("order: ~, " + noClock))},

	{slug: "session-tied-to-set-point", outcome: Fires, says: Blocks, grafts: on(nine(func(i, arm, session int) string {
		return fmt.Sprintf("session: %s, order: %d, started: %s", fairSessions[arm], session+1, clockText(600+70*session))
	}))},
	{slug: "session-tied-to-set-point", outcome: Clear, mark: "sessions:"},
	{slug: "session-tied-to-set-point", outcome: CannotJudge, lacks: "cooks.session", grafts: on(ofFirst("session: ~"))},

	{slug: "bath-tied-to-set-point", outcome: Fires, says: Blocks, grafts: on(bathsOnly, byArm("bath: north", "bath: south", "bath: east"))},
	{slug: "bath-tied-to-set-point", outcome: Clear, mark: "baths:"},
	{slug: "bath-tied-to-set-point", outcome: CannotJudge, lacks: "cooks.bath", grafts: on(ofFirst("bath: ~"))},

	{slug: "drift-over-runs", outcome: Fires, says: Weakens, scores: also(func(b *bite) { b.value -= 1.2 * float64(b.cook%3-1) })},
	{slug: "drift-over-runs", outcome: Clear, mark: "cooks:"},
	{slug: "drift-over-runs", outcome: CannotJudge, lacks: "cooks.order", grafts: on(ofFirst("order: ~, " + noClock))},

	{slug: "time-moves-with-set-point", outcome: Fires, says: Blocks, grafts: on(byArm("time: 80 min", "time: 60 min", "time: 45 min"))},
	{slug: "time-moves-with-set-point", outcome: Clear, mark: "time: 52 min", grafts: on(nine(func(i, _, _ int) string { return fmt.Sprintf("time: %d min", 48+4*(i%2)) }))},
	{slug: "time-moves-with-set-point", outcome: CannotJudge, lacks: "food.thickness", grafts: on(`food: {thickness: ~}`, nine(func(i, arm, _ int) string {
		s := noLog + ", " + noClock + ", " + samePieces("thickness: ~")
		if arm == 0 {
			s += ", hold: 25 min"
		}
		return s
	}))},

	{slug: "ramp-in-one-bath", outcome: Fires, says: Blocks, grafts: on(nine(func(_, arm, session int) string {
		return fmt.Sprintf("bath: north, started: %s, out: %s", clockText(600), clockText(650+20*arm))
	}))},
	{slug: "ramp-in-one-bath", outcome: Clear, mark: "started: 11:10", grafts: on(nine(func(i, _, _ int) string {
		return fmt.Sprintf("bath: north, started: %s, out: %s", clockText(600+70*(i%3)), clockText(650+70*(i%3)))
	}))},
	{slug: "ramp-in-one-bath", outcome: CannotJudge, lacks: "cooks.started", grafts: on(nine(func(i, _, _ int) string {
		if i == 0 {
			return "bath: north, " + noClock
		}
		return fmt.Sprintf("bath: north, started: %s, out: %s", clockText(600+70*(i%3)), clockText(650+70*(i%3)))
	}))},

	{slug: "core-short", outcome: Fires, says: Blocks, grafts: on(allCooks("time: 12 min, " + noLog))},
	{slug: "core-short", outcome: Clear, mark: "time: 75 min", grafts: on(allCooks("time: 75 min, " + noLog))},
	{slug: "core-short", outcome: CannotJudge, lacks: "food.thickness", grafts: on(`food: {thickness: ~}`, allCooks(noLog+", "+samePieces("thickness: ~")))},

	{slug: "hold-spread", outcome: Fires, says: Weakens, grafts: on(nine(func(i, _, session int) string { return fmt.Sprintf("time: %d min", 44+7*(i*5%9)) }))},
	{slug: "hold-spread", outcome: Clear, mark: "time: 52 min", grafts: on(nine(func(i, _, _ int) string { return fmt.Sprintf("time: %d min", 48+4*(i%2)) }))},
	{slug: "hold-spread", outcome: CannotJudge, lacks: "food.thickness", grafts: on(`food: {thickness: ~}`, allCooks(noLog+", "+samePieces("thickness: ~")))},

	{slug: "bath-off-set-point", outcome: Fires, says: Weakens, grafts: on(`baths: {north: {reads: 0.8 °C low, checked: 2026-02-01, volume: 20 l}}`, allCooks(noLog+", time: 75 min"))},
	{slug: "bath-off-set-point", outcome: Clear, mark: "reads: 0.2 °C low", grafts: on(`baths: {north: {reads: 0.2 °C low, checked: 2026-02-01, volume: 20 l}}`)},
	{slug: "bath-off-set-point", outcome: CannotJudge, lacks: "baths.reads", grafts: on(bathsOnly, allCooks(noLog+", time: 75 min"))},

	{slug: "load-differs", outcome: Fires, says: Weakens, grafts: on(byArm("vacuum: 95 %", "vacuum: 90 %", "vacuum: 70 %"))},
	{slug: "load-differs", outcome: Clear, mark: "vacuum: 86 %", grafts: on(byArm("vacuum: 90 %", "vacuum: 86 %", "vacuum: 88 %"))},
	{slug: "load-differs", outcome: CannotJudge, lacks: "baths.volume", grafts: on(`baths: {north: {reads: 0.0 °C high}, south: {reads: 0.0 °C high}, east: {reads: 0.0 °C high}}`, allCooks("vacuum: ~"))},

	{slug: "gap-between-set-points", outcome: Fires, says: Note, grafts: on(`aim: {measure: firmness, target: 5 to 6}`, nine(func(_, arm, session int) string {
		return fmt.Sprintf("set_point: %d °C, bath: %s", []int{46, 50, 62}[arm], fairBaths[(arm+session)%3])
	}))},
	{slug: "gap-between-set-points", outcome: Clear, mark: "set_point: 58 °C", grafts: on(`aim: {measure: firmness, target: 5 to 6}`, nine(func(_, arm, session int) string {
		return fmt.Sprintf("set_point: %d °C, bath: %s", []int{46, 50, 58}[arm], fairBaths[(arm+session)%3])
	}))},
	{slug: "gap-between-set-points", outcome: CannotJudge, lacks: "panel.scores", grafts: on(`panel: {scores: ~, key: ~}`, nine(func(_, arm, session int) string {
		return fmt.Sprintf("set_point: %d °C, bath: %s", []int{46, 50, 62}[arm], fairBaths[(arm+session)%3])
	}))},

	{slug: "source-tied-to-set-point", outcome: Fires, says: Blocks, grafts: on(nine(func(_, arm, _ int) string {
		return pieces(fmt.Sprintf("source: fish-%d", 3*arm+1), fmt.Sprintf("source: fish-%d", 3*arm+2), fmt.Sprintf("source: fish-%d", 3*arm+3))
	}))},
	{slug: "source-tied-to-set-point", outcome: Clear, mark: "sources:"},
	{slug: "source-tied-to-set-point", outcome: CannotJudge, lacks: "pieces.source", grafts: on(ofFirst(pieces("source: ~", "", "")))},

	{slug: "part-tied-to-set-point", outcome: Fires, says: Blocks, grafts: on(byArm(samePieces("part: head"), samePieces("part: middle"), samePieces("part: tail")))},
	{slug: "part-tied-to-set-point", outcome: Clear, mark: "parts:"},
	{slug: "part-tied-to-set-point", outcome: CannotJudge, lacks: "pieces.part", grafts: on(ofFirst(pieces("part: ~", "", "")))},

	{slug: "size-differs", outcome: Fires, says: Weakens, grafts: on(byArm("", "", samePieces("thickness: 18 mm")))},
	{slug: "size-differs", outcome: Clear, mark: "thickness: 15.4 mm", grafts: on(byArm("", "", samePieces("thickness: 15.4 mm")))},
	{slug: "size-differs", outcome: CannotJudge, lacks: "pieces.thickness", grafts: on(`food: {thickness: ~}`, byArm(samePieces("thickness: ~"), "", ""))},

	{slug: "cold-history-differs", outcome: Fires, says: Weakens, grafts: on(byArm("", "", samePieces("start: 10 °C")))},
	{slug: "cold-history-differs", outcome: Clear, mark: "start: 5 °C", grafts: on(byArm("", "", samePieces("start: 5 °C")))},
	{slug: "cold-history-differs", outcome: CannotJudge, lacks: "food.frozen", grafts: on(`food: {frozen: ~}`)},

	{slug: "one-lot", outcome: Fires, says: Note, grafts: on(`sources: {fish-1: {lot: L1}, fish-2: {lot: L1}, fish-3: {lot: L1}, fish-4: {lot: L1}, fish-5: {lot: L1}, fish-6: {lot: L1}, fish-7: {lot: L1}, fish-8: {lot: L1}, fish-9: {lot: L1}}`)},
	{slug: "one-lot", outcome: Clear, mark: "lot: L2"},
	{slug: "one-lot", outcome: CannotJudge, lacks: "sources.lot", grafts: on(`sources: {fish-1: {lot: L1}, fish-2: {lot: L1}, fish-3: {caught: 2026-01-20}, fish-4: {caught: 2026-01-20}, fish-5: {caught: 2026-01-20}, fish-6: {caught: 2026-01-20}, fish-7: {caught: 2026-01-20}, fish-8: {caught: 2026-01-20}, fish-9: {caught: 2026-01-20}}`)},

	{slug: "anything-else-moves", outcome: Fires, says: Blocks, grafts: on(byArm("bag: chamber", "bag: displaced", "bag: clamp"))},
	{slug: "anything-else-moves", outcome: Clear, mark: "bag: clamp", grafts: on(nine(func(_, _, session int) string { return "bag: " + []string{"chamber", "chamber", "clamp"}[session] }))},
	{slug: "anything-else-moves", outcome: CannotJudge, lacks: "cooks.bag", grafts: on(allCooks("bag: ~"))},

	{slug: "brine-tied-to-set-point", outcome: Fires, says: Blocks, grafts: on(byArm("", "", dry))},
	{slug: "brine-tied-to-set-point", outcome: Clear, mark: "dry salt", grafts: on(nine(func(i, _, _ int) string { return oneOf(i, dry) }))},
	{slug: "brine-tied-to-set-point", outcome: CannotJudge, lacks: "cooks.brine", grafts: on(nine(func(i, _, _ int) string {
		if i == 0 {
			return "brine: ~"
		}
		return oneOf(i, dry)
	}))},

	{slug: "one-tub", outcome: Fires, says: Blocks, grafts: on(wetCooks(func(int) string { return ", tub: t1" }, evenDose))},
	{slug: "one-tub", outcome: Clear, mark: "tub: t3", grafts: on(wetCooks(tubOfDay, evenDose))},
	{slug: "one-tub", outcome: CannotJudge, lacks: "brine.tub", grafts: on(wetCooks(func(int) string { return "" }, evenDose))},

	{slug: "brine-dose-differs", outcome: Fires, says: Weakens, grafts: on(wetCooks(tubOfDay, func(i int) string { return fmt.Sprintf("brined: %.1f g, ", 80.8+0.5*float64(i*5%9)) }))},
	{slug: "brine-dose-differs", outcome: Clear, mark: "brined: 82.1 g", grafts: on(wetCooks(tubOfDay, evenDose))},
	{slug: "brine-dose-differs", outcome: CannotJudge, lacks: "pieces.brined", grafts: on(wetCooks(tubOfDay, func(int) string { return "" }))},

	{slug: "salt-gives-it-away", outcome: Fires, says: Weakens, grafts: on(`measures: {saltiness: {scale: 0 to 10, role: salt}}`, wetCooks(tubOfDay, evenDose)),
		scores: also(func(b *bite) {
			salt := 4 + 0.5*even(b.row+1)
			if b.piece == b.cook%3 {
				salt += 3
				b.value += 2
			}
			b.more = []string{"saltiness", fmt.Sprintf("%.1f", salt)}
		})},
	{slug: "salt-gives-it-away", outcome: Clear, mark: "saltiness", grafts: on(`measures: {saltiness: {scale: 0 to 10, role: salt}}`, wetCooks(tubOfDay, evenDose)),
		scores: also(func(b *bite) { b.more = []string{"saltiness", fmt.Sprintf("%.1f", 4+0.5*even(b.row+1))} })},
	{slug: "salt-gives-it-away", outcome: CannotJudge, lacks: "measures.role", grafts: on(wetCooks(tubOfDay, evenDose))},

	{slug: "finish-differs", outcome: Fires, says: Blocks, grafts: on(byArm("", "", "finish: {sear: 10 s per side}"))},
	{slug: "finish-differs", outcome: Clear, mark: "sear: 5 s", grafts: on(allCooks("finish: {sear: 5 s per side, pan: p1, pan_at: 220 °C}"))},
	{slug: "finish-differs", outcome: CannotJudge, lacks: "cooks.finish", grafts: on(ofFirst("finish: ~"))},

	{slug: "sear-hides-set-point", outcome: Fires, says: Weakens, grafts: on(allCooks("finish: {sear: 45 s per side, pan: p1, pan_at: 220 °C}"))},
	{slug: "sear-hides-set-point", outcome: Clear, mark: "sear: 5 s", grafts: on(allCooks("finish: {sear: 5 s per side, pan: p1, pan_at: 220 °C}"))},
	{slug: "sear-hides-set-point", outcome: CannotJudge, lacks: "food.thickness", grafts: on(`food: {thickness: ~}`, allCooks("finish: {sear: 5 s per side, pan: p1, pan_at: 220 °C}, "+samePieces("thickness: ~")))},

	{slug: "chilled-only-some", outcome: Fires, says: Blocks, grafts: on(byArm("", "", "chilled: yes"))},
	{slug: "chilled-only-some", outcome: Clear, mark: "reheat:", grafts: on(allCooks("chilled: yes, reheat: {at: 46 °C, for: 20 min}"))},
	{slug: "chilled-only-some", outcome: CannotJudge, lacks: "cooks.chilled", grafts: on(ofFirst("chilled: ~"))},

	{slug: "served-at-differs", outcome: Fires, says: Weakens, grafts: on(byArm("served_at: 38 °C", "served_at: 40 °C", "served_at: 46 °C"))},
	{slug: "served-at-differs", outcome: Clear, mark: "served_at: 41 °C", grafts: on(byArm("served_at: 40 °C", "served_at: 40 °C", "served_at: 41 °C"))},
	{slug: "served-at-differs", outcome: CannotJudge, lacks: "cooks.served_at", grafts: on(ofFirst("served_at: ~"))},

	{slug: "wait-differs", outcome: Fires, says: Weakens, grafts: on(nine(func(i, arm, session int) string {
		return "served: " + clockText(650+70*session+20*(i%3)+[]int{3, 3, 12}[arm])
	}))},
	{slug: "wait-differs", outcome: Clear, mark: "cooks:", grafts: on(nine(func(i, arm, session int) string {
		return "served: " + clockText(650+70*session+20*(i%3)+[]int{3, 3, 4}[arm])
	}))},
	{slug: "wait-differs", outcome: CannotJudge, lacks: "cooks.served", grafts: on(ofFirst("served: ~"))},

	{slug: "tasting-order-uneven", outcome: Fires, says: Blocks, scores: also(func(b *bite) { b.position = fmt.Sprint(b.arm + 1) })},
	{slug: "tasting-order-uneven", outcome: Clear, mark: "scores:"},
	{slug: "tasting-order-uneven", outcome: CannotJudge, lacks: "scores.position", scores: also(func(b *bite) {
		if b.row == 4 {
			b.position = ""
		}
	})},

	{slug: "place-changes-scores", outcome: Fires, says: Note, scores: also(func(b *bite) {
		if b.place == 0 {
			b.value += 1.5
		}
	})},
	{slug: "place-changes-scores", outcome: Clear, mark: "warm_up:"},
	{slug: "place-changes-scores", outcome: CannotJudge, lacks: "first place", scores: onlyThe(3)},

	{slug: "carry-over", outcome: Fires, says: Note, scores: also(func(b *bite) {
		if b.before >= 0 {
			b.value -= 1.5 * float64(b.before-1)
		}
	})},
	{slug: "carry-over", outcome: Clear, mark: "rinse:"},
	{slug: "carry-over", outcome: CannotJudge, lacks: "scores.position", scores: also(func(b *bite) {
		if b.row == 4 {
			b.position = ""
		}
	})},

	{slug: "tasters-knew", outcome: Fires, says: Weakens, grafts: on(`panel: {blind: no}`)},
	{slug: "tasters-knew", outcome: Clear, mark: "blind:"},
	{slug: "tasters-knew", outcome: CannotJudge, lacks: "panel.blind", grafts: on(`panel: {blind: ~, guessed: ~}`)},

	{slug: "cook-tasted", outcome: Fires, says: Note, grafts: on(`panel: {assessors: {ben: {kind: trained, cooked: yes, chose: no}}}`)},
	{slug: "cook-tasted", outcome: Clear, mark: "assessors:"},
	{slug: "cook-tasted", outcome: CannotJudge, lacks: "panel.assessors.cooked", grafts: on(`panel: {assessors: {ben: {kind: trained, cooked: ~, chose: ~}}}`)},

	{slug: "not-all-tasted-all", outcome: Fires, says: Blocks, scores: func(b *bite) bool { return (b.who < 6) == (b.arm == 2) }},
	{slug: "not-all-tasted-all", outcome: Clear, mark: "plan:"},

	{slug: "tasters-talked", outcome: Fires, says: Weakens, grafts: on(`panel: {together: yes}`)},
	{slug: "tasters-talked", outcome: Clear, mark: "together:"},
	{slug: "tasters-talked", outcome: CannotJudge, lacks: "panel.together", grafts: on(`panel: {together: ~}`)},

	{slug: "assessor-out-of-step", outcome: Fires, says: Weakens, scores: also(func(b *bite) {
		if b.who == 3 {
			b.value = 10 - b.value
		}
	})},
	{slug: "assessor-out-of-step", outcome: Clear, mark: "assessors:"},
	{slug: "assessor-out-of-step", outcome: CannotJudge, lacks: "assessors", scores: onlyThe(3)},

	{slug: "panel-splits", outcome: Fires, says: Weakens, scores: also(func(b *bite) {
		if b.who%3 == 0 {
			b.value -= 2.4 * 1.4 * float64(b.arm-1)
		}
	})},
	{slug: "panel-splits", outcome: Clear, mark: "assessors:"},
	{slug: "panel-splits", outcome: CannotJudge, lacks: "scores.repeat", scores: func(b *bite) bool { return b.session == 0 }},

	{slug: "scores-at-the-end", outcome: Fires, says: Weakens, grafts: on(`aim: {measure: firmness, best: highest}`), scores: also(func(b *bite) {
		if b.arm == 2 && b.row%3 != 0 {
			b.value = 10
		}
	})},
	{slug: "scores-at-the-end", outcome: Clear, mark: "scale: 0 to 10"},
	{slug: "scores-at-the-end", outcome: CannotJudge, lacks: "scores at a set point", scores: onlyThe(2)},

	{slug: "missing-by-set-point", outcome: Fires, says: Weakens, scores: also(func(b *bite) {
		if b.arm == 0 && b.row%2 == 0 {
			b.firmness = " "
		}
	})},
	{slug: "missing-by-set-point", outcome: Clear, mark: "scores:", scores: also(func(b *bite) {
		if b.who == b.arm && b.session == 1 {
			b.firmness = " "
		}
	})},
	{slug: "missing-by-set-point", outcome: CannotJudge, lacks: "panel.plan", grafts: on(`panel: {plan: ~}`), scores: func(b *bite) bool { return b.row%7 != 3 || b.place != 1 }},

	{slug: "scores-left-out", outcome: Fires, says: Weakens, scores: also(func(b *bite) {
		b.more = []string{"left_out", ""}
		if b.row%25 == 3 {
			b.more[1] = "odd"
		}
	})},
	{slug: "scores-left-out", outcome: Clear, mark: "key:"},
	{slug: "scores-left-out", outcome: CannotJudge, lacks: "panel.key", grafts: on(`panel: {key: ~}`)},

	{slug: "typing-slip", outcome: Fires, says: Note, grafts: on(ofFirst(pieces("before: 810 g", "", "")))},
	{slug: "typing-slip", outcome: Clear, mark: "before: 84 g", grafts: on(ofFirst(pieces("before: 84 g", "", "")))},
	{slug: "typing-slip", outcome: CannotJudge, lacks: "values of one kind", grafts: on(`panel: {scores: ~, key: ~}`, `cooks: [{log: none, pieces: []}, {log: none, pieces: []}, {log: none, pieces: []}]`)},

	{slug: "many-measures", outcome: Fires, says: Weakens, grafts: on(`aim: ~`, `measures: {juiciness: {scale: 0 to 10}, flake: {scale: 0 to 10}, sweetness: {scale: 0 to 10}, chew: {scale: 0 to 10}, gloss: {scale: 0 to 10}, aroma: {scale: 0 to 10}}`),
		scores: also(func(b *bite) {
			for j, name := range []string{"juiciness", "flake", "sweetness", "chew", "gloss", "aroma"} {
				b.more = append(b.more, name, fmt.Sprintf("%.1f", 5+even(b.row+7*j)))
			}
		})},
	{slug: "many-measures", outcome: Clear, mark: "aim:", grafts: on(`measures: {juiciness: {scale: 0 to 10}}`), scores: also(func(b *bite) { b.more = []string{"juiciness", fmt.Sprintf("%.1f", 5+even(b.row+7))} })},

	{slug: "declared-after-tasting", outcome: Fires, says: Weakens, grafts: on(`declared: 2026-02-14`)},
	{slug: "declared-after-tasting", outcome: Clear, mark: "declared:"},
	{slug: "declared-after-tasting", outcome: CannotJudge, lacks: "sessions.date", grafts: on(`date: ~`, `sessions: {first: {}, second: {}, third: {}}`)},

	{slug: "too-few-to-see", outcome: Fires, says: Note, grafts: on(`measures: {firmness: {matters: 0.2}}`)},
	{slug: "too-few-to-see", outcome: Clear, mark: "matters:"},
	{slug: "too-few-to-see", outcome: CannotJudge, lacks: "measures.firmness.matters", grafts: on(`measures: {firmness: {matters: ~}}`)},

	// Half of the difference is one taster's, and he scores far out: the means see a
	// difference, the ranks and the ordered categories do not.
	{slug: "analyses-disagree", outcome: Fires, says: Weakens, scores: also(func(b *bite) {
		flat3(b)
		if b.who == 0 {
			b.value += 5 * float64(b.arm-1)
		}
	})},
	{slug: "analyses-disagree", outcome: Clear, mark: "scores:"},
	{slug: "analyses-disagree", outcome: CannotJudge, lacks: "analyses that can be made", grafts: on(`panel: {scores: ~, key: ~}`,
		nine(func(i, arm, _ int) string { return fmt.Sprintf("firmness: %.1f", 4+float64(arm)+0.1*float64(i%4)) }))},

	{slug: "one-cook-carries-it", outcome: Fires, says: Weakens, scores: also(func(b *bite) {
		b.value -= 1.0 * float64(b.arm-1)
		if b.cook == 2 {
			b.value = math.Min(10, b.value+3.5)
		}
	})},
	{slug: "one-cook-carries-it", outcome: Clear, mark: "scores:"},

	{slug: "ratio-on-ratings", outcome: Fires, says: Weakens, grafts: conclude("At 56 °C these pieces were twice as firm as at 48 °C.")},
	{slug: "ratio-on-ratings", outcome: Clear, mark: "conclusion:", grafts: conclude("At 56 °C our panel scored these pieces firmer than at 48 °C.")},
	{slug: "ratio-on-ratings", outcome: CannotJudge, lacks: "conclusion", grafts: conclude("At 56 °C these pieces were twice as nice.")},

	{slug: "proves", outcome: Fires, says: Weakens, grafts: conclude("This proves that these pieces were firmer at 56 °C.")},
	{slug: "proves", outcome: Clear, mark: "conclusion:", grafts: conclude("In our kitchen these pieces tended to be firmer at 56 °C than at 48 °C.")},
	{slug: "proves", outcome: CannotJudge, lacks: "language", grafts: append(conclude("Das beweist es."), "language: de")},

	{slug: "optimum-from-two", outcome: Fires, says: Weakens, grafts: append(conclude("The optimum of these pieces was 56 °C."), nine(func(_, arm, session int) string {
		return fmt.Sprintf("set_point: %d °C, bath: %s", []int{48, 56, 56}[arm], fairBaths[(arm+session)%3])
	}))},
	{slug: "optimum-from-two", outcome: Clear, mark: "conclusion:", grafts: conclude("Of the three, our panel scored these pieces nearest to the aim at 52 °C.")},
	{slug: "optimum-from-two", outcome: CannotJudge, lacks: "fitted curves", grafts: append(conclude("The optimum of these pieces lay at 52 °C."), "panel: {scores: ~, key: ~}")},

	{slug: "beyond-set-points", outcome: Fires, says: Weakens, grafts: conclude("At 64 °C these pieces were dry.")},
	{slug: "beyond-set-points", outcome: Clear, mark: "conclusion:", grafts: conclude("51 °C lay in the window of these pieces.")},

	{slug: "same-without-margin", outcome: Fires, says: Weakens, grafts: conclude("These pieces were the same at 48 °C and 56 °C."), scores: flat3},
	{slug: "same-without-margin", outcome: Clear, mark: "same_within", grafts: append(conclude("These pieces were the same at 48 °C and 56 °C."), "measures: {firmness: {same_within: 1.5}}"), scores: flat3},

	{slug: "wider-than-trial", outcome: Fires, says: Weakens, grafts: conclude("Guests like pollack at 52 °C.")},
	{slug: "wider-than-trial", outcome: Clear, mark: "conclusion:", grafts: conclude("Our twelve tasters scored these pieces firmer at 56 °C than at 48 °C.")},
	{slug: "wider-than-trial", outcome: CannotJudge, lacks: "language", grafts: append(conclude("Gäste mögen Fisch bei 52 °C."), "language: de")},

	{slug: "winner-within-noise", outcome: Fires, says: Weakens, grafts: conclude("These pieces were firmer at 56 °C than at 48 °C."), scores: flat3},
	{slug: "winner-within-noise", outcome: Clear, mark: "conclusion:", grafts: conclude("These pieces were firmer at 56 °C than at 48 °C.")},
	{slug: "winner-within-noise", outcome: CannotJudge, lacks: "set points that the sentence names", grafts: conclude("The second of these pieces was the better one.")},

	{slug: "safe-words", outcome: Fires, says: Blocks, grafts: conclude("At 48 °C these pieces were safe for children.")},
	{slug: "safe-words", outcome: Clear, mark: "conclusion:", grafts: conclude("At 48 °C these pieces were not safe for children.")},
	{slug: "safe-words", outcome: CannotJudge, lacks: "language", grafts: append(conclude("Bei 48 °C sicher für Kinder."), "language: de")},
}
