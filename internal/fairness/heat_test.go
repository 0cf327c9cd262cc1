package fairness

import (
	"fmt"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestTimeMovesWithSetPoint(t *testing.T) {
	t.Parallel()
	runGrafts(t, "time-moves-with-set-point", []grafted{
		{name: "hotter and shorter", snippets: on(`cooks: [{set_point: 46 °C, time: 90 min}, {set_point: 52 °C, time: 60 min}, {set_point: 58 °C, time: 30 min}]`),
			outcome: Fires, severity: Blocks, says: "46 °C for 90 min, 52 °C for 60 min and 58 °C for 30 min", value: 60.0 / 90},
		{name: "bound, though r is 0", snippets: on(`cooks: [{set_point: 46 °C, time: 45 min}, {set_point: 52 °C, time: 90 min}, {set_point: 58 °C, time: 45 min}]`), outcome: Fires, severity: Blocks, value: 0.5},
		{name: "bound, but small", snippets: on(`cooks: [{set_point: 46 °C, time: 60 min}, {set_point: 52 °C, time: 52 min}]`), outcome: Fires, severity: Weakens, value: 8},
		{name: "within a tenth of the median", snippets: on(`cooks: [{set_point: 46 °C, time: 120 min}, {set_point: 52 °C, time: 110 min}]`), outcome: Clear},
		{name: "within 5 minutes", snippets: on(`cooks: [{set_point: 46 °C, time: 30 min}, {set_point: 52 °C, time: 35 min}]`), outcome: Clear},
		{name: "two times at each", snippets: on(`cooks: [{set_point: 46 °C, time: 30 min}, {set_point: 46 °C, time: 60 min}, {set_point: 52 °C, time: 30 min}, {set_point: 52 °C, time: 60 min}]`), outcome: Clear},
		{name: "scattered, and following", snippets: on(`cooks: [{set_point: 46 °C, time: 30 min}, {set_point: 46 °C, time: 40 min}, {set_point: 52 °C, time: 50 min}, {set_point: 52 °C, time: 60 min}]`), outcome: Fires, severity: Weakens, value: 0.894427191},
		{name: "by the clock", snippets: on(`cooks: [{set_point: 46 °C, started: 23:30, out: 00:30}, {set_point: 52 °C, started: 10:00, out: 10:20}]`), outcome: Fires, severity: Blocks},
		{name: "holds are what counts", snippets: on(`cooks: [{set_point: 46 °C, hold: 20 min, started: 10:00, out: 11:30}, {set_point: 52 °C, hold: 20 min, started: 10:00, out: 10:50}]`), outcome: Clear},
		{name: "a hold and a time, thickness not known", snippets: on(`food: {thickness: ~}`, `cooks: [{set_point: 46 °C, hold: 20 min, started: ~, out: ~, log: none, pieces: []}, {set_point: 52 °C, time: 60 min, pieces: []}]`),
			outcome: CannotJudge, missing: "food.thickness"},
		{name: "fair", outcome: Clear},
	})
}

func TestRampInOneBath(t *testing.T) {
	t.Parallel()
	runGrafts(t, "ramp-in-one-bath", []grafted{
		{name: "pulled along the way", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {set_point: 56 °C, bath: n, session: s1, started: 10:00, out: 11:15}]`),
			outcome: Fires, severity: Blocks, says: "By the file A (50 °C) and B (56 °C) stood in the bath n at one time. One bath holds one set point. Either it was raised", value: 1},
		{name: "the colder came out later", snippets: on(`cooks: [{set_point: 56 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 11:15}]`),
			outcome: Fires, severity: Weakens, says: "would not let them out in this order. A day, a bath or a clock time is written wrong"},
		{name: "a bath that cools, three set points", snippets: on(`cooks: [{set_point: 56 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {set_point: 53 °C, bath: n, session: s1, started: 10:00, out: 11:15}, {set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 11:45}]`),
			outcome: Fires, severity: Blocks, says: "Either it was raised"},
		{name: "at the same minutes", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {set_point: 56 °C, bath: n, session: s1, started: 10:00, out: 10:45}]`),
			outcome: Fires, severity: Weakens, says: "is written wrong"},
		{name: "no ramp, as it is said", snippets: on(`cooks: [{set_point: 50 °C, ramp: no, bath: n, session: s1, started: 10:00, out: 10:45}, {set_point: 56 °C, ramp: no, bath: n, session: s1, started: 10:00, out: 11:15}]`),
			outcome: Fires, severity: Weakens, says: "is written wrong"},
		{name: "one evening without a session", snippets: on(`sessions: ~`, `cooks: [{set_point: 50 °C, bath: n, session: ~, started: 18:00, out: 18:45}, {set_point: 56 °C, bath: n, session: ~, started: 18:00, out: 19:15}]`),
			outcome: Fires, severity: Blocks, says: "Either it was raised"},
		{name: "several days without a session", snippets: on(`sessions: ~`, `cooks: [{set_point: 50 °C, bath: n, session: ~, started: 18:00, out: 18:45}, {set_point: 56 °C, bath: m, session: ~, started: 18:00, out: 18:46},
			{set_point: 56 °C, bath: n, session: ~, started: 18:00, out: 18:44}, {set_point: 50 °C, bath: m, session: ~, started: 18:00, out: 18:45}]`), outcome: CannotJudge, missing: "cooks.session"},
		{name: "a session on some", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, started: 18:00, out: 18:45}, {set_point: 56 °C, bath: n, session: ~, started: 18:00, out: 19:15}]`), outcome: CannotJudge, missing: "cooks.session"},
		{name: "days in the clock times", snippets: on(`sessions: ~`, `cooks: [{set_point: 50 °C, bath: n, session: ~, started: 2026-03-01 18:00, out: 2026-03-01 18:45}, {set_point: 56 °C, bath: n, session: ~, started: 2026-03-02 18:00, out: 2026-03-02 19:15}]`), outcome: Clear},
		{name: "one day in the clock times", snippets: on(`sessions: ~`, `cooks: [{set_point: 50 °C, bath: n, session: ~, started: 2026-03-01 18:00, out: 2026-03-01 18:45}, {set_point: 56 °C, bath: n, session: ~, started: 2026-03-01 18:00, out: 2026-03-01 19:15}]`), outcome: Fires, severity: Blocks, says: "at one time"},
		{name: "a tenth of the shorter is allowed", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 10:50}, {set_point: 56 °C, bath: n, session: s1, started: 10:45, out: 11:35}]`), outcome: Clear},
		{name: "said so", snippets: on(`cooks: [{set_point: 50 °C, ramp: yes, bath: n, started: 10:00, out: 10:45}, {set_point: 56 °C, bath: n, started: 11:00, out: 12:00}]`), outcome: Fires, severity: Blocks, says: "The bath n was raised step by step with the pieces in it. The 50 °C pieces had the whole history"},
		{name: "the same bath on two days", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, started: 10:00, out: 10:45}, {set_point: 56 °C, bath: n, session: s2, started: 10:00, out: 11:15}]`), outcome: Clear},
		{name: "start not known", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, started: ~, out: ~, time: 40 min}, {set_point: 56 °C, bath: n, session: s1}]`), outcome: CannotJudge, missing: "cooks.started"},
		{name: "start not known, but no ramp", snippets: on(`cooks: [{set_point: 50 °C, bath: n, session: s1, ramp: no, started: ~, out: ~, time: 40 min}, {set_point: 56 °C, ramp: no, bath: n, session: s1}]`), outcome: Clear},
		{name: "bath not known", snippets: on(`cooks: [{set_point: 50 °C, bath: ~, session: s1}, {set_point: 56 °C, bath: ~, session: s1}]`), outcome: CannotJudge, missing: "cooks.bath"},
		{name: "one arm", snippets: on(`cooks: [{set_point: 50 °C}, {set_point: 50 °C}]`), outcome: DoesNotApply},
		{name: "fair", outcome: Clear},
	})
}

func TestCoreShort(t *testing.T) {
	t.Parallel()
	two := func(mm, minutes string) []string {
		return on(`food: {thickness: `+mm+` mm}`, `cooks: [{set_point: 50 °C, time: `+minutes+` min, log: none, pieces: []}, {set_point: 56 °C, time: `+minutes+` min, log: none, pieces: []}]`)
	}
	egg := func(minutes int) []string {
		cook := fmt.Sprintf("time: %d min, log: none, pieces: []}", minutes)
		return on(`food: {name: hen egg, kind: shell egg, shape: sphere, thickness: 44 mm, start: 5 °C}`, `cooks: [{set_point: 63 °C, `+cook+`, {set_point: 66 °C, `+cook+`]`)
	}
	runGrafts(t, "core-short", []grafted{
		{name: "30 mm in half an hour", snippets: two("30", "30"), outcome: Fires, severity: Blocks, says: "In 30 min the core of B cannot have reached 56 °C"},
		// The range of the prediction is some 60 to 100 minutes.
		{name: "30 mm in an hour and a quarter", snippets: two("30", "75"), outcome: Fires, severity: Weakens, says: "may not have reached"},
		{name: "30 mm in three hours", snippets: two("30", "180"), outcome: Clear},
		// The log of the fair trial is within 0.5 K after 25 min, and so 46·92^-0.8 K short
		// after 20: 48.76 °C as it is logged. By hand.
		{name: "the log decides against a long time", snippets: on(`cooks: [{set_point: 50 °C, time: 20 min}, {set_point: 56 °C, time: 50 min}]`), outcome: Fires, severity: Blocks, says: "The core of A came to", value: 1.24},
		{name: "the log decides for a thick piece", snippets: on(`food: {thickness: 30 mm}`, `cooks: [{set_point: 50 °C, pieces: []}, {set_point: 56 °C, pieces: []}]`), outcome: Clear},
		{name: "a hold has arrived", snippets: on(`cooks: [{set_point: 50 °C, hold: 5 min, log: none}, {set_point: 56 °C, hold: 5 min, log: none}]`), outcome: Clear},
		// A yolk of 28.6 mm from 5 °C to within 0.5 K of 66 °C: ln(2·61/0.5)/π² radius²/1.54e-7 is 12.2 min at
		// the favourable diffusivity (sphere, no film, first term; by hand).
		{name: "eggs in five minutes", snippets: egg(5), outcome: Fires, severity: Blocks, says: "cannot have reached 66 °C: it needs 12 min to 5", value: 5 / 12.3},
		{name: "eggs in a quarter of an hour", snippets: egg(15), outcome: Fires, severity: Weakens, says: "may not have reached"},
		{name: "eggs in an hour", snippets: egg(60), outcome: Clear},
		{name: "thickness not known", snippets: on(`food: {thickness: ~}`, `cooks: [{set_point: 50 °C, log: none, pieces: []}, {set_point: 56 °C, log: none, pieces: []}]`), outcome: CannotJudge, missing: "food.thickness"},
		{name: "oven without a log", snippets: on(`medium: oven`, `cooks: [{set_point: 150 °C, log: none}, {set_point: 180 °C, log: none}]`), outcome: CannotJudge, missing: "cooks.log"},
		{name: "fair", outcome: Clear},
	})
}

func TestHoldSpread(t *testing.T) {
	t.Parallel()
	runGrafts(t, "hold-spread", []grafted{
		{name: "scatter alone", snippets: on(`cooks: [{set_point: 60 °C, hold: 20 min}, {set_point: 60 °C, hold: 34 min}, {set_point: 66 °C, hold: 20 min}, {set_point: 66 °C, hold: 33 min}]`),
			outcome: Fires, severity: Note, says: "anything from 20 min to 34 min.", value: 14},
		{name: "longer at one set point", snippets: on(`cooks: [{set_point: 60 °C, hold: 20 min}, {set_point: 60 °C, hold: 22 min}, {set_point: 66 °C, hold: 32 min}, {set_point: 66 °C, hold: 33 min}]`), outcome: Fires, severity: Weakens, value: 13},
		{name: "longer at one set point, as far as chance goes", snippets: on(`cooks: [{set_point: 60 °C, hold: 20 min}, {set_point: 60 °C, hold: 28 min}, {set_point: 60 °C, hold: 24 min}, {set_point: 66 °C, hold: 27 min}, {set_point: 66 °C, hold: 34 min}, {set_point: 66 °C, hold: 30 min}]`),
			outcome: Fires, severity: Note, value: 14},
		{name: "a little longer, and always", snippets: on(`cooks: [{set_point: 60 °C, hold: 20 min}, {set_point: 60 °C, hold: 21 min}, {set_point: 60 °C, hold: 20 min}, {set_point: 66 °C, hold: 27 min}, {set_point: 66 °C, hold: 28 min}, {set_point: 66 °C, hold: 28 min}]`),
			outcome: Fires, severity: Weakens, value: 8},
		{name: "alike", snippets: on(`cooks: [{set_point: 60 °C, hold: 20 min}, {set_point: 66 °C, hold: 25 min}]`), outcome: Clear},
		{name: "by the log", snippets: on(`cooks: [{set_point: 50 °C, time: 50 min}, {set_point: 56 °C, time: 70 min}]`), outcome: Fires, severity: Weakens},
		{name: "two holds on purpose", snippets: on(`cooks: [{set_point: 60 °C, hold: 20 min}, {set_point: 60 °C, hold: 40 min}, {set_point: 66 °C, hold: 20 min}, {set_point: 66 °C, hold: 40 min}]`), outcome: DoesNotApply},
		// Minutes by the clock, the same two at each set point by luck, are one time.
		{name: "two times that are one", snippets: on(`food: {thickness: 40 mm, shape: slab, kind: poultry}`, `cooks: [{set_point: 60 °C, time: 178 min, log: none, pieces: [{thickness: 26 mm}]}, {set_point: 60 °C, time: 183 min, log: none, pieces: [{thickness: 40 mm}]}, {set_point: 66 °C, time: 178 min, log: none, pieces: [{thickness: 40 mm}]}, {set_point: 66 °C, time: 183 min, log: none, pieces: [{thickness: 26 mm}]}]`),
			outcome: Fires, severity: Note},
		{name: "come-up not known", snippets: on(`food: {thickness: ~}`, `cooks: [{set_point: 50 °C, log: none, pieces: []}, {set_point: 56 °C, log: none, pieces: []}]`), outcome: CannotJudge, missing: "food.thickness"},
		{name: "fair", outcome: Clear},
	})
}

func TestBathOffSetPoint(t *testing.T) {
	t.Parallel()
	reads := func(n, s string) []string {
		return on(`baths: {n: {reads: `+n+`}, s: {reads: `+s+`}}`, `cooks: [{set_point: 50 °C, bath: n, log: none}, {set_point: 52 °C, bath: s, log: none}]`)
	}
	runGrafts(t, "bath-off-set-point", []grafted{
		// Reads 0.6 low: it stands 0.6 above what it shows.
		{name: "half a degree off", snippets: reads("0.6 °C low", "0 °C high"), outcome: Fires, severity: Weakens, says: "The water in A stood at 50.6 °C, not at 50 °C.", value: 0.6},
		{name: "just at the limit", snippets: reads("0.3 °C low", "0.3 °C low"), outcome: Clear, says: "not every run was logged"},
		{name: "each within, their step not", snippets: reads("0.3 °C low", "0.2 °C high"), outcome: Fires, severity: Weakens, says: "Between 50 °C and 52 °C the water differed by 1.5 °C, not by 2.0 °C.", value: 0.25},
		{name: "step lost", snippets: reads("0.8 °C low", "0.4 °C high"), outcome: Fires, severity: Blocks, value: 0.6},
		{name: "order turned", snippets: reads("1.5 °C low", "1 °C high"), outcome: Fires, severity: Blocks, says: "The water for 50 °C was no colder than that for 52 °C."},
		{name: "not checked, not logged", snippets: on(`baths: {n: {volume: 20 l}}`, `cooks: [{set_point: 50 °C, bath: n, log: none}, {set_point: 52 °C, bath: n, log: none}]`), outcome: CannotJudge, missing: "baths.reads"},
		{name: "not checked, but logged", snippets: on(`baths: {n: {volume: 20 l}}`, `cooks: [{set_point: 50 °C, bath: n}, {set_point: 52 °C, bath: n}]`), outcome: Clear},
		{name: "a °F file", snippets: on(`baths: {n: {reads: 1 °F low}, s: {reads: 0 °F high}}`, `cooks: [{set_point: 122 °F, bath: n, log: none}, {set_point: 131 °F, bath: s, log: none}]`), outcome: Fires, severity: Weakens, value: 5.0 / 9},
		{name: "fair", outcome: Clear},
	})
	// A bath that swings is seen in its log alone.
	tr := fairTrial(t)
	for i := range tr.Cooks[0].Log {
		p := &tr.Cooks[0].Log[i]
		p.Bath = trial.Some(quantity.Celsius(52 + []float64{-0.9, 0.9}[i%2]))
	}
	f := judgedAbout(t, "bath-off-set-point", trial.SetPointFactor, tr)
	wants(t, f, Fires, Weakens)
	if got := f.Text.Text(quantity.Metric); !strings.Contains(got, "swung by 0.9 °C") {
		t.Error(got)
	}
}

func TestLoadDiffers(t *testing.T) {
	t.Parallel()
	loads := func(a, b, volume string) string {
		return `{baths: {n: {volume: ` + volume + `, reads: 0 °C high}}, cooks: [{set_point: 50 °C, load: ` + a + `, bath: n, started: 10:00}, {set_point: 56 °C, load: ` + b + `, bath: n, started: 12:00}]}`
	}
	runGrafts(t, "load-differs", []grafted{
		{name: "fuller at one set point", snippets: on(loads("0.6 kg", "0.9 kg", "20 l")), outcome: Fires, severity: Weakens, says: "The 56 °C bath carried 45 g of food a litre against 30 g for 50 °C.", value: 0.4},
		{name: "a quarter is allowed", snippets: on(loads("0.6 kg", "0.75 kg", "20 l")), outcome: Clear},
		{name: "fuller in one run", snippets: on(`baths: {n: {volume: 20 l, reads: 0 °C high}}`, `cooks: [{set_point: 50 °C, load: 0.6 kg, bath: n, session: s1}, {set_point: 56 °C, load: 0.6 kg, bath: n, session: s2}, {set_point: 50 °C, load: 0.9 kg, bath: n, session: s3}, {set_point: 56 °C, load: 0.6 kg, bath: n, session: s4}]`),
			outcome: Fires, severity: Note, says: "One bath carried 45 g of food a litre and another 30 g."},
		{name: "a tighter bag", snippets: on(`cooks: [{set_point: 50 °C, vacuum: 95 %}, {set_point: 56 °C, vacuum: 70 %}]`), outcome: Fires, severity: Weakens, says: "The vacuum was 95 % at 50 °C and 70 % at 56 °C.", value: 25},
		{name: "a shared bag", snippets: on(`cooks: [{set_point: 50 °C, pieces: [{bag: b1}, {bag: b1}]}, {set_point: 56 °C, pieces: [{bag: b2}, {bag: b3}]}]`), outcome: Fires, severity: Weakens, says: "At 50 °C there were 2.0 pieces a bag", value: 1},
		// 1 kg at 4 °C in 10 l falls by 3.6/(3.6 + 41.8)·(T-4): 3.65 K at 50 °C, by hand.
		{name: "cold food in little water", snippets: on(`{baths: {n: {volume: 10 l, reads: 0 °C high}, s: {volume: 12 l, reads: 0 °C high}}, cooks: [{set_point: 50 °C, load: 1 kg, bath: n, vacuum: ~}, {set_point: 60 °C, load: 1.15 kg, bath: s, vacuum: ~}]}`),
			outcome: Fires, severity: Weakens, says: "Cold food pulls the 60 °C bath down by about 4.3 °C, and the 50 °C bath by 3.6 °C."},
		{name: "nothing is known", snippets: on(`baths: {n: {reads: 0 °C high}}`, `cooks: [{set_point: 50 °C, bath: n, vacuum: ~}, {set_point: 56 °C, bath: n, vacuum: ~}]`), outcome: CannotJudge, missing: "baths.volume"},
		{name: "mass not known", snippets: on(`cooks: [{set_point: 50 °C, pieces: [{before: ~, after: ~}]}, {set_point: 56 °C}]`), outcome: CannotJudge, missing: "pieces.before"},
		{name: "fair", outcome: Clear},
	})
}

func TestGapBetweenSetPoints(t *testing.T) {
	t.Parallel()
	wide := `cooks: [{set_point: 46 °C, session: s1}, {set_point: 58 °C, session: s1}]`
	runGrafts(t, "gap-between-set-points", []grafted{
		{name: "the target lies between", snippets: on(`aim: {measure: firmness, target: 4 to 6}`, wide), outcome: Fires, severity: Note, says: "Between 46 °C and 58 °C nothing was cooked", value: 12},
		{name: "a limit is crossed", snippets: on(`aim: [{measure: firmness, at_most: 5}]`, wide), outcome: Fires, severity: Note},
		{name: "no limit is crossed", snippets: on(`aim: [{measure: firmness, at_most: 9}]`, wide), outcome: Clear},
		{name: "no range", snippets: on(`aim: [{measure: firmness, best: highest}]`, wide), outcome: DoesNotApply},
		{name: "8 degrees is no gap", snippets: on(`aim: {measure: firmness, target: 4 to 6}`, `cooks: [{set_point: 46 °C}, {set_point: 54 °C}]`), outcome: Clear},
		{name: "not tasted yet", snippets: on(`panel: {scores: ~}`, wide), outcome: CannotJudge, missing: "panel.scores"},
		{name: "fair", outcome: Clear},
	})
	// The middle is proposed only where it may be eaten.
	safe := judged(t, "gap-between-set-points", `aim: {measure: firmness, target: 4 to 6}`, wide)
	if got := safe.Next.Text(quantity.Metric); got != "Cook 52 °C too." {
		t.Errorf("%q", got)
	}
	raw := judged(t, "gap-between-set-points", `{aim: {measure: firmness, target: 4 to 6}, food: {name: chicken breast, kind: poultry, frozen: ~}, cooks: [{set_point: 46 °C, session: s1, time: 8 h}, {set_point: 58 °C, session: s1, time: 8 h}]}`)
	if got := raw.Next.Text(quantity.Metric); strings.Contains(got, "Cook ") || !strings.Contains(got, "may be eaten") {
		t.Errorf("%q", got)
	}
}
