package fairness

import "fmt"

// Whether two cooks were one occasion hangs on sessions, on days in the clock
// times, or on neither: further trials for the checks that ask it.

// dated gives the nine cooks no session but a day in each clock time; start and
// end are in minutes of that day.
func dated(say func(i, arm, session int) string, start, end func(arm, session int) int) string {
	return nine(func(i, arm, session int) string {
		day := fmt.Sprintf("2026-02-%d ", 10+session)
		out := end(arm, session)
		return fmt.Sprintf("%ssession: ~, started: %s%s, out: %s%s, served: %s%s", say(i, arm, session),
			day, clockText(start(arm, session)), day, clockText(out), day, clockText(out+3))
	})
}

func nothing(int, int, int) string { return "" }

// inTurn are starts one after the other, in the order of the fair trial.
func inTurn(arm, session int) int {
	for place, celsius := range fairArms[session] {
		if celsius == 48+4*arm {
			return 600 + 70*place
		}
	}
	return 0
}

// three takes the place of the nine: one evening, one cook of each set point.
func three(say string, start, end [3]int) string {
	cook := func(i, celsius int) string {
		return fmt.Sprintf("{set_point: %d °C, %sstarted: %s, out: %s, served: %s}", celsius, say, clockText(start[i]), clockText(end[i]), clockText(end[i]+3))
	}
	return "cooks: [" + cook(0, 48) + ", " + cook(1, 52) + ", " + cook(2, 56) + "]"
}

// bag is a tenth cook, of the set point of the first.
func bag(say string) string {
	return "cooks: [{}, {}, {}, {}, {}, {}, {}, {}, {}, {id: J, set_point: 52 °C, order: 4, " + say + "}]"
}

const noSessions = "sessions: ~"

var plantedOccasions = []planted{
	// One bath that is raised, and the ways in which a file says on which day.
	{slug: "ramp-in-one-bath", outcome: Fires, says: Blocks, variant: "by-day", grafts: on(noSessions, dated(
		func(int, int, int) string { return "bath: north, " }, func(int, int) int { return 600 }, func(arm, _ int) int { return 650 + 20*arm }))},
	{slug: "ramp-in-one-bath", outcome: Fires, says: Blocks, variant: "one-evening", grafts: on(noSessions, three("session: ~, bath: north, ", [3]int{1080, 1080, 1080}, [3]int{1130, 1150, 1170}))},
	{slug: "ramp-in-one-bath", outcome: Fires, says: Blocks, variant: "said", grafts: on(ofFirst("ramp: yes"))},
	{slug: "ramp-in-one-bath", outcome: Fires, says: Weakens, variant: "slip", grafts: on(nine(func(_, _, session int) string {
		return fmt.Sprintf("bath: north, started: %s, out: %s", clockText(600+session), clockText(650+session))
	}))},
	{slug: "ramp-in-one-bath", outcome: Clear, variant: "other-days", mark: "2026-02-11 10:00", grafts: on(noSessions, dated(
		func(int, int, int) string { return "bath: north, " }, inTurn, func(arm, session int) int { return inTurn(arm, session) + 50 }))},
	{slug: "ramp-in-one-bath", outcome: CannotJudge, variant: "days-unknown", lacks: "cooks.session", grafts: on(noSessions, nine(func(_, arm, session int) string {
		at := inTurn(arm, session)
		return fmt.Sprintf("session: ~, bath: north, started: %s, out: %s", clockText(at), clockText(at+50))
	}))},
	{slug: "ramp-in-one-bath", outcome: CannotJudge, variant: "session-on-some", lacks: "cooks.session", grafts: on(
		`cooks: [{set_point: 48 °C, bath: north, started: 18:00, out: 18:50}, {set_point: 52 °C, session: ~, bath: north, started: 18:00, out: 19:10}, {set_point: 56 °C}]`)},

	// Bags that were one run, written down twice.
	{slug: "split-run", outcome: Fires, says: Note, variant: "over-midnight", grafts: on(
		`cooks: [{started: 23:30, out: 00:20, served: 00:23}, {}, {}, {}, {}, {}, {}, {}, {}, {id: J, set_point: 52 °C, session: first, order: 4, bath: south, started: 23:35, out: 00:25, served: 00:28}]`)},
	{slug: "split-run", outcome: Fires, says: Note, variant: "by-day", grafts: on(noSessions,
		`cooks: [{session: ~, started: 2026-02-10 10:00, out: 2026-02-10 10:50, served: 2026-02-10 10:53}, {}, {}, {}, {}, {}, {}, {}, {}, {id: J, set_point: 52 °C, session: ~, order: 4, bath: south, started: 2026-02-10 10:05, out: 2026-02-10 10:55, served: 2026-02-10 10:58}]`)},
	{slug: "split-run", outcome: Clear, variant: "other-bath", mark: "id: J", grafts: on(bag("session: first, bath: west, started: 10:05, out: 10:55"))},

	// Joined to one run, two cooks of a set point are one: it was cooked once.
	{slug: "one-run-per-set-point", outcome: Fires, says: Blocks, variant: "joined", grafts: on(
		`cooks: [{set_point: 48 °C, bath: north, session: first, started: 10:00, out: 10:50}, {set_point: 48 °C, bath: north, session: first, started: 10:05, out: 10:55},
			{set_point: 56 °C, bath: south, session: first, started: 10:00, out: 10:50}, {set_point: 56 °C, bath: south, session: second, started: 10:00, out: 10:50}]`)},
	{slug: "one-run-per-set-point", outcome: Fires, says: Weakens, variant: "twice", grafts: on(`cooks: [{}, {}, {}, {}, {}, {}]`)},

	// A day that stands in the clock times and in no session.
	{slug: "session-tied-to-set-point", outcome: Fires, says: Blocks, variant: "by-day", grafts: on(noSessions, nine(func(i, arm, session int) string {
		day := fmt.Sprintf("2026-02-%d ", 10+arm)
		at := 600 + 70*session
		return fmt.Sprintf("session: ~, order: %d, started: %s%s, out: %s%s, served: %s%s", session+1, day, clockText(at), day, clockText(at+50), day, clockText(at+53))
	}))},
	{slug: "session-tied-to-set-point", outcome: Clear, variant: "by-day", mark: "2026-02-10 10:00", grafts: on(noSessions, dated(nothing, inTurn, func(arm, session int) int { return inTurn(arm, session) + 50 }))},

	// The order as the clock gives it.
	{slug: "run-order-follows-set-point", outcome: Fires, says: Blocks, variant: "by-clock", grafts: on(nine(func(_, arm, session int) string {
		return fmt.Sprintf("order: ~, started: %s", clockText(600+70*session+20*arm))
	}))},
	{slug: "run-order-follows-set-point", outcome: Clear, variant: "by-clock", mark: "started: 10:00", grafts: on(nine(func(int, int, int) string { return "order: ~" }))},
}

func init() { plantedTrials = append(plantedTrials, plantedOccasions...) }
