package fairness

import (
	"fmt"
	"strings"
	"testing"

	"tamis/internal/quantity"
	"tamis/internal/trial"
)

func TestSourceTiedToSetPoint(t *testing.T) {
	t.Parallel()
	runGrafts(t, "source-tied-to-set-point", []grafted{
		{name: "a loin each", snippets: on("sources: {l1: {caught: 2026-01-20}, l2: {caught: 2026-01-20}}\n" + `cooks: [{set_point: 58 °C, pieces: [{source: l1}, {source: l1}]}, {set_point: 64 °C, pieces: [{source: l2}, {source: l2}]}]`),
			outcome: Fires, severity: Blocks, says: "58 °C had only pieces of l1 and 64 °C only pieces of l2. The difference may be the pollack loin, not the cooking.", value: 1},
		{name: "a chain joins all", snippets: on(`cooks: [{set_point: 58 °C, pieces: [{source: l1}, {source: l2}]}, {set_point: 60 °C, pieces: [{source: l2}, {source: l3}]}, {set_point: 64 °C, pieces: [{source: l3}, {source: l1}]}]`), outcome: Clear},
		{name: "one of three apart", snippets: on(`cooks: [{set_point: 58 °C, pieces: [{source: fish-1}]}, {set_point: 60 °C, pieces: [{source: fish-1}]}, {set_point: 64 °C, pieces: [{source: fish-2}]}]`), outcome: Fires, severity: Blocks, value: 1},
		{name: "uneven", snippets: on(`cooks: [{set_point: 58 °C, pieces: [{source: l1}, {source: l1}, {source: l1}, {source: l2}]}, {set_point: 64 °C, pieces: [{source: l2}, {source: l2}, {source: l2}, {source: l1}]}]`),
			outcome: Fires, severity: Weakens, says: "did not go to 58 °C and 64 °C alike"},
		{name: "every source split, each lot at one set point", snippets: on("sources: {l1: {lot: one}, l2: {lot: one}, l3: {lot: two}, l4: {lot: two}}\n" + `cooks: [{set_point: 58 °C, pieces: [{source: l1}, {source: l2}]}, {set_point: 64 °C, pieces: [{source: l3}, {source: l4}]}]`),
			outcome: Fires, severity: Blocks, says: "58 °C had only pieces of delivery one and 64 °C only pieces of delivery two"},
		{name: "a source each, by lot", snippets: on(ownSourcesOf("a, b | c | d, e | f"), "drawn: {pieces: yes}"), outcome: Clear},
		{name: "a source each, and nothing said of a lot", snippets: on(ownSourcesOf("a, b | c | d, e | f"), "drawn: ~"), outcome: Fires, severity: Blocks, value: 1},
		{name: "two sources each, by lot", snippets: on(ownSourcesOf("a | b | c | d"), "drawn: {pieces: yes}"), outcome: Fires, severity: Blocks, value: 1},
		{name: "three sources, each in two cooks", snippets: on(ownSourcesOf("a, b, c | a, b, c | d, e, f | d, e, f"), "drawn: {pieces: yes}"), outcome: Fires, severity: Blocks, value: 1},
		{name: "one source", snippets: on(`cooks: [{set_point: 58 °C, pieces: [{source: l1}]}, {set_point: 64 °C, pieces: [{source: l1}]}]`), outcome: Clear},
		{name: "not written down", snippets: on(`cooks: [{set_point: 58 °C, pieces: [{source: ~}]}, {set_point: 64 °C}]`), outcome: CannotJudge, missing: "pieces.source"},
		{name: "no pieces", snippets: on(`cooks: [{set_point: 58 °C, pieces: []}, {set_point: 64 °C, pieces: []}]`), outcome: CannotJudge, missing: "pieces"},
		{name: "fair", outcome: Clear},
	})
	f := judged(t, "source-tied-to-set-point", `cooks: [{set_point: 58 °C, pieces: [{source: fish-1}]}, {set_point: 60 °C, pieces: [{source: fish-1}]}, {set_point: 64 °C, pieces: [{source: fish-2}]}]`)
	if len(f.Where.Pairs) != 2 || f.Where.Pairs[0] != [2]string{"58 °C", "64 °C"} {
		t.Errorf("%+v", f.Where)
	}
}

// ownSourcesOf is two cooks at 58 °C and two at 64 °C with the sources of each.
func ownSourcesOf(cooks string) string {
	var out []string
	for i, c := range strings.Split(cooks, " | ") {
		var pieces []string
		for _, s := range strings.Split(c, ", ") {
			pieces = append(pieces, "{source: "+s+"}")
		}
		out = append(out, fmt.Sprintf("{set_point: %d °C, pieces: [%s]}", []int{58, 58, 64, 64}[i], strings.Join(pieces, ", ")))
	}
	return "sources: {a: {lot: one}, b: {lot: two}, c: {lot: one}, d: {lot: one}, e: {lot: two}, f: {lot: two}}\ncooks: [" + strings.Join(out, ", ") + "]"
}

func TestPartTiedToSetPoint(t *testing.T) {
	t.Parallel()
	heads := `cooks: [{set_point: 46 °C, pieces: [{part: head}, {part: head}]}, {set_point: 54 °C, pieces: [{part: tail}, {part: tail}]}]`
	runGrafts(t, "part-tied-to-set-point", []grafted{
		{name: "heads and tails", snippets: on(heads), outcome: Fires, severity: Blocks, says: "46 °C had only head pieces and 54 °C only tail pieces. Parts differ by nature", value: 1},
		{name: "one of three apart", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{part: head}]}, {set_point: 50 °C, pieces: [{part: head}]}, {set_point: 54 °C, pieces: [{part: tail}]}]`), outcome: Fires, severity: Weakens},
		{name: "nearer the tail", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{part: head}, {part: head}, {part: middle}]}, {set_point: 54 °C, pieces: [{part: head}, {part: middle}, {part: tail}]}]`),
			outcome: Fires, severity: Weakens, says: "The 54 °C pieces came from nearer the tail than the 46 °C ones, by 0.7 of a place", value: 2.0 / 3},
		{name: "parts without an order", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{part: shoulder}, {part: rump}]}, {set_point: 54 °C, pieces: [{part: rump}, {part: shoulder}]}]`, `parts: ~`), outcome: Clear},
		{name: "one part", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{part: head}]}, {set_point: 54 °C, pieces: [{part: head}]}]`), outcome: Clear},
		{name: "not written down", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{part: ~}]}, {set_point: 54 °C}]`), outcome: CannotJudge, missing: "pieces.part"},
		{name: "fair", outcome: Clear},
	})
}

func TestSizeDiffers(t *testing.T) {
	t.Parallel()
	runGrafts(t, "size-differs", []grafted{
		{name: "thicker", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: 30 mm}, {thickness: 31 mm}]}, {set_point: 68 °C, pieces: [{thickness: 25 mm}, {thickness: 26 mm}]}]`),
			outcome: Fires, severity: Weakens, says: "The 62 °C pieces were 20 % thicker than the 68 °C ones.", value: 5.0 / 28},
		{name: "in inches", snippets: on(`cooks: [{set_point: 143 °F, pieces: [{thickness: 1.2 in}, {thickness: 1.2 in}]}, {set_point: 154 °F, pieces: [{thickness: 1 in}, {thickness: 1 in}]}]`),
			outcome: Fires, severity: Weakens, value: 0.2 / 1.1},
		{name: "6 % thicker, and cut to a gauge", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: 20 mm}, {thickness: 20.1 mm}]}, {set_point: 68 °C, pieces: [{thickness: 21.3 mm}, {thickness: 21.2 mm}]}]`),
			outcome: Fires, severity: Weakens, value: 1.2 / 20.65},
		{name: "6 % thicker, as the lot falls", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: 19 mm}, {thickness: 20 mm}, {thickness: 21 mm}]}, {set_point: 68 °C, pieces: [{thickness: 20.2 mm}, {thickness: 21.2 mm}, {thickness: 22.2 mm}]}]`),
			outcome: Fires, severity: Note, says: "The 68 °C pieces were 6 % thicker", value: 1.2 / 20.6},
		{name: "12 % thicker, as the lot falls", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: 17 mm}, {thickness: 20 mm}, {thickness: 23 mm}]}, {set_point: 68 °C, pieces: [{thickness: 19.5 mm}, {thickness: 22.5 mm}, {thickness: 25.5 mm}]}]`),
			outcome: Fires, severity: Weakens, value: 2.5 / 21.25},
		{name: "3 % thicker", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: 20 mm}, {thickness: 20 mm}]}, {set_point: 68 °C, pieces: [{thickness: 20.6 mm}, {thickness: 20.6 mm}]}]`), outcome: Clear},
		{name: "heavier", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{before: 100 g}, {before: 110 g}]}, {set_point: 68 °C, pieces: [{before: 140 g}, {before: 150 g}]}]`),
			outcome: Fires, severity: Note, says: "The 68 °C pieces were 38 % heavier", value: 40.0 / 125},
		{name: "thick and thin in each", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: 20 mm}, {thickness: 26 mm}]}, {set_point: 68 °C, pieces: [{thickness: 26 mm}, {thickness: 20 mm}]}]`),
			outcome: Fires, severity: Note, says: "scatters by 18 % around its mean"},
		{name: "mass not known", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{before: ~, after: ~}]}, {set_point: 68 °C, pieces: [{before: ~, after: ~}]}]`), outcome: Clear, says: "mass"},
		{name: "thickness not known", snippets: on(`cooks: [{set_point: 62 °C, pieces: [{thickness: ~}, {thickness: 20 mm}]}, {set_point: 68 °C}]`), outcome: CannotJudge, missing: "pieces.thickness"},
		{name: "no pieces", snippets: on(`cooks: [{set_point: 62 °C, pieces: []}, {set_point: 68 °C, pieces: []}]`), outcome: CannotJudge, missing: "pieces"},
		{name: "one arm", snippets: on(`cooks: [{set_point: 62 °C}, {set_point: 62 °C}]`), outcome: DoesNotApply},
		{name: "fair", outcome: Clear},
	})
	// The time to the core grows by less than the square of the thickness, because
	// the surface resists too, and by more than the thickness.
	f := judged(t, "size-differs", `cooks: [{set_point: 62 °C, pieces: [{thickness: 30 mm}, {thickness: 30 mm}]}, {set_point: 68 °C, pieces: [{thickness: 25 mm}, {thickness: 25 mm}]}]`)
	text := f.Text.Text(quantity.Metric)
	if !strings.Contains(text, "by about 3") && !strings.Contains(text, "by about 4") {
		t.Errorf("20 %% more thickness: %q", text)
	}
}

func TestColdHistoryDiffers(t *testing.T) {
	t.Parallel()
	split := `cooks: [{set_point: 46 °C, pieces: [{source: f1}]}, {set_point: 54 °C, pieces: [{source: f2}]}]`
	both := `cooks: [{set_point: 46 °C, pieces: [{source: f1}, {source: f2}]}, {set_point: 54 °C, pieces: [{source: f1}, {source: f2}]}]`
	runGrafts(t, "cold-history-differs", []grafted{
		{name: "frozen and fresh", snippets: on("sources: {f1: {frozen: yes}, f2: {frozen: no}}", split), outcome: Fires, severity: Blocks, says: "Some of the pollack loin had been frozen, and it went to 46 °C and 54 °C unevenly.", value: 1},
		{name: "frozen and fresh at both", snippets: on("sources: {f1: {frozen: yes}, f2: {frozen: no}}", both), outcome: Clear},
		{name: "older", snippets: on("sources: {f1: {caught: 2026-01-20}, f2: {caught: 2026-01-24}}", split), outcome: Fires, severity: Weakens, says: "The 46 °C pieces were 4 d older than the 54 °C ones", value: 4},
		{name: "a day older", snippets: on("sources: {f1: {caught: 2026-01-20}, f2: {caught: 2026-01-21}}", split), outcome: Clear},
		{name: "thawed warmer", snippets: on("sources: {f1: {frozen: yes, caught: 2026-01-20, thawed: {to: 2 °C}}, f2: {frozen: yes, caught: 2026-01-20, thawed: {to: 8 °C}}}", split),
			outcome: Fires, severity: Weakens, says: "thawed to 6.0 °C warmer", value: 6},
		{name: "warmer at the start", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{start: 4 °C}]}, {set_point: 54 °C, pieces: [{start: 9 °C}]}]`), outcome: Fires, severity: Weakens, says: "The 54 °C pieces went in 5.0 °C warmer", value: 5},
		{name: "nobody says whether it was frozen", snippets: on(`food: {frozen: ~}`), outcome: CannotJudge, missing: "food.frozen"},
		{name: "said of one source only", snippets: on("sources: {f1: {frozen: yes}, f2: {lot: L1}}", both, `food: {frozen: ~}`), outcome: CannotJudge, missing: "sources.frozen"},
		{name: "carrots of which nobody says that they were frozen", snippets: on(`food: {kind: vegetable, name: carrot, frozen: ~}`), outcome: Clear},
		{name: "eggs that started at no known temperature", snippets: on(`food: {kind: shell egg, name: hen egg, frozen: ~, start: ~}`), outcome: CannotJudge, missing: "food.start"},
		{name: "fair", outcome: Clear},
	})
	// The check of parenthood reads the fields.
	f := judged(t, "cold-history-differs", `cooks: [{set_point: 46 °C, pieces: [{start: 4 °C}]}, {set_point: 54 °C, pieces: [{start: 9 °C}]}]`)
	if len(f.Where.Fields) != 1 || f.Where.Fields[0] != "pieces.start" {
		t.Errorf("%+v", f.Where)
	}
}

func TestOneLot(t *testing.T) {
	t.Parallel()
	runGrafts(t, "one-lot", []grafted{
		{name: "one", snippets: on("sources: {f1: {lot: L7}}", `cooks: [{set_point: 46 °C, pieces: [{source: f1}]}, {set_point: 54 °C, pieces: [{source: f1}]}]`), outcome: Fires, severity: Note, says: "one delivery, L7.", value: 1},
		{name: "lot not known", snippets: on("sources: {f1: {caught: 2026-01-20}}", `cooks: [{set_point: 46 °C, pieces: [{source: f1}]}, {set_point: 54 °C, pieces: [{source: f1}]}]`), outcome: CannotJudge, missing: "sources.lot"},
		{name: "source not known", snippets: on(`cooks: [{set_point: 46 °C, pieces: [{source: ~}]}, {set_point: 54 °C, pieces: [{source: ~}]}]`), outcome: CannotJudge, missing: "pieces.source"},
		{name: "fair", outcome: Clear},
	})
}

func TestAnythingElseMoves(t *testing.T) {
	t.Parallel()
	runGrafts(t, "anything-else-moves", []grafted{
		{name: "sealed otherwise", snippets: on(`cooks: [{set_point: 48 °C, bag: chamber}, {set_point: 54 °C, bag: clamp}, {set_point: 54 °C, bag: clamp}, {set_point: 48 °C, bag: chamber}]`),
			outcome: Fires, severity: Blocks, says: "How the bags were sealed moved along with the set point: 48 °C: chamber; 54 °C: clamp.", value: 1},
		{name: "a recipe of its own", snippets: on(`factors: {recipe: [A, B]}`, `cooks: [{set_point: 48 °C, with: {recipe: A}}, {set_point: 54 °C, with: {recipe: B}}, {set_point: 54 °C, with: {recipe: B}}, {set_point: 48 °C, with: {recipe: A}}]`),
			outcome: Fires, severity: Blocks, says: "The recipe moved along"},
		{name: "kept colder", snippets: on("sources: {f1: {kept_at: 0 °C}, f2: {kept_at: 1 °C}, f3: {kept_at: 3 °C}, f4: {kept_at: 4 °C}}",
			`cooks: [{set_point: 48 °C, session: s, pieces: [{source: f1}, {source: f1}, {source: f2}]}, {set_point: 54 °C, session: s, pieces: [{source: f3}, {source: f3}, {source: f4}, {source: f1}]},
      {set_point: 48 °C, session: s, pieces: [{source: f1}, {source: f2}]}, {set_point: 54 °C, session: s, pieces: [{source: f3}, {source: f4}]}, {set_point: 48 °C, session: s, pieces: [{source: f2}, {source: f2}]}, {set_point: 54 °C, session: s, pieces: [{source: f4}, {source: f4}]}]`),
			outcome: Fires, severity: Weakens, says: "How cold the food was kept moved along with the set point: 48 °C: 0.6"},
		{name: "kept colder by chance", snippets: on("sources: {f1: {kept_at: 0 °C}, f2: {kept_at: 1 °C}}",
			`cooks: [{set_point: 48 °C, session: s, pieces: [{source: f1}]}, {set_point: 54 °C, session: s, pieces: [{source: f2}]}, {set_point: 48 °C, session: s, pieces: [{source: f2}]}, {set_point: 54 °C, session: s, pieces: [{source: f1}]}]`), outcome: Clear},
		{name: "butter in some bags", snippets: on(`cooks: [{set_point: 48 °C, bag: {seal: chamber, with: []}}, {set_point: 54 °C, bag: {seal: chamber, with: [butter]}}, {set_point: 54 °C, bag: {seal: chamber, with: [butter]}}, {set_point: 48 °C, bag: chamber}]`),
			outcome: Fires, severity: Blocks, says: "48 °C: nothing else; 54 °C: with butter"},
		{name: "butter in some bags of each", snippets: on(`cooks: [{set_point: 48 °C, bag: {seal: chamber, with: [butter]}}, {set_point: 54 °C, bag: chamber}, {set_point: 54 °C, bag: {seal: chamber, with: [butter]}}, {set_point: 48 °C, bag: chamber}]`), outcome: Clear},
		{name: "nothing else", snippets: on(`cooks: [{set_point: 48 °C, bag: ~}, {set_point: 54 °C, bag: ~}]`), outcome: CannotJudge, missing: "cooks.bag"},
		{name: "fair", outcome: Clear},
	})
}

// The checks of runs and pieces are asked of every compared factor.
func TestOtherFactors(t *testing.T) {
	t.Parallel()
	tr := graft(t, `factors: {recipe: [A, B]}`, `cooks: [{set_point: 48 °C, session: s1, with: {recipe: A}, pieces: [{source: f1}]}, {set_point: 48 °C, session: s2, with: {recipe: B}, pieces: [{source: f2}]}]`)
	for slug, says := range map[string]string{
		"one-run-per-set-point":     "A and B were cooked once each",
		"session-tied-to-set-point": "What the session did and what the recipe did cannot be told apart",
		"source-tied-to-set-point":  "A had only",
	} {
		f := judgedAbout(t, slug, "recipe", tr)
		wants(t, f, Fires, Blocks)
		if got := f.Text.Text(quantity.Metric); !strings.Contains(got, says) || f.Factor != "recipe" {
			t.Errorf("%s: %q", slug, got)
		}
	}
	wants(t, judgedAbout(t, "one-run-per-set-point", trial.SetPointFactor, tr), DoesNotApply, None)
}
