package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"tamis/internal/answer"
)

// dangerous are foods that no set point here makes fit to be eaten, each as the
// flags of heat, as the food of a trial, and with two set points of which neither
// may be eaten.
var dangerous = []struct {
	name        string
	flags       []string
	food        string
	hot, cooler string
}{
	{"chicken", []string{"--food", "poultry", "--form", "whole", "--fat", "2%"}, "kind: poultry, form: whole, composition: {fat: 2 %}", "54 °C", "52 °C"},
	{"mince", []string{"--food", "beef pork lamb", "--form", "minced"}, "kind: beef pork lamb, form: minced", "52 °C", "50 °C"},
	{"mussels", []string{"--food", "bivalve", "--form", "whole"}, "kind: bivalve, form: whole", "60 °C", "58 °C"},
	{"wild fish", []string{"--food", "lean fish", "--form", "whole", "--frozen", "no"}, "kind: lean fish, form: whole, frozen: no", "48 °C", "46 °C"},
}

// dangerousTrial was cooked and tasted, and has an aim that its hotter set point
// meets; with scored false nothing was tasted and the texture was measured.
func dangerousTrial(food, hot, cooler string, scored bool) string {
	measure, name, aim := "firmness: {scale: 0 to 10}", "firmness", "target: 4 to 6"
	if !scored {
		measure, name, aim = "shear: {unit: N}", "shear", "target: 4 to 6"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "tamis: 1\ntitle: Not to be eaten\nfood: {name: it, %s, thickness: 25 mm, start: 4 °C}\naim: {measure: %s, %s}\n"+
		"measures: {%s}\nbaths: {north: {reads: 0 °C, checked: 2026-02-09}}\ncooks:\n", food, name, aim, measure)
	for i, v := range []string{"5", "5.5", "5.2", "3", "3.4", "2.9"} {
		set := hot
		if i >= 3 {
			set = cooler
		}
		fmt.Fprintf(&b, "  - {id: C%d, set_point: %s, time: 90 min, bath: north, session: s%d, %s: %s}\n", i+1, set, i%3+1, name, v)
	}
	return b.String()
}

// dangerousDesign is the same before the cook.
func dangerousDesign(food, hot, cooler string) string {
	return fmt.Sprintf("tamis: 1\ntitle: Not to be eaten\nfood: {name: it, %s, thickness: 25 mm, start: 4 °C}\naim: {measure: firmness, target: 4 to 6}\n"+
		"measures: {firmness: {scale: 0 to 10}}\nbaths: {north: {reads: 0 °C, checked: 2026-02-09}, south: {}}\n"+
		"design: {set_points: [%s, %s], times: [90 min], cooks_each: 2, sessions: 2, baths: [north, south], pieces_per_cook: 2, assessors: [anna, ben], serve_at: 19:30}\n", food, hot, cooler)
}

var (
	tags        = regexp.MustCompile(`(?s)<(style|script)[^>]*>.*?</(style|script)>|<[^>]*>`)
	spaces      = regexp.MustCompile(`\s+`)
	saysNoEat   = regexp.MustCompile(`(?i)do not eat|must not be eaten|not to be eaten`)
	saysMayEat  = regexp.MustCompile(`(?i)for now: |serve (it )?at once|by calculation it may also|pasteurised at the core, by|"pasteurised at|,pasteurised at|"word": "(serve|pasteur)`)
	proposesHot = regexp.MustCompile(`(?i)cook next: |next: \d|the set point to take`)
)

// readable is a page or a text without its mark-up, on one line.
func readable(s string) string { return spaces.ReplaceAllString(tags.ReplaceAllString(s, " "), " ") }

// What must not be eaten is called so wherever something is printed or written on
// it, and nothing is proposed for it.
func TestDoNotEatOnEveryOutput(t *testing.T) {
	t.Parallel()
	for _, d := range dangerous {
		t.Run(d.name, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			dir := t.TempDir()
			file := func(name, text string) string {
				path := filepath.Join(dir, name)
				if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
				return path
			}
			tasted := file("tasted.yaml", dangerousTrial(d.food, d.hot, d.cooler, true))
			sheared := file("sheared.yaml", dangerousTrial(d.food, d.hot, d.cooler, false))
			before := file("before.yaml", dangerousDesign(d.food, d.hot, d.cooler))
			out := func(name string) string { return filepath.Join(dir, name) }
			one := append(append([]string{"heat"}, d.flags...), "--thickness", "25mm", "--start", "4C", "--set-point", d.hot)
			cells := append(append([]string{"heat"}, d.flags...), "--start", "4C", "--reads", "0C", "--table", "--thicknesses", "15mm,25mm", "--set-points", d.hot+","+d.cooler)
			for _, c := range []struct {
				args  []string
				code  int
				files []string // written, each of which has to say it
			}{
				{args: one},
				{args: append([]string{"heat", "--units", "us"}, one[1:]...)},
				{args: append([]string{"heat", "--time", "4h"}, one[1:]...)},
				{args: append([]string{"heat", "--hold", "20min"}, one[1:]...)},
				{args: append([]string{"heat", "--csv"}, one[1:]...)},
				{args: append([]string{"heat", "--json"}, one[1:]...)},
				{args: append([]string{"heat", "--figure", out("one.svg")}, one[1:]...), files: []string{out("one.svg")}},
				{args: append([]string{"heat", "--shape", "sphere"}, one[1:]...)},
				{args: append([]string{"heat", "--rules", "us"}, one[1:]...)},
				{args: append([]string{"heat", "--serve", "vulnerable"}, one[1:]...)},
				{args: cells},
				{args: append([]string{"heat", "--csv"}, cells[1:]...)},
				{args: append([]string{"heat", "--json"}, cells[1:]...)},
				{args: append([]string{"heat", "--units", "us"}, cells[1:]...)},
				{args: []string{"heat", tasted}},
				{args: []string{"heat", "--json", tasted}},
				{args: []string{"heat", "--csv", tasted}},
				{args: []string{"heat", "--cook", "C1", "--figure", out("c1.svg"), tasted}, files: []string{out("c1.svg")}},
				{args: []string{"heat", "--table", "--set-points", d.hot, tasted}},
				{args: []string{"heat", before}},
				{args: []string{"heat", "--json", before}},
				{args: []string{"check", tasted}},
				{args: []string{"check", "--json", tasted}},
				{args: []string{"check", sheared}},
				{args: []string{"check", before}},
				{args: []string{"check", "--json", before}},
				{args: []string{"fit", tasted}},
				{args: []string{"fit", "--all", tasted}},
				{args: []string{"fit", "--json", tasted}},
				{args: []string{"fit", "--method", tasted}},
				{args: []string{"fit", sheared}},
				{args: []string{"fit", "--csv", out("tables"), tasted}, files: []string{out("tables/README.txt"), out("tables/verdicts.csv")}},
				{args: []string{"size", tasted}, code: ExitInvalid},
				{args: []string{"size", "--json", tasted}, code: ExitInvalid},
				{args: []string{"size", before}, code: ExitInvalid},
				{args: []string{"size", sheared}},
				{args: []string{"size", "--json", sheared}},
				{args: []string{"size", "--assessors", "4", sheared}, code: ExitInvalid},
				{args: []string{"size", "--csv", out("size.csv"), "--figure", out("size.svg"), sheared}, files: []string{out("size.csv"), out("size.svg")}},
				{args: []string{"plan", "--out", out("plan.yaml"), before}, code: ExitInvalid},
				{args: []string{"plan", "--schedule", "--serve-at", "19:30", "--date", "2026-03-10", tasted}, code: ExitInvalid},
				{args: []string{"plan", "--schedule", "--json", "--serve-at", "19:30", "--date", "2026-03-10", tasted}, code: ExitInvalid},
				{args: []string{"sheets", "--out", out("sheets"), tasted}, files: []string{out("sheets/run.html"), out("sheets/record.html"), out("sheets/ballots.html"), out("sheets/labels.html"), out("sheets/shopping.html")}},
				{args: []string{"scores", "--template", tasted}},
				{args: []string{"report", "--for", "kitchen", "--static", "--out", out("kitchen.html"), tasted}, files: []string{out("kitchen.html")}},
				{args: []string{"report", "--for", "science", "--static", "--out", out("science.html"), tasted}, files: []string{out("science.html")}},
				{args: []string{"report", "--for", "kitchen", "--static", "--out", "-", sheared}},
				{args: []string{"report", "--for", "readers", "--draft", "--static", "--out", out("readers.html"), tasted}, files: []string{out("readers.html")}},
				{args: []string{"report", "--for", "readers", "--draft", "--article", "--out", out("article.html"), tasted}, files: []string{out("article.html")}},
				{args: []string{"new", "--from", tasted}, code: ExitFailure},
				{args: newFlags(d.food, d.hot, d.cooler)},
				{args: append(newFlags(d.food, d.hot, d.cooler), "--laid-out", "--out", out("new.yaml")), files: []string{out("new.yaml")}},
			} {
				dangerHolds(ctx, t, c.args, c.code, c.files)
			}
			if _, err := os.Stat(out("plan.yaml")); err == nil {
				t.Error("a plan was written")
			}
		})
	}
}

// newFlags are those of new for a food of a trial file.
func newFlags(food, hot, cooler string) []string {
	args := []string{"new", "--title", "x", "--thickness", "25 mm", "--start", "4 °C", "--time", "90 min", "--set-points", hot + "," + cooler}
	for _, f := range strings.Split(food, ", ") {
		if k, v, _ := strings.Cut(f, ": "); k == "kind" || k == "form" {
			args = append(args, "--"+k, v)
		}
	}
	return args
}

// dangerHolds runs a verb and looks at what it prints and writes.
func dangerHolds(ctx context.Context, t *testing.T, args []string, code int, files []string) {
	t.Helper()
	got, out, errs := run(ctx, args...)
	if got != code {
		t.Errorf("%q: code %d, want %d: %s", args, got, code, errs)
		return
	}
	texts := map[string]string{"what is printed": out + errs}
	if len(files) > 0 && out == "" {
		delete(texts, "what is printed")
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Errorf("%q: %v", args, err)
			continue
		}
		texts[filepath.Base(f)] = string(b)
	}
	if len(files) > 0 {
		delete(texts, "what is printed") // says where they are
	}
	for where, text := range texts {
		if json.Valid([]byte(text)) && strings.Contains(text, `"verdict"`) && !strings.Contains(text, answer.VerdictDoNotEat) {
			t.Errorf("%q: no verdict of the JSON says it", args)
		}
		text = readable(text)
		if !saysNoEat.MatchString(text) {
			t.Errorf("%q, %s: nothing says that it must not be eaten", args, where)
		}
		for _, bad := range []*regexp.Regexp{saysMayEat, proposesHot} {
			if m := bad.FindString(text); m != "" {
				at := strings.Index(text, m)
				t.Errorf("%q, %s: says %q (…%s…)", args, where, m, text[max(0, at-120):min(len(text), at+120)])
			}
		}
	}
}
