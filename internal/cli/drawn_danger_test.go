package cli

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tamis/internal/heat"
	"tamis/internal/safety"
	"tamis/internal/trial"
	"tamis/internal/trialfile"
)

// dangerDesign draws a design of any food, form and care, at set points from cool to
// hot, with tasters, with scores, or only to be weighed and sheared.
func dangerDesign(r *rand.Rand) (text string, tasted bool) {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	line("tamis: 1\ntitle: Any food\nrules: %s", pick("eu", "us", "uk", "other"))
	food := fmt.Sprintf("name: it, kind: %s, thickness: %d mm, start: 4 °C", pick("lean fish", "oily fish", "poultry", "beef pork lamb", "game", "crustacean", "bivalve", "vegetable", "pulse", "shell egg"), 10+r.IntN(30))
	if r.IntN(4) > 0 {
		food += ", form: " + pick("whole", "minced", "injected", "stuffed")
	}
	if r.IntN(2) == 0 {
		food += ", composition: {fat: " + pick("1", "6", "12") + " %}"
	}
	line("food: {%s}", food)
	if r.IntN(2) == 0 {
		line("serve: [%s]", pick("public", "vulnerable", "public, vulnerable"))
	}
	tasters, scored := r.IntN(3) > 0, r.IntN(3) > 0
	measures := []string{"shear: {unit: N}", `cook_loss: {unit: "%", from: weights}`}
	if scored {
		measures = append(measures, "firmness: {scale: 0 to 10}")
	}
	line("measures: {%s}", strings.Join(measures, ", "))
	line("baths: {north: {}, south: {}}\ndesign:")
	first, step := 38+r.IntN(32), 1+r.IntN(8)
	var points []string
	for i := range 2 + r.IntN(3) {
		points = append(points, fmt.Sprintf("%d °C", first+i*step))
	}
	line("  set_points: [%s]", strings.Join(points, ", "))
	if r.IntN(4) == 0 {
		line("  hold: [%d min]", 1+r.IntN(60))
	} else {
		line("  times: [%d min]", 10+r.IntN(300))
	}
	if r.IntN(3) == 0 {
		line("  brine: [none, {dry salt: 1 %%, of: flesh, at: %s, for: %s}]", pick("3 °C", "20 °C"), pick("20 min", "1 d"))
	}
	line("  cooks_each: %d\n  sessions: %d\n  baths: [north, south]\n  pieces_per_cook: 2", 1+r.IntN(2), 1+r.IntN(2))
	if tasters {
		line("  assessors: [anna, ben, cleo]")
	}
	if r.IntN(3) > 0 {
		line("  serve_at: 19:30")
	}
	return b.String(), tasters || scored
}

var (
	invites  = regexp.MustCompile(`(?i)served at|serve flight|serve at|serve it|serve: |last bite|tell your guests|samples? a sitting|of your own free will|ballots into|taster meets`)
	onlyRaw  = regexp.MustCompile(`(?i)only (to |be )?weigh|still be weighed|weighed and sheared|weigh it, shear|weigh and shear`)
	boxScale = regexp.MustCompile(`<span class="code">\d{3}<`)
)

// Whatever the food and the design: what must not be eaten is never laid out for a
// panel, scheduled to be served or printed to be tasted. It is refused, and then
// nothing is written; or nobody tastes, and every text and every sheet of it says that
// it is only weighed and sheared. What may be eaten is laid out.
func TestDrawnDangers(t *testing.T) {
	t.Parallel()
	n := 250
	if testing.Short() {
		n = 50
	}
	if *plansDrawn > 0 {
		n = *plansDrawn
	}
	counts := map[string]int{}
	for i := range n {
		text, tasted := dangerDesign(rand.New(rand.NewPCG(uint64(i), 13)))
		dir := t.TempDir()
		file := filepath.Join(dir, "any.yaml")
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		bad := func(format string, args ...any) {
			t.Errorf("design %d: "+format+"\n%s", append(append([]any{i}, args...), text)...)
		}
		_, said, errs := run(t.Context(), "plan", "--seed", "3", file)
		after, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if string(after) == text {
			left, _ := os.ReadDir(dir)
			switch {
			case !strings.Contains(errs, "error: ") || len(left) != 1:
				bad("refused with %q, and %d files are there", errs, len(left))
			case strings.Contains(errs, "must not be eaten"):
				if counts["refused: do not eat"]++; !tasted {
					bad("nobody tastes it, and it is refused: %s", errs)
				}
			default:
				counts["refused otherwise"]++
			}
			continue
		}
		tr, messages, err := trialfile.Read(file, vocabulary())
		if err != nil || messages.HasErrors() {
			t.Fatal(messages, err)
		}
		raw := mustNotEat(tr)
		if len(raw) == 0 {
			counts["laid out, may be eaten"]++
			continue
		}
		if tasted {
			bad("%v must not be eaten and is laid out for a panel", raw)
			continue
		}
		counts["laid out to be weighed"]++
		if len(tr.Panel.V.Scores)+len(tr.Panel.V.Key)+len(tr.Panel.V.Triangles) > 0 {
			bad("%v must not be eaten and has codes and orders", raw)
		}
		_, day, _ := run(t.Context(), "plan", "--schedule", "--serve-at", "18:00", "--calendar", filepath.Join(dir, "day.ics"), "--date", "2026-05-01", file)
		code, sheets, errs := run(t.Context(), "sheets", "--serve-at", "18:00", "--out", filepath.Join(dir, "sheets"), file)
		if code != ExitDone {
			bad("no sheets: %s", errs)
			continue
		}
		all := map[string]string{"plan": said, "sheets, printed": sheets}
		if day != "" {
			all["schedule"] = day
			// Where a session has no schedule there is no calendar.
			if b, err := os.ReadFile(filepath.Join(dir, "day.ics")); err == nil {
				all["calendar"] = strings.ReplaceAll(string(b), "\r\n ", "")
				counts["scheduled to be weighed"]++
			}
		}
		for _, name := range []string{"run.html", "record.html", "ballots.html", "labels.html", "shopping.html"} {
			b, err := os.ReadFile(filepath.Join(dir, "sheets", name))
			if err != nil {
				t.Fatal(err)
			}
			all[name] = string(b)
			if name == "ballots.html" && boxScale.Match(b) {
				bad("the ballots have a code")
			}
		}
		for where, text := range all {
			text = readable(text)
			if m := invites.FindString(text); m != "" {
				at := strings.Index(text, m)
				bad("%s says %q: …%s…", where, m, text[max(0, at-80):min(len(text), at+80)])
			}
			if where == "sheets, printed" {
				continue
			}
			if !saysNoEat.MatchString(text) {
				bad("%s does not say that it must not be eaten", where)
			}
			if where != "ballots.html" && !onlyRaw.MatchString(text) {
				bad("%s does not say what it is for", where)
			}
		}
		if _, out, errs := run(t.Context(), "scores", "--template", file); strings.Contains(out, "anna") || strings.Contains(out, "firmness") {
			bad("there is a sheet to type scores into: %s%s", out, errs)
		}
	}
	t.Log(counts)
	for _, must := range []string{"refused: do not eat", "laid out, may be eaten", "laid out to be weighed", "scheduled to be weighed"} {
		if counts[must] < n/50 {
			t.Errorf("%s: %d of %d; this says too little", must, counts[must], n)
		}
	}
}

// mustNotEat are the cooks with that verdict.
func mustNotEat(tr *trial.Trial) (out []string) {
	for i, v := range safety.OfTrial(tr, heat.OfTrial(tr)).Cooks {
		if v.Verdict == safety.DoNotEat {
			out = append(out, tr.Cooks[i].ID)
		}
	}
	return out
}
